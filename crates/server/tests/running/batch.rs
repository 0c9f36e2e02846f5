//! Batches of readings that say which they are: a bench's number and a running one stand in the digits of
//! each reading, so that whatever the record holds can be traced to what was sent.

use std::collections::{BTreeMap, BTreeSet};

use gradeworthy_store::{CarId, ClientId, Fact, Snapshot, Version};
use gradeworthy_workbench::record::{Place, Value};
use serde_json::{Value as Json, json};

/// One sending of a bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Batch {
    pub bench: u32,
    pub number: u32,
}

impl Batch {
    /// One to five readings.
    pub fn size(self) -> usize {
        usize::try_from(1 + self.number % 5).expect("small")
    }

    /// 14.4 mm and six digits more: plausible between the wheels of any HO car.
    fn text(self) -> String {
        format!("14.4{}{:04} mm", self.bench, self.number)
    }

    fn of_text(text: &str) -> Option<Self> {
        let digits = text.strip_prefix("14.4")?.strip_suffix(" mm")?;
        let (bench, number) = digits.split_at_checked(1)?;
        let (bench, number) = (bench.parse().ok()?, number.parse().ok()?);
        Some(Self { bench, number })
    }

    /// The same identity each time, so that sending it again is the same sending.
    fn client_id(self) -> ClientId {
        let mut bytes = [7; 16];
        bytes[..4].copy_from_slice(&self.bench.to_be_bytes());
        bytes[4..8].copy_from_slice(&self.number.to_be_bytes());
        ClientId::from_bytes(bytes)
    }

    /// The body of its request.
    pub fn body(self, version: i64) -> String {
        let place = |index: usize| format!("station-{}-{}", 1 + index / 2, 1 + index % 2);
        let reading = |index| json!({ "measure": "back to back", "place": place(index), "text": self.text() });
        let readings: Vec<Json> = (0..self.size()).map(reading).collect();
        let client_id = self.client_id().to_string();
        json!({ "client_id": client_id, "version": version, "readings": readings }).to_string()
    }
}

/// Every batch of these cars. A batch that is there in part, or whose readings stand apart, is a failure.
pub fn batches(snapshot: &Snapshot<'_>, cars: &[CarId]) -> BTreeSet<Batch> {
    let mut all = BTreeSet::new();
    for car in cars {
        let mut places = BTreeMap::<Batch, Vec<(i64, Place)>>::new();
        let events = snapshot.history(*car, Version::from_number(0), None);
        for event in events.expect("a history") {
            let Fact::Read(entry) = event.fact else {
                continue;
            };
            let Value::Quantity(typed) = entry.value else {
                continue;
            };
            let batch = Batch::of_text(&typed.text).expect("a batch of ours");
            let own = places.entry(batch).or_default();
            own.push((event.seq.number(), entry.place));
        }
        for (batch, places) in places {
            let whole = places.len() == batch.size();
            let together = places.windows(2).all(|two| two[1].0 == two[0].0 + 1);
            assert!(
                whole && together,
                "{batch:?} is there in part or apart: {places:?}"
            );
            assert!(all.insert(batch), "{batch:?} is there twice");
        }
    }
    all
}
