//! The hill, told as what its people do.

mod advice;

use axum::http::StatusCode;
use gradeworthy_store::{Append, Basis, ClientId, Fact, Role};

use crate::club::{Answer, Club};
use crate::request::encoded;

pub(super) fn identity() -> String {
    ClientId::random().expect("randomness").to_string()
}

/// Enters an edition as a program does; gives its item.
pub(super) fn enter(
    club: &Club,
    role: Role,
    what: &str,
    name: &str,
    text: &str,
    readings: Option<&str>,
) -> i64 {
    let sent = serde_json::json!({
        "client_id": identity(), "name": name, "text": text, "readings": readings
    });
    let answer = club.post(role, &format!("/api/hill/{what}"), &sent.to_string());
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    json(&answer)["item"].as_i64().expect("an item")
}

pub(super) fn json(answer: &Answer) -> serde_json::Value {
    serde_json::from_str(&answer.body).expect("JSON")
}

const POWER: &str = "[[locomotive]]\nname = \"TST 901\"\nweight = \"500 g\"\nslip_pull = \"110 gf\"\n\
    timed_over = \"2 m\"\nfree_time = \"10 s\"\nloaded_time = \"10.2 s\"\nload = \"60 gf\"\n";

/// A short hill that a test climbs in no time.
const SHORT: &str = "[line]\nname = \"Short Hill\"\ngauge = \"16.5 mm\"\nscale = \"1:87.1\"\n\
    [[plan]]\nshape = \"tangent\"\nlength = \"2 m\"\n\
    [[plan]]\nshape = \"arc\"\nturn = \"left\"\nradius = \"36 in\"\nangle = \"60 deg\"\n\
    [[plan]]\nshape = \"tangent\"\nlength = \"1 m\"\n[[profile]]\nshape = \"grade\"\ngrade = \"2 %\"\nlength = \"rest\"\n\
    [[place]]\nname = \"The Bend\"\nfrom = \"2 m\"\nto = \"3 m\"\n";

/// Cars admitted to the fleet, as the lead does.
fn admit(club: &Club, marks: &[&str]) {
    for mark in marks {
        let car = club.car(mark, None);
        let version = club
            .app
            .store()
            .snapshot()
            .expect("read")
            .version(car)
            .expect("a version");
        let order = Append {
            car,
            by: club.members[&Role::Lead],
            second: None,
            at: club.app.now(),
            basis: Basis::Seen(version),
            facts: vec![(
                ClientId::random().expect("randomness"),
                Fact::Released {
                    restriction: None,
                    note: "".into(),
                },
            )],
            drafts_done: None,
        };
        club.app.store().append(order).expect("released");
    }
}

/// A line, a locomotive and a train of four cars.
pub(super) fn hill() -> (Club, i64, i64) {
    let club = Club::open();
    admit(&club, &["TST 1", "TST 2", "TST 3", "TST 4"]);
    let line = enter(&club, Role::TrackLead, "lines", "Short Hill", SHORT, None);
    enter(&club, Role::Lead, "power", "TST 901", POWER, None);
    let train = "[train]\nconsist = [\"TST 901\", \"TST 1\", \"TST 2\", \"TST 3\", \"TST 4\"]\nleast_margin = 0.1\n";
    let train = enter(&club, Role::Lead, "trains", "Way freight", train, None);
    (club, line, train)
}

/// Asks for a page until the work behind it is done.
pub(super) fn climbed(club: &Club, role: Role, path: &str) -> Answer {
    loop {
        let answer = club.get(role, path);
        if !answer.headers.contains_key("refresh") {
            return answer;
        }
        std::thread::yield_now();
    }
}

