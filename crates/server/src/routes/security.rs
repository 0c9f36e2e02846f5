//! What an attacker sends, at every route it can be sent to: the lists are made from the table and from
//! the forms that the pages really show, so that a new route or field is attacked without being named.

use std::collections::BTreeSet;

use axum::body::Body;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE, COOKIE, HOST, ORIGIN};
use axum::http::{Method, Request, StatusCode};
use gradeworthy_store::Role;

use super::tests::{method, real};
use super::*;
use crate::club::{Answer, Club, HOST_NAME, PASSWORD};
use crate::photo::tests::photograph;
use crate::request::encoded;

fn posts() -> impl Iterator<Item = &'static Route> {
    all().filter(|route| route.method == POST)
}

fn kind(path: &str) -> &'static str {
    if path.starts_with("/api/") {
        "application/json"
    } else {
        "application/x-www-form-urlencoded"
    }
}

/// A POST by the lead with further headers.
fn post(club: &Club, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
    let mut request = Request::post(path)
        .header(HOST, HOST_NAME)
        .header(COOKIE, club.cookie_of(Role::Lead));
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    club.send(
        request
            .body(Body::from(body.to_owned()))
            .expect("a request"),
    )
}

fn events(club: &Club) -> i64 {
    let (one, other) = (club.own_car, club.track_leads_car);
    let snapshot = club.snapshot();
    let version = |car| snapshot.version(car).expect("a car").number();
    version(one).max(version(other))
}

/// Source: Fetch Metadata Request Headers (W3C) for `Sec-Fetch-Site`; the Fetch standard (WHATWG) for
/// `Origin`, which every browser sends with a POST of another site.
#[test]
fn whatever_another_site_sends_is_refused_at_every_route_and_does_nothing() {
    let club = Club::open();
    let before = events(&club);
    for route in posts() {
        let path = real(&club, Some(Role::Lead), route.path);
        for forged in [
            ("origin", "http://elsewhere.example"),
            ("origin", "null"),
            ("origin", "http://bench.test:7701"),
            ("origin", "http://bench.test.elsewhere.example:7700"),
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-site", "same-site"),
        ] {
            let answer = post(&club, &path, &[("content-type", kind(&path)), forged], "");
            assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path} {forged:?}");
            assert!(
                answer.body.contains("from another site"),
                "{path} {forged:?}"
            );
        }
    }
    assert_eq!(events(&club), before);
    assert_eq!(
        club.get(Role::Lead, "/account").status,
        StatusCode::OK,
        "still signed in"
    );
}

/// A page of another site can send these kinds without asking first (Fetch standard, 'CORS-safelisted
/// request-header'); JSON under another name must not pass for JSON.
#[test]
fn a_program_route_takes_json_under_its_own_name_only() {
    let club = Club::open();
    let before = events(&club);
    for route in posts().filter(|route| route.path.starts_with("/api/")) {
        let path = real(&club, Some(Role::Lead), route.path);
        // Routes without a body or with the bytes of a file; they rest on the origin alone.
        let bodiless = [
            "/api/session/end",
            "/api/account/leave",
            "/api/keeping/copies",
            "/api/imports",
        ];
        if bodiless.contains(&route.path)
            || route.path.ends_with("/links")
            || route.path.ends_with("/photos")
            || route.path.ends_with("/cancel")
            || route.path.ends_with("/let-go")
            || route.path.ends_with("/drop")
        {
            continue;
        }
        for kind in [
            "text/plain",
            "application/x-www-form-urlencoded",
            "multipart/form-data; boundary=x",
        ] {
            let answer = post(&club, &path, &[("content-type", kind)], "{}");
            assert_eq!(
                answer.status,
                StatusCode::BAD_REQUEST,
                "{path} {kind}: {}",
                answer.body
            );
        }
    }
    assert_eq!(events(&club), before);
}

