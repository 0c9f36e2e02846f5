//! The owner's word, as owner and shop would tell it.

use axum::http::StatusCode;
use gradeworthy_store::{Role, Standing};

use crate::club::Club;

fn cars(club: &Club, kind: &str) -> String {
    format!("/cars/{}/{kind}", club.own_car)
}

fn ask(club: &Club) {
    let rest = "work=wheels&what=two+wheelsets+are+too+narrow";
    let form = club.entry(club.own_car, rest);
    let asked = club.post(Role::Inspector, &cars(club, "asks"), &form);
    assert_eq!(asked.status, StatusCode::SEE_OTHER, "{}", asked.body);
}

#[test]
fn a_car_waits_for_its_owners_word_and_his_answer_ends_the_wait() {
    let club = Club::open();
    ask(&club);
    let track = club.get(Role::Inspector, "/rip-track?show=consent%20wanted");
    assert!(track.body.contains("Consent wanted"), "{}", track.body);
    assert!(track.body.contains("two wheelsets are too narrow"));

    let mine = club.get(Role::Owner, "/my-cars");
    assert!(
        mine.body.contains("Your word is wanted on 1"),
        "{}",
        mine.body
    );
    let answer = format!(
        "client_id={}&version={}&work=wheels&answer=allow&word=keep+the+old+ones",
        mine.hidden("client_id"),
        mine.hidden("version")
    );
    let answered = club.post(Role::Owner, &cars(&club, "consents"), &answer);
    assert_eq!(answered.status, StatusCode::SEE_OTHER, "{}", answered.body);
    let standing = club.snapshot().standing(club.own_car).expect("a car");
    assert_eq!(standing, Standing::AtBench);
    let story = club.get(Role::Inspector, &format!("/cars/{}", club.own_car));
    assert!(
        story
            .body
            .contains("allows work on wheels: keep the old ones")
    );
    let trail = club.get(Role::Lead, "/audit");
    assert!(trail.body.contains("consent given"), "{}", trail.body);
}

#[test]
fn refused_work_cannot_be_entered_and_says_whom_to_ask() {
    let club = Club::open();
    let refusal = club.entry(club.own_car, "work=wheels&answer=refuse&word=");
    let refused = club.post(Role::Owner, &cars(&club, "consents"), &refusal);
    assert_eq!(refused.status, StatusCode::SEE_OTHER, "{}", refused.body);
    let rest = "part=wheelset&place=axle-1&description=metal&lot=";
    let fitted = club.post(
        Role::Inspector,
        &cars(&club, "fittings"),
        &club.entry(club.own_car, rest),
    );
    assert_eq!(fitted.status, StatusCode::CONFLICT);
    assert!(
        fitted.body.contains("refuses work on wheels"),
        "{}",
        fitted.body
    );
    let change = club.get(Role::Inspector, &cars(&club, "change"));
    assert!(change.body.contains("refuses work on wheels"));
    assert!(
        change
            .body
            .contains("has not been asked about work on trucks, couplers, weights")
    );
}

#[test]
fn the_lead_enters_a_word_given_by_mouth_and_says_who_gave_it() {
    let club = Club::open();
    ask(&club);
    let path = cars(&club, "consents");
    let silent = club.entry(club.own_car, "work=wheels&answer=allow&word=");
    let answer = club.post(Role::Lead, &path, &silent);
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.body.contains("Who gave the owner&#39;s word")
            || answer.body.contains("Who gave the owner's word"),
        "{}",
        answer.body
    );
    let said = club.entry(
        club.own_car,
        "work=wheels&answer=allow&word=he+telephoned+me",
    );
    assert_eq!(
        club.post(Role::Lead, &path, &said).status,
        StatusCode::SEE_OTHER
    );
    let inspector = club.entry(club.own_car, "work=body&answer=allow&word=he+told+me");
    let refused = club.post(Role::Inspector, &path, &inspector);
    assert_eq!(refused.status, StatusCode::FORBIDDEN, "{}", refused.body);
    let story = club.get(Role::Lead, &format!("/cars/{}", club.own_car));
    assert!(story.body.contains("he telephoned me"));
}

#[test]
fn an_owner_answers_for_his_own_cars_and_no_others() {
    let club = Club::open();
    let other = club.car("XYZ 9", None);
    let form = club.entry(other, "work=wheels&answer=allow&word=");
    let refused = club.post(Role::Owner, &format!("/cars/{other}/consents"), &form);
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let silly = club.entry(club.own_car, "work=wheels&answer=perhaps");
    let refused = club.post(Role::Owner, &cars(&club, "consents"), &silly);
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let mine = club.get(Role::Owner, "/my-cars");
    assert!(mine.body.contains("OWN 1") && !mine.body.contains("XYZ 9"));
}

#[test]
fn a_program_asks_and_answers_as_people_do() {
    let club = Club::open();
    let car = club.own_car;
    let asked = club.post_json(
        Role::Lead,
        car,
        "asks",
        "\"work\":\"body\",\"what\":\"new steps?\"",
    );
    assert_eq!(asked.status, StatusCode::OK, "{}", asked.body);
    let mine = club.get(Role::Owner, "/api/my-cars");
    let list: serde_json::Value = serde_json::from_str(&mine.body).expect("JSON");
    assert_eq!(list[0]["asked"][0]["work"], "body");
    assert_eq!(list[0]["words"][5]["word"], "asked, not answered");
    let answer = "\"work\":\"body\",\"answer\":\"refuse\",\"word\":\"it is an heirloom\"";
    let answered = club.post_json(Role::Owner, car, "consents", answer);
    assert_eq!(answered.status, StatusCode::OK, "{}", answered.body);
    let one = club.get(Role::Inspector, &format!("/api/cars/{car}/consents"));
    let one: serde_json::Value = serde_json::from_str(&one.body).expect("JSON");
    assert_eq!(one["words"][5]["word"], "refused");
    assert_eq!(one["asked"].as_array().expect("a list").len(), 0);
}
