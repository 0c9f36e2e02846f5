//! A copy made while benches enter readings holds exactly a beginning of the record.
//!
//! *Exactly* means: there is a version, the copy's, such that the copy holds every event up to it, as the
//! record itself does, and none after. Every batch acknowledged before the copying began is in it; no
//! batch is that was sent after the copying had ended; of those under way meanwhile each is there in full
//! or not at all. Restored, it is that record again.

mod running;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use gradeworthy_store::{
    CarEvent, CarId, Options, Seq, Store, Version, check_file, copy_to, restore,
};
use jiff::Timestamp;
use running::batch::{Batch, batches};
use running::{Club, Running};

const BENCHES: u32 = 4;
const COPIES: usize = 4;

#[derive(Default)]
struct Sendings {
    begun: BTreeSet<Batch>,
    acknowledged: BTreeSet<Batch>,
}

/// Enters batches until told to stop, noting each before it is sent and after its answer.
fn work(club: &Club, server: &Running, bench: u32, all: &Mutex<Sendings>, stop: &AtomicBool) {
    let car = club.cars[usize::try_from(bench).expect("small")];
    let mut talk = server.talk(&club.token);
    let path = format!("/api/bench/{car}");
    let mut answer = talk.get(&path).expect("an answer");
    for number in 0.. {
        if stop.load(Ordering::SeqCst) {
            return;
        }
        let json: serde_json::Value = serde_json::from_str(&answer.body).expect("JSON");
        let body = Batch { bench, number }.body(json["version"].as_i64().expect("a version"));
        let note = |what: fn(&mut Sendings) -> &mut BTreeSet<Batch>| {
            what(&mut all.lock().expect("not poisoned")).insert(Batch { bench, number });
        };
        note(|all| &mut all.begun);
        answer = talk
            .json(&format!("{path}/readings"), &body)
            .expect("an answer");
        assert_eq!(answer.status, 200, "{answer:?}");
        note(|all| &mut all.acknowledged);
    }
}

/// What was certainly entered when a copy began, and all that had been begun when it ended.
struct Copied {
    before: BTreeSet<Batch>,
    until: BTreeSet<Batch>,
}

fn copies(club: &Club, all: &Mutex<Sendings>) -> Vec<Copied> {
    let mut copied = Vec::new();
    for number in 0..COPIES {
        // A copy among readings, not before them: more were entered since the last one.
        let enough = 8 * (number + 1);
        while all.lock().expect("not poisoned").acknowledged.len() < enough {
            std::thread::yield_now();
        }
        let before = all.lock().expect("not poisoned").acknowledged.clone();
        copy_to(&club.path(), &copy(club, number)).expect("copied");
        let until = all.lock().expect("not poisoned").begun.clone();
        copied.push(Copied { before, until });
    }
    copied
}

fn copy(club: &Club, number: usize) -> std::path::PathBuf {
    club.folder().join(format!("copy-{number}.sqlite"))
}

fn events(path: &Path, cars: &[CarId]) -> BTreeMap<Seq, CarEvent> {
    let store = Store::open_read_only(path, &Options::default()).expect("opened");
    let snapshot = store.snapshot().expect("a snapshot");
    let all = cars.iter().flat_map(|car| {
        let events = snapshot.history(*car, Version::from_number(0), None);
        events.expect("a history")
    });
    all.map(|event| (event.seq, event)).collect()
}

#[test]
fn a_copy_made_under_load_is_the_record_at_one_moment_and_restores_to_it() {
    let club = Club::new(usize::try_from(BENCHES).expect("small"));
    let server = Running::start(&club.path());
    let (all, stop) = (Mutex::new(Sendings::default()), AtomicBool::new(false));
    let copied = std::thread::scope(|scope| {
        for bench in 0..BENCHES {
            let (club, server, all, stop) = (&club, &server, &all, &stop);
            scope.spawn(move || work(club, server, bench, all, stop));
        }
        let copied = copies(&club, &all);
        stop.store(true, Ordering::SeqCst);
        copied
    });
    server.kill();
    drop(Store::open(&club.path(), &Options::default()).expect("the log taken in"));
    let record = events(&club.path(), &club.cars);
    let mut lengths = BTreeSet::new();
    for (number, copied) in copied.iter().enumerate() {
        let path = club.folder().join(format!("restored-{number}.sqlite"));
        restore(&copy(&club, number), &path, Timestamp::now()).expect("restored");
        let integrity = check_file(&path).expect("checked");
        assert!(integrity.is_whole(), "{:?}", integrity.problems);
        let own = events(&path, &club.cars);
        let (last, _) = own.last_key_value().expect("cars were entered");
        let beginning: BTreeMap<_, _> = record
            .range(..=*last)
            .map(|(seq, event)| (*seq, event.clone()))
            .collect();
        assert!(
            own == beginning,
            "copy {number} is no beginning of the record"
        );
        let store = Store::open_read_only(&path, &Options::default()).expect("opened");
        let there = batches(&store.snapshot().expect("a snapshot"), &club.cars);
        let lost: Vec<_> = copied.before.difference(&there).collect();
        assert!(
            lost.is_empty(),
            "acknowledged before copy {number} and not in it: {lost:?}"
        );
        let early: Vec<_> = there.difference(&copied.until).collect();
        assert!(
            early.is_empty(),
            "in copy {number} and sent after it: {early:?}"
        );
        lengths.insert(there.len());
        println!(
            "copy {number}: {} acknowledged before, {} in it, {} begun when it ended",
            copied.before.len(),
            there.len(),
            copied.until.len()
        );
    }
    assert_eq!(lengths.len(), COPIES, "the copies are of different moments");
}
