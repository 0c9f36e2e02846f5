//! Sheets taken in and written out, as members do it.

use axum::body::Body;
use axum::http::header::{CONTENT_TYPE, COOKIE, HOST};
use axum::http::{Method, Request, StatusCode};
use gradeworthy_store::Role;

use crate::club::{Answer, Club, HOST_NAME};

mod dirty;

const SHEET: &str = "Car,Scale,Weight (oz),b2b 1a (in),H1 (in),Remark\r\n\
    TST 1,HO,3.9,.570,.391,fine\r\n\
    TST 2,HO,4.1,.571,.390,\r\n";

/// Sends a file as the page's form does.
fn send(club: &Club, role: Role, name: &str, file: impl AsRef<[u8]>) -> Answer {
    let edge = "a-boundary-of-our-own";
    let mut body = format!(
        "--{edge}\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\
         Content-Type: text/csv\r\n\r\n"
    )
    .into_bytes();
    body.extend_from_slice(file.as_ref());
    body.extend_from_slice(
        format!(
            "\r\n--{edge}\r\n\
             Content-Disposition: form-data; name=\"scale\"\r\n\r\n\r\n--{edge}--\r\n"
        )
        .as_bytes(),
    );
    let request = Request::builder()
        .method(Method::POST)
        .uri("/fleet/import")
        .header(HOST, HOST_NAME)
        .header(COOKIE, club.cookie_of(role))
        .header(
            CONTENT_TYPE,
            format!("multipart/form-data; boundary={edge}"),
        );
    club.send(request.body(Body::from(body)).expect("a request"))
}

fn enter(club: &Club, page: &str, more: &str) -> Answer {
    let shown = club.get(Role::Lead, page);
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.body);
    let seen = crate::request::encoded(&shown.hidden("seen"));
    club.post(
        Role::Lead,
        &format!("{page}/enter"),
        &format!("seen={seen}{more}"),
    )
}

fn marked(club: &Club, mark: &str) -> usize {
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    snapshot.cars_marked(mark).expect("a look").len()
}

#[test]
fn the_lead_takes_a_sheet_in_after_he_has_seen_what_it_does() {
    let club = Club::open();
    let sent = send(&club, Role::Lead, "cars.csv", SHEET);
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.body);
    let page = sent.location().to_owned();
    let shown = club.get(Role::Lead, &page);
    for words in [
        "2 rows: 2 taken, 0 refused",
        "2 cars, 2 of them new",
        "4 readings and cures to enter, 0 there already",
        // The heading of no known reading stands empty, its cells beside it.
        "name=\"column.0.4\" list=\"headings\" value=\"\"",
        "value=\"back to back, axle 1, place 1 (in)\"",
    ] {
        assert!(shown.body.contains(words), "{words}: {}", shown.body);
    }
    assert_eq!(marked(&club, "TST 1"), 0, "nothing is entered by looking");
    let entered = enter(&club, &page, "");
    assert_eq!(
        entered.location(),
        "/fleet/import?entered=yes",
        "{}",
        entered.body
    );
    assert_eq!(marked(&club, "TST 1"), 1);
    let told = club.get(Role::Lead, entered.location());
    assert!(
        told.body
            .contains("Entered: 2 new cars, 0 known, 4 readings and cures")
    );
    assert_eq!(club.get(Role::Lead, &page).status, StatusCode::NOT_FOUND);
}

#[test]
fn a_column_is_matched_by_hand() {
    let club = Club::open();
    let page = send(&club, Role::Lead, "cars.csv", SHEET)
        .location()
        .to_owned();
    let form = "column.0.4=coupler+height+A+(in)&column.0.2=";
    let matched = club.post(Role::Lead, &format!("{page}/columns"), form);
    assert_eq!(matched.location(), page);
    let shown = club.get(Role::Lead, &page);
    assert!(
        shown.body.contains("value=\"coupler height, A end (in)\""),
        "{}",
        shown.body
    );
    // Two heights in, two weights out.
    assert!(shown.body.contains("4 readings and cures to enter"));
    enter(&club, &page, "");
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    let car = snapshot.cars_marked("TST 1").expect("a look")[0];
    let record = snapshot.record(car).expect("a record").record;
    let read: Vec<_> = record
        .entries
        .iter()
        .map(|own| own.measure.name())
        .collect();
    assert_eq!(read, ["back to back", "coupler height"]);
}

