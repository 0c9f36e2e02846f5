//! Scenes and odds, told as what the hill's people do.

use axum::http::StatusCode;
use gradeworthy_store::Role;
use gradeworthy_train::scene::{Usual, write_scene};

use super::tests::{climbed, enter, hill, identity, json};
use crate::club::{Answer, Club};
use crate::request::encoded;

/// What a job found, once it is done.
fn result(club: &Club, started: &Answer) -> serde_json::Value {
    assert_eq!(started.status, StatusCode::ACCEPTED, "{}", started.body);
    let job = json(started)["job"].as_str().expect("a job").to_owned();
    loop {
        let state = json(&club.get(Role::Operator, &format!("/api/jobs/{job}")));
        match state["state"].as_str() {
            Some("done") => break,
            Some("waiting" | "running") => std::thread::yield_now(),
            _ => panic!("{state}"),
        }
    }
    json(&club.get(Role::Operator, &format!("/api/jobs/{job}/result")))
}

fn play(club: &Club, line: i64, train: i64, scene: &str) -> Answer {
    let sent = serde_json::json!({"line": line, "make_up": train, "scene": scene});
    club.post(Role::Operator, "/api/hill/plays", &sent.to_string())
}

#[test]
fn an_operator_plays_a_failure_of_power_and_looks_at_its_worst_moments() {
    let (club, line, train) = hill();
    let path = format!("/hill/scene?line={line}&train={train}&scene=power&head=");
    let page = climbed(&club, Role::Operator, &path);
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    for part in [
        "Margin ",
        "the head end lost power for 1.0 s",
        "its couplings hold",
        "svg class=\"hill plan\"",
        "svg class=\"hill strip\"",
        "svg class=\"hill times\"",
        "Worst moments",
        "Seconds into the scene",
        "couplings as stiff as 8.0 N/mm",
    ] {
        let said = page.body.to_lowercase();
        assert!(
            said.contains(&part.to_lowercase()),
            "no '{part}' in {}",
            page.body
        );
    }
    // Four couplings on each of the two plans and on the strip, besides the four shapes of the key.
    assert_eq!(page.body.matches("<path class=\"coupling ").count(), 16);
    let first = climbed(&club, Role::Operator, &format!("{path}&time=0"));
    assert!(
        first.body.contains("0.00 s into the scene."),
        "{}",
        first.body
    );
    let worst = page.body.split("data-time=\"").nth(1).expect("a moment");
    let link = page.body.split("class=\"spot\" href=\"").nth(1);
    let link = link.and_then(|own| own.split('"').next()).expect("a link");
    let there = club.get(Role::Operator, &link.replace("&amp;", "&"));
    let time: f64 = worst
        .split('"')
        .next()
        .expect("seconds")
        .parse()
        .expect("seconds");
    // Pictures stand a hundredth of a second apart.
    let shown = there.body.split("name=\"time\"").nth(1).expect("a field");
    let shown = shown.split("value=\"").nth(1).expect("a value");
    let shown: f64 = shown
        .split('"')
        .next()
        .expect("seconds")
        .parse()
        .expect("seconds");
    assert!((shown - time).abs() < 0.0051, "{shown} for {time}");
}

