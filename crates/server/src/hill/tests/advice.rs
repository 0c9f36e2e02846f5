//! What to change, as people meet it: found part by part, followed with a button, ended, refused.

use super::*;

/// A locomotive that does not pull its train up the hill.
const WEAK: &str =
    "[[locomotive]]\nname = \"TST 911\"\nweight = \"300 g\"\nslip_pull = \"15 gf\"\n";

/// A train that stalls, made up with `more` lines in its file, and a strong locomotive to spare.
fn stalling(more: &str) -> (Club, i64, i64) {
    let (club, line, _) = hill();
    enter(&club, Role::Lead, "power", "TST 911", WEAK, None);
    let text = format!(
        "[train]\nconsist = [\"TST 911\", \"TST 1\", \"TST 2\", \"TST 3\", \"TST 4\"]\nleast_margin = 0.01\n{more}"
    );
    let train = enter(&club, Role::Lead, "trains", "Slow freight", &text, None);
    (club, line, train)
}

/// The climb's page once the search on it has come to its end.
fn advised(club: &Club, role: Role, path: &str) -> Answer {
    loop {
        let answer = climbed(club, role, path);
        if !answer.body.contains("data-job=") {
            return answer;
        }
        std::thread::yield_now();
    }
}

#[test]
fn a_lead_sees_everything_that_is_advised_and_follows_the_piece_that_is_enough() {
    let (club, line, train) = stalling("");
    let path = format!("/hill/climb?line={line}&train={train}");
    let page = advised(&club, Role::Lead, &path);
    for part in [
        "a limit is passed",
        "<h3>What to move</h3>",
        "<h3>Order</h3>",
        "<h3>Length</h3>",
        "<h3>Power</h3>",
        "1 more locomotive will do: add TST 901",
        "<h3>A stall</h3>",
        "It stalls with the head at",
        "<h3>Repairs that buy the most</h3>",
        "<h3>Measurements that tell the most</h3>",
        "Everything was looked at",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    let follow = format!("line={line}&train={train}&piece=power");
    let saved = club.post(Role::Lead, "/hill/advice", &follow);
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.body);
    assert!(saved.location().ends_with(&format!("&with={train}")));
    let better = climbed(&club, Role::Lead, saved.location());
    for part in [
        "at or above what is asked",
        "'Slow freight, try 2' leaves ",
        "with TST 901.",
    ] {
        assert!(better.body.contains(part), "no '{part}' in {}", better.body);
    }
}

