//! A report from the line, by thumb.

use axum::http::StatusCode;
use gradeworthy_store::{ClientId, Fact, Role, Version};
use gradeworthy_workbench::record::Place;

use crate::club::Club;
use crate::photo::tests::photograph;

fn id() -> String {
    ClientId::random().expect("randomness").to_string()
}

#[test]
fn the_number_a_defect_and_the_button_are_enough() {
    let club = Club::open();
    let form = club.get(Role::Operator, "/report");
    assert!(form.body.contains("axle 4") && form.body.contains("B end, hand brake"));
    assert!(
        form.body.contains("value=\"OWN 2\""),
        "one of the last cars"
    );
    let sent = club.post_file(
        Role::Operator,
        "/report",
        &[
            ("client_id", &form.hidden("client_id")),
            ("mark", "1"),
            ("defect", "wheel"),
        ],
        b"",
    );
    assert!(
        sent.body
            .contains("Reported: <strong>OWN 1</strong>, wheel"),
        "{}",
        sent.body
    );
    let reports = club.snapshot().open_reports(club.own_car).expect("reports");
    assert_eq!(reports[0].report.place, Place::Car);
}

#[test]
fn a_car_of_the_list_needs_no_typing() {
    let club = Club::open();
    let form = format!(
        "client_id={}&mark=&car=OWN+2&defect=wheel&place=axle-3",
        id()
    );
    let sent = club.post(Role::Operator, "/report", &form);
    assert!(sent.body.contains("OWN 2"), "{}", sent.body);
    let none = format!("client_id={}&mark=&defect=wheel", id());
    let sent = club.post(Role::Operator, "/report", &none);
    assert_eq!(sent.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[test]
fn a_number_that_several_cars_carry_keeps_what_was_chosen() {
    let club = Club::open();
    let form = format!(
        "client_id={}&mark=OWN&defect=truck&place=axle-3&note=hot",
        id()
    );
    let asked = club.post(Role::Operator, "/report", &form);
    assert!(asked.body.contains("Which of these?"), "{}", asked.body);
    assert!(
        asked.body.contains("value=\"truck\" required checked"),
        "{}",
        asked.body
    );
    assert!(asked.body.contains("value=\"axle-3\" checked"));
    assert!(asked.body.contains("value=\"hot\""));
}

#[test]
fn a_photograph_goes_with_the_report_and_a_bad_one_does_not_stop_it() {
    let club = Club::open();
    let fields = |id: &'static str| [("client_id", id), ("mark", "OWN 1"), ("defect", "wheel")];
    let good = club.post_file(
        Role::Operator,
        "/report",
        &fields("11111111111111111111111111111111"),
        &photograph(),
    );
    assert!(
        good.body.contains("Reported") && !good.body.contains("the photograph is not"),
        "{}",
        good.body
    );
    let bad = club.post_file(
        Role::Operator,
        "/report",
        &fields("22222222222222222222222222222222"),
        b"<svg/>",
    );
    assert!(
        bad.body
            .contains("The report is entered; the photograph is not"),
        "{}",
        bad.body
    );
    let events = club
        .snapshot()
        .history(club.own_car, Version::from_number(0), None)
        .expect("read");
    let kinds: Vec<_> = events.iter().map(|event| event.fact.kind()).collect();
    assert_eq!(kinds[3..], ["bad order", "photo", "bad order"]);
    let Fact::Photographed(photo) = &events[4].fact else {
        panic!("{events:?}")
    };
    assert_eq!(&*photo.caption, "bad order: wheel");
}
