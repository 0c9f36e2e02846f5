//! The RIP track as the shop works it off.

use axum::http::StatusCode;
use gradeworthy_store::{CarId, ClientId, Role, Standing};

use crate::club::Club;

fn act(club: &Club, role: Role, car: CarId, kind: &str, rest: &str) -> StatusCode {
    let form = club.entry(car, rest);
    club.post(role, &format!("/cars/{car}/{kind}"), &form)
        .status
}

fn report(club: &Club, mark: &str, defect: &str) {
    let id = ClientId::random().expect("randomness");
    let form = format!("client_id={id}&mark={mark}&defect={defect}&place=end-B&note=");
    let sent = club.post(Role::Operator, "/report", &form);
    assert_eq!(sent.status, StatusCode::OK, "{}", sent.body);
}

fn track(club: &Club, show: &str) -> String {
    club.get(Role::Inspector, &format!("/rip-track?show={show}"))
        .body
}

#[test]
fn every_car_says_why_it_waits_and_the_filters_count() {
    let club = Club::open();
    let cars: Vec<_> = ["BAD 1", "RST 2", "PRT 3"]
        .map(|mark| club.car(mark, None))
        .to_vec();
    report(&club, "BAD+1", "wheel");
    let rest = "until=2026-11-26T19:00&why=frame+bent";
    assert_eq!(
        act(&club, Role::Inspector, cars[1], "rest", rest),
        StatusCode::SEE_OTHER
    );
    let wait = "wait_for=parts&why=knuckle+spring";
    assert_eq!(
        act(&club, Role::Inspector, cars[2], "wait", wait),
        StatusCode::SEE_OTHER
    );
    let all = track(&club, "all");
    for words in [
        "Bad order: wheel, B end",
        "Rests, not before 2026-11-26 19:00: frame bent",
        "Parts wanted: knuckle spring",
    ] {
        assert!(all.contains(words), "{words}\n{all}");
    }
    let resting = track(&club, "resting");
    assert!(resting.contains("RST 2") && !resting.contains("BAD 1"));
    assert!(track(&club, "due").contains("No car here is due"));
    club.later(25 * 3600);
    club.sign_in_again();
    let all = track(&club, "all");
    let due = all.find("Due now").expect("due");
    assert!(
        all[..due].contains("RST 2") && !all[..due].contains("BAD 1"),
        "due first"
    );
}

#[test]
fn what_tonight_needs_comes_before_what_is_older() {
    let club = Club::open();
    club.car("OLD 1", None);
    club.car("NEW 2", None);
    report(&club, "OLD+1", "wheel");
    club.later(3600);
    report(&club, "NEW+2", "wheel");
    let wanted = club.post(
        Role::Operator,
        "/rip-track/wanted",
        "cars=new+2&needed=2026-11-25T20:30",
    );
    assert_eq!(wanted.status, StatusCode::SEE_OTHER, "{}", wanted.body);
    let all = track(&club, "all");
    let (new, old) = (all.find("NEW 2"), all.find("OLD 1"));
    assert!(new < old && new.is_some(), "{all}");
    assert!(all.contains("Needed 2026-11-25 20:30"));
    assert!(!track(&club, "needed+tonight").contains("OLD 1 "));
    let wrong = club.post(
        Role::Operator,
        "/rip-track/wanted",
        "cars=NOT+HERE&needed=2026-11-25T20:30",
    );
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.body.contains("NOT HERE"));
    let listed = club.get(Role::Operator, "/api/wanted").body;
    assert!(
        listed.contains("NEW 2"),
        "a wrong list takes nothing away: {listed}"
    );
}

