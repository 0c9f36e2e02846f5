//! An invented fleet, with cures done, readings repeated, parts fitted and tags.

use std::sync::Arc;

use gradeworthy_demo::{Keeping, SHOP, rule_book};
use gradeworthy_fleet::{CarFacts, Fitted, Fleet, Judged, Under};
use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{Entry, Measure, Place, Record, Value};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::Timestamp;
use jiff::civil::{Date, date};

pub(crate) const TODAY: Date = date(2026, 11, 25);

pub(crate) fn under(text: &str) -> Under {
    let book = RuleBook::read(text).unwrap_or_else(|error| panic!("{error}"));
    let shop = Shop::read(SHOP).unwrap_or_else(|error| panic!("{error}"));
    Under {
        book: Arc::new(book),
        shop: Arc::new(shop),
        day: TODAY,
    }
}

/// The book of the invented club with an exception that holds and one that has lapsed.
pub(crate) fn book_text() -> String {
    rule_book()
        + "\n[[exception]]\ntag = \"grandfathered\"\nwaives = [\"coupler height\", \"droop\"]\n\
           note = \"until its couplers are changed\"\nuntil = 2027-01-01\nstanding = \"club\"\n\
           \n[[exception]]\ntag = \"visitor\"\nwaives = [\"wheelsets\", \"coupler action\", \"droop\"]\nnote = \"for the summer\"\n\
           until = 2026-10-01\nstanding = \"club\"\n"
}

fn quantity(measure: Measure, place: Place, text: &str, unit: Unit) -> Entry {
    let typed = Reader::new(unit).read(text);
    let typed = typed.unwrap_or_else(|error| panic!("{error}"));
    Entry {
        measure,
        place,
        value: Value::Quantity(typed),
        instrument: None,
        on: None,
    }
}

/// Cars that nobody kept; every third one was worked on between readings or read twice.
pub(crate) fn records(seed: u64, count: u64) -> Vec<Record> {
    (0..count).map(|index| record(seed, index)).collect()
}

fn record(seed: u64, index: u64) -> Record {
    let mut record = gradeworthy_demo::car(seed, index, &Keeping::NEGLECTED);
    match index % 9 {
        1 => record.note_done(CureKind::WheelsetChanged, None),
        2 => {
            record.note_done(CureKind::BolsterShimmed, None);
            let again = record.entries[record.entries.len() - 5..].to_vec();
            record.entries.extend(again);
        }
        3 => {
            let half = record.entries.len() / 2;
            let later = record.entries.split_off(half);
            record.note_done(CureKind::CouplerChanged, None);
            record.entries.extend(later);
        }
        4 => {
            // Read twice, the first time wrongly, and the second time without an instrument.
            let wrong = quantity(Measure::Weight, Place::Car, "300 g", Unit::Gram);
            record.entries.insert(0, wrong);
        }
        5 => record.car.tags.push("grandfathered".into()),
        6 => record.car.tags.push("VISITOR".into()),
        7 => record.entries.truncate(40),
        _ => {}
    }
    record
}

pub(crate) fn facts(index: usize, record: &Record) -> CarFacts {
    let lot = |lot: &str| Some(lot.into());
    let mut parts = Vec::new();
    if index.is_multiple_of(4) {
        parts.push(Fitted {
            part: "wheelset",
            place: Place::Car,
            description: "33-in, metal".into(),
            lot: lot(if index.is_multiple_of(8) { "A7" } else { "B2" }),
        });
    }
    CarFacts {
        key: i64::try_from(index).unwrap_or(0) + 100,
        owner_member: Some(i64::try_from(index % 5).unwrap_or(0)),
        state: if record.car.tags.is_empty() {
            "admitted"
        } else {
            "limited"
        },
        since: Timestamp::from_second(1_790_000_000).unwrap_or(Timestamp::UNIX_EPOCH),
        parts,
    }
}

pub(crate) fn fleet(records: &[Record], text: &str) -> Fleet {
    let mut fleet = Fleet::new(under(text));
    for (index, record) in records.iter().enumerate() {
        let put = fleet.put(facts(index, record), record);
        put.unwrap_or_else(|error| panic!("{error}"));
    }
    fleet
}

/// The verdicts of a car from its whole record.
pub(crate) fn judged(record: &Record, under: &Under) -> Judged {
    let inspection = inspect(record, &under.book, &under.shop, under.day);
    Judged {
        verdict: inspection.verdict,
        checks: inspection.checks,
    }
}
