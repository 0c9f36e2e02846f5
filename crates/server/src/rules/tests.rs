//! The rule book as the lead changes it, and as everybody reads it.

use axum::http::StatusCode;
use gradeworthy_store::Role;
use gradeworthy_workbench::rules::STARTER;
use serde_json::Value as Json;

use crate::club::{Answer, Club};
use crate::request::encoded;

fn json(answer: &Answer) -> Json {
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    serde_json::from_str(&answer.body).expect("JSON")
}

fn begin(club: &Club) -> String {
    let answer = club.post(Role::Lead, "/rules/drafts", "name=Tighter&text=");
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    answer.location().to_owned()
}

fn seen(club: &Club, draft: &str) -> String {
    club.get(Role::Lead, draft).hidden("seen")
}

#[test]
fn everybody_reads_on_whose_word_a_limit_stands_and_how_far_to_trust_it() {
    let club = Club::open();
    let page = club.get(Role::Owner, "/rules?words=ho+coupler+height").body;
    for part in [
        "One setting",
        "HO / coupler height",
        "attributed to NMRA S-2",
        "as quoted elsewhere: compare with the print before relying on it",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    assert!(!page.contains("Begin a draft"), "drafts are the lead's");
    let file = club.get(Role::Owner, "/rules/editions/1/rules.toml");
    assert_eq!(file.body, STARTER);
    assert_eq!(
        club.get(Role::Owner, "/rules?edition=7").status,
        StatusCode::NOT_FOUND
    );
}

#[test]
fn a_limit_is_changed_in_a_draft_and_put_in_force_on_a_day_with_old_verdicts_under_theirs() {
    let club = Club::open();
    let draft = begin(&club);
    let page = club.get(Role::Lead, &draft).body;
    assert!(page.contains("Nothing so far."), "{page}");
    let change = format!(
        "seen={}&limit=coupler+height&scale=HO&class=&tolerance=.006+in&standing=club&source=club+meeting",
        seen(&club, &draft)
    );
    let answer = club.post(Role::Lead, &format!("{draft}/limit"), &change);
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    // Sent again from a page that is out of date, it is refused and nothing is lost.
    let again = club.post(Role::Lead, &format!("{draft}/limit"), &change);
    assert_eq!(again.status, StatusCode::CONFLICT);
    let exception = format!(
        "seen={}&tag=visitor&until=2026-12-07&standing=club&source=&waives=weight&waives=balance&note=goes+home",
        seen(&club, &draft)
    );
    let answer = club.post(Role::Lead, &format!("{draft}/exception"), &exception);
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let page = club.get(Role::Lead, &draft).body;
    for part in [
        "HO / coupler height",
        "exception / visitor",
        "club meeting (club)",
        "Tried on the fleet",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let force = |day: &str| {
        let form = format!("seen={}&effective={day}", seen(&club, &draft));
        club.post(Role::Lead, &format!("{draft}/force"), &form)
    };
    let early = force("2026-11-01");
    assert_eq!(early.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        early.body.contains("cannot hold from 2026-11-01"),
        "{}",
        early.body
    );
    let answer = force("2026-12-01");
    assert_eq!(answer.location(), "/rules?edition=2", "{}", answer.body);
    let rules = json(&club.get(Role::Inspector, "/api/rules"));
    assert_eq!(rules["editions"][0]["in_force"], true);
    assert_eq!(rules["editions"][1]["in_force"], false);
    assert!(rules["drafts"].as_array().expect("drafts").is_empty());
    // Six days later it holds, and the page tells how the limit stood before.
    club.later(6 * 86_400);
    club.sign_in_again();
    let page = club.get(Role::Lead, "/rules?words=coupler+height").body;
    for part in [
        "edition 2",
        "in force",
        "So since edition 2, 2026-12-01; before",
        "△ lapses in 6 days",
        "0 cars</a> with this tag",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let edition = json(&club.get(Role::Lead, "/api/rules/editions/2"));
    let settings = edition["settings"].as_array().expect("settings");
    let height = settings
        .iter()
        .find(|own| own["path"] == "HO / coupler height");
    let height = height.expect("the height");
    assert_eq!(height["history"].as_array().map(Vec::len), Some(2));
    assert_eq!(height["standing"], "club");
}

#[test]
fn a_file_with_mistakes_becomes_a_draft_with_every_mistake_named() {
    let club = Club::open();
    let wrong = STARTER.replacen("max = \"0.010 in\"", "max = \"ten\"", 1);
    let form = format!("name=From+the+laptop&text={}", encoded(&wrong));
    let answer = club.post(Role::Lead, "/rules/drafts", &form);
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let draft = answer.location();
    let page = club.get(Role::Lead, draft).body;
    assert!(page.contains("cannot be put in force yet"), "{page}");
    assert!(page.contains("droop"), "the mistake is named by its key");
    let seen = page
        .split("name=\"seen\" value=\"")
        .nth(1)
        .expect("a revision");
    let seen = &seen[..seen.find('"').expect("a quote")];
    let forced = club.post(
        Role::Lead,
        &format!("{draft}/force"),
        &format!("seen={seen}&effective=2027-01-01"),
    );
    assert_eq!(
        forced.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        forced.body
    );
    let mended = format!(
        "seen={seen}&text={}",
        encoded(&STARTER.replace('\n', "\r\n"))
    );
    let answer = club.post(Role::Lead, &format!("{draft}/text"), &mended);
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let file = club.get(Role::Lead, &format!("{draft}/rules.toml"));
    assert_eq!(file.body, STARTER, "line ends are as they were");
    assert_eq!(
        club.post(Role::Lead, &format!("{draft}/drop"), "").status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(club.get(Role::Lead, draft).status, StatusCode::NOT_FOUND);
}

#[test]
fn programs_draft_try_and_put_in_force_as_the_page_does() {
    let club = Club::open();
    let text = STARTER.replacen("tolerance = \"0.5 oz\"", "tolerance = \"0.1 oz\"", 1);
    let sent = serde_json::json!({ "name": "weights", "text": text }).to_string();
    let begun = json(&club.post(Role::Lead, "/api/rules/drafts", &sent));
    assert_eq!(begun["problems"].as_array().map(Vec::len), Some(0));
    let path = format!("/api/rules/drafts/{}", begun["draft"]);
    let outcome = json(&club.get(Role::Lead, &format!("{path}/outcome")));
    assert_eq!(outcome["cars"], 2);
    let sent = serde_json::json!({ "revision": 1, "effective": "2026-11-25" }).to_string();
    let forced = json(&club.post(Role::Lead, &format!("{path}/force"), &sent));
    assert_eq!(forced["edition"], 2);
    let refused = club.post(Role::Inspector, "/api/rules/drafts", "{}");
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let wrong = serde_json::json!({ "name": "odd", "text": "x = 1" }).to_string();
    let begun = json(&club.post(Role::Lead, "/api/rules/drafts", &wrong));
    assert!(!begun["problems"].as_array().expect("problems").is_empty());
}

#[test]
fn programs_change_a_draft_piece_by_piece_and_are_told_when_it_moved_on() {
    let club = Club::open();
    let begun = json(&club.post(
        Role::Lead,
        "/api/rules/drafts",
        &serde_json::json!({ "name": "by program" }).to_string(),
    ));
    let path = format!("/api/rules/drafts/{}", begun["draft"]);
    let draft = json(&club.get(Role::Lead, &path));
    assert_eq!(draft["text"], STARTER);
    assert_eq!(draft["changes"].as_array().map(Vec::len), Some(0));
    let limit = serde_json::json!({ "revision": draft["revision"], "scale": "HO",
        "limit": "coupler height", "tolerance": ".006 in", "standing": "club",
        "source": "club meeting" })
    .to_string();
    let changed = json(&club.post(Role::Lead, &format!("{path}/limit"), &limit));
    assert_eq!(changed["changes"][0]["path"], "HO / coupler height");
    assert_eq!(changed["problems"].as_array().map(Vec::len), Some(0));
    // The same again names a revision that is no more.
    let stale = club.post(Role::Lead, &format!("{path}/limit"), &limit);
    assert_eq!(stale.status, StatusCode::CONFLICT, "{}", stale.body);
    let none = serde_json::json!({ "revision": changed["revision"], "scale": "HO",
        "limit": "droop", "standing": "club" })
    .to_string();
    let none = club.post(Role::Lead, &format!("{path}/limit"), &none);
    assert_eq!(
        none.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        none.body
    );
    let exception = serde_json::json!({ "revision": changed["revision"], "tag": "visitor",
        "waives": ["weight"], "note": "goes home", "until": "2026-12-07", "standing": "club" })
    .to_string();
    let changed = json(&club.post(Role::Lead, &format!("{path}/exception"), &exception));
    let paths: Vec<&str> = changed["changes"]
        .as_array()
        .expect("changes")
        .iter()
        .filter_map(|own| own["path"].as_str())
        .collect();
    assert_eq!(paths, ["HO / coupler height", "exception / visitor"]);
    let text = serde_json::json!({ "revision": changed["revision"], "text": "x = 1" }).to_string();
    let wrong = json(&club.post(Role::Lead, &format!("{path}/text"), &text));
    assert!(!wrong["problems"].as_array().expect("problems").is_empty());
    let refused = club.post(Role::Inspector, &format!("{path}/text"), &text);
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let dropped = club.post(Role::Lead, &format!("{path}/drop"), "");
    assert_eq!(dropped.status, StatusCode::NO_CONTENT, "{}", dropped.body);
    assert_eq!(club.get(Role::Lead, &path).status, StatusCode::NOT_FOUND);
}

#[test]
fn a_setting_that_left_the_book_is_still_told_with_how_it_stood() {
    let club = Club::open();
    let start = STARTER.find("[scale.HO.limit.\"droop\"]").expect("a limit");
    let length = STARTER[start..].find("\n[").expect("another table") + 1;
    let without = [&STARTER[..start], &STARTER[start + length..]].concat();
    let sent = serde_json::json!({ "name": "no droop", "text": without }).to_string();
    let begun = json(&club.post(Role::Lead, "/api/rules/drafts", &sent));
    assert_eq!(begun["problems"], serde_json::json!([]));
    let path = format!("/api/rules/drafts/{}", begun["draft"]);
    let sent = serde_json::json!({ "revision": 1, "effective": "2026-11-25" }).to_string();
    let forced = json(&club.post(Role::Lead, &format!("{path}/force"), &sent));
    assert_eq!(forced["edition"], 2);
    let page = club.get(Role::Owner, "/rules").body;
    for part in [
        "No longer in the book: one setting",
        "<dt>HO / droop</dt>",
        "from edition 2, 2026-11-25: not in the book",
        "So since edition 1, ",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
}
