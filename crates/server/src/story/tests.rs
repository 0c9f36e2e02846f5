//! A car keeps its identity and its mistakes.

use axum::http::StatusCode;
use gradeworthy_store::{CarId, Fact, Role, Version};

use crate::club::Club;

fn post(club: &Club, role: Role, kind: &str, rest: &str) -> StatusCode {
    let form = club.entry(club.own_car, rest);
    club.post(role, &format!("/cars/{}/{kind}", club.own_car), &form)
        .status
}

fn story(club: &Club) -> String {
    club.get(Role::Lead, &format!("/cars/{}", club.own_car))
        .body
}

fn last(club: &Club) -> i64 {
    club.snapshot()
        .version(club.own_car)
        .expect("a car")
        .number()
}

#[test]
fn a_car_is_renumbered_retrucked_sold_and_described_anew_and_stays_one_car() {
    let club = Club::open();
    assert_eq!(
        post(&club, Role::Inspector, "letterings", "mark=new+7"),
        StatusCode::SEE_OTHER
    );
    let truck = "part=truck&place=end-A&description=sprung,+metal&lot=lot+4";
    assert_eq!(
        post(&club, Role::Inspector, "fittings", truck),
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        post(&club, Role::Inspector, "owners", "owner=member+OPERATOR"),
        StatusCode::SEE_OTHER
    );
    let words = "description=50-ft+box+car&body_length=6.9+in&axles=&truck_centres=&wheel_code=110";
    assert_eq!(
        post(&club, Role::Inspector, "descriptions", words),
        StatusCode::SEE_OTHER
    );
    let told = story(&club);
    for sentence in [
        "Lettered OWN 1",
        "Lettered NEW 7",
        "Fitted truck, A end: sprung, metal, lot lot 4",
        "Owned by Member operator",
        "Described: HO XM 50-ft box car",
    ] {
        assert!(told.contains(sentence), "{sentence}\n{told}");
    }
    let snapshot = club.snapshot();
    let record = snapshot.record(club.own_car).expect("a car").record.car;
    assert_eq!(record.mark.as_str(), "NEW 7");
    assert_eq!(record.figures.wheel_code, Some(110));
    let six_nine = gradeworthy_units::Length::from_thousandths(6_900);
    assert_eq!(record.figures.body_length, Some(six_nine));
    let row = snapshot.car(club.own_car).expect("a car");
    assert_eq!(row.owner_member, Some(club.members[&Role::Operator]));
    drop(snapshot);
    assert_eq!(
        club.get(Role::Owner, &format!("/cars/{}", club.own_car))
            .status,
        StatusCode::FORBIDDEN
    );
}

#[test]
fn what_cannot_be_meant_changes_nothing() {
    let club = Club::open();
    let before = last(&club);
    for (kind, rest) in [
        ("letterings", "mark="),
        ("fittings", "part=wing&place=end-A&description=x"),
        ("fittings", "part=truck&place=roof&description=x"),
        ("fittings", "part=truck&place=end-A&description="),
        ("descriptions", "scale=1:87.09"),
        ("descriptions", "body_length=-3"),
        ("descriptions", "body_length=long&truck_centres=4+in"),
        ("descriptions", "axles=5"),
        ("descriptions", "wheel_code=0"),
        ("notes", "text=+"),
        ("strikes", "entry=999&why=x"),
    ] {
        let status = post(&club, Role::Lead, kind, rest);
        assert!(status.is_client_error(), "{kind} {rest}: {status}");
    }
    assert_eq!(last(&club), before);
}

#[test]
fn an_apprentice_changes_a_car_only_with_a_second_name() {
    let club = Club::open();
    assert_eq!(
        post(&club, Role::Apprentice, "letterings", "mark=new+7"),
        StatusCode::FORBIDDEN
    );
    let second = "mark=new+7&second=Member+inspector&second_secret=twelve+easy+grades";
    assert_eq!(
        post(&club, Role::Apprentice, "letterings", second),
        StatusCode::SEE_OTHER
    );
    assert!(story(&club).contains("with Member inspector"));
}