#[test]
fn every_cookie_is_kept_from_scripts_and_from_other_sites() {
    let club = Club::open();
    let form = format!("name=Member+lead&password={}", encoded(PASSWORD));
    let answer = club.call(None, Method::POST, "/sign-in", &form);
    let cookie = answer.headers["set-cookie"].to_str().expect("text");
    assert!(
        cookie.contains("; Path=/; HttpOnly; SameSite=Lax"),
        "{cookie}"
    );
    assert!(!cookie.contains("Domain"), "{cookie}");
    let tls = Club::under_tls();
    let answer = tls.call(None, Method::POST, "/sign-in", &form);
    let cookie = answer.headers["set-cookie"].to_str().expect("text");
    assert!(cookie.ends_with("; Secure"), "{cookie}");
}

fn with_cookie(club: &Club, cookie: &str, method: Method, path: &str, form: &str) -> Answer {
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header(HOST, HOST_NAME)
        .header(COOKIE, cookie)
        .header(CONTENT_TYPE, kind(path));
    club.send(
        request
            .body(Body::from(form.to_owned()))
            .expect("a request"),
    )
}

#[test]
fn a_session_is_new_at_every_coming_in_and_the_one_before_is_dead() {
    let club = Club::open();
    let form = format!("name=Member+inspector&password={}", encoded(PASSWORD));
    // A session that somebody put into the browser beforehand is not taken over.
    let planted = format!("gradeworthy_session={}", "a".repeat(64));
    let first = with_cookie(&club, &planted, Method::POST, "/sign-in", &form);
    let first = first.cookie().expect("a session").to_owned();
    assert_ne!(first, planted);
    let account = |cookie: &str| with_cookie(&club, cookie, Method::GET, "/account", "").status;
    assert_eq!(account(&planted), StatusCode::SEE_OTHER);
    assert_eq!(account(&first), StatusCode::OK);
    // Signing in again, by page and by program.
    let second = with_cookie(&club, &first, Method::POST, "/sign-in", &form);
    let second = second.cookie().expect("a session").to_owned();
    assert_eq!(
        (account(&first), account(&second)),
        (StatusCode::SEE_OTHER, StatusCode::OK)
    );
    let json = format!("{{\"name\":\"Member inspector\",\"password\":\"{PASSWORD}\"}}");
    let third = with_cookie(&club, &second, Method::POST, "/api/session", &json);
    let third = third.cookie().expect("a session").to_owned();
    assert_eq!(
        (account(&second), account(&third)),
        (StatusCode::SEE_OTHER, StatusCode::OK)
    );
    // A wrong password leaves the session as it was.
    let wrong = "name=Member+inspector&password=wrong";
    with_cookie(&club, &third, Method::POST, "/sign-in", wrong);
    assert_eq!(account(&third), StatusCode::OK);
    // Another member takes over, by program.
    let pin = format!("password={}&pin=4711", encoded(PASSWORD));
    with_cookie(&club, &third, Method::POST, "/account/pin", &pin);
    let apprentice = club.cookie_of(Role::Apprentice);
    let json = "{\"name\":\"Member inspector\",\"pin\":\"4711\"}";
    let taken = with_cookie(
        &club,
        &apprentice,
        Method::POST,
        "/api/session/switch",
        json,
    );
    let taken = taken.cookie().expect("a session").to_owned();
    assert_eq!(
        (account(&apprentice), account(&taken)),
        (StatusCode::SEE_OTHER, StatusCode::OK)
    );
    let ended = with_cookie(&club, &taken, Method::POST, "/api/session/end", "");
    assert_eq!(ended.status, StatusCode::OK);
    assert_eq!(account(&taken), StatusCode::SEE_OTHER);
}

#[test]
fn tricks_in_a_path_lead_nowhere() {
    let club = Club::open();
    let long = "a".repeat(5_000);
    let tricks = [
        "..",
        "..%2f..%2fetc%2fpasswd",
        "%2e%2e%2fclub.sqlite",
        "..%5c..%5cx",
        "1%00",
        "%00",
        "%ff",
        "1%2f2",
        "-1",
        "9223372036854775807",
        "9223372036854775808",
        "1e3",
        "1;drop",
        "%3Cscript%3E",
        long.as_str(),
    ];
    for route in all().filter(|route| route.path.contains('{')) {
        for trick in tricks {
            let mut path = String::new();
            for part in route.path.split('/').skip(1) {
                path += "/";
                path += if part.starts_with('{') { trick } else { part };
            }
            let answer = club.call(Some(Role::Lead), method(route), &path, "");
            // The form behind a link is the same for every link; what it sends is looked at.
            if route.method == GET
                && route.path == "/join/{token}"
                && answer.status == StatusCode::OK
            {
                continue;
            }
            let status = answer.status;
            assert!(
                status.is_client_error(),
                "{} {path}: {status}",
                method(route)
            );
            assert!(!answer.body.contains("<script>"), "{path}");
            assert!(
                !answer.body.contains("SQLite format") && !answer.body.contains("root:"),
                "{path}"
            );
        }
    }
}