#[test]
fn the_page_of_a_scene_says_what_the_program_is_told_and_the_film_holds_it() {
    let (club, line, train) = hill();
    let started = play(&club, line, train, "stop");
    let found = result(&club, &started);
    let path = format!("/hill/scene?line={line}&train={train}&scene=stop");
    let page = club.get(Role::Operator, &path);
    let said = found["said"].as_str().expect("a sentence");
    assert!(page.body.contains(said), "{said} in {}", page.body);
    let job = json(&started)["job"].as_str().expect("a job").to_owned();
    let film = club.get(Role::Operator, &format!("/api/hill/plays/{job}/film"));
    let number = |at: usize| {
        u32::from_le_bytes(film.bytes[at..at + 4].try_into().expect("four bytes")) as usize
    };
    let float = |at: usize| {
        let own = film.bytes[at..at + 4].try_into().expect("four bytes");
        f64::from(f32::from_le_bytes(own))
    };
    let (pictures, vehicles, points) = (number(0), number(4), number(8));
    let times = found["time_s"].as_array().expect("times");
    assert_eq!((pictures, vehicles), (times.len(), 5));
    let floats = pictures + 4 * points + vehicles + pictures * vehicles;
    let couplings = pictures * (vehicles - 1);
    assert_eq!(film.bytes.len(), 16 + 4 * floats + 3 * couplings);
    // The last place of the last vehicle, and the first force of the first coupling.
    let places = found["vehicles"][4]["place_m"].as_array().expect("places");
    let last = places[pictures - 1].as_f64().expect("a place");
    assert!((float(16 + 4 * (floats - 1)) - last).abs() < 1e-4);
    let at = 16 + 4 * floats;
    let step = i16::from_le_bytes(film.bytes[at..at + 2].try_into().expect("two bytes"));
    let told = found["couplings"][0]["force_n"][0]
        .as_f64()
        .expect("a force");
    assert!((f64::from(step) * float(12) - told).abs() < 1e-3, "{told}");
    assert!(film.bytes[at + 2 * couplings..].iter().all(|own| *own < 4));
}

#[test]
fn a_planner_pastes_a_scene_of_the_clubs_own_mends_it_and_plays_it() {
    let (club, line, train) = hill();
    let form = |what: &str, more: &str, text: &str| {
        format!(
            "client_id={}&what={what}{more}&text={}",
            identity(),
            encoded(text)
        )
    };
    let text = write_scene(&Usual::Stop.scene(2.5)).replace("stop from speed", "Ten below");
    let wrong = text.replace("\"stop\"", "\"explode\"");
    let page = club.post(Role::Lead, "/hill/scenes", &form("save", "", &wrong));
    assert!(
        page.status.is_success() && page.body.contains("explode"),
        "{}",
        page.body
    );
    assert!(
        page.body.contains("get power back"),
        "what was expected is said"
    );
    let saved = club.post(Role::Lead, "/hill/scenes", &form("save", "", &text));
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    let own = saved.location().to_owned();
    let item = own.rsplit('/').next().expect("a number").to_owned();
    let page = club.get(Role::Operator, &own);
    assert!(
        page.body.contains("Ten below") && !page.body.contains("Save it"),
        "{}",
        page.body
    );
    let again = text.replace("over = \"2 s\"", "over = \"1 s\"");
    let more = format!("&item={item}&seen=1&was=Ten+below");
    let saved = club.post(Role::Lead, "/hill/scenes", &form("save", &more, &again));
    assert_eq!(saved.location(), own, "{}", saved.body);
    assert!(club.get(Role::Lead, &own).body.contains("Editions: 2"));
    let found = result(&club, &play(&club, line, train, &item));
    assert_eq!(found["scene"], "Ten below");
    let path = format!("/hill/scene?line={line}&train={train}&scene={item}");
    let page = climbed(&club, Role::Operator, &path);
    assert!(page.body.contains("its head at 2.5 m"), "{}", page.body);
    let room = club.get(Role::Operator, "/hill");
    assert!(room.body.contains(&format!("/hill/scenes/{item}")));
    let withdrawn = club.post(
        Role::Lead,
        "/hill/scenes",
        &form(
            "withdraw",
            &format!("&item={item}&seen=2&was=Ten+below"),
            &again,
        ),
    );
    assert_eq!(withdrawn.location(), "/hill", "{}", withdrawn.body);
    let all = json(&club.get(Role::Operator, "/api/hill"));
    assert_eq!(all["scenes"], serde_json::json!([]));
}