#[test]
fn a_struck_entry_stays_readable_with_who_when_and_why() {
    let club = Club::open();
    assert_eq!(
        post(&club, Role::Operator, "notes", "text=smells+of+glue"),
        StatusCode::SEE_OTHER
    );
    let note = last(&club);
    let page = club.get(
        Role::Operator,
        &format!("/cars/{}/entries/{note}", club.own_car),
    );
    assert!(page.body.contains("smells of glue") && page.body.contains("Why it is a mistake"));
    let others = club.get(
        Role::Inspector,
        &format!("/cars/{}/entries/{note}", club.own_car),
    );
    assert!(!others.body.contains("Why it is a mistake"));
    let strike = format!("entry={note}&why=another+car");
    assert_eq!(
        post(&club, Role::Inspector, "strikes", &strike),
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        post(
            &club,
            Role::Operator,
            "strikes",
            &format!("entry={note}&why=")
        ),
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        post(&club, Role::Operator, "strikes", &strike),
        StatusCode::SEE_OTHER
    );
    let told = story(&club);
    assert!(told.contains("<s>Note: smells of glue</s>"), "{told}");
    assert!(told.contains("by Member operator: another car"), "{told}");
    assert!(told.contains("2026-11-25 19:00"));
    assert_eq!(
        post(&club, Role::Lead, "strikes", &strike),
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert!(club.get(Role::Lead, "/audit").body.contains("entry struck"));
}

#[test]
fn the_entry_of_another_car_is_not_struck_from_this_one() {
    let club = Club::open();
    let other = club.car("XYZ 9", None);
    let entry = club.snapshot().version(other).expect("a car").number();
    let path = format!("/cars/{}/entries/{entry}", club.own_car);
    assert_eq!(club.get(Role::Lead, &path).status, StatusCode::NOT_FOUND);
    let strike = format!("entry={entry}&why=x");
    assert_eq!(
        post(&club, Role::Lead, "strikes", &strike),
        StatusCode::NOT_FOUND
    );
}

#[test]
fn a_program_changes_and_strikes_as_a_person_does() {
    let club = Club::open();
    let car = club.own_car;
    for (kind, rest) in [
        ("letterings", "\"mark\":\"new 8\""),
        ("owners", "\"owner\":\"\""),
        ("descriptions", "\"car_type\":\"XMI\""),
        (
            "fittings",
            "\"part\":\"weight\",\"place\":\"car\",\"description\":\"6 g\"",
        ),
        ("notes", "\"text\":\"by a program\""),
    ] {
        let answer = club.post_json(Role::Inspector, car, kind, rest);
        assert_eq!(answer.status, StatusCode::OK, "{kind}: {}", answer.body);
    }
    let note = last(&club);
    let strike = format!("\"entry\":{note},\"why\":\"a trial\"");
    assert_eq!(
        club.post_json(Role::Inspector, car, "strikes", &strike)
            .status,
        StatusCode::OK
    );
    let told = club.get(Role::Lead, &format!("/api/cars/{car}"));
    let told: serde_json::Value = serde_json::from_str(&told.body).expect("JSON");
    let events = told["events"].as_array().expect("events");
    let struck: Vec<_> = events
        .iter()
        .filter(|event| !event["struck"].is_null())
        .collect();
    assert_eq!(struck.len(), 1);
    assert_eq!(struck[0]["struck"]["why"], "a trial");
}

#[test]
fn two_people_who_change_one_car_at_once_are_told() {
    let club = Club::open();
    let (one, other) = (
        club.entry(club.own_car, "text=first"),
        club.entry(club.own_car, "mark=second+2"),
    );
    let at = |kind| format!("/cars/{}/{kind}", club.own_car);
    assert_eq!(
        club.post(Role::Lead, &at("notes"), &one).status,
        StatusCode::SEE_OTHER
    );
    let late = club.post(Role::Inspector, &at("letterings"), &other);
    assert_eq!(late.status, StatusCode::CONFLICT, "{}", late.body);
    let again = club.post(Role::Lead, &at("notes"), &one);
    assert_eq!(
        again.status,
        StatusCode::SEE_OTHER,
        "sent twice, entered once"
    );
    let notes = |car: CarId| {
        let events = club.snapshot().history(car, Version::from_number(0), None);
        let events = events.expect("read");
        events
            .iter()
            .filter(|event| matches!(event.fact, Fact::Noted(_)))
            .count()
    };
    assert_eq!(notes(club.own_car), 1);
}
