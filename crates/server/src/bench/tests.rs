//! The bench as the people at it would tell it.

use axum::http::{Method, StatusCode};
use gradeworthy_store::{ClientId, ClubAct, ClubCommand, Fact, Role, Standing, Version};
use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::STARTER;

use crate::club::{Club, PASSWORD};
use crate::request::encoded;

fn id() -> ClientId {
    ClientId::random().expect("randomness")
}

fn version(club: &Club) -> Version {
    club.app
        .store()
        .snapshot()
        .expect("a snapshot")
        .version(club.own_car)
        .expect("a car")
}

fn standing(club: &Club) -> Standing {
    club.app
        .store()
        .snapshot()
        .expect("a snapshot")
        .standing(club.own_car)
        .expect("a car")
}

/// A form for the car, on its latest version.
fn form(club: &Club, rest: &str) -> String {
    format!("client_id={}&version={}&{rest}", id(), version(club))
}

fn bench(club: &Club) -> String {
    format!("/bench/{}", club.own_car)
}

fn reading_count(club: &Club) -> usize {
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    let events = snapshot
        .history(club.own_car, Version::from_number(0), None)
        .expect("read");
    events
        .iter()
        .filter(|event| matches!(event.fact, Fact::Read(_)))
        .count()
}

/// Another edition in which only the weight is required, so that one reading admits a car.
fn weight_is_enough(club: &Club) {
    let start = STARTER
        .find("required = [")
        .expect("the list of required checks");
    let end = start + STARTER[start..].find(']').expect("its end") + 1;
    let book = STARTER.replacen("\nedition = 1\n", "\nedition = 2\n", 1);
    let shift = book.len() - STARTER.len();
    let text = format!(
        "{}required = [\"weight\"]{}",
        &book[..start + shift],
        &book[end + shift..]
    );
    let (by, at) = (Some(club.members[&Role::Lead]), club.app.now());
    let act = ClubAct::AddRuleBook { text: text.into() };
    club.app
        .store()
        .club(ClubCommand { by, at, act })
        .expect("entered");
}

/// Seven inches of HO body weigh 4.5 oz, 127.6 g. Source: NMRA RP-20.1, 1 oz and 0.5 oz an inch.
fn weigh(club: &Club, role: Role) {
    let answer = club.post(
        role,
        &bench(club),
        &form(
            club,
            "check=weight&read.weight.car=128+g&instrument.mass=scale",
        ),
    );
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
}

fn release(club: &Club, role: Role, rest: &str) -> crate::club::Answer {
    club.post(
        role,
        &format!("/cars/{}/release", club.own_car),
        &form(club, rest),
    )
}

#[test]
fn from_an_empty_record_to_the_first_admitted_car() {
    let (club, address) = Club::new_record();
    let fields = "name=Ada&password=long+enough&again=long+enough";
    let made = club.call(None, Method::POST, &address, fields);
    let cookie = made.cookie().expect("a session").to_owned();
    let call = |method, path: &str, body: &str| {
        let request = axum::http::Request::builder()
            .method(method)
            .uri(path)
            .header("host", crate::club::HOST_NAME)
            .header("cookie", &cookie)
            .header("content-type", "application/x-www-form-urlencoded")
            .body(axum::body::Body::from(body.to_owned()));
        club.send(request.expect("a request"))
    };
    let room = call(Method::GET, "/bench", "");
    let entered = call(
        Method::POST,
        "/bench",
        &format!(
            "client_id={}&mark=fst+1&scale=HO&car_type=xm&owner=&description=box",
            room.hidden("client_id")
        ),
    );
    let car = entered.location().to_owned();
    let page = call(Method::GET, &format!("{car}?check=wheelsets"), "");
    let base = format!(
        "client_id={}&version={}&check=wheelsets",
        page.hidden("client_id"),
        page.hidden("version")
    );
    let read = call(
        Method::POST,
        &car,
        &format!("{base}&read.back_to_back.station-1-1=14.43+mm"),
    );
    assert_eq!(read.status, StatusCode::SEE_OTHER, "{}", read.body);
    let page = call(
        Method::GET,
        read.location().split('#').next().expect("a path"),
        "",
    );
    assert!(page.body.contains("last: 14.43 mm ("), "{}", page.body);

    let cars = car.replace("/bench/", "/cars/");
    let base = format!("client_id={}&version={}", id(), page.hidden("version"));
    let early = call(Method::POST, &format!("{cars}/release"), &base);
    assert_eq!(early.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        early.body.contains("look-over is not checked"),
        "{}",
        early.body
    );
    let lead = call(
        Method::POST,
        &format!("{cars}/release"),
        &format!("{base}&note=seen+by+the+whole+club"),
    );
    assert_eq!(lead.location(), cars, "{}", lead.body);
    let story = call(Method::GET, &cars, "");
    assert!(
        story.body.contains("Admitted: seen by the whole club"),
        "{}",
        story.body
    );
}