#[test]
fn an_operator_sees_the_train_on_the_hill_with_its_margin_and_its_worst_spots() {
    let (club, line, train) = hill();
    let page = climbed(
        &club,
        Role::Operator,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    for part in [
        "Margin ",
        "svg class=\"hill plan\"",
        "svg class=\"hill profile\"",
        "Worst spots",
        "The Bend",
        "TST 901",
        "Coupler force ahead of each vehicle: draft up",
        "The train as a table",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    assert_eq!(
        page.body.matches("<line class=\"car").count(),
        20,
        "five vehicles in plan and in profile, on the wide and on the slim drawing"
    );
    let car = climbed(
        &club,
        Role::Lead,
        &format!("/hill/climb?line={line}&train={train}&at=3&car=2"),
    );
    for part in [
        "Vehicle 3: car 2, TST 2",
        "Take to the bench",
        "Its limit is",
        "usual for its class",
    ] {
        assert!(car.body.contains(part), "no '{part}'");
    }
}

#[test]
fn the_page_says_the_margin_that_the_program_is_told() {
    let (club, line, train) = hill();
    let sent = serde_json::json!({"line": line, "make_up": train}).to_string();
    let started = club.post(Role::Operator, "/api/hill/climbs", &sent);
    assert_eq!(started.status, StatusCode::ACCEPTED, "{}", started.body);
    let job = json(&started)["job"].as_str().expect("a job").to_owned();
    while json(&club.get(Role::Operator, &format!("/api/jobs/{job}")))["state"] != "done" {
        std::thread::yield_now();
    }
    let result = json(&club.get(Role::Operator, &format!("/api/jobs/{job}/result")));
    let page = club.get(
        Role::Operator,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    let said = result["said"].as_str().expect("a sentence");
    assert!(page.body.contains(said), "{said}");
    let film = club.get(Role::Operator, &format!("/api/hill/climbs/{job}/film"));
    let number = |at: usize| {
        u32::from_le_bytes(film.bytes[at..at + 4].try_into().expect("four bytes")) as usize
    };
    let (places, vehicles, points, stations) = (number(0), number(4), number(8), number(12));
    assert_eq!(vehicles, 5);
    assert_eq!(
        places,
        result["places"]["head_place_m"]
            .as_array()
            .expect("places")
            .len()
    );
    let floats = places + 4 * points + vehicles + stations + stations * vehicles;
    assert_eq!(film.bytes.len(), 24 + 4 * floats + 4 * places * vehicles);
    // The greatest force of the film is that of the answer.
    let newtons = f32::from_le_bytes(film.bytes[16..20].try_into().expect("four bytes"));
    let forces = &film.bytes[24 + 4 * floats..24 + 4 * floats + 2 * places * vehicles];
    let steps = forces
        .chunks_exact(2)
        .map(|own| i16::from_le_bytes([own[0], own[1]]));
    let most = f64::from(newtons) * f64::from(steps.max().expect("a force"));
    let drafts = result["places"]["draft_n_max"]
        .as_array()
        .expect("drafts")
        .iter();
    let told = drafts
        .filter_map(serde_json::Value::as_f64)
        .fold(0.0, f64::max);
    assert!((most - told).abs() < 1e-3 * told, "{most} against {told}");
}

#[test]
fn the_same_climb_is_worked_out_once_and_anew_when_a_car_was_worked_on() {
    let (club, line, train) = hill();
    let sent = serde_json::json!({"line": line, "make_up": train}).to_string();
    let job = |club: &Club| json(&club.post(Role::Lead, "/api/hill/climbs", &sent))["job"].clone();
    let first = job(&club);
    assert_eq!(job(&club), first);
    let found = club
        .app
        .store()
        .snapshot()
        .expect("read")
        .rows_marked("TST 1")
        .expect("read");
    let path = format!("/api/cars/{}/bad-orders", found[0].car);
    let report = serde_json::json!({"client_id": identity(), "defect": "wheel", "place": "car"});
    assert_eq!(
        club.post(Role::Operator, &path, &report.to_string()).status,
        StatusCode::OK
    );
    assert_ne!(job(&club), first);
    let page = climbed(
        &club,
        Role::Lead,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    assert!(
        page.body.contains("TST 1 may not run: it is bad-ordered"),
        "{}",
        page.body
    );
}

#[test]
fn two_make_ups_are_put_side_by_side() {
    let (club, line, train) = hill();
    let other = "[train]\nconsist = [\"TST 901\", \"TST 4\", \"TST 3\"]\n";
    let other = enter(&club, Role::Lead, "trains", "Short freight", other, None);
    let path = format!("/hill/climb?line={line}&train={train}&with={other}");
    let page = climbed(&club, Role::Operator, &path);
    for part in [
        "Side by side",
        "data-stage=\"1\"",
        "'Way freight' leaves ",
        "with TST 1 and TST 2.",
        "Way freight",
        "Short freight",
        "4 and 1",
        "2 and 1",
    ] {
        assert!(page.body.contains(part), "no '{part}'");
    }
}

#[test]
fn a_train_too_long_for_the_line_is_said_in_words() {
    let (club, _, train) = hill();
    let tiny = SHORT
        .replace("Short Hill", "Tiny")
        .replace("2 m\"\n[[plan]]", "10 mm\"\n[[plan]]")
        .replace("60 deg", "1 deg")
        .replace("length = \"1 m\"", "length = \"10 mm\"")
        .replace("from = \"2 m\"\nto = \"3 m\"", "at = \"0 m\"");
    let line = enter(&club, Role::Lead, "lines", "Tiny", &tiny, None);
    let page = climbed(
        &club,
        Role::Operator,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    assert!(
        page.body.contains("engthen the line or shorten the train"),
        "{}",
        page.body
    );
}

#[test]
fn the_track_lead_draws_a_line_by_hand_and_sees_what_is_wrong_before_he_saves_it() {
    let club = Club::open();
    let typed = |what: &str, radius: &str| {
        format!(
            "client_id={}&what={what}&line-0-name=Hand+Hill&line-0-scale=1%3A87.1&line-0-gauge=16.5+mm&\
         plan-0-shape=tangent&plan-0-length=2+m&plan-1-shape=arc&plan-1-turn=left&plan-1-radius={}&plan-1-angle=90+deg&\
         plan-3-shape=tangent&plan-3-length=2+m&profile-0-shape=grade&profile-0-grade=2+%25&profile-0-length=rest&\
         place-0-name=The+Bend&place-0-at=3+m",
            identity(),
            encoded(radius)
        )
    };
    let page = club.post(
        Role::TrackLead,
        "/hill/lines",
        &typed("draw", "quarter mile"),
    );
    assert!(page.body.contains("Plan 2, radius"), "{}", page.body);
    assert!(
        page.body.contains("value=\"quarter mile\""),
        "what was typed stays"
    );
    let page = club.post(Role::TrackLead, "/hill/lines", &typed("draw", "18 in"));
    for part in [
        "svg class=\"hill plan\"",
        "The Bend",
        "What its own check says",
        "easement at 2.0 m",
        "polyline class=\"beyond\"",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    let saved = club.post(Role::TrackLead, "/hill/lines", &typed("save", "36 in"));
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    let page = club.get(Role::Operator, saved.location());
    assert!(
        page.body.contains("Hand Hill") && !page.body.contains("Change it"),
        "{}",
        page.body
    );
    let again = club.post(Role::TrackLead, "/hill/lines", &typed("save", "36 in"));
    assert_eq!(
        again.status,
        StatusCode::CONFLICT,
        "a line of that name is there"
    );
}

#[test]
fn a_survey_is_pasted_drawn_and_saved_with_what_it_can_and_cannot_show() {
    let club = Club::open();
    let mut survey = "x,y,height\n".to_owned();
    // 2 m straight, then a circle of 1 m: points every 100 mm, rising 2 %.
    for k in 0..40_u8 {
        let s = 0.1 * f64::from(k);
        let turned = (s - 2.0).max(0.0);
        let (x, y) = (s.min(2.0) + turned.sin(), 1.0 - turned.cos());
        survey += &format!("{:.1},{:.1},{:.2}\n", 1e3 * x, 1e3 * y, 20.0 * s);
    }
    let pasted = format!(
        "client_id={}&what=import&line-0-name=Surveyed&line-0-gauge=16.5+mm&import={}",
        identity(),
        encoded(&survey)
    );
    let page = club.post(Role::TrackLead, "/hill/lines", &pasted);
    assert!(
        page.body.contains("What the survey says of itself")
            && page.body.contains("name=\"readings\""),
        "{}",
        page.body
    );
    let save = format!(
        "client_id={}&what=save&line-0-name=Surveyed&line-0-gauge=16.5+mm&readings={}",
        identity(),
        encoded(&survey)
    );
    let saved = club.post(Role::TrackLead, "/hill/lines", &save);
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    let page = club.get(Role::TrackLead, saved.location());
    assert!(page.body.contains("3.9 m long"), "{}", page.body);
    let wrong = format!(
        "client_id={}&what=import&line-0-name=X&import={}",
        identity(),
        encoded("x,y\n1,far\n")
    );
    let page = club.post(Role::TrackLead, "/hill/lines", &wrong);
    assert!(page.body.contains("Line 2, y"), "{}", page.body);
    assert!(
        page.body.contains(">x,y\n1,far"),
        "what was pasted stays: {}",
        page.body
    );
}

#[test]
fn what_is_not_measured_on_a_locomotive_is_said_with_what_it_may_be() {
    let club = Club::open();
    let typed = |weight: &str| {
        format!(
            "client_id={}&what=save&name=tst+7&weight={}&traction_tires=true",
            identity(),
            encoded(weight)
        )
    };
    let page = club.post(Role::Lead, "/hill/power", &typed("heavy"));
    assert!(
        page.body.contains("Weight: ") && page.body.contains("value=\"heavy\""),
        "{}",
        page.body
    );
    let saved = club.post(Role::Lead, "/hill/power", &typed("500 g"));
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    let page = club.get(Role::Operator, "/hill/power");
    for part in [
        "TST 7",
        "pull at which it slips: taken as 2.0594 N, may be 1.7162 to 2.4517 N",
        "speed setting",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    let file = format!(
        "client_id={}&what=import&import={}",
        identity(),
        encoded(gradeworthy_demo::climb::POWER)
    );
    assert_eq!(
        club.post(Role::Lead, "/hill/power", &file).status,
        StatusCode::SEE_OTHER
    );
    let all = json(&club.get(Role::Operator, "/api/hill"));
    assert_eq!(all["locomotives"].as_array().expect("a list").len(), 7);
}

#[test]
fn a_planner_pastes_a_list_sees_every_problem_and_saves_what_is_left() {
    let (club, ..) = hill();
    let paste = |list: &str| {
        format!(
            "client_id={}&what=import&import={}",
            identity(),
            encoded(list)
        )
    };
    let page = club.post(
        Role::Lead,
        "/hill/trains",
        &paste("TST 901\nTST 1\nOWN 1\nTST 99\n"),
    );
    for part in [
        "OWN 1 may not run: it is at the bench",
        "TST 99 is neither a car of the fleet nor a locomotive",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    let page = club.post(
        Role::Lead,
        "/hill/trains",
        &paste("TST 901\nTST 1\nTST 1\n"),
    );
    for part in ["Line 3: 'TST 1' stands on line 2", ">TST 901\nTST 1\nTST 1"] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    let row = |name: &str, position: usize, block: &str| {
        format!(
            "&vehicle={}&position={position}&block={block}",
            encoded(name)
        )
    };
    let form =
        |what: &str, rows: &str| format!("client_id={}&what={what}&name=Tonight{rows}", identity());
    let unknown = row("TST 901", 1, "") + &row("TST 99", 2, "");
    let page = club.post(Role::Lead, "/hill/trains", &form("save", &unknown));
    assert!(
        page.status.is_success() && page.body.contains("class=\"message\""),
        "{}",
        page.body
    );
    // The fourth is typed to place 2 and brings its block along; the third is taken out.
    let rows = row("TST 901", 1, "")
        + &row("TST 1", 2, "")
        + &row("TST 2", 3, "")
        + &row("TST 3", 2, "a")
        + &row("TST 4", 5, "a")
        + "&out=TST+2";
    let saved = club.post(Role::Lead, "/hill/trains", &form("save", &rows));
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    let all = json(&club.get(Role::Operator, "/api/hill"));
    let own = all["make_ups"]
        .as_array()
        .expect("a list")
        .iter()
        .find(|own| own["name"] == "Tonight")
        .expect("saved")
        .clone();
    let text = own["text"].as_str().expect("text");
    let order = gradeworthy_train::consist::read_train(text).expect("a train");
    let names: Vec<_> = order.members.iter().map(|own| own.name.as_str()).collect();
    assert_eq!(names, ["TST 901", "TST 3", "TST 4", "TST 1"], "{text}");
    assert_eq!(order.blocks, [["TST 3", "TST 4"]]);
}

#[test]
fn only_cars_that_may_run_can_be_picked_and_the_others_say_why_not() {
    let (club, ..) = hill();
    let look = format!("client_id={}&what=look&name=X&search=1", identity());
    let page = club.post(Role::Lead, "/hill/trains", &look);
    assert!(
        page.body.contains("name=\"pick\" value=\"TST 1\""),
        "{}",
        page.body
    );
    assert!(
        page.body
            .contains("OWN 1: it is at the bench, so it may not run"),
        "{}",
        page.body
    );
    assert!(!page.body.contains("value=\"OWN 1\""));
    let add = format!(
        "client_id={}&what=add&name=X&pick=TST+1&pick=TST+901&add=tst+2%0Atst+1&add_behind=0",
        identity()
    );
    let page = club.post(Role::Lead, "/hill/trains", &add);
    assert_eq!(
        page.body.matches("name=\"vehicle\"").count(),
        3,
        "{}",
        page.body
    );
    assert!(page.body.contains("TST 1 stands in the train already"));
}

#[test]
fn a_duplicate_keeps_the_first_and_a_withdrawn_train_leaves_the_list() {
    let (club, _, train) = hill();
    let page = club.get(Role::Lead, &format!("/hill/trains/{train}"));
    assert!(page.body.contains("Run it up the hill"), "{}", page.body);
    let rows = "&vehicle=TST+901&position=1&block=&vehicle=TST+1&position=2&block=";
    let form = |what: &str| {
        format!(
            "client_id={}&what={what}&item={train}&seen=1&was=Way+freight&name=Way+freight{rows}",
            identity()
        )
    };
    assert_eq!(
        club.post(Role::Lead, "/hill/trains", &form("duplicate"))
            .status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        club.post(Role::Lead, "/hill/trains", &form("withdraw"))
            .status,
        StatusCode::SEE_OTHER
    );
    let all = json(&club.get(Role::Operator, "/api/hill"));
    let names: Vec<_> = all["make_ups"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|own| own["name"].clone())
        .collect();
    assert_eq!(names, ["Way freight, try 2"]);
}

#[test]
fn another_operator_cannot_end_the_leads_climb() {
    let (club, line, train) = hill();
    let sent = serde_json::json!({"line": line, "make_up": train}).to_string();
    let job = json(&club.post(Role::Lead, "/api/hill/climbs", &sent))["job"]
        .as_str()
        .expect("a job")
        .to_owned();
    let path = format!("/api/jobs/{job}/cancel");
    assert_eq!(
        club.post(Role::Operator, &path, "{}").status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(club.post(Role::Lead, &path, "{}").status, StatusCode::OK);
}