#[test]
fn a_scene_that_cannot_be_played_says_why_in_words() {
    let (club, line, train) = hill();
    let path = format!("/hill/scene?line={line}&train={train}&scene");
    for (asked, part) in [
        ("=helper", "no locomotive cut in"),
        ("=power&head=0.01", "off the line"),
        ("=earthquake", "is no scene"),
        ("=power&head=up", "write it in metres"),
        ("=999", "there is no scene 999"),
    ] {
        let page = climbed(&club, Role::Operator, &format!("{path}{asked}"));
        let said = page.body.to_lowercase();
        assert!(said.contains(part), "{asked}: no '{part}' in {}", page.body);
    }
}

#[test]
fn the_odds_of_a_train_are_told_with_their_interval_and_what_was_drawn() {
    let (club, line, train) = hill();
    let path = format!("/hill/odds?line={line}&train={train}&trips=60");
    let page = climbed(&club, Role::Operator, &path);
    for part in [
        "of 60 trips",
        "with 95 % confidence",
        "What was drawn in every trip",
        "wheel-rail friction",
        "assumed",
        "usual for its class",
        "svg class=\"hill odds\"",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    let sent = serde_json::json!({"line": line, "make_up": train, "trips": 60});
    let found = result(
        &club,
        &club.post(Role::Operator, "/api/hill/odds", &sent.to_string()),
    );
    assert_eq!(found["trips"], 60);
    let said = found["said"].as_str().expect("a sentence");
    assert!(page.body.contains(said), "{said}");
    let shared = found["spreads"].as_array().expect("spreads");
    assert!(shared.iter().any(|own| own["shared"] == true), "{found}");
    let many = format!("/hill/odds?line={line}&train={train}&trips=100001");
    let refused = club.get(Role::Operator, &many);
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// The second train has twice the cars on one locomotive: it slips where the first does not.
#[test]
fn two_make_ups_meet_the_same_evenings_and_the_lighter_one_is_better() {
    let (club, line, train) = hill();
    let half = "[train]\nconsist = [\"TST 901\", \"TST 1\"]\n";
    let half = enter(&club, Role::Lead, "trains", "Half freight", half, None);
    let sent = serde_json::json!(
        {"line": line, "make_up": train, "with": half, "trips": 80, "seed": 5});
    let found = result(
        &club,
        &club.post(Role::Lead, "/api/hill/odds", &sent.to_string()),
    );
    let own = &found["compared"];
    let number = |name: &str| own[name].as_f64().expect("a number");
    assert_eq!(own["trips"], 80);
    let only = (number("troubled_second_only") - number("troubled_first_only")) / 80.0;
    assert!((number("difference") - only).abs() < 1e-12, "{own}");
    assert!(number("difference_low") <= only && only <= number("difference_high"));
    let path = format!("/hill/odds?line={line}&train={train}&with={half}&trips=80&seed=5");
    let page = climbed(&club, Role::Operator, &path);
    for part in [
        "The two make-ups",
        "Half freight",
        "The same 80 evenings for both",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
}

#[test]
fn which_measurement_would_narrow_the_odds_is_told_with_how_it_was_found() {
    let (club, line, train) = hill();
    let path = format!("/hill/odds?line={line}&train={train}&trips=40&narrow=yes");
    let page = climbed(&club, Role::Operator, &path);
    for part in [
        "Measure next",
        "Knowing ",
        "Compared by 40 of the trips each",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
}

#[test]
fn trips_that_take_too_long_are_ended_by_who_asked_for_them() {
    let (club, line, train) = hill();
    let sent = serde_json::json!({"line": line, "make_up": train, "trips": 100_000}).to_string();
    let job = json(&club.post(Role::Operator, "/api/hill/odds", &sent))["job"]
        .as_str()
        .expect("a job")
        .to_owned();
    let state = || json(&club.get(Role::Operator, &format!("/api/jobs/{job}")));
    while state()["done"].as_u64().expect("a count") == 0 {
        std::thread::yield_now();
    }
    assert_eq!(state()["total"], 100_000);
    let path = format!("/api/jobs/{job}/cancel");
    assert_eq!(
        club.post(Role::Operator, &path, "{}").status,
        StatusCode::OK
    );
    while state()["state"] == "running" {
        std::thread::yield_now();
    }
    assert_eq!(state()["state"], "cancelled");
}
