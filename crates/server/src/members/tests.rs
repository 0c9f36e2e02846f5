//! Coming in, going out, being kept out: as the people of the club would tell it.

use axum::body::Body;
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE, COOKIE, HOST, RETRY_AFTER};
use axum::http::{Method, Request, StatusCode};
use gradeworthy_store::Role;

use crate::club::{Club, HOST_NAME, PASSWORD};

const FORM: &str = "application/x-www-form-urlencoded";

#[test]
fn the_lead_makes_himself_once_and_the_address_is_used_up() {
    let (club, address) = Club::new_record();
    let form = club.call(None, Method::GET, &address, "");
    assert!(form.body.contains("Become the lead"), "{}", form.body);
    let other = address.replace(|c: char| c.is_ascii_digit(), "0");
    assert_eq!(
        club.call(None, Method::GET, &other, "").status,
        StatusCode::GONE
    );

    let short = club.call(
        None,
        Method::POST,
        &address,
        "name=Ada&password=short&again=short",
    );
    assert_eq!(short.status, StatusCode::UNPROCESSABLE_ENTITY);
    let differ = club.call(
        None,
        Method::POST,
        &address,
        "name=Ada&password=long+enough&again=long+enouhg",
    );
    assert_eq!(differ.status, StatusCode::UNPROCESSABLE_ENTITY);

    let fields = "name=Ada&password=long+enough&again=long+enough";
    let made = club.call(None, Method::POST, &address, fields);
    assert_eq!(
        (made.status, made.location()),
        (StatusCode::SEE_OTHER, "/bench")
    );
    assert!(made.cookie().is_some());
    let again = club.call(None, Method::POST, &address, fields);
    assert_eq!(again.status, StatusCode::GONE);
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    assert_eq!(snapshot.members().expect("read").len(), 1);
    assert_eq!(snapshot.rule_books().expect("read").len(), 1);
}

#[test]
fn a_new_member_gets_a_link_that_works_once() {
    let club = Club::open();
    let page = club.post(Role::Lead, "/members", "name=New+One&role=inspector");
    let at = page.body.find("/join/").expect("a link");
    let link = &page.body[at..at + "/join/".len() + 64];
    let fields = "password=a+good+long+one&again=a+good+long+one";
    assert_eq!(
        club.call(None, Method::POST, link, fields).status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        club.call(None, Method::POST, link, fields).status,
        StatusCode::GONE
    );
    let come_in = club.call(
        None,
        Method::POST,
        "/sign-in",
        "name=New+One&password=a+good+long+one",
    );
    assert!(come_in.cookie().is_some(), "{}", come_in.body);
}

#[test]
fn five_wrong_tries_lock_out_and_the_lead_or_time_lets_in_again() {
    let club = Club::open();
    let right = format!(
        "name=Member+operator&password={}",
        PASSWORD.replace(' ', "+")
    );
    for _ in 0..5 {
        club.call(
            None,
            Method::POST,
            "/sign-in",
            "name=Member+operator&password=guess",
        );
    }
    let locked = club.call(None, Method::POST, "/sign-in", &right);
    assert_eq!(locked.status, StatusCode::TOO_MANY_REQUESTS);
    assert_eq!(locked.headers[RETRY_AFTER], "900");
    assert!(locked.body.contains("2026-11-25 19:15"), "{}", locked.body);

    let operator = club.members[&Role::Operator];
    club.post(Role::Lead, &format!("/members/{operator}"), "act=unlock");
    assert_eq!(
        club.call(None, Method::POST, "/sign-in", &right).status,
        StatusCode::SEE_OTHER
    );

    for _ in 0..5 {
        club.call(
            None,
            Method::POST,
            "/sign-in",
            "name=Member+operator&password=guess",
        );
    }
    club.later(901);
    assert_eq!(
        club.call(None, Method::POST, "/sign-in", &right).status,
        StatusCode::SEE_OTHER
    );
}

#[test]
fn one_device_that_tries_many_names_must_wait() {
    let club = Club::open();
    club.later(301);
    for index in 0..20 {
        let form = format!("name=nobody+{index}&password=guess");
        assert_eq!(
            club.call(None, Method::POST, "/sign-in", &form).status,
            StatusCode::UNAUTHORIZED
        );
    }
    let form = "name=nobody&password=guess";
    assert_eq!(
        club.call(None, Method::POST, "/sign-in", form).status,
        StatusCode::TOO_MANY_REQUESTS
    );
}

#[test]
fn an_inspector_takes_over_the_bench_with_his_pin_and_no_longer_than_the_bench_was_open() {
    let club = Club::open();
    let form = format!("password={}&pin=4711", PASSWORD.replace(' ', "+"));
    assert_eq!(
        club.post(Role::Inspector, "/account/pin", &form).status,
        StatusCode::SEE_OTHER
    );
    let alone = club.call(
        None,
        Method::POST,
        "/switch",
        "name=Member+inspector&pin=4711",
    );
    assert_eq!(
        alone.status,
        StatusCode::UNAUTHORIZED,
        "a PIN alone opens nothing"
    );

    club.later(11 * 3600);
    let wrong = club.post(
        Role::Apprentice,
        "/switch",
        "name=Member+inspector&pin=0000",
    );
    assert_eq!(wrong.status, StatusCode::UNAUTHORIZED);
    let taken = club.post(
        Role::Apprentice,
        "/switch",
        "name=Member+inspector&pin=4711",
    );
    let cookie = taken.cookie().expect("a session").to_owned();
    let account = |cookie: &str| {
        let request = Request::get("/account")
            .header(HOST, HOST_NAME)
            .header(COOKIE, cookie);
        club.send(request.body(Body::empty()).expect("a request"))
    };
    assert!(account(&cookie).body.contains("Member inspector"));
    assert_eq!(
        club.get(Role::Apprentice, "/account").status,
        StatusCode::SEE_OTHER
    );
    club.later(2 * 3600);
    assert_eq!(
        account(&cookie).status,
        StatusCode::SEE_OTHER,
        "the bench has closed"
    );
}