#[test]
fn a_body_that_is_too_long_is_refused_at_every_route_with_its_limit() {
    let club = Club::open();
    for route in posts() {
        let path = real(&club, Some(Role::Lead), route.path);
        let announced = (route.body_most + 1).to_string();
        let headers = [
            ("content-type", kind(&path)),
            ("content-length", &announced),
        ];
        let answer = post(&club, &path, &headers, "");
        assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE, "{path}");
        let limit = crate::refusal::size(route.body_most);
        assert!(answer.body.contains(&limit), "{path}: {}", answer.body);
    }
    // One that does not say its length beforehand.
    let endless = vec![b'x'; BODY_MOST + 1];
    let request = Request::post("/members")
        .header(HOST, HOST_NAME)
        .header(COOKIE, club.cookie_of(Role::Lead))
        .header(ORIGIN, format!("http://{HOST_NAME}"))
        .header(CONTENT_TYPE, kind("/members"));
    let mut request = request.body(Body::from(endless)).expect("a request");
    request.headers_mut().remove(CONTENT_LENGTH);
    assert_eq!(club.send(request).status, StatusCode::PAYLOAD_TOO_LARGE);
}

/// A form as a page shows it.
#[derive(Debug)]
struct Form {
    action: String,
    fields: Vec<(String, String)>,
    multipart: bool,
}

/// What is typed into every field of text.
const HOSTILE: &str = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>";

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let start = format!(" {name}=\"");
    let at = tag.find(&start)? + start.len();
    tag[at..].split('"').next()
}

/// The forms of a page, filled in: fields of text with something hostile, choices with the first one.
/// Our own pages write every attribute in double quotes and in lower case.
fn forms(page: &str, here: &str) -> Vec<Form> {
    let mut found = Vec::new();
    for form in page.split("<form ").skip(1) {
        let (head, rest) = form.split_once('>').expect("an opened form");
        let body = rest.split("</form>").next().unwrap_or_default();
        let head = format!(" {head}");
        if attribute(&head, "method") != Some("post") {
            continue;
        }
        let mut fields: Vec<(String, String)> = Vec::new();
        for tag in body.split('<').skip(1) {
            let Some(name) = attribute(tag, "name") else {
                continue;
            };
            let value = attribute(tag, "value").unwrap_or_default();
            let filled = match (tag.split(' ').next(), attribute(tag, "type")) {
                (Some("input"), Some("hidden" | "radio" | "checkbox" | "datetime-local")) => {
                    value.to_owned()
                }
                (Some("input"), Some("password")) => PASSWORD.to_owned(),
                (Some("input"), Some("file")) => continue,
                (Some("input" | "textarea"), _) => HOSTILE.to_owned(),
                (Some("select"), _) => {
                    let options = body[body.find(tag).expect("its place")..]
                        .split("</select>")
                        .next();
                    let values = options.unwrap_or_default().split("<option ").skip(1);
                    let mut values = values.filter_map(|own| {
                        attribute(&format!(" {own}"), "value").map(ToOwned::to_owned)
                    });
                    values.find(|own| !own.is_empty()).unwrap_or_default()
                }
                (Some("button"), _) => value.to_owned(),
                _ => continue,
            };
            if !fields.iter().any(|own| own.0 == name) {
                fields.push((name.to_owned(), filled));
            }
        }
        let action = attribute(&head, "action").unwrap_or(here).to_owned();
        found.push(Form {
            action,
            fields,
            multipart: head.contains("multipart/form-data"),
        });
    }
    found
}

