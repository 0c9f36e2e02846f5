//! Photographs from a phone to the page.

use axum::body::Body;
use axum::http::header::{CONTENT_TYPE, COOKIE, ETAG, HOST, IF_NONE_MATCH};
use axum::http::{Request, StatusCode};
use gradeworthy_store::{CarId, ClientId, Role};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use sha2::{Digest, Sha256};

use crate::club::{Answer, Club, HOST_NAME};

/// A photograph as a camera might send it.
pub(crate) fn photograph() -> Vec<u8> {
    let image = RgbImage::from_fn(80, 60, |x, y| {
        let shade = u8::try_from(x + y).expect("small");
        Rgb([shade, 90, 40])
    });
    let mut bytes = std::io::Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(image)
        .write_to(&mut bytes, ImageFormat::Jpeg)
        .expect("encoded");
    bytes.into_inner()
}

fn id() -> String {
    ClientId::random().expect("randomness").to_string()
}

fn send(club: &Club, role: Role, car: CarId, file: &[u8]) -> Answer {
    let fields = [("client_id", &*id()), ("caption", "a <b>cracked</b> frame")];
    club.post_file(role, &format!("/cars/{car}/photos"), &fields, file)
}

fn last(club: &Club, car: CarId) -> String {
    let version = club.snapshot().version(car).expect("a car");
    format!("/cars/{car}/photos/{version}")
}

#[test]
fn a_photograph_is_shown_on_the_cars_page_and_served_as_what_it_is() {
    let club = Club::open();
    let sent = send(&club, Role::Operator, club.own_car, &photograph());
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.body);
    let address = last(&club, club.own_car);
    let page = club
        .get(Role::Owner, &format!("/cars/{}", club.own_car))
        .body;
    assert!(page.contains(&format!("src=\"{address}\"")), "{page}");
    assert!(page.contains("a &lt;b&gt;cracked&lt;/b&gt; frame") && !page.contains("<b>cracked"));
    assert!(
        page.contains("capture=\"environment\"")
            && page.contains("accept=\"image/jpeg,image/png\"")
    );

    let served = club.get(Role::Operator, &address);
    assert_eq!(served.headers[CONTENT_TYPE], "image/jpeg");
    assert_eq!(served.headers["x-content-type-options"], "nosniff");
    let digits: String = Sha256::digest(&served.bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    assert_eq!(served.headers[ETAG], format!("\"{digits}\""));
    assert!(image::load_from_memory(&served.bytes).is_ok());
    let request = Request::get(&address)
        .header(HOST, HOST_NAME)
        .header(COOKIE, club.cookie_of(Role::Operator))
        .header(IF_NONE_MATCH, format!("\"other\", \"{digits}\""));
    let again = club.send(request.body(Body::empty()).expect("a request"));
    assert_eq!(
        (again.status, again.bytes.len()),
        (StatusCode::NOT_MODIFIED, 0)
    );
}

#[test]
fn a_photograph_taken_at_the_bench_leads_back_to_the_bench_and_is_shown_there() {
    let club = Club::open();
    let here = format!("/bench/{}?check=wheelsets", club.own_car);
    let page = club.get(Role::Inspector, &here);
    assert!(
        page.body
            .contains(&format!("name=\"back\" value=\"{here}\"")),
        "{}",
        page.body
    );
    let fields = [
        ("client_id", &*id()),
        ("caption", "axle 2"),
        ("back", &here),
    ];
    let to = format!("/cars/{}/photos", club.own_car);
    let sent = club.post_file(Role::Inspector, &to, &fields, &photograph());
    assert_eq!(sent.location(), format!("{here}#photos"));
    let address = last(&club, club.own_car);
    let page = club.get(Role::Inspector, &here);
    assert!(
        page.body.contains(&format!("src=\"{address}\"")),
        "{}",
        page.body
    );
    let fields = [
        ("client_id", &*id()),
        ("caption", ""),
        ("back", "//elsewhere.example"),
    ];
    let sent = club.post_file(Role::Inspector, &to, &fields, &photograph());
    assert_eq!(sent.location(), "/#photos");
}

