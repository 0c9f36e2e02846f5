//! Papers as the people who print them would tell it.

use axum::http::{Method, StatusCode};
use gradeworthy_paper::Address;
use gradeworthy_store::{
    Append, BadOrder, Basis, CarId, ClientId, Defect, Fact, FleetFilter, Role,
};
use gradeworthy_workbench::record::{End, Place};

use super::gather::Gathering;
use super::{gather_month, gather_papers, gather_statement};
use crate::club::{Answer, Club, HOST_NAME};

const PDF: &str = "application/pdf";

fn kind(answer: &Answer) -> &str {
    answer
        .headers
        .get("content-type")
        .map_or("", |own| own.to_str().expect("text"))
}

/// A PDF, straight away or after what there was to say about it.
fn is_print(answer: &Answer) {
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert_eq!(kind(answer), PDF, "{}", answer.body);
    assert!(answer.body.starts_with("%PDF-1.7"));
}

fn bad_order(club: &Club, car: CarId) {
    let report = BadOrder {
        defect: Defect::CouplerHeight,
        place: Place::End(End::A),
        note: "low".into(),
    };
    let order = Append {
        car,
        by: club.members[&Role::Operator],
        second: None,
        at: club.app.now(),
        basis: Basis::Blind,
        facts: vec![(
            ClientId::random().expect("randomness"),
            Fact::BadOrdered(report),
        )],
        drafts_done: None,
    };
    club.app.store().append(order).expect("entered");
}

#[test]
fn every_paper_of_a_car_comes_as_pdf_to_people_and_programs() {
    let club = Club::open();
    bad_order(&club, club.own_car);
    let car = club.own_car;
    for what in ["label", "tag", "slip", "record-sheet"] {
        for start in ["", "/api"] {
            let path = format!("{start}/cars/{car}/{what}?paper=Letter&anyway=yes");
            is_print(&club.get(Role::Inspector, &path));
        }
    }
    for what in ["labels", "slips", "statement", "monthly"] {
        let path = format!("/api/papers/{what}");
        is_print(&club.get(Role::Lead, &path));
    }
}