#[test]
fn a_narrow_wheelset_is_bad_order_with_its_margin_and_its_cure() {
    let club = Club::open();
    let readings = "check=wheelsets&read.back_to_back.station-2-1=14.20+mm&read.back_to_back.station-2-2=14.20+mm\
                    &read.flange_thickness.wheel-2-left=.030+in&read.flange_thickness.wheel-2-right=.030+in\
                    &read.tire_width.wheel-2-left=.110+in&read.tire_width.wheel-2-right=.110+in&instrument.length=caliper";
    let answer = club.post(Role::Inspector, &bench(&club), &form(&club, readings));
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let page = club
        .get(
            Role::Inspector,
            &format!("{}?check=wheelsets", bench(&club)),
        )
        .body;
    assert!(
        page.contains("out by") && page.contains("bad order"),
        "{page}"
    );
    assert!(
        page.contains("move both wheels out"),
        "{}",
        &page[page.find("What puts it right").unwrap_or(0)..]
    );
    assert!(page.contains("This was done"), "{page}");
}

#[test]
fn a_cure_that_was_done_makes_stale_what_it_disturbed() {
    let club = Club::open();
    let answer = club.post(
        Role::Inspector,
        &bench(&club),
        &form(&club, "check=wheelsets&read.wheel_dirt.axle-1=poor"),
    );
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let done = form(
        &club,
        "check=wheelsets&cure=wheel+moved&place=axle-1&note=&rest_days=1",
    );
    let answer = club.post(Role::Inspector, &format!("{}/cures", bench(&club)), &done);
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(matches!(standing(&club), Standing::Resting { .. }));
    let page = club.get(Role::Inspector, &bench(&club)).body;
    assert!(page.contains("stale"), "{page}");
    club.later(25 * 3600);
    club.sign_in_again();
    assert!(
        club.get(Role::Inspector, "/rip-track")
            .body
            .contains("Due now")
    );
}

#[test]
fn a_slip_of_the_finger_is_questioned_and_nothing_is_entered() {
    let club = Club::open();
    let both = "check=weight&read.weight.car=128+g&read.coupler_height.end-A=14.4+furlongs";
    let answer = club.post(Role::Apprentice, &bench(&club), &form(&club, both));
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.body.contains("value=\"128 g\""),
        "what was typed is kept: {}",
        answer.body
    );
    let unit = club.post(
        Role::Apprentice,
        &bench(&club),
        &form(
            &club,
            "check=wheelsets&read.back_to_back.station-1-1=14.4+in",
        ),
    );
    assert!(unit.body.contains("heck the unit"), "{}", unit.body);
    assert_eq!(reading_count(&club), 0);
}

#[test]
fn a_form_sent_twice_enters_every_reading_once() {
    let club = Club::open();
    let sent = form(&club, "check=weight&read.weight.car=128+g");
    for _ in 0..2 {
        assert_eq!(
            club.post(Role::Apprentice, &bench(&club), &sent).status,
            StatusCode::SEE_OTHER
        );
    }
    assert_eq!(reading_count(&club), 1);
}