#[test]
fn signing_out_everywhere_ends_every_session() {
    let club = Club::open();
    assert_eq!(club.get(Role::Operator, "/account").status, StatusCode::OK);
    assert_eq!(
        club.post(Role::Operator, "/account/leave", "").location(),
        "/sign-in"
    );
    assert_eq!(
        club.get(Role::Operator, "/account").status,
        StatusCode::SEE_OTHER
    );
    let trail = club.get(Role::Lead, "/audit").body;
    assert!(trail.contains("sessions ended"), "{trail}");
}

#[test]
fn the_last_lead_cannot_be_taken_away() {
    let club = Club::open();
    let lead = club.members[&Role::Lead];
    let answer = club.post(
        Role::Lead,
        &format!("/members/{lead}"),
        "act=role&to=operator",
    );
    assert_eq!(answer.status, StatusCode::CONFLICT);
    assert!(answer.body.contains("only active lead"));
}

#[test]
fn whoever_keeps_the_machine_lets_a_forgetful_lead_in() {
    let club = Club::open();
    let link = crate::let_in(&club.app, "member LEAD").expect("a link");
    let fields = "password=remember+this&again=remember+this";
    assert_eq!(
        club.call(None, Method::POST, &link, fields).status,
        StatusCode::SEE_OTHER
    );
    let come_in = club.call(
        None,
        Method::POST,
        "/sign-in",
        "name=Member+lead&password=remember+this",
    );
    assert!(come_in.cookie().is_some());
    assert!(crate::let_in(&club.app, "stranger").is_err());
}

fn forged(club: &Club, headers: &[(&str, &str)]) -> StatusCode {
    let mut request = Request::post("/sign-in")
        .header(HOST, HOST_NAME)
        .header(CONTENT_TYPE, FORM);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let form = format!("name=Member+lead&password={}", PASSWORD.replace(' ', "+"));
    club.send(request.body(Body::from(form)).expect("a request"))
        .status
}

#[test]
fn a_form_that_another_site_sends_does_nothing() {
    let club = Club::open();
    // Browsers leave Sec-Fetch-Site out on plain HTTP to another machine, so Origin must do alone.
    assert_eq!(
        forged(&club, &[("origin", "http://elsewhere.example")]),
        StatusCode::FORBIDDEN
    );
    assert_eq!(forged(&club, &[("origin", "null")]), StatusCode::FORBIDDEN);
    assert_eq!(
        forged(&club, &[("sec-fetch-site", "cross-site")]),
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        forged(&club, &[("sec-fetch-site", "same-site")]),
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        forged(&club, &[("origin", "http://bench.test:7700")]),
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        forged(&club, &[("sec-fetch-site", "same-origin")]),
        StatusCode::SEE_OTHER
    );
}

#[test]
fn every_answer_forbids_frames_guessing_of_types_and_scripts_that_are_not_ours() {
    let club = Club::open();
    for path in ["/sign-in", "/nothing", "/api/nothing", "/members"] {
        let answer = club.get(Role::Lead, path);
        let policy = answer.headers[CONTENT_SECURITY_POLICY]
            .to_str()
            .expect("text");
        assert!(
            policy.starts_with("default-src 'none'") && !policy.contains("unsafe"),
            "{policy}"
        );
        assert_eq!(answer.headers["x-content-type-options"], "nosniff");
        assert_eq!(answer.headers["x-frame-options"], "DENY");
        assert_eq!(answer.headers["referrer-policy"], "same-origin");
        let own = answer
            .body
            .matches("<script type=\"module\" src=\"/script/")
            .count();
        assert_eq!(answer.body.matches("<script").count(), own, "{path}");
        assert!(!answer.body.contains(" style="), "{path}");
    }
}

#[test]
fn a_body_that_is_too_long_is_refused_in_words() {
    let club = Club::open();
    let long = format!("name={}", "x".repeat(300_000));
    let answer = club.post(Role::Lead, "/members", &long);
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(answer.body.contains("longer than 64 KiB"));
}

#[test]
fn a_name_with_html_in_it_is_shown_and_not_obeyed() {
    let club = Club::open();
    let form = "name=%3Cb%20onmouseover%3Dalert(1)%3E%22%27&role=operator";
    for page in [
        club.post(Role::Lead, "/members", form),
        club.get(Role::Lead, "/members"),
        club.get(Role::Lead, "/audit"),
    ] {
        assert_eq!(page.status, StatusCode::OK);
        assert!(!page.body.contains("<b onmouseover"), "{}", page.body);
    }
    assert!(
        club.get(Role::Lead, "/members")
            .body
            .contains("&lt;b onmouseover")
    );
}

#[test]
fn programs_are_told_in_json() {
    let club = Club::open();
    let wrong = club.call(
        None,
        Method::POST,
        "/api/session",
        "{\"name\":\"Member lead\",\"password\":\"no\"}",
    );
    assert_eq!(wrong.status, StatusCode::UNAUTHORIZED);
    assert_eq!(wrong.headers[CONTENT_TYPE], "application/problem+json");
    let problem: serde_json::Value = serde_json::from_str(&wrong.body).expect("JSON");
    assert_eq!(problem["status"], 401);
    assert!(problem["detail"].as_str().expect("text").contains("wrong"));
    let broken = club.call(None, Method::POST, "/api/session", "{\"name\":");
    assert_eq!(broken.status, StatusCode::BAD_REQUEST);
}
