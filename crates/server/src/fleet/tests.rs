//! The fleet room as a lead, an inspector and an owner meet it.

use axum::http::StatusCode;
use gradeworthy_store::{Append, Basis, CarId, ClientId, Fact, Role};
use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::record::{End, Entry, Measure, Place, Value};
use serde_json::Value as Json;

use crate::club::{Answer, Club};

fn heights(club: &Club, car: CarId, a_end: &str, b_end: &str) {
    let read = |end, text: &str| {
        let typed = Reader::new(Unit::Inch).read(text).expect("a length");
        let entry = Entry {
            measure: Measure::CouplerHeight,
            place: Place::End(end),
            value: Value::Quantity(typed),
            instrument: None,
            on: None,
        };
        (ClientId::random().expect("randomness"), Fact::Read(entry))
    };
    let store = club.app.store();
    let seen = store.snapshot().expect("open").version(car).expect("a car");
    let order = Append {
        car,
        by: club.members[&Role::Lead],
        second: None,
        at: club.app.now(),
        basis: Basis::Seen(seen),
        facts: vec![read(End::A, a_end), read(End::B, b_end)],
        drafts_done: None,
    };
    store.append(order).expect("kept");
}

/// Three cars: level, a little low, far too low.
fn yard() -> (Club, [CarId; 3]) {
    let club = Club::open();
    let cars = ["LEV 1", "LOW 2", "LOW 3"].map(|mark| club.car(mark, None));
    heights(&club, cars[0], ".391", ".391");
    heights(&club, cars[1], ".384", ".391");
    heights(&club, cars[2], ".360", ".362");
    (club, cars)
}

fn json(answer: &Answer) -> Json {
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    serde_json::from_str(&answer.body).expect("JSON")
}

fn marks(found: &Json) -> Vec<&str> {
    let cars = found["cars"].as_array().expect("cars");
    cars.iter()
        .map(|car| car["mark"].as_str().expect("marks"))
        .collect()
}

fn ask(club: &Club, query: &str) -> Json {
    json(&club.get(Role::Inspector, &format!("/api/fleet?{query}")))
}

#[test]
fn a_car_is_found_by_words_reading_verdict_and_sorted() {
    let (club, _) = yard();
    assert_eq!(marks(&ask(&club, "q=low")), ["LOW 2", "LOW 3"]);
    let low = ask(&club, "measure=coupler+height&place=end-A&at_most=.385+in");
    assert_eq!(marks(&low), ["LOW 2", "LOW 3"]);
    let bad = ask(&club, "check=coupler+height&check_verdict=bad+order");
    assert_eq!(marks(&bad), ["LOW 3"]);
    assert_eq!(bad["cars"][0]["verdict"], "bad order");
    let sorted = ask(&club, "measure=coupler+height&sort=reading");
    assert_eq!(
        marks(&sorted),
        ["LOW 3", "LOW 2", "LEV 1", "OWN 1", "OWN 2"]
    );
    let falling = ask(&club, "measure=coupler+height&sort=reading&falling=yes");
    assert_eq!(
        marks(&falling),
        ["LEV 1", "LOW 2", "LOW 3", "OWN 1", "OWN 2"]
    );
    // .360 in is 9.144 mm exactly.
    assert!((sorted["cars"][0]["reading"].as_f64().expect("a number") - 9.144).abs() < 1e-12);
    let page = club
        .get(Role::Inspector, "/fleet?q=low&verdict=bad+order")
        .body;
    assert!(page.contains("<strong>1</strong> of 5 cars"), "{page}");
}

#[test]
fn a_search_that_cannot_be_understood_says_what_is_wrong_with_it() {
    let (club, _) = yard();
    for (query, said) in [
        (
            "at_most=3",
            "the reading that is to be at least or at most so much was not filled in",
        ),
        (
            "measure=coupler+height&at_most=low",
            "coupler height: 'low' is not a number",
        ),
        ("measure=coupler+height&at_most=3+oz", "measures weight"),
        ("verdict=purple", "'purple' is no verdict"),
        ("sort=colour", "'colour' is no way to sort"),
        ("after_car=1&after_key=zz", "'zz' is no place in a list"),
    ] {
        let answer = club.get(Role::Lead, &format!("/fleet?{query}"));
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{query}");
        let body = answer.body.replace("&#39;", "'").to_lowercase();
        assert!(body.contains(said), "{query}: {body}");
    }
}

