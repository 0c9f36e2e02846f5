//! What a program does at the bench, beside the forms.

use axum::http::{Method, StatusCode};
use gradeworthy_store::{ClientId, Fact, Role, Standing, Version};
use gradeworthy_units::Length;
use serde_json::{Value, json};

use crate::club::{Answer, Club};

fn id() -> String {
    ClientId::random().expect("randomness").to_string()
}

fn post(club: &Club, role: Role, path: &str, body: &Value) -> Answer {
    club.call(Some(role), Method::POST, path, &body.to_string())
}

fn read(answer: &Answer) -> Value {
    serde_json::from_str(&answer.body).expect("JSON")
}

#[test]
fn a_program_enters_a_car_its_figures_and_a_cure_and_takes_it_in_again() {
    let club = Club::open();
    let new = json!({"client_id": id(), "mark": "PRG 7", "scale": "HO", "owner": "owner",
        "body_length": "150 mm"});
    let entered = post(&club, Role::Inspector, "/api/bench", &new);
    assert_eq!(entered.status, StatusCode::OK, "{}", entered.body);
    let receipt = read(&entered);
    let again = read(&post(&club, Role::Inspector, "/api/bench", &new));
    assert_eq!(again["car"], receipt["car"], "sent twice, it is one car");

    let car = receipt["car"].as_i64().expect("a number");
    let figures =
        json!({"client_id": id(), "version": receipt["version"], "truck_centres": "98 mm"});
    let path = format!("/api/bench/{car}/figures");
    let receipt = read(&post(&club, Role::Inspector, &path, &figures));
    let id_of = gradeworthy_store::CarId::from_number(car);
    let own = club
        .snapshot()
        .record(id_of)
        .expect("a record")
        .record
        .car
        .figures;
    let mm = |hundredths| Some(Length::from_hundredths_mm(hundredths));
    assert_eq!(
        (own.body_length, own.truck_centres),
        (mm(15_000), mm(9_800))
    );

    let cure = json!({"client_id": id(), "version": receipt["version"], "cure": "bolster shimmed",
        "place": "end-A", "note": "a pad of .015 in", "rest_days": 1});
    let path = format!("/api/bench/{car}/cures");
    let done = post(&club, Role::Inspector, &path, &cure);
    assert_eq!(done.status, StatusCode::OK, "{}", done.body);
    let standing = club.snapshot().standing(id_of).expect("a car");
    assert!(matches!(standing, Standing::Resting { .. }), "{standing:?}");

    let back = club.post_json(
        Role::Inspector,
        id_of,
        "hand-back",
        "\"why\":\"he wants it\"",
    );
    assert_eq!(back.status, StatusCode::OK, "{}", back.body);
    let taken = club.post_json(
        Role::Inspector,
        id_of,
        "take-in",
        "\"why\":\"he brings it again\"",
    );
    assert_eq!(taken.status, StatusCode::OK, "{}", taken.body);
    let history = club
        .snapshot()
        .history(id_of, Version::from_number(0), None)
        .expect("read");
    let last = history.last().expect("an entry");
    assert_eq!(
        last.fact,
        Fact::TakenIn {
            why: "he brings it again".into()
        }
    );
}

#[test]
fn what_a_program_sends_wrong_is_told_with_what_was_expected() {
    let club = Club::open();
    let car = club.own_car;
    let version = club.snapshot().version(car).expect("a car").number();
    let new = |field: &str, value: &str| {
        let mut body = json!({"client_id": id(), "mark": "PRG 7", "scale": "HO"});
        body[field] = json!(value);
        post(&club, Role::Inspector, "/api/bench", &body)
    };
    let at_car = |kind: &str, field: &str, value: &str| {
        let mut body = json!({"client_id": id(), "version": version, "cure": "bolster shimmed", "place": "end-A"});
        body[field] = json!(value);
        post(
            &club,
            Role::Inspector,
            &format!("/api/bench/{car}/{kind}"),
            &body,
        )
    };
    for (answer, words) in [
        (new("mark", " "), "marks and number"),
        (new("scale", "1:3"), "scale"),
        (new("body_length", "long"), "Body length"),
        (at_car("cures", "cure", "prayer"), "kind of cure"),
        (at_car("cures", "place", "roof"), "place on a car"),
        (at_car("figures", "wheel_code", "x"), "no code such as 110"),
    ] {
        assert_eq!(
            answer.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{}",
            answer.body
        );
        assert!(answer.body.contains(words), "{words}: {}", answer.body);
    }
}

#[test]
fn a_cure_that_the_owner_refuses_is_told_and_cannot_be_entered() {
    let club = Club::open();
    let narrow = "check=wheelsets&read.back_to_back.station-2-1=14.20+mm\
        &read.back_to_back.station-2-2=14.20+mm&read.flange_thickness.wheel-2-left=.030+in\
        &read.flange_thickness.wheel-2-right=.030+in&read.tire_width.wheel-2-left=.110+in\
        &read.tire_width.wheel-2-right=.110+in&instrument.length=caliper";
    let narrow = club.entry(club.own_car, narrow);
    let here = format!("/bench/{}?check=wheelsets", club.own_car);
    let entered = club.post(Role::Inspector, &here, &narrow);
    assert_eq!(entered.status, StatusCode::SEE_OTHER, "{}", entered.body);
    let page = club.get(Role::Inspector, &here).body;
    assert!(
        page.contains("has not been asked about work on wheels"),
        "{page}"
    );
    assert!(page.contains("This was done"), "{page}");

    let word = club.entry(club.own_car, "work=wheels&answer=refuse&word=");
    club.post(
        Role::Owner,
        &format!("/cars/{}/consents", club.own_car),
        &word,
    );
    let page = club.get(Role::Inspector, &here).body;
    assert!(
        page.contains("refuses work on wheels; it cannot be entered"),
        "{page}"
    );
    assert!(!page.contains("This was done"), "{page}");
}
