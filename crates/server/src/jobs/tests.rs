//! The runner by itself: nothing here knows what is worked on.

use std::sync::mpsc::{Receiver, Sender, channel};

use super::*;

struct Found(&'static str);

impl Outcome for Found {
    fn json(&self) -> Result<String, Refusal> {
        Ok(self.0.to_owned())
    }
}

fn found(text: &'static str) -> Result<Arc<dyn Outcome>, String> {
    Ok(Arc::new(Found(text)))
}

fn id(name: &str) -> JobId {
    JobId::of("test", [name])
}

const BY: MemberId = MemberId::from_number(1);

/// Waits until the job has ended; the job itself ends by a channel, so this never waits long.
fn ended(jobs: &Jobs, id: JobId) -> Stage {
    const LONG: Duration = Duration::from_secs(60);
    jobs.wait(id, LONG).expect("it is there").stage
}

/// A job that says it has begun, and goes on when told or when asked to end.
fn held(jobs: &Jobs, name: &str) -> (Receiver<()>, Sender<()>) {
    let (began, begun) = channel();
    let (go, gone) = channel::<()>();
    let work = move |progress: &Progress| {
        began.send(()).expect("heard");
        loop {
            if gone.recv_timeout(Duration::from_millis(1)).is_ok() {
                return found("held");
            }
            if progress.tell(3, 8).is_break() {
                return Err("stopped".to_owned());
            }
        }
    };
    jobs.start(id(name), "a job", BY, work).expect("taken");
    (begun, go)
}

#[test]
fn a_result_is_kept_for_its_input_and_not_worked_out_twice() {
    let jobs = Jobs::default();
    jobs.start(id("one"), "a job", BY, |_| found("first"))
        .expect("taken");
    assert!(matches!(ended(&jobs, id("one")), Stage::Done(_)));
    let again = jobs.start(id("one"), "a job", BY, |_| found("second"));
    let Stage::Done(own) = again.expect("there").stage else {
        panic!("it was done");
    };
    assert_eq!(own.json().expect("text"), "first");
}

#[test]
fn progress_is_seen_and_a_running_job_ends_when_asked_and_may_be_asked_for_again() {
    let jobs = Jobs::default();
    let (begun, _go) = held(&jobs, "long");
    begun.recv().expect("begun");
    jobs.cancel(id("long")).expect("there");
    assert!(matches!(ended(&jobs, id("long")), Stage::Cancelled));
    jobs.start(id("long"), "a job", BY, |_| found("now"))
        .expect("taken");
    assert!(matches!(ended(&jobs, id("long")), Stage::Done(_)));
}

#[test]
fn the_queue_is_bounded_and_a_waiting_job_leaves_it_at_once() {
    let jobs = Jobs::default();
    let holders: Vec<_> = (0..threads_most())
        .map(|number| held(&jobs, &format!("held {number}")))
        .collect();
    for (begun, _) in &holders {
        begun.recv().expect("begun");
    }
    for number in 0..WAITING_MOST {
        let name = format!("waiting {number}");
        let job = jobs.start(id(&name), "a job", BY, |_| found("x"));
        assert!(matches!(job.expect("taken").stage, Stage::Waiting(ahead) if ahead == number));
    }
    let full = jobs.start(id("too many"), "a job", BY, |_| found("x"));
    assert!(matches!(full, Err(Refusal::Busy { .. })));
    let gone = jobs.cancel(id("waiting 0")).expect("there");
    assert!(matches!(gone.stage, Stage::Cancelled));
    jobs.start(id("one more"), "a job", BY, |_| found("x"))
        .expect("there is room");
    drop(jobs);
}

#[test]
fn a_fault_in_one_job_takes_nothing_of_the_next() {
    let jobs = Jobs::default();
    jobs.start(id("bad"), "a job", BY, |_| panic!("on purpose"))
        .expect("taken");
    assert!(matches!(ended(&jobs, id("bad")), Stage::Failed(_)));
    jobs.start(id("good"), "a job", BY, |_| found("x"))
        .expect("taken");
    assert!(matches!(ended(&jobs, id("good")), Stage::Done(_)));
}

#[test]
fn only_the_latest_results_are_kept() {
    let jobs = Jobs::default();
    for number in 0..KEPT + 2 {
        let name = number.to_string();
        jobs.start(id(&name), "a job", BY, |_| found("x"))
            .expect("taken");
        ended(&jobs, id(&name));
    }
    assert!(matches!(jobs.find(id("0")), Err(Refusal::NoSuchJob)));
    assert!(jobs.find(id(&(KEPT + 1).to_string())).is_ok());
}

#[test]
fn a_search_that_takes_long_gives_way_to_quick_work_and_shows_what_it_has_found() {
    let jobs = Jobs::default();
    let (began, begun) = channel();
    let (go, gone) = channel::<()>();
    let work = move |progress: &Progress| {
        progress.show(Arc::new(Found("the first part")));
        began.send(()).expect("heard");
        loop {
            progress.give_way();
            if gone.recv_timeout(Duration::from_millis(1)).is_ok() {
                return found("all of it");
            }
            if progress.tell(1, 8).is_break() {
                return Err("stopped".to_owned());
            }
        }
    };
    jobs.start_patient(id("search"), "a search", BY, work)
        .expect("taken");
    begun.recv().expect("it began");
    let job = jobs.find(id("search")).expect("it is there");
    let text = job.outcome().expect("a part").json().expect("text");
    assert_eq!((job.parts, text.as_str()), (1, "the first part"));
    for other in 0..threads_most() {
        let name = format!("held {other}");
        let wait = |progress: &Progress| loop {
            progress.give_way();
            if progress.tell(0, 1).is_break() {
                return Err("stopped".to_owned());
            }
            std::thread::yield_now();
        };
        jobs.start_patient(id(&name), "a search", BY, wait)
            .expect("taken");
    }
    jobs.start(id("climb"), "a climb", BY, |_| found("climbed"))
        .expect("taken");
    assert!(matches!(ended(&jobs, id("climb")), Stage::Done(_)));
    let search = jobs.find(id("search")).expect("it is there");
    assert!(matches!(search.stage, Stage::Running(..)));
    jobs.cancel(id("search")).expect("there");
    assert!(matches!(ended(&jobs, id("search")), Stage::Cancelled));
    let kept = jobs.find(id("search")).expect("it is there");
    assert!(kept.outcome().is_some(), "what was found stays");
    drop(go);
}