#[test]
fn what_was_read_a_moment_ago_is_found() {
    let (club, cars) = yard();
    let bad = "check=coupler+height&check_verdict=bad+order";
    assert_eq!(marks(&ask(&club, bad)), ["LOW 3"]);
    heights(&club, cars[2], ".391", ".391");
    heights(&club, cars[0], ".300", ".391");
    assert_eq!(marks(&ask(&club, bad)), ["LEV 1"]);
    let new = club.car("NEW 4", None);
    heights(&club, new, ".300", ".391");
    assert_eq!(marks(&ask(&club, bad)), ["LEV 1", "NEW 4"]);
}

#[test]
fn an_owner_sees_and_counts_his_own_cars_only() {
    let (club, _) = yard();
    let all = json(&club.get(Role::Owner, "/api/fleet"));
    assert_eq!(marks(&all), ["OWN 1"]);
    assert_eq!(all["count"], 1);
    let page = club.get(Role::Owner, "/fleet").body;
    assert!(page.contains("<strong>1</strong> of 1 cars"), "{page}");
    assert!(!page.contains("LOW"));
    let spread = json(&club.get(Role::Owner, "/api/fleet/spread?of=coupler+height"));
    assert_eq!(spread["readings"], 0);
    let other = club.get(Role::Owner, "/fleet/spread?of=coupler+height&car=LOW+2");
    assert_eq!(other.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        club.get(Role::Owner, "/fleet/what-if").status,
        StatusCode::FORBIDDEN
    );
}

