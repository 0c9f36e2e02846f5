//! The served record is killed at random moments while benches send it readings, again and again on one
//! file. After each kill: every batch whose answer a bench had read is there in full, no batch is there
//! in part or twice, none is there that nobody sent, and the file is whole. A bench that lost its answer
//! sends the same again once the server is back, as a page does when its button is pressed once more.
//!
//! Eight kills by default; `GRADEWORTHY_KILLS=200` before a release.

mod running;

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

use gradeworthy_store::{CarId, Options, Store};
use running::batch::{Batch, batches};
use running::talk::{Said, Talk};
use running::{Club, Running};

/// Benches at once; the last two share a car and so get in each other's way.
const BENCHES: u32 = 6;
const CARS: usize = 5;

#[test]
fn a_killed_server_loses_nothing_acknowledged_and_leaves_nothing_in_part() {
    let club = Club::new(CARS);
    let car = |bench: u32| club.cars[usize::try_from(bench).expect("small").min(CARS - 1)];
    let mut benches: Vec<_> = (0..BENCHES)
        .map(|bench| Bench::new(bench, car(bench)))
        .collect();
    let (mut kept_unanswered, mut repeated) = (0, 0);
    for kill in 0..kills() {
        let server = Running::start(&club.path());
        work_until_killed(server, &club.token, &mut benches, moment(kill));
        let there = look(&club);
        for bench in &benches {
            let own: BTreeSet<_> = there
                .iter()
                .filter(|batch| batch.bench == bench.bench)
                .copied()
                .collect();
            let lost: Vec<_> = bench.acknowledged.difference(&own).collect();
            assert!(
                lost.is_empty(),
                "kill {kill}: acknowledged and gone: {lost:?}"
            );
            let unsent: Vec<_> = own
                .difference(&bench.acknowledged)
                .filter(|batch| Some(**batch) != bench.pending)
                .collect();
            assert!(
                unsent.is_empty(),
                "kill {kill}: there and never sent: {unsent:?}"
            );
        }
        let pending = benches.iter().filter_map(|bench| bench.pending);
        kept_unanswered += pending.filter(|batch| there.contains(batch)).count();
        repeated = benches.iter().map(|bench| bench.sent_again).sum();
    }
    let count: usize = benches.iter().map(|bench| bench.acknowledged.len()).sum();
    println!(
        "{} kills, {count} batches acknowledged, {repeated} sent again after a kill, \
         {kept_unanswered} of those were kept and their answer lost",
        kills()
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
        .unwrap_or(8)
}

/// When to kill: after so many answers of all benches together, and so much later than the last of
/// them. Spread by a multiplicative hash, so that a failure can be tried again.
struct Moment {
    answers: u64,
    later: Duration,
}

fn moment(kill: usize) -> Moment {
    let hash = (u64::try_from(kill).expect("small") + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    Moment {
        answers: 12 + (hash >> 32) % 49,
        later: Duration::from_micros((hash >> 44) % 30_000),
    }
}

/// A bench, which outlives the servers that it talks to.
struct Bench {
    bench: u32,
    car: CarId,
    next: u32,
    /// Sent, and no answer read.
    pending: Option<Batch>,
    acknowledged: BTreeSet<Batch>,
    sent_again: usize,
}

impl Bench {
    fn new(bench: u32, car: CarId) -> Self {
        Self {
            bench,
            car,
            next: 0,
            pending: None,
            acknowledged: BTreeSet::new(),
            sent_again: 0,
        }
    }

    /// Enters batches until the server is gone.
    fn work(&mut self, address: SocketAddr, token: &str, answers: &Sender<()>) {
        // The server may be gone before it is reached.
        let Ok(mut talk) = Talk::open(address, token) else {
            return;
        };
        let Some(mut version) = self.version(&mut talk) else {
            return;
        };
        self.sent_again += usize::from(self.pending.is_some());
        loop {
            let batch = self.pending.unwrap_or(Batch {
                bench: self.bench,
                number: self.next,
            });
            self.pending = Some(batch);
            let path = format!("/api/bench/{}/readings", self.car);
            let Ok(said) = talk.json(&path, &batch.body(version)) else {
                return;
            };
            match said.status {
                200 => {
                    self.acknowledged.insert(batch);
                    self.pending = None;
                    self.next += 1;
                    version = version_of(&said);
                    // Nobody counts any more once the server is killed.
                    let _ = answers.send(());
                }
                409 => match self.version(&mut talk) {
                    Some(newer) => version = newer,
                    None => return,
                },
                _ => unreachable!("{said:?}"),
            }
        }
    }

    fn version(&self, talk: &mut Talk) -> Option<i64> {
        let said = talk.get(&format!("/api/bench/{}", self.car)).ok()?;
        Some(version_of(&said))
    }
}

fn version_of(said: &Said) -> i64 {
    assert_eq!(said.status, 200, "{said:?}");
    let json: serde_json::Value = serde_json::from_str(&said.body).expect("JSON");
    json["version"].as_i64().expect("a version")
}

fn work_until_killed(server: Running, token: &str, benches: &mut [Bench], moment: Moment) {
    let (sender, answers) = channel();
    let address = server.address;
    std::thread::scope(|scope| {
        for bench in benches {
            let sender = sender.clone();
            scope.spawn(move || bench.work(address, token, &sender));
        }
        drop(sender);
        wait_for(&answers, &moment);
        server.kill();
    });
}

/// The pause is the random moment itself; nothing waits for it to be long enough.
fn wait_for(answers: &Receiver<()>, moment: &Moment) {
    for _ in 0..moment.answers {
        answers.recv().expect("a bench at work");
    }
    std::thread::sleep(moment.later);
}

/// Every batch in the file, having made sure that the file is whole.
fn look(club: &Club) -> BTreeSet<Batch> {
    let store = Store::open(&club.path(), &Options::default()).expect("opened after the kill");
    let integrity = store.check().expect("checked");
    assert!(integrity.is_whole(), "{:?}", integrity.problems);
    let snapshot = store.snapshot().expect("a snapshot");
    batches(&snapshot, &club.cars)
}