#[test]
fn two_benches_on_one_car_meet_and_neither_loses_a_reading() {
    let club = Club::open();
    let first = form(&club, "check=weight&read.weight.car=128+g");
    let second = form(&club, "check=weight&read.weight.car=129+g");
    assert_eq!(
        club.post(Role::Inspector, &bench(&club), &first).status,
        StatusCode::SEE_OTHER
    );
    let met = club.post(Role::Apprentice, &bench(&club), &second);
    assert_eq!(met.status, StatusCode::CONFLICT);
    assert!(
        met.body
            .contains("Member inspector: Read weight at car: 128 g"),
        "{}",
        met.body
    );
    assert!(
        met.body.contains("value=\"129 g\""),
        "what was typed is kept"
    );
    let again = format!(
        "client_id={}&version={}&check=weight&read.weight.car=129+g",
        met.hidden("client_id"),
        met.hidden("version")
    );
    assert_eq!(
        club.post(Role::Apprentice, &bench(&club), &again).status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(reading_count(&club), 2);
}

#[test]
fn an_apprentice_needs_a_second_name_who_proves_that_he_is_there() {
    let club = Club::open();
    weight_is_enough(&club);
    weigh(&club, Role::Apprentice);
    let page = club.get(Role::Apprentice, &bench(&club)).body;
    if page.contains("Not to be admitted yet") {
        panic!("the weight alone should do: {page}");
    }
    let alone = release(&club, Role::Apprentice, "note=");
    assert_eq!(alone.status, StatusCode::FORBIDDEN, "{}", alone.body);
    let wrong = release(
        &club,
        Role::Apprentice,
        "second=Member+inspector&second_secret=not+the+one",
    );
    assert_eq!(wrong.status, StatusCode::UNAUTHORIZED);
    let fellow = format!("second=Member+operator&second_secret={}", encoded(PASSWORD));
    assert_eq!(
        release(&club, Role::Apprentice, &fellow).status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(standing(&club), Standing::AtBench);
    let inspector = format!(
        "second=Member+inspector&second_secret={}",
        encoded(PASSWORD)
    );
    let done = release(&club, Role::Apprentice, &inspector);
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    assert_eq!(standing(&club), Standing::Admitted);
    let story = club
        .get(Role::Apprentice, &format!("/cars/{}", club.own_car))
        .body;
    assert!(
        story.contains("Member apprentice with Member inspector"),
        "{story}"
    );
}

#[test]
fn an_inspector_who_is_not_signed_off_for_a_check_needs_one_who_is() {
    let club = Club::open();
    weight_is_enough(&club);
    weigh(&club, Role::Inspector);
    let act = ClubAct::SignOff {
        member: club.members[&Role::Inspector],
        check: Check::Weight,
        granted: false,
    };
    let (by, at) = (Some(club.members[&Role::Lead]), club.app.now());
    club.app
        .store()
        .club(ClubCommand { by, at, act })
        .expect("withdrawn");
    let alone = release(&club, Role::Inspector, "note=");
    assert_eq!(alone.status, StatusCode::FORBIDDEN);
    assert!(
        alone.body.contains("ot signed off for weight"),
        "{}",
        alone.body
    );
    let lead = format!("second=Member+lead&second_secret={}", encoded(PASSWORD));
    assert_eq!(
        release(&club, Role::Inspector, &lead).status,
        StatusCode::SEE_OTHER
    );
}

#[test]
fn an_operator_bad_orders_a_car_and_is_refused_its_release() {
    let club = Club::open();
    let sent = format!(
        "client_id={}&mark=own+1&defect=rolls+stiffly&place=end-B&note=on+the+hill",
        id()
    );
    let told = club.post(Role::Operator, "/report", &sent);
    assert!(told.body.contains("Reported"), "{}", told.body);
    assert_eq!(standing(&club), Standing::BadOrdered);
    assert!(
        club.get(Role::Operator, "/rip-track")
            .body
            .contains("rolls stiffly, B end: on the hill")
    );
    let refused = release(&club, Role::Operator, "note=");
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    assert!(
        refused.body.contains("operator may not release a car"),
        "{}",
        refused.body
    );
}

#[test]
fn a_crew_that_types_half_a_number_is_asked_which_car() {
    let club = Club::open();
    club.car("OWN 12", None);
    let sent = format!("client_id={}&mark=ow&defect=wheel&place=car", id());
    let asked = club.post(Role::Operator, "/report", &sent);
    assert!(
        asked.body.contains("Which of these?") && asked.body.contains("OWN 12"),
        "{}",
        asked.body
    );
    let none = club.post(Role::Operator, "/report", &sent.replace("=ow&", "=zzz&"));
    assert!(
        none.body.contains("No car&#39;s marks hold") || none.body.contains("No car's marks hold"),
        "{}",
        none.body
    );
}

#[test]
fn an_owner_sees_his_own_cars_and_no_other() {
    let club = Club::open();
    let other = club.car("ELSE 7", None);
    let list = club.get(Role::Owner, "/fleet").body;
    assert!(list.contains("OWN 1") && !list.contains("ELSE 7"), "{list}");
    assert_eq!(
        club.get(Role::Owner, &format!("/cars/{}", club.own_car))
            .status,
        StatusCode::OK
    );
    for path in [format!("/cars/{other}"), format!("/api/cars/{other}")] {
        assert_eq!(
            club.get(Role::Owner, &path).status,
            StatusCode::FORBIDDEN,
            "{path}"
        );
    }
}

#[test]
fn html_in_any_field_of_text_is_shown_and_not_obeyed() {
    let club = Club::open();
    let (evil, sent) = (
        "<img src=x onerror=alert(1)>\"'",
        "%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E%22%27",
    );
    club.post(
        Role::Operator,
        "/report",
        &format!(
            "client_id={}&mark=OWN+1&defect=wheel&place=car&note={sent}",
            id()
        ),
    );
    let car = club.own_car;
    let post = |path: &str, rest: &str| club.post(Role::Lead, path, &form(&club, rest));
    post(
        &format!("/cars/{car}/rest"),
        &format!("until=2026-11-26T19:00&why={sent}"),
    );
    post(
        &format!("/cars/{car}/wait"),
        &format!("wait_for=parts&why={sent}"),
    );
    post(
        &format!("/cars/{car}/release"),
        &format!("limit={sent}&note={sent}"),
    );
    post(&format!("/cars/{car}/hand-back"), &format!("why={sent}"));
    post(&format!("/cars/{car}/take-in"), &format!("why={sent}"));
    let entered = format!(
        "client_id={}&mark=EVIL+1&scale=HO&owner={sent}&description={sent}&car_type={sent}",
        id()
    );
    assert_eq!(
        club.post(Role::Lead, "/bench", &entered).status,
        StatusCode::SEE_OTHER
    );
    let bad = form(
        &club,
        &format!("check=weight&read.weight.car={sent}&check={sent}"),
    );
    let pages = [
        club.post(Role::Lead, &bench(&club), &bad),
        club.get(Role::Lead, &format!("/cars/{car}")),
        club.get(Role::Lead, "/fleet"),
        club.get(Role::Lead, &format!("/fleet?q={sent}&owner={sent}")),
        club.get(Role::Lead, "/rip-track"),
        club.get(Role::Lead, &bench(&club)),
        club.get(Role::Lead, &format!("/report?mark={sent}")),
        club.post(
            Role::Lead,
            "/report",
            &format!("client_id={}&mark={sent}&defect=wheel&place=car", id()),
        ),
        club.get(Role::Lead, &format!("/sign-in?back=/{sent}")),
        club.get(Role::Lead, "/audit"),
    ];
    let mut shown = 0;
    for page in pages {
        assert!(!page.body.to_lowercase().contains("<img"), "{}", page.body);
        assert!(!page.status.is_server_error());
        shown += page.body.to_lowercase().matches("&lt;img src=x").count();
    }
    assert!(
        shown >= 8,
        "{evil} was to be shown, escaped, and was {shown} times"
    );
}

#[test]
fn a_program_reads_enters_and_admits_as_a_person_does() {
    let club = Club::open();
    weight_is_enough(&club);
    let car = club.own_car;
    let call = |role, method, path: &str, body: serde_json::Value| {
        let answer = club.call(Some(role), method, path, &body.to_string());
        let json: serde_json::Value = serde_json::from_str(&answer.body).expect("JSON");
        (answer.status, json)
    };
    let (_, hand) = call(
        Role::Inspector,
        Method::GET,
        &format!("/api/bench/{car}"),
        serde_json::json!({}),
    );
    let sent = serde_json::json!({
        "client_id": id().to_string(), "version": hand["version"],
        "readings": [{"measure": "weight", "place": "car", "text": "128 g", "instrument": "scale"}],
    });
    let path = format!("/api/bench/{car}/readings");
    let (status, after) = call(Role::Inspector, Method::POST, &path, sent.clone());
    assert_eq!(status, StatusCode::OK, "{after}");
    let (status, again) = call(Role::Inspector, Method::POST, &path, sent);
    assert_eq!(
        (status, &again["version"]),
        (StatusCode::OK, &after["version"])
    );
    let stale = serde_json::json!({
        "client_id": id().to_string(), "version": hand["version"],
        "readings": [{"measure": "weight", "place": "car", "text": "129 g"}],
    });
    let (status, problem) = call(Role::Inspector, Method::POST, &path, stale);
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(
        problem["entered_meanwhile"]
            .as_array()
            .expect("a list")
            .len(),
        1
    );
    let release = serde_json::json!({"client_id": id().to_string(), "version": after["version"]});
    let path = format!("/api/cars/{car}/release");
    let (status, receipt) = call(Role::Inspector, Method::POST, &path, release.clone());
    assert_eq!(status, StatusCode::OK, "{receipt}");
    assert_eq!(
        call(Role::Operator, Method::POST, &path, release).0,
        StatusCode::FORBIDDEN
    );
    let (_, fleet) = call(
        Role::Operator,
        Method::GET,
        "/api/fleet?q=own",
        serde_json::json!({}),
    );
    assert_eq!(fleet["cars"][0]["state"], "admitted");
}

/// A field as the page's script sends it.
fn send(
    club: &Club,
    role: Role,
    id: ClientId,
    seen: Version,
    text: &str,
    sure: bool,
) -> serde_json::Value {
    let body = serde_json::json!({
        "client_id": id.to_string(), "version": seen.number(), "check": "weight", "pass": "whole",
        "field": "read.weight.car", "text": text, "instrument": "scale", "sure": sure,
    });
    let answer = club.post_as_script(role, &format!("{}/entry", bench(club)), &body.to_string());
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    serde_json::from_str(&answer.body).expect("JSON")
}

#[test]
fn one_field_is_entered_once_and_the_answer_brings_what_it_changed() {
    let club = Club::open();
    let (id, seen) = (id(), version(&club));
    let answer = send(&club, Role::Inspector, id, seen, "128 g", false);
    assert_eq!(answer["outcome"], "entered");
    assert_eq!(answer["version"], version(&club).number());
    let parts: Vec<_> = answer["parts"].as_array().expect("parts").iter().collect();
    let html = |id: &str| {
        let part = parts.iter().find(|part| part["id"] == id);
        part.and_then(|part| part["html"].as_str()).expect("a part")
    };
    assert!(
        html("below.read.weight.car").contains("last: 128.0 g"),
        "{}",
        html("below.read.weight.car")
    );
    assert!(html("picture").contains("<svg"), "{}", html("picture"));
    assert!(html("judged").contains("margin"), "{}", html("judged"));
    // The answer was lost on its way, and the script sends the same again, on the version it knew.
    let again = send(&club, Role::Inspector, id, seen, "128 g", false);
    assert_eq!(again["outcome"], "entered");
    assert_eq!(reading_count(&club), 1);
}

#[test]
fn a_slip_is_questioned_by_page_and_form_and_entered_as_typed_when_it_is_meant() {
    let club = Club::open();
    let asked = send(
        &club,
        Role::Inspector,
        id(),
        version(&club),
        "1280 oz",
        false,
    );
    assert_eq!(asked["outcome"], "questioned");
    assert!(
        asked["parts"][0]["html"]
            .as_str()
            .expect("html")
            .contains("Really 1280 oz?")
    );
    let page = club.post(
        Role::Inspector,
        &bench(&club),
        &form(&club, "check=weight&read.weight.car=1280+oz"),
    );
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.body.contains("Yes, 1280 oz is meant"), "{}", page.body);
    assert_eq!(reading_count(&club), 0);
    // What is confirmed is what was questioned, and no other number.
    let other = form(
        &club,
        "check=weight&read.weight.car=1290+oz&sure.read.weight.car=1280+oz",
    );
    assert_eq!(
        club.post(Role::Inspector, &bench(&club), &other).status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(reading_count(&club), 0);
    assert_eq!(
        send(
            &club,
            Role::Inspector,
            id(),
            version(&club),
            "1280 oz",
            true
        )["outcome"],
        "entered"
    );
    assert_eq!(reading_count(&club), 1);
}

#[test]
fn a_field_that_comes_too_late_is_told_what_the_other_bench_entered() {
    let club = Club::open();
    let seen = version(&club);
    send(&club, Role::Lead, id(), seen, "128 g", false);
    let late = send(&club, Role::Inspector, id(), seen, "129 g", false);
    assert_eq!(late["outcome"], "conflict");
    let told = late["parts"].as_array().expect("parts").iter().any(|part| {
        part["id"] == "meanwhile"
            && part["html"]
                .as_str()
                .is_some_and(|html| html.contains("128 g"))
    });
    assert!(told, "{late}");
    assert_eq!(reading_count(&club), 1);
}

#[test]
fn what_was_typed_at_a_bench_is_found_there_again_and_gone_when_it_is_entered() {
    let club = Club::open();
    let path = format!("/api/bench/{}/drafts", club.own_car);
    let body = r#"{"bench":"by the window","field":"read.weight.car","text":"12"}"#;
    assert_eq!(
        club.post(Role::Apprentice, &path, body).status,
        StatusCode::NO_CONTENT
    );
    let room = club.get(Role::Apprentice, "/api/bench?bench=by%20the%20window");
    assert!(
        room.body.contains(r#"["read.weight.car","12"]"#),
        "{}",
        room.body
    );
    let other = club.get(Role::Apprentice, "/api/bench?bench=by%20the%20door");
    assert!(!other.body.contains("read.weight.car"), "{}", other.body);
    assert_eq!(
        club.post(Role::Operator, &path, body).status,
        StatusCode::FORBIDDEN
    );
}

#[test]
fn ones_own_reading_is_struck_with_a_reason_and_stays_readable() {
    let club = Club::open();
    weigh(&club, Role::Inspector);
    let page = club.get(Role::Inspector, &format!("{}?check=weight", bench(&club)));
    let seq = page.hidden("seq");
    let none = club.post(
        Role::Inspector,
        &format!("{}/strikes", bench(&club)),
        &form(&club, &format!("seq={seq}&why=")),
    );
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    let strike = form(&club, &format!("check=weight&seq={seq}&why=mistyped"));
    let done = club.post(
        Role::Inspector,
        &format!("{}/strikes", bench(&club)),
        &strike,
    );
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    let page = club.get(Role::Inspector, &format!("{}?check=weight", bench(&club)));
    assert!(
        page.body.contains("mistyped") && page.body.contains("<s>"),
        "{}",
        page.body
    );
    assert!(page.body.contains("not read before"), "{}", page.body);
}

#[test]
fn a_figure_that_a_check_lacks_is_said_and_can_be_entered_there() {
    let club = Club::open();
    let figures = form(&club, "check=seating&truck_wheelbase=27+mm&body_length=");
    let done = club.post(
        Role::Inspector,
        &format!("{}/figures", bench(&club)),
        &figures,
    );
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.body);
    let snapshot = club.app.store().snapshot().expect("a snapshot");
    let figures = snapshot
        .record(club.own_car)
        .expect("a car")
        .record
        .car
        .figures;
    let mm = figures.truck_wheelbase.map(gradeworthy_units::Length::mm);
    assert!(mm.is_some_and(|mm| (mm - 27.0).abs() < 1e-9), "{mm:?}");
    assert!(figures.body_length.is_some(), "what was left empty stays");
}
