//! A writing process is killed at random moments, again and again on one file. After each: every
//! acknowledged batch is there in full, no batch is there in part, and the file is whole.
//!
//! Twenty kills by default; `GRADEWORTHY_KILLS=200` before a release.

mod shop;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use gradeworthy_store::{CarId, Fact, Options, Store, Version};
use shop::Shop;

#[test]
fn a_killed_writer_loses_nothing_acknowledged_and_leaves_nothing_in_part() {
    let shop = Shop::open();
    let cars: Vec<_> = (0..4)
        .map(|number| shop.car(&format!("TST {number}")))
        .collect();
    let (path, lead) = (shop.path(), shop.lead);
    drop(shop.store);
    let mut acknowledged = BTreeSet::new();
    let mut unacknowledged_kept = 0;
    for kill in 0..kills() {
        acknowledged.extend(write_until_killed(&path, lead.number(), &cars, pause(kill)));
        let there = batches(&path, &cars);
        for batch in &acknowledged {
            assert!(
                there.contains(batch),
                "kill {kill}: the acknowledged batch {batch} is gone"
            );
        }
        unacknowledged_kept = there.len() - acknowledged.len();
    }
    let count = acknowledged.len();
    println!(
        "{} kills, {count} batches acknowledged, {unacknowledged_kept} kept whose answer was lost",
        kills(),
    );
    assert!(
        count > 10 * kills(),
        "only {count} batches were acknowledged"
    );
}

#[expect(
    clippy::disallowed_methods,
    reason = "a longer run is asked for from outside"
)]
fn kills() -> usize {
    std::env::var("GRADEWORTHY_KILLS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(20)
}

/// Between 5 and 300 ms, spread by a multiplicative hash, so that a failure can be tried again.
fn pause(kill: usize) -> Duration {
    let hash = (u64::try_from(kill).expect("small") + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    Duration::from_millis(5 + (hash >> 40) % 296)
}

fn program() -> PathBuf {
    let test = std::env::current_exe().expect("this program");
    let folder = test
        .parent()
        .and_then(Path::parent)
        .expect("the folder of examples");
    let program = folder
        .join("examples")
        .join(format!("write_load{}", std::env::consts::EXE_SUFFIX));
    assert!(
        program.is_file(),
        "build it first: cargo build -p gradeworthy-store --examples"
    );
    program
}

/// The batches it had said were acknowledged when it was killed.
fn write_until_killed(path: &Path, lead: i64, cars: &[CarId], pause: Duration) -> Vec<String> {
    let mut child = Command::new(program())
        .arg(path)
        .arg(lead.to_string())
        .args(cars.iter().map(ToString::to_string))
        .stdout(Stdio::piped())
        .spawn()
        .expect("started");
    let mut output = BufReader::new(child.stdout.take().expect("its output"));
    let mut line = String::new();
    output.read_line(&mut line).expect("its first line");
    assert_eq!(line, "open\n");
    let reader = std::thread::spawn(move || {
        let mut acknowledged = Vec::new();
        let mut line = String::new();
        while output.read_line(&mut line).expect("its output") > 0 {
            // A line cut off by the kill acknowledges nothing.
            if let Some(batch) = line
                .strip_prefix("ack ")
                .and_then(|rest| rest.strip_suffix('\n'))
            {
                acknowledged.push(batch.to_owned());
            }
            line.clear();
        }
        acknowledged
    });
    std::thread::sleep(pause);
    child.kill().expect("killed");
    child.wait().expect("ended");
    reader.join().expect("read")
}

/// Every batch in the file, having made sure that the file is whole and each batch complete.
fn batches(path: &Path, cars: &[CarId]) -> BTreeSet<String> {
    let store = Store::open(path, &Options::default()).expect("opened after the kill");
    let integrity = store.check().expect("checked");
    assert!(integrity.is_whole(), "{:?}", integrity.problems);
    let snapshot = store.snapshot().expect("a snapshot");
    let mut found = BTreeMap::<String, usize>::new();
    for car in cars {
        for event in snapshot
            .history(*car, Version::from_number(0), None)
            .expect("a history")
        {
            if let Fact::Read(entry) = event.fact {
                *found
                    .entry(entry.instrument.expect("its batch").into())
                    .or_default() += 1;
            }
        }
    }
    let complete = |(name, count): (String, usize)| {
        let (batch, size) = name.split_once(' ').expect("a batch and its size");
        assert_eq!(
            count.to_string(),
            size,
            "the batch {batch} is there in part"
        );
        batch.to_owned()
    };
    found.into_iter().map(complete).collect()
}