#[test]
fn nobody_sees_or_adds_a_photograph_whose_car_he_may_not_see() {
    let club = Club::open();
    let other = club.car("XYZ 9", None);
    assert_eq!(
        send(&club, Role::Operator, other, &photograph()).status,
        StatusCode::SEE_OTHER
    );
    let address = last(&club, other);
    assert_eq!(
        club.get(Role::Owner, &address).status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        send(&club, Role::Owner, other, &photograph()).status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        send(&club, Role::Owner, club.own_car, &photograph()).status,
        StatusCode::SEE_OTHER
    );
    // By the number of another car, or of an entry of another kind, nothing is served.
    let entry = address.rsplit('/').next().expect("a number");
    let path = format!("/cars/{}/photos/{entry}", club.own_car);
    assert_eq!(club.get(Role::Lead, &path).status, StatusCode::NOT_FOUND);
    let path = format!("/cars/{}/photos/1", club.own_car);
    assert_eq!(club.get(Role::Lead, &path).status, StatusCode::NOT_FOUND);
}

#[test]
fn what_is_no_photograph_is_refused_in_words_by_page_and_program() {
    let club = Club::open();
    let whole = photograph();
    let svg = b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>";
    let files: [(&[u8], &str); 5] = [
        (svg, "no JPEG or PNG photograph"),
        (
            b"<!doctype html><script>alert(1)</script>",
            "no JPEG or PNG photograph",
        ),
        (&whole[..whole.len() / 2], "cut off on its way"),
        (
            b"GIF89a\x01\x00\x01\x00\x00\x00\x00;",
            "no JPEG or PNG photograph",
        ),
        (b"", "no photograph was chosen"),
    ];
    for (file, words) in files {
        let answer = send(&club, Role::Lead, club.own_car, file);
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(
            answer.body.to_lowercase().contains(&words.to_lowercase()),
            "{}",
            answer.body
        );
        let path = format!("/api/cars/{}/photos?client_id={}", club.own_car, id());
        let request = Request::post(path)
            .header(HOST, HOST_NAME)
            .header(COOKIE, club.cookie_of(Role::Lead))
            .header(CONTENT_TYPE, "image/jpeg");
        let answer = club.send(request.body(Body::from(file.to_vec())).expect("a request"));
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{}",
            answer.body
        );
    }
}

#[test]
fn one_that_is_too_long_is_refused_with_the_limit() {
    let club = Club::open();
    let long = vec![0xFF; super::intake::SENT_BYTES_MOST + 1];
    let answer = send(&club, Role::Lead, club.own_car, &long);
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.body.contains("16.0 MB"), "{}", answer.body);
}

#[test]
fn a_program_keeps_one_and_reads_it_back_once_for_two_sendings() {
    let club = Club::open();
    let path = format!(
        "/api/cars/{}/photos?client_id={}&caption=underside",
        club.own_car,
        id()
    );
    let send = || {
        let request = Request::post(&path)
            .header(HOST, HOST_NAME)
            .header(COOKIE, club.cookie_of(Role::Inspector))
            .header(CONTENT_TYPE, "image/jpeg");
        club.send(request.body(Body::from(photograph())).expect("a request"))
    };
    assert_eq!(send().status, StatusCode::OK);
    let again: serde_json::Value = serde_json::from_str(&send().body).expect("JSON");
    assert_eq!(again["repeated"], 1);
    let served = club.get(
        Role::Inspector,
        &format!("/api{}", last(&club, club.own_car)),
    );
    assert_eq!(served.headers[CONTENT_TYPE], "image/jpeg");
}

#[test]
fn a_struck_photograph_is_no_longer_shown_and_stays_to_be_seen() {
    let club = Club::open();
    send(&club, Role::Operator, club.own_car, &photograph());
    let address = last(&club, club.own_car);
    let entry = address.rsplit('/').next().expect("a number");
    let form = club.entry(club.own_car, &format!("entry={entry}&why=another+car"));
    let struck = club.post(
        Role::Operator,
        &format!("/cars/{}/strikes", club.own_car),
        &form,
    );
    assert_eq!(struck.status, StatusCode::SEE_OTHER, "{}", struck.body);
    let page = club
        .get(Role::Lead, &format!("/cars/{}", club.own_car))
        .body;
    assert!(!page.contains(&format!("src=\"{address}\"")));
    assert!(page.contains(&format!("href=\"{address}\"")), "{page}");
    assert_eq!(club.get(Role::Lead, &address).status, StatusCode::OK);
}