/// Every page that a role can open, with something real in place of its variables.
fn pages(club: &Club, role: Role) -> Vec<(String, String)> {
    let gets = all().filter(|route| route.method == GET && !route.path.starts_with("/api/"));
    let mut pages = Vec::new();
    for route in gets {
        let path = real(club, Some(role), route.path);
        let answer = club.get(role, &path);
        let kind = answer.headers.get(CONTENT_TYPE);
        let is_page = kind.is_some_and(|own| own.as_bytes().starts_with(b"text/html"));
        if answer.status == StatusCode::OK && is_page {
            pages.push((path, answer.body));
        }
    }
    pages
}

fn send(club: &Club, role: Role, form: &Form) -> Answer {
    if form.multipart {
        let fields: Vec<_> = form
            .fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        return club.post_file(role, &form.action, &fields, &photograph());
    }
    let coded: Vec<_> = form
        .fields
        .iter()
        .map(|(name, value)| format!("{}={}", encoded(name), encoded(value)))
        .collect();
    club.post(role, &form.action, &coded.join("&"))
}

fn harmless(body: &str, whence: &str) {
    for raw in [
        "<script>alert",
        "<img src=x",
        "\"'><",
        "onerror=alert(2)>\"",
    ] {
        assert!(
            !body.contains(raw),
            "{whence} shows {raw} unescaped:\n{body}"
        );
    }
}

#[test]
fn html_in_every_field_of_every_form_is_shown_and_not_obeyed() {
    let club = Club::open();
    let (mut seen, mut accepted) = (BTreeSet::new(), 0);
    for role in [Role::Lead, Role::Owner, Role::Inspector] {
        // Twice: what the first round enters brings forms of its own.
        for _ in 0..2 {
            for (path, body) in pages(&club, role) {
                for mut form in forms(&body, &path) {
                    // Sessions and passwords are other tests' matter; a changed role would end this one.
                    let leaves = [
                        "/sign-out",
                        "/account/leave",
                        "/account/password",
                        "/switch",
                    ];
                    let roles = form
                        .fields
                        .iter()
                        .any(|(name, value)| name == "act" && value != "name" && value != "link");
                    if leaves.contains(&form.action.as_str()) || roles {
                        continue;
                    }
                    // The version of the car may have moved since the page was read.
                    if let Some(version) = form.fields.iter_mut().find(|own| own.0 == "version") {
                        let car = form
                            .action
                            .split('/')
                            .nth(2)
                            .and_then(|own| own.parse().ok());
                        let car = gradeworthy_store::CarId::from_number(car.expect("a car"));
                        version.1 = club.snapshot().version(car).expect("a car").to_string();
                    }
                    let answer = send(&club, role, &form);
                    assert!(
                        !answer.status.is_server_error(),
                        "{form:?}: {}",
                        answer.body
                    );
                    harmless(&answer.body, &form.action);
                    accepted += usize::from(!answer.status.is_client_error());
                    seen.insert(form.action.clone());
                    club.later(60);
                    club.sign_in_again();
                }
            }
        }
        for (path, body) in pages(&club, role) {
            harmless(&body, &path);
        }
    }
    assert!(seen.len() >= 20, "few forms were found: {seen:?}");
    assert!(accepted >= 20, "only {accepted} forms were taken");
    let escaped = club
        .get(Role::Lead, &format!("/cars/{}", club.own_car))
        .body;
    assert!(
        escaped.contains("&lt;script&gt;alert(1)"),
        "nothing hostile was entered"
    );
}

#[test]
fn no_page_answers_with_a_file_of_another_kind_than_it_says() {
    let club = Club::open();
    for route in all().filter(|route| route.method == GET) {
        let path = real(&club, Some(Role::Lead), route.path);
        let answer = club.get(Role::Lead, &path);
        assert_eq!(
            answer.headers["x-content-type-options"], "nosniff",
            "{path}"
        );
        if let Some(kind) = answer.headers.get(CONTENT_TYPE) {
            let kind = kind.to_str().expect("text");
            let known = [
                "text/html; charset=utf-8",
                "text/css; charset=utf-8",
                "application/json",
                "application/problem+json",
                "image/svg+xml",
                "image/jpeg",
                "application/pdf",
                "application/toml; charset=utf-8",
                "text/csv; charset=utf-8",
                "text/javascript; charset=utf-8",
                "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            ];
            assert!(known.contains(&kind), "{path}: {kind}");
        }
    }
}
