//! Files that are not whole, not ours, not writable, or on a full disk: each is said for what it is, and
//! nothing acknowledged is lost.

mod shop;

use std::fs;
use std::path::Path;
use std::time::Duration;

use gradeworthy_store::{
    Basis, CarEvent, CarId, ClassFilter, Error, Fact, FleetFilter, Options, Store, Version,
};
use gradeworthy_workbench::record::{Measure, Place};
use proptest::prelude::*;
use rusqlite::Connection;
use shop::{Shop, at, back_to_back, path_in};
use tempfile::TempDir;

fn refusal(path: &Path) -> Error {
    Store::open(path, &Options::default())
        .err()
        .expect("it must be refused")
}

#[test]
fn what_is_no_record_is_refused_and_left_alone() {
    let folder = TempDir::new().expect("a folder");
    let path = path_in(&folder);
    assert!(matches!(refusal(&path), Error::Missing { .. }));
    assert!(!path.exists(), "opening makes no file");
    for content in [&b""[..], b"SQLite", &[0; 4096], b"car,weight\nTST 1,4 oz\n"] {
        fs::write(&path, content).expect("written");
        assert!(matches!(refusal(&path), Error::NotARecord { .. }));
        assert_eq!(fs::read(&path).expect("read"), content);
        let error = Store::create(&path, &Options::default())
            .err()
            .expect("it exists");
        assert!(matches!(error, Error::Exists { .. }), "{error}");
    }
    fs::remove_file(&path).expect("removed");
    let other = Connection::open(&path).expect("another program's file");
    other
        .execute_batch("CREATE TABLE t (x); PRAGMA application_id = 7")
        .expect("made");
    drop(other);
    assert!(matches!(refusal(&path), Error::NotARecord { .. }));
    fs::remove_file(&path).expect("removed");
    let blank = Connection::open(&path).expect("a blank file");
    blank
        .execute_batch("PRAGMA user_version = 0; VACUUM")
        .expect("made");
    drop(blank);
    assert!(matches!(refusal(&path), Error::NotARecord { .. }));
}

#[test]
fn a_file_of_a_newer_tool_says_so() {
    let shop = Shop::open();
    let path = shop.path();
    drop(shop.store);
    let connection = Connection::open(&path).expect("opened");
    connection
        .pragma_update(None, "user_version", 99)
        .expect("marked");
    drop(connection);
    let error = refusal(&path);
    assert!(
        matches!(error, Error::NewerSchema { found: 99, .. }),
        "{error}"
    );
    assert!(error.to_string().contains("use the newer tool"), "{error}");
}

#[test]
fn a_record_open_for_reading_refuses_to_be_written() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let (path, lead) = (shop.path(), shop.lead);
    drop(shop.store);
    let store = Store::open_read_only(&path, &Options::default()).expect("for reading");
    assert_eq!(
        store
            .snapshot()
            .expect("a snapshot")
            .car(car)
            .expect("a car")
            .mark
            .as_str(),
        "TST 1"
    );
    let order = gradeworthy_store::Append {
        car,
        by: lead,
        second: None,
        at: at(50),
        basis: Basis::Blind,
        facts: vec![(shop::id(), Fact::Noted("no".into()))],
        drafts_done: None,
    };
    let error = store.append(order).expect_err("refused");
    assert!(matches!(error, Error::ReadOnly), "{error}");
}

#[test]
fn a_record_held_by_another_program_says_so_and_takes_the_entry_afterwards() {
    let options = Options {
        patience: Duration::from_millis(50),
        ..Options::default()
    };
    let shop = Shop::open_with(&options);
    let car = shop.car("TST 1");
    let other = Connection::open(shop.path()).expect("another program");
    other.execute_batch("BEGIN IMMEDIATE").expect("held");
    let error = shop
        .append(shop.lead, car, [Fact::Noted("x".into())])
        .expect_err("held");
    assert!(matches!(error, Error::Locked), "{error}");
    other.execute_batch("ROLLBACK").expect("let go");
    shop.append(shop.lead, car, [Fact::Noted("x".into())])
        .expect("free");
}

/// Everything that a full disk could have torn: what was acknowledged is there, what was refused is not,
/// and with room again the record goes on.
#[test]
fn a_full_disk_loses_nothing_that_was_acknowledged() {
    let options = Options {
        page_count_max: Some(140),
        ..Options::default()
    };
    let shop = Shop::open_with(&options);
    let cars: Vec<_> = (0..4)
        .map(|number| shop.car(&format!("TST {number}")))
        .collect();
    let acknowledged: Vec<Vec<Version>> = std::thread::scope(|scope| {
        let fill = |car: CarId| {
            let mut acknowledged = Vec::new();
            for number in 0..4000 {
                let note = Fact::Noted(format!("{number} {}", "full ".repeat(60)).into());
                match shop.append(shop.lead, car, [note]) {
                    Ok(receipt) => acknowledged.push(receipt.version),
                    Err(Error::DiskFull) => return acknowledged,
                    Err(error) => panic!("{error}"),
                }
            }
            panic!("the disk never filled");
        };
        let threads: Vec<_> = cars
            .iter()
            .map(|car| scope.spawn(move || fill(*car)))
            .collect();
        threads
            .into_iter()
            .map(|thread| thread.join().expect("filled"))
            .collect()
    });
    assert!(acknowledged.iter().map(Vec::len).sum::<usize>() > 100);
    let (path, lead) = (shop.path(), shop.lead);
    drop(shop.store);
    let store = Store::open(&path, &Options::default()).expect("opened with room");
    assert_eq!(
        store.check().expect("checked").problems,
        Vec::<String>::new()
    );
    let snapshot = store.snapshot().expect("a snapshot");
    for (car, acknowledged) in cars.iter().zip(&acknowledged) {
        let there: Vec<Version> = notes(
            &snapshot
                .history(*car, Version::from_number(0), None)
                .expect("read"),
        );
        assert_eq!(&there, acknowledged);
    }
    let order = gradeworthy_store::Append {
        car: cars[0],
        by: lead,
        second: None,
        at: at(50),
        basis: Basis::Blind,
        facts: vec![(shop::id(), Fact::Noted("room again".into()))],
        drafts_done: None,
    };
    store.append(order).expect("room again");
}

