//! Copies are made, checked, and missed aloud.

use axum::http::StatusCode;
use gradeworthy_store::Role;

use super::daily;
use crate::club::Club;

#[test]
fn the_days_copy_is_made_checked_and_shown_to_the_lead() {
    let club = Club::open();
    let page = club.get(Role::Lead, "/keeping").body;
    assert!(page.contains("There is no copy yet"), "{page}");
    daily(&club.app).expect("copied");
    let page = club.get(Role::Lead, "/keeping").body;
    assert!(page.contains("record-2026-11-25.sqlite"), "{page}");
    assert!(
        page.contains("whole, 6 entries"),
        "two cars of three entries: {page}"
    );
    club.later(24 * 3600);
    daily(&club.app).expect("copied");
    club.sign_in_again();
    let page = club.get(Role::Lead, "/keeping").body;
    assert!(
        page.contains("record-2026-11-26.sqlite") && page.contains("2 copies"),
        "{page}"
    );
    assert_eq!(
        club.get(Role::Inspector, "/keeping").status,
        StatusCode::FORBIDDEN
    );
}

#[test]
fn a_copy_made_now_holds_what_was_entered_since() {
    let club = Club::open();
    daily(&club.app).expect("copied");
    club.car("XYZ 9", None);
    let made = club.post(Role::Lead, "/keeping/copies", "");
    assert_eq!(made.location(), "/keeping");
    let kept = club.get(Role::Lead, "/api/keeping").body;
    let kept: serde_json::Value = serde_json::from_str(&kept).expect("JSON");
    assert_eq!(kept["entries"], 9);
    assert_eq!(kept["copies"].as_array().expect("a list").len(), 1);
    assert!(kept["failed"].is_null());
}

#[test]
fn a_copy_that_fails_is_said_on_the_leads_pages_until_one_succeeds() {
    let club = Club::open();
    let folder = club.app.settings().backups.clone().expect("kept").folder;
    // A file where the folder should be.
    std::fs::write(&folder, "in the way").expect("written");
    daily(&club.app).expect_err("no folder");
    let words = "could not be backed up";
    assert!(club.get(Role::Lead, "/fleet").body.contains(words));
    assert!(!club.get(Role::Inspector, "/fleet").body.contains(words));
    let failed = club.post(Role::Lead, "/keeping/copies", "");
    assert_eq!(failed.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(
        failed.body.contains("could not be copied"),
        "{}",
        failed.body
    );
    std::fs::remove_file(&folder).expect("removed");
    daily(&club.app).expect("copied");
    assert!(!club.get(Role::Lead, "/fleet").body.contains(words));
}