#[test]
fn a_wait_ends_where_it_is_listed_and_only_by_those_who_may() {
    let club = Club::open();
    let car = club.own_car;
    act(
        &club,
        Role::Inspector,
        car,
        "wait",
        "wait_for=parts&why=knuckle+spring",
    );
    let wait = club.snapshot().version(car).expect("a car");
    let end = format!("wait={wait}&note=came+today");
    assert_eq!(
        act(&club, Role::Operator, car, "wait-ends", &end),
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        act(&club, Role::Owner, car, "answers", &end),
        StatusCode::FORBIDDEN
    );
    assert!(track(&club, "all").contains("The parts are here"));
    assert_eq!(
        act(&club, Role::Inspector, car, "wait-ends", &end),
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        club.snapshot().standing(car).expect("a car"),
        Standing::AtBench
    );
    assert_eq!(
        act(&club, Role::Inspector, car, "wait-ends", &end),
        StatusCode::NOT_FOUND
    );
    // A question is the owner's to answer.
    act(
        &club,
        Role::Inspector,
        car,
        "wait",
        "wait_for=owner&why=which+truck?",
    );
    let wait = club.snapshot().version(car).expect("a car");
    let mine = club.get(Role::Owner, "/my-cars");
    assert!(mine.body.contains("which truck?"));
    let answer = format!("wait={wait}&note=the+sprung+one");
    assert_eq!(
        act(&club, Role::Owner, car, "answers", &answer),
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        club.snapshot().standing(car).expect("a car"),
        Standing::AtBench
    );
}

#[test]
fn two_reports_of_one_defect_are_made_one() {
    let club = Club::open();
    let car = club.car("BAD 1", None);
    report(&club, "BAD+1", "wheel");
    report(&club, "BAD+1", "left+the+rails");
    assert!(track(&club, "all").contains("Two reports of one defect?"));
    let open = || club.snapshot().open_reports(car).expect("reports");
    let seqs: Vec<_> = open().iter().map(|own| own.seq).collect();
    let merge = format!("duplicate={}&into={}", seqs[1], seqs[0]);
    assert_eq!(
        act(&club, Role::Operator, car, "merges", &merge),
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        act(&club, Role::Inspector, car, "merges", &merge),
        StatusCode::SEE_OTHER
    );
    assert_eq!(open().len(), 1);
    let same = format!("duplicate={}&into={}", seqs[0], seqs[0]);
    assert_eq!(
        act(&club, Role::Inspector, car, "merges", &same),
        StatusCode::NOT_FOUND
    );
    let listed = club.get(Role::Lead, "/api/rip-track").body;
    assert!(listed.contains("\"defect\":\"wheel\"") && !listed.contains("left the rails"));
}

#[test]
fn a_program_ends_waits_merges_and_says_what_is_wanted() {
    let club = Club::open();
    let car = club.own_car;
    act(
        &club,
        Role::Inspector,
        car,
        "wait",
        "wait_for=owner&why=which+truck?",
    );
    let wait = club.snapshot().version(car).expect("a car");
    let rest = format!("\"wait\":{wait},\"note\":\"either\"");
    assert_eq!(
        club.post_json(Role::Owner, car, "answers", &rest).status,
        StatusCode::OK
    );
    let wanted = club.call(
        Some(Role::Operator),
        axum::http::Method::POST,
        "/api/wanted",
        "{\"cars\":\"OWN 1\",\"needed\":\"2026-11-25T20:30\"}",
    );
    assert!(
        wanted.body.contains("2026-11-25T20:30:00Z"),
        "{}",
        wanted.body
    );
    report(&club, "OWN+1", "wheel");
    report(&club, "OWN+1", "truck");
    let reports = club.snapshot().open_reports(car).expect("reports");
    let rest = format!(
        "\"duplicate\":{},\"into\":{}",
        reports[1].seq, reports[0].seq
    );
    assert_eq!(
        club.post_json(Role::Lead, car, "merges", &rest).status,
        StatusCode::OK
    );
    act(
        &club,
        Role::Inspector,
        car,
        "wait",
        "wait_for=parts&why=spring",
    );
    let wait = club.snapshot().version(car).expect("a car");
    let rest = format!("\"wait\":{wait}");
    assert_eq!(
        club.post_json(Role::Lead, car, "wait-ends", &rest).status,
        StatusCode::OK
    );
}