#[test]
fn a_spread_marks_the_car_and_the_limits() {
    let (club, _) = yard();
    let page = club
        .get(Role::Lead, "/fleet/spread?of=coupler+height&car=low+2")
        .body;
    for part in [
        "6 readings of coupler height at every place on 3 cars; 2 of the cars have none.",
        "2 lie below the lower limit and 0 above",
        "LOW 2 reads 9.754 mm (.3840 in); 2 of 6 readings lie below it.",
        "data-part=\"own\"",
        "data-part=\"limit\"",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let spread = json(&club.get(Role::Lead, "/api/fleet/spread?of=coupler+height&at=end-A"));
    // numpy.quantile([9.144, 9.7536, 9.9314], .25), the three A ends in millimetres.
    let quarter = spread["quantiles"][2].as_f64().expect("a number");
    assert!((quarter - 9.4488).abs() < 1e-9, "{quarter}");
}

#[test]
fn a_tighter_height_names_who_would_fail_and_what_that_takes() {
    let (club, cars) = yard();
    let asked = "limit=coupler+height&of_scale=HO&tolerance=.002+in";
    let page = club
        .get(Role::Lead, &format!("/fleet/what-if?{asked}"))
        .body;
    for part in [
        "HO coupler height: now 9.668 mm (.3806 in) to 10.176 mm (.4006 in), tried",
        "1 car would fail, 0 cars would come back",
        "LOW 2",
        "A end coupler height: 9.754 mm (.3840 in)",
        "coupler height: assumed to take 120 s a car",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let looser = "limit=coupler+height&of_scale=HO&min=.300+in";
    let outcome = json(&club.get(Role::Lead, &format!("/api/fleet/what-if?{looser}")));
    assert_eq!(
        (&outcome["fails"], &outcome["comes_back"]),
        (&Json::from(0), &Json::from(1))
    );
    assert_eq!(outcome["changes"][0]["mark"], "LOW 3");
    // Nothing was changed by asking.
    let bad = ask(&club, "check=coupler+height&check_verdict=bad+order");
    assert_eq!(marks(&bad), ["LOW 3"]);
    let odd = club.get(Role::Lead, "/fleet/what-if?limit=droop&tolerance=.01+in");
    assert!(odd.body.contains("no nominal value"), "{}", odd.body);
    assert_eq!(cars.len(), 3);
}

#[test]
fn a_group_is_kept_under_a_name_and_let_go() {
    let (club, _) = yard();
    let form = "name=Low+cars&query=q%3Dlow%26verdict%3Dbad%2520order";
    assert_eq!(
        club.post(Role::Inspector, "/fleet/groups", form).status,
        StatusCode::SEE_OTHER
    );
    let page = club.get(Role::Operator, "/fleet").body;
    assert!(
        page.contains("Low cars") && page.contains("by Member inspector"),
        "{page}"
    );
    let groups = json(&club.get(Role::Operator, "/api/fleet/groups"));
    let query = groups[0]["query"].as_str().expect("a query");
    assert_eq!(marks(&ask(&club, query)), ["LOW 3"]);
    let wrong = club.post(Role::Lead, "/fleet/groups", "name=x&query=verdict%3Dpurple");
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let taken = club.post(Role::Lead, "/fleet/groups", "name=low+CARS&query=");
    assert_eq!(taken.status, StatusCode::CONFLICT);
    let path = format!("/api/fleet/groups/{}/drop", groups[0]["group"]);
    assert_eq!(
        club.post(Role::Operator, &path, "").status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        club.post(Role::Lead, &path, "").status,
        StatusCode::NO_CONTENT
    );
    let by_form = path.trim_start_matches("/api");
    assert_eq!(
        club.post(Role::Lead, by_form, "").status,
        StatusCode::NOT_FOUND
    );
}

#[test]
fn the_cars_of_a_lot_are_listed_and_compared() {
    let club = Club::open();
    for number in 0..12 {
        let car = club.car(&format!("LOT {number}"), None);
        let low = number % 2 == 0;
        let thousandths = 380 + number + if low { 0 } else { 40 };
        heights(
            &club,
            car,
            &format!(".{thousandths}"),
            &format!(".{thousandths}"),
        );
        if low {
            let rest = "part=coupler&place=car&description=metal%2C+medium&lot=K9";
            let form = club.entry(car, rest);
            let path = format!("/cars/{car}/fittings");
            let answer = club.post(Role::Inspector, &path, &form);
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
        }
    }
    assert_eq!(ask(&club, "part=coupler&lot=K9")["count"], 6);
    let asked = "part=coupler&description=metal%2C+medium&lot=K9";
    let page = club.get(Role::Lead, &format!("/fleet/lots?{asked}")).body;
    for part in [
        "1 of 1 readings differ",
        "coupler, metal, medium, lot K9",
        "Mann and Whitney",
    ] {
        assert!(page.contains(part), "{part}\n{page}");
    }
    let lots = json(&club.get(Role::Lead, &format!("/api/fleet/lots?{asked}")));
    assert_eq!(lots["lots"][0]["cars"], 6);
    // scipy.stats.mannwhitneyu of six against six that all lie above: p = 2 / C(12, 6).
    let p = lots["compared"][0]["p"].as_f64().expect("a number");
    assert!((p - 2.0 / 924.0).abs() < 1e-12, "{p}");
    let none = club
        .get(
            Role::Lead,
            "/fleet/lots?part=coupler&description=other&lot=Z",
        )
        .body;
    assert!(none.contains("Too few to tell."), "{none}");
}

/// The form of the page for the cars of a search, with one coupler of lot K9.
fn lot_form(club: &Club, query: &str) -> String {
    let page = club.get(Role::Inspector, &format!("/fleet/fit?{query}"));
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    let hidden = |name: &str| crate::request::encoded(&page.hidden(name));
    format!(
        "client_id={}&query={}&seen={}&part=coupler&place=car&description=metal%2C+medium&lot=K9",
        hidden("client_id"),
        hidden("query"),
        hidden("seen")
    )
}

#[test]
fn a_volunteer_enters_a_lot_on_every_car_that_a_search_found() {
    let (club, cars) = yard();
    let list = club.get(Role::Inspector, "/fleet?q=low").body;
    assert!(list.contains("href=\"/fleet/fit?q=low\""), "{list}");
    let operator = club.get(Role::Operator, "/fleet?q=low").body;
    assert!(!operator.contains("/fleet/fit"), "{operator}");
    let form = lot_form(&club, "q=low");
    let entered = club.post(Role::Inspector, "/fleet/fit", &form);
    let list = "/fleet?part=metal%2C%20medium&lot=K9";
    assert_eq!(entered.location(), list, "{}", entered.body);
    let found = ask(&club, "part=coupler&lot=K9");
    assert_eq!(marks(&found), ["LOW 2", "LOW 3"]);
    let story = club.get(Role::Lead, &format!("/cars/{}", cars[1])).body;
    assert!(story.contains("lot K9"), "{story}");
    // Tapped twice, it is entered once.
    let events = |car: CarId| {
        let snapshot = club.app.store().snapshot().expect("open");
        snapshot.version(car).expect("a car")
    };
    let before = events(cars[1]);
    let again = club.post(Role::Inspector, "/fleet/fit", &form);
    assert_eq!(again.status, StatusCode::SEE_OTHER, "{}", again.body);
    assert_eq!(events(cars[1]), before);
}

#[test]
fn a_lot_is_entered_on_no_car_when_the_search_means_others_or_an_owner_refuses() {
    let (club, cars) = yard();
    let form = lot_form(&club, "q=low");
    club.car("LOW 4", None);
    let moved = club.post(Role::Inspector, "/fleet/fit", &form);
    assert_eq!(moved.status, StatusCode::CONFLICT, "{}", moved.body);
    assert_eq!(ask(&club, "part=coupler&lot=K9")["count"], 0);
    let store = club.app.store();
    let seen = store.snapshot().expect("open").version(cars[2]);
    let refusal = Append {
        car: cars[2],
        by: club.members[&Role::Lead],
        second: None,
        at: club.app.now(),
        basis: Basis::Seen(seen.expect("a car")),
        facts: vec![(
            ClientId::random().expect("randomness"),
            Fact::Consented {
                work: gradeworthy_store::Work::Couplers,
                granted: false,
                word: "by telephone".into(),
            },
        )],
        drafts_done: None,
    };
    store.append(refusal).expect("kept");
    let refused = club.post(Role::Inspector, "/fleet/fit", &lot_form(&club, "q=low"));
    assert_eq!(refused.status, StatusCode::CONFLICT, "{}", refused.body);
    assert!(refused.body.contains("LOW 3"), "{}", refused.body);
    assert!(
        refused
            .body
            .contains("nothing was entered on any of the cars")
    );
    assert_eq!(ask(&club, "part=coupler&lot=K9")["count"], 0);
}

#[test]
fn programs_enter_a_lot_on_cars_that_they_name() {
    let (club, cars) = yard();
    let sent = |cars: &[i64]| {
        serde_json::json!({ "client_id": "0123456789abcdef0123456789abcdef", "cars": cars,
            "part": "wheelset", "place": "axle-1", "description": "steel, 33 in", "lot": "W1" })
        .to_string()
    };
    let path = "/api/fleet/fittings";
    let named = [cars[0].number(), cars[1].number(), cars[0].number()];
    let entered = json(&club.post(Role::Inspector, path, &sent(&named)));
    assert_eq!(entered["cars"], 2);
    assert_eq!(marks(&ask(&club, "lot=W1")), ["LEV 1", "LOW 2"]);
    let none = club.post(Role::Inspector, path, &sent(&[]));
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    let unknown = club.post(Role::Inspector, path, &sent(&[999]));
    assert_eq!(unknown.status, StatusCode::NOT_FOUND, "{}", unknown.body);
    let operator = club.post(Role::Operator, path, &sent(&named));
    assert_eq!(operator.status, StatusCode::FORBIDDEN);
    let apprentice = club.post(Role::Apprentice, path, &sent(&[cars[2].number()]));
    assert_eq!(
        apprentice.status,
        StatusCode::FORBIDDEN,
        "{}",
        apprentice.body
    );
    assert!(
        apprentice.body.contains("second name"),
        "{}",
        apprentice.body
    );
}