#[test]
fn an_operator_reads_the_advice_and_is_given_no_button() {
    let (club, line, train) = stalling("");
    let page = advised(
        &club,
        Role::Operator,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    assert!(page.body.contains("<h3>Power</h3>"), "{}", page.body);
    assert!(!page.body.contains("Make it up so"), "{}", page.body);
    let follow = format!("line={line}&train={train}&piece=power");
    let refused = club.post(Role::Operator, "/hill/advice", &follow);
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}

#[test]
fn a_piece_that_would_part_a_block_is_told_and_not_offered() {
    let (club, line, train) = stalling("blocks = [[\"TST 1\", \"TST 2\", \"TST 3\", \"TST 4\"]]\n");
    let page = advised(
        &club,
        Role::Lead,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    assert!(page.body.contains("It would part a block"), "{}", page.body);
}

#[test]
fn advice_that_is_not_there_is_refused_in_words() {
    let (club, line, train) = stalling("");
    let path = format!("/hill/climb?line={line}&train={train}");
    let send = |piece: &str, together: &str| {
        let form = format!("line={line}&train={train}&piece={piece}&together={together}");
        club.post(Role::Lead, "/hill/advice", &form)
    };
    assert_eq!(send("power", "").status, StatusCode::NOT_FOUND, "no search");
    advised(&club, Role::Lead, &path);
    for (piece, together, words) in [
        ("helpers-9", "", "piece of the advice on this train"),
        ("nonsense", "", "piece of the advice on this train"),
        ("power", "7", "1, 2 or 3"),
    ] {
        let answer = send(piece, together);
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{piece}");
        assert!(answer.body.contains(words), "{}", answer.body);
    }
}

#[test]
fn a_program_reads_the_same_advice_with_the_trains_to_save() {
    let (club, line, train) = stalling("");
    let sent = |more: &str| format!("{{\"line\": {line}, \"make_up\": {train}{more}}}");
    let early = club.post(Role::Operator, "/api/hill/advice", &sent(""));
    assert!(early.status.is_client_error(), "the climb is not done");
    climbed(
        &club,
        Role::Operator,
        &format!("/hill/climb?line={line}&train={train}"),
    );
    let wrong = sent(", \"helpers_together\": 4");
    let wrong = club.post(Role::Operator, "/api/hill/advice", &wrong);
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let started = club.post(
        Role::Operator,
        "/api/hill/advice",
        &sent(", \"helpers_together\": 1"),
    );
    assert_eq!(started.status, StatusCode::ACCEPTED, "{}", started.body);
    let job = json(&started)["job"].as_str().expect("a job").to_owned();
    let state = loop {
        let state = json(&club.get(Role::Operator, &format!("/api/jobs/{job}")));
        if state["state"] == "done" {
            break state;
        }
        std::thread::yield_now();
    };
    assert_eq!(state["parts"], 8);
    let found = json(&club.get(Role::Operator, &format!("/api/jobs/{job}/result")));
    assert_eq!(found["plan"]["finished"], true);
    let advice = found["advice"].as_array().expect("a list");
    let power = advice.iter().find(|own| own["piece"] == "power");
    let power = power.expect("the spare locomotive");
    let text = power["train"].as_str().expect("a file");
    let order = gradeworthy_train::consist::read_train(text).expect("a train");
    assert!(
        order.members.iter().any(|own| own.name == "TST 901"),
        "{text}"
    );
    let margin = &found["plan"]["power"]["advice"]["margin"];
    assert_eq!(&power["margin"], margin);
}

#[test]
fn a_search_that_was_ended_says_so_and_goes_on_when_it_is_asked_to() {
    let (club, line, _) = hill();
    let easy = "[train]\nconsist = [\"TST 901\", \"TST 1\"]\nleast_margin = 0.01\n";
    let train = enter(&club, Role::Lead, "trains", "Light engine", easy, None);
    let path = format!("/hill/climb?line={line}&train={train}");
    let page = climbed(&club, Role::Lead, &path);
    assert!(
        page.body.contains("Look at what would better it"),
        "{}",
        page.body
    );
    // Every thread is held by quick work, which gives way to nothing.
    let (go, gone) = std::sync::mpsc::channel::<()>();
    let gone = std::sync::Arc::new(std::sync::Mutex::new(gone));
    for held in 0..8 {
        let gone = std::sync::Arc::clone(&gone);
        let id = crate::jobs::JobId::of("held", [held.to_string().as_str()]);
        let by = club.members[&Role::Lead];
        let work = move |_: &crate::jobs::Progress| {
            let held = gone.lock().expect("whole");
            Err(format!("let go: {:?}", held.recv()))
        };
        club.app.jobs().start(id, "held", by, work).expect("taken");
    }
    let waiting = club.get(Role::Lead, &format!("{path}&together=2"));
    assert!(
        waiting.body.contains("The search waits"),
        "{}",
        waiting.body
    );
    let at = waiting.body.find("/api/jobs/").expect("a job") + "/api/jobs/".len();
    let end = format!("/hill/jobs/{}/end", &waiting.body[at..at + 32]);
    let form = format!("line={line}&train={train}");
    let ended = club.post(Role::Lead, &end, &form);
    assert_eq!(ended.status, StatusCode::SEE_OTHER, "{}", ended.body);
    assert_eq!(ended.location(), format!("{path}#advice"));
    let page = club.get(Role::Lead, &path);
    for part in [
        "The search was ended. Not looked at: what to move",
        "Go on looking",
    ] {
        assert!(page.body.contains(part), "no '{part}' in {}", page.body);
    }
    drop(go);
    let done = advised(&club, Role::Lead, &format!("{path}&together=2"));
    assert!(
        done.body.contains("Everything was looked at"),
        "{}",
        done.body
    );
}