#[test]
fn an_owner_prints_the_papers_of_his_own_cars_and_of_no_others() {
    let club = Club::open();
    let other = club.car("OTH 2", None);
    bad_order(&club, other);
    let own = format!("/cars/{}/label?anyway=yes", club.own_car);
    is_print(&club.get(Role::Owner, &own));
    for what in ["label", "tag", "slip", "record-sheet", "papers"] {
        let path = format!("/cars/{other}/{what}");
        let refused = club.get(Role::Owner, &path);
        assert_eq!(refused.status, StatusCode::FORBIDDEN, "{path}");
    }
    // The only report is of somebody else's car, so there is nothing to print for him.
    let none = club.get(Role::Owner, "/papers/slips");
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_print(&club.get(Role::Lead, "/papers/slips?anyway=yes"));
    // A name in the address does not open another owner's statement to him.
    is_print(&club.get(Role::Owner, "/papers/statement?owner=somebody"));
    let unknown = club.get(Role::Lead, "/papers/statement?owner=somebody");
    assert_eq!(unknown.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[test]
fn a_sheet_is_described_once_and_remembered_by_the_clubs_own_name() {
    let club = Club::open();
    let typed = "name=drawer+two&paper=A4&columns=3&rows=7&width=60+mm&height=33.5+mm&left=8.25+mm\
                 &top=11.5+mm&pitch_across=66.75+mm&pitch_down=39.6+mm";
    let refused = club.post(Role::Inspector, "/papers/sheets", typed);
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    let kept = club.post(Role::Lead, "/papers/sheets", typed);
    assert_eq!(kept.status, StatusCode::SEE_OTHER, "{}", kept.body);
    let page = club.get(Role::Inspector, "/papers").body;
    assert!(page.contains("drawer two"), "{page}");
    let path = format!(
        "/cars/{}/label?sheet=Drawer+two&row=7&column=3",
        club.own_car
    );
    is_print(&club.get(Role::Inspector, &path));
    let beyond = format!("/cars/{}/label?sheet=drawer+two&row=8", club.own_car);
    let said = club.get(Role::Inspector, &beyond).body;
    assert!(said.contains("7 rows and 3 columns"), "{said}");
    let wide = typed.replace("columns=3", "columns=4");
    let said = club.post(Role::Lead, "/papers/sheets", &wide).body;
    assert!(said.contains("beyond the right edge of A4"), "{said}");
    club.post(Role::Lead, "/papers/sheets/drop", "name=drawer+two");
    assert!(!club.get(Role::Lead, "/papers").body.contains("drawer two"));
}

#[test]
fn a_program_describes_a_sheet_sets_the_address_and_forgets_the_sheet() {
    let club = Club::open();
    let send = |path: &str, body: &str| {
        let answer = club.call(Some(Role::Lead), Method::POST, path, body);
        let read = serde_json::from_str::<serde_json::Value>(&answer.body).expect("JSON");
        (answer.status, read)
    };
    let sheet = r#"{"name": "drawer two", "paper": "A4", "columns": "3", "rows": "7", "width": "60 mm",
        "height": "33.5 mm", "left": "8.25 mm", "top": "11.5 mm"}"#;
    let (status, kept) = send("/api/papers/sheets", sheet);
    assert_eq!(status, StatusCode::OK, "{kept}");
    assert_eq!(kept["sheets"][0]["name"], "drawer two");
    let (status, wide) = send("/api/papers/sheets", &sheet.replace("\"3\"", "\"4\""));
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{wide}");
    let (_, set) = send(
        "/api/papers/address",
        r#"{"address": "http://192.0.2.7:7700/"}"#,
    );
    assert_eq!(set["address"], "http://192.0.2.7:7700");
    let (status, wrong) = send("/api/papers/address", r#"{"address": "elsewhere"}"#);
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
    let (_, left) = send("/api/papers/sheets/drop", r#"{"name": "drawer two"}"#);
    assert_eq!(left["sheets"], serde_json::json!([]));
    assert_eq!(left["address"], "http://192.0.2.7:7700");
}

#[test]
fn what_does_not_fit_is_said_before_it_is_printed() {
    let club = Club::open();
    let tiny = "name=tiny&paper=A4&columns=4&rows=8&width=16&height=7&left=10&top=10\
                &pitch_across=&pitch_down=";
    club.post(Role::Lead, "/papers/sheets", tiny);
    let path = format!("/cars/{}/label?sheet=tiny", club.own_car);
    let first = club.get(Role::Lead, &path);
    assert!(kind(&first).starts_with("text/html"));
    assert!(first.body.contains("no room for"), "{}", first.body);
    assert!(first.body.contains("anyway=yes"));
    is_print(&club.get(Role::Lead, &format!("{path}&anyway=yes")));
    let program = club.get(Role::Lead, &format!("/api{path}"));
    is_print(&program);
    let notes = program.headers.get_all("gradeworthy-note").iter().count();
    assert!(notes > 0);
}

#[test]
fn a_code_leads_to_the_address_that_the_lead_set_else_to_where_the_browser_is() {
    let club = Club::open();
    let address = |host: Option<&str>| {
        let snapshot = club.app.store().snapshot().expect("a snapshot");
        let gathering = Gathering::new(&club.app, &snapshot, host).expect("a gathering");
        let row = snapshot.car(club.own_car).expect("a car");
        gathering.car(row).expect("gathered").label(true).address
    };
    let page = |base: &str| Address::Page(format!("{base}/cars/{}", club.own_car));
    assert_eq!(address(None), Address::Unknown);
    assert_eq!(address(Some(HOST_NAME)), page("http://bench.test:7700"));
    let wrong = club.post(Role::Lead, "/papers/address", "address=bench.test");
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let set = club.post(
        Role::Lead,
        "/papers/address",
        "address=https%3A%2F%2Fshop.test%2F",
    );
    assert_eq!(set.status, StatusCode::SEE_OTHER, "{}", set.body);
    assert_eq!(address(Some(HOST_NAME)), page("https://shop.test"));
}

#[test]
fn a_month_counts_what_its_events_say_and_no_more() {
    let club = Club::open();
    let other = club.car("OTH 2", None);
    for _ in 0..2 {
        bad_order(&club, other);
    }
    bad_order(&club, club.own_car);
    let today = club.app.today();
    let report = gather_month(&club.app, today.first_of_month(), today).expect("a report");
    assert_eq!(report.outcomes.bad_ordered, 2);
    assert_eq!(report.outcomes.judged, 0);
    assert_eq!(report.defects.len(), 1);
    assert_eq!((report.defects[0].reports, report.defects[0].cars), (3, 2));
    assert_eq!(report.worst.len(), 1);
    assert_eq!(
        (report.worst[0].mark.as_str(), report.worst[0].ever),
        ("OTH 2", 2)
    );
    assert_eq!(report.waits.iter().map(|own| own.cars).sum::<usize>(), 2);
    assert!(
        report
            .missing
            .iter()
            .any(|own| own.contains("3 of 3 cars have never been judged"))
    );
    let earlier = jiff::civil::date(2020, 1, 1);
    let before = gather_month(&club.app, earlier, earlier.last_of_month()).expect("a report");
    assert_eq!(before.outcomes.bad_ordered, 0);
}

#[test]
fn a_program_without_a_page_asks_by_marks_and_is_told_what_is_not_there() {
    let club = Club::open();
    let all = gather_papers(&club.app, &[], Some("http://base.test")).expect("cars");
    assert_eq!(all.len(), 2);
    let unknown = gather_papers(&club.app, &["NIL 9".to_owned()], None);
    assert!(unknown.is_err_and(|error| error.contains("NIL 9")));
    assert!(gather_statement(&club.app, "nobody").is_err());
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    let gathering = Gathering::new(&club.app, &snapshot, None).expect("a gathering");
    assert_eq!(
        gathering.rows(&FleetFilter::default()).expect("rows").len(),
        2
    );
}