fn notes(events: &[CarEvent]) -> Vec<Version> {
    let notes = events
        .iter()
        .filter(|event| matches!(event.fact, Fact::Noted(_)));
    notes.map(|event| event.seq.into()).collect()
}

/// A closed record with some readings, as bytes, and the number of its events.
fn sample() -> (Vec<u8>, u64) {
    let shop = Shop::open();
    for number in 0..6 {
        let car = shop.car(&format!("TST {number}"));
        for text in [".560", ".561", ".562"] {
            shop.lead_appends(car, Fact::Read(back_to_back(text)));
        }
    }
    let path = shop.path();
    let count = shop.store.check().expect("checked").event_count;
    drop(shop.store);
    (fs::read(path).expect("read"), count)
}

/// Reads all that pages read. Nothing may panic; what is wrong must be an error or a finding.
fn read_all(path: &Path) -> Result<bool, Error> {
    let store = Store::open(
        path,
        &Options {
            readers: 1,
            ..Options::default()
        },
    )?;
    let whole = store.check()?.is_whole();
    let snapshot = store.snapshot()?;
    for row in snapshot.fleet(&FleetFilter::default(), None, 100)? {
        snapshot.history(row.car, Version::from_number(0), None)?;
        snapshot.record(row.car)?;
        let class = ClassFilter {
            scale: row.scale,
            car_type: None,
        };
        snapshot.spread(Measure::BackToBack, Place::Station(1, 1), &class)?;
    }
    Ok(whole)
}

#[test]
fn a_file_cut_short_is_never_taken_for_whole() {
    let (bytes, _) = sample();
    let folder = TempDir::new().expect("a folder");
    let path = path_in(&folder);
    for part in 0..40 {
        let length = bytes.len() * part / 40;
        fs::write(&path, &bytes[..length]).expect("written");
        match read_all(&path) {
            Ok(whole) => assert!(!whole, "{length} of {} bytes", bytes.len()),
            Err(error) => assert!(
                matches!(error, Error::Corrupt { .. } | Error::NotARecord { .. }),
                "{length} of {} bytes: {error}",
                bytes.len(),
            ),
        }
        for suffix in ["-wal", "-shm"] {
            drop(fs::remove_file(gone(&path, suffix)));
        }
    }
}

fn gone(path: &Path, suffix: &str) -> std::path::PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    name.into()
}

#[test]
fn bytes_changed_anywhere_never_make_the_reader_panic() {
    let (bytes, _) = sample();
    let config = ProptestConfig::with_cases(120);
    let changes = prop::collection::vec((0..bytes.len(), any::<u8>()), 1..8);
    let mut runner = proptest::test_runner::TestRunner::new(config);
    let result = runner.run(&changes, |changes| {
        let folder = TempDir::new().expect("a folder");
        let path = path_in(&folder);
        let mut bytes = bytes.clone();
        for (index, byte) in changes {
            bytes[index] = byte;
        }
        fs::write(&path, bytes).expect("written");
        // Any answer will do but a panic.
        drop(read_all(&path));
        Ok(())
    });
    result.expect("no panic");
}

/// A power cut tears the log anywhere: what is left of it is a beginning of what was entered, entry by
/// entry, and never a part of one.
#[test]
fn a_log_torn_anywhere_leaves_a_beginning_of_what_was_entered() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    // Everything so far goes into the file; what follows stays in the log.
    let other = Connection::open(shop.path()).expect("opened");
    other
        .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .expect("taken in");
    let first = shop.version(car);
    let mut entered = Vec::new();
    for number in 0..8 {
        let facts = [
            Fact::Read(back_to_back(&format!(".56{number}"))),
            Fact::Noted(format!("{number}").into()),
            Fact::Noted("x".repeat(3000).into()),
        ];
        entered.push(shop.append(shop.lead, car, facts).expect("entered").version);
    }
    let file = fs::read(shop.path()).expect("read");
    let log = fs::read(gone(&shop.path(), "-wal")).expect("read");
    assert!(log.len() > 30_000, "{}", log.len());
    let mut lengths_seen = std::collections::BTreeSet::new();
    for cut in (0..=log.len()).step_by(1999) {
        let folder = TempDir::new().expect("a folder");
        let path = path_in(&folder);
        fs::write(&path, &file).expect("written");
        fs::write(gone(&path, "-wal"), &log[..cut]).expect("written");
        let store = Store::open(&path, &Options::default()).expect("opened");
        assert!(store.check().expect("checked").is_whole(), "cut at {cut}");
        let last = store
            .snapshot()
            .expect("a snapshot")
            .version(car)
            .expect("a car");
        let whole = entered
            .iter()
            .position(|version| *version == last)
            .map_or(0, |index| index + 1);
        assert!(
            whole > 0 || last == first,
            "cut at {cut}: a part of an entry"
        );
        lengths_seen.insert(whole);
    }
    assert!(lengths_seen.len() > 5, "{lengths_seen:?}");
}