#[test]
fn the_same_file_again_has_nothing_new() {
    let club = Club::open();
    let page = send(&club, Role::Lead, "cars.csv", SHEET)
        .location()
        .to_owned();
    enter(&club, &page, "");
    let page = send(&club, Role::Lead, "cars.csv", SHEET)
        .location()
        .to_owned();
    let shown = club.get(Role::Lead, &page);
    assert!(shown.body.contains("This very file was taken in"));
    assert!(
        shown
            .body
            .contains("There is nothing in it that the record has not.")
    );
    let forced = club.post(Role::Lead, &format!("{page}/enter"), "seen=0+0+0");
    assert_eq!(forced.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[test]
fn what_cannot_be_read_is_left_out_only_on_a_word() {
    let club = Club::open();
    let sheet = SHEET.replace("4.1", "4,1 bananas");
    let page = send(&club, Role::Lead, "cars.csv", &sheet)
        .location()
        .to_owned();
    let shown = club.get(Role::Lead, &page);
    assert!(
        shown.body.contains("1 thing in it cannot be taken"),
        "{}",
        shown.body
    );
    assert!(shown.body.contains("line 3") && shown.body.contains("bananas"));
    let refused = enter(&club, &page, "");
    assert_eq!(refused.status, StatusCode::CONFLICT);
    assert!(refused.body.contains("nothing was entered"));
    assert_eq!(marked(&club, "TST 2"), 0);
    let entered = enter(&club, &page, "&leave_out=yes");
    assert_eq!(entered.status, StatusCode::SEE_OTHER, "{}", entered.body);
    assert_eq!(marked(&club, "TST 2"), 1);
}

#[test]
fn what_changed_since_the_look_is_shown_before_it_is_entered() {
    let club = Club::open();
    let page = send(&club, Role::Lead, "cars.csv", SHEET)
        .location()
        .to_owned();
    let seen = club.get(Role::Lead, &page).hidden("seen");
    club.car("TST 1", None);
    let form = format!("seen={}", crate::request::encoded(&seen));
    let answer = club.post(Role::Lead, &format!("{page}/enter"), &form);
    assert_eq!(answer.status, StatusCode::CONFLICT);
    assert!(
        answer.body.contains("moved on since you looked"),
        "{}",
        answer.body
    );
    assert!(answer.body.contains("2 cars, 1 of them new"));
}

#[test]
fn no_sheet_at_all_is_refused_in_words_and_a_file_is_its_senders_alone() {
    let club = Club::open();
    let nothing = send(&club, Role::Lead, "", "");
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        nothing.body.contains("The file was not filled in"),
        "{}",
        nothing.body
    );
    let picture = send(&club, Role::Lead, "x.csv", "\u{89}PNG\r\n\u{1a}\n\0\0\0");
    assert_eq!(
        picture.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        picture.body
    );
    let page = send(&club, Role::Lead, "cars.csv", SHEET)
        .location()
        .to_owned();
    let other = club.get(Role::Inspector, &page);
    assert_eq!(other.status, StatusCode::NOT_FOUND);
    assert!(other.body.contains("Send the file again"));
    let refused = send(&club, Role::Operator, "cars.csv", SHEET);
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[test]
fn programs_take_a_sheet_in_and_get_it_back() {
    let club = Club::open();
    let path = "/api/imports?name=cars.csv";
    let looked = club.call(Some(Role::Inspector), Method::POST, path, SHEET);
    let look: serde_json::Value = serde_json::from_str(&looked.body).expect("JSON");
    let id = look["id"].as_str().expect("an address");
    assert_eq!((&look["new_cars"], &look["facts"]), (&2.into(), &4.into()));
    let word = serde_json::json!({ "seen": look["seen"], "leave_out": false }).to_string();
    let enter = format!("/api/imports/{id}/enter");
    let entered = club.call(Some(Role::Inspector), Method::POST, &enter, &word);
    assert_eq!(entered.status, StatusCode::OK, "{}", entered.body);
    let again = club.call(Some(Role::Inspector), Method::POST, &enter, &word);
    assert_eq!(again.status, StatusCode::NOT_FOUND);

    let cars = club.get(Role::Operator, "/api/exports/cars.csv").body;
    let marks: Vec<_> = cars
        .lines()
        .map(|line| line.split(',').next().unwrap_or(""))
        .collect();
    assert_eq!(marks, ["\u{feff}Car", "OWN 1", "OWN 2", "TST 1", "TST 2"]);
    let readings = club.get(Role::Operator, "/api/exports/readings.csv").body;
    assert_eq!(readings.lines().count(), 5, "{readings}");
    let back = club.call(Some(Role::Lead), Method::POST, "/api/imports", &readings);
    let look: serde_json::Value = serde_json::from_str(&back.body).expect("JSON");
    assert_eq!(
        (&look["facts"], &look["there_already"]),
        (&0.into(), &4.into())
    );
}

#[test]
fn only_the_lead_takes_the_whole_record_away() {
    let club = Club::open();
    let path = "/api/exports/record.json";
    assert_eq!(
        club.get(Role::Inspector, path).status,
        StatusCode::FORBIDDEN
    );
    let whole = club.get(Role::Lead, path);
    let value: serde_json::Value = serde_json::from_str(&whole.body).expect("JSON");
    assert_eq!(value["format"], "gradeworthy record");
    assert!(!whole.body.contains("argon2"));
    // One after the other: the first has given its turn back.
    assert_eq!(club.get(Role::Lead, path).status, StatusCode::OK);
}
