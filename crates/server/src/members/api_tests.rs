//! Members, account and trail as a program meets them.

use axum::http::{Method, StatusCode};
use gradeworthy_store::Role;
use serde_json::Value;

use crate::club::{Answer, Club, PASSWORD};

fn post(club: &Club, role: Option<Role>, path: &str, json: &str) -> Answer {
    club.call(role, Method::POST, path, json)
}

fn json(answer: &Answer) -> Value {
    serde_json::from_str(&answer.body).expect("JSON")
}

#[test]
fn a_program_adds_a_member_who_joins_is_signed_off_and_leaves() {
    let club = Club::open();
    let lead = Some(Role::Lead);
    let added = post(
        &club,
        lead,
        "/api/members",
        "{\"name\":\"New One\",\"role\":\"inspector\"}",
    );
    assert_eq!(added.status, StatusCode::OK, "{}", added.body);
    let (member, path) = (json(&added)["member"].clone(), json(&added)["path"].clone());
    let path = format!("/api{}", path.as_str().expect("a path"));
    let short = post(&club, None, &path, "{\"password\":\"short\"}");
    assert_eq!(short.status, StatusCode::UNPROCESSABLE_ENTITY);
    let set = "{\"password\":\"a good long one\"}";
    assert_eq!(post(&club, None, &path, set).status, StatusCode::OK);
    assert_eq!(post(&club, None, &path, set).status, StatusCode::GONE);
    let change = |act: &str, to: &str| {
        let sent = format!("{{\"act\":\"{act}\",\"to\":\"{to}\"}}");
        post(&club, lead, &format!("/api/members/{member}"), &sent)
    };
    assert_eq!(
        json(&change("sign off", "weight"))["signed_off"][0],
        "weight"
    );
    assert_eq!(
        json(&change("withdraw", "weight"))["signed_off"]
            .as_array()
            .map(Vec::len),
        Some(0)
    );
    assert_eq!(json(&change("name", "Other One"))["name"], "Other One");
    assert_eq!(json(&change("role", "operator"))["role"], "operator");
    assert_eq!(json(&change("leave", ""))["active"], false);
    assert_eq!(json(&change("return", ""))["active"], true);
    assert_eq!(
        change("promote", "").status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        change("role", "king").status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let again = post(&club, lead, &format!("/api/members/{member}/links"), "");
    assert!(
        json(&again)["path"]
            .as_str()
            .expect("a path")
            .starts_with("/join/")
    );
    let trail = json(&club.get(Role::Lead, "/api/audit"));
    let changes: Vec<_> = trail
        .as_array()
        .expect("a list")
        .iter()
        .map(|row| row["change"].as_str().expect("text").to_owned())
        .collect();
    for change in [
        "signed off",
        "sign-off withdrawn",
        "name changed",
        "role changed",
        "member left",
        "member came back",
        "password set",
    ] {
        assert!(
            changes.iter().any(|own| own == change),
            "{change}: {changes:?}"
        );
    }
    let listed = json(&club.get(Role::Lead, "/api/members"));
    assert!(
        listed
            .as_array()
            .expect("a list")
            .iter()
            .any(|own| own["name"] == "Other One")
    );
}

#[test]
fn a_program_keeps_its_own_account() {
    let club = Club::open();
    let own = Some(Role::Operator);
    let pin = |password: &str| format!("{{\"password\":\"{password}\",\"pin\":\"4711\"}}");
    assert_eq!(
        post(&club, own, "/api/account/pin", &pin("wrong")).status,
        StatusCode::UNAUTHORIZED
    );
    assert_eq!(
        post(&club, own, "/api/account/pin", &pin(PASSWORD)).status,
        StatusCode::OK
    );
    let account = json(&club.get(Role::Operator, "/api/account"));
    assert_eq!(account["has_pin"], true);
    assert_eq!(account["sessions"].as_array().expect("a list").len(), 1);
    let new = format!("{{\"old\":\"{PASSWORD}\",\"password\":\"another long one\"}}");
    let changed = post(&club, own, "/api/account/password", &new);
    assert_eq!(changed.status, StatusCode::OK, "{}", changed.body);
    assert_eq!(
        club.get(Role::Operator, "/api/account").status,
        StatusCode::UNAUTHORIZED
    );
    assert_eq!(
        post(&club, Some(Role::Owner), "/api/account/leave", "").status,
        StatusCode::OK
    );
    assert_eq!(
        club.get(Role::Owner, "/api/account").status,
        StatusCode::UNAUTHORIZED
    );
}

#[test]
fn a_program_sets_up_a_new_record_once() {
    let (club, address) = Club::new_record();
    let path = format!("/api{address}");
    let sent = "{\"name\":\"Ada\",\"password\":\"long enough\"}";
    assert_eq!(post(&club, None, &path, sent).status, StatusCode::OK);
    assert_eq!(post(&club, None, &path, sent).status, StatusCode::GONE);
}

/// The old password is asked for, and guessing at it is slowed and locked as at the door.
#[test]
fn guessing_the_password_of_an_open_session_locks_it_out() {
    let club = Club::open();
    for _ in 0..5 {
        let form = "old=guess&password=another+long+one&again=another+long+one";
        let answer = club.post(Role::Operator, "/account/password", form);
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
    }
    let right = format!(
        "old={}&password=another+long+one&again=another+long+one",
        PASSWORD.replace(' ', "+")
    );
    let locked = club.post(Role::Operator, "/account/password", &right);
    assert_ne!(locked.status, StatusCode::SEE_OTHER);
    for _ in 0..14 {
        club.post(Role::Operator, "/account/pin", "password=guess&pin=4711");
    }
    let slowed = club.post(Role::Operator, "/account/pin", "password=guess&pin=4711");
    assert_eq!(slowed.status, StatusCode::TOO_MANY_REQUESTS);
    assert!(club.get(Role::Lead, "/audit").body.contains("locked out"));
}
