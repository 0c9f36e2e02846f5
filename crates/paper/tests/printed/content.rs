//! The invented club's cars as what the papers are made of.

use gradeworthy_demo::{CARS, SEED, SHOP, fleet, rule_book};
use gradeworthy_paper::{
    Address, BadOrders, Defects, Happened, Instrument, Judged, Label, Monthly, Outcomes,
    RecordSheet, Slip, SpreadOf, Statement, StatementCar, Tag, Waits,
};
use gradeworthy_reports::words::System;
use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::{Record, Value};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::{Date, date};

pub(crate) const DAY: Date = date(2026, 11, 25);
pub(crate) const BOOK: &str = "the invented club's rule book";

/// A car with what its readings come to.
pub(crate) struct Car {
    pub(crate) record: Record,
    pub(crate) inspection: Inspection,
    pub(crate) cures: Vec<Cure>,
}

/// The first cars of the invented club.
pub(crate) fn cars(most: usize) -> Vec<Car> {
    let book = RuleBook::read(&rule_book()).expect("rules");
    let shop = Shop::read(SHOP).expect("a shop");
    let records = fleet(SEED, CARS).into_iter().take(most);
    let judged = records.map(|record| {
        let inspection = inspect(&record, &book, &shop, DAY);
        let cures = prescribe(&record, &book, &shop, &inspection);
        Car {
            record,
            inspection,
            cures,
        }
    });
    judged.collect()
}

/// A page on a server of documentation's own block of addresses (RFC 5737).
pub(crate) fn address(car: usize) -> Address {
    Address::Page(format!("http://192.0.2.7:7700/cars/{car}"))
}

fn what(car: &Car) -> String {
    let own = &car.record.car;
    let description = own.description.as_deref().unwrap_or("car");
    format!("{description}, {}", own.scale)
}

fn judged(car: &Car) -> Judged {
    Judged {
        verdict: car.inspection.verdict,
        edition: car.inspection.edition,
        on: DAY,
    }
}

pub(crate) fn label(number: usize, car: &Car) -> Label {
    Label {
        mark: car.record.car.mark.to_string(),
        what: what(car),
        owner: car.record.car.owner.as_deref().map(str::to_owned),
        judged: Some(judged(car)),
        address: address(number),
    }
}

pub(crate) fn tag(number: usize, car: &Car) -> Tag {
    let own = (&car.inspection, car.cures.as_slice());
    Tag::of(&car.record.car, own, DAY, address(number), System::Both)
}

pub(crate) fn slip() -> Slip {
    Slip {
        mark: "WQX 110".to_owned(),
        what: "53-ft flat car, HO".to_owned(),
        owner: Some("J. Invented".to_owned()),
        defect: "would not couple".to_owned(),
        place: "A end".to_owned(),
        note: "third time tonight, both times shoving into the upper yard".to_owned(),
        by: "Operator".to_owned(),
        at: "2026-11-25 20:14".to_owned(),
        address: address(110),
    }
}

pub(crate) fn sheet(car: &Car) -> RecordSheet<'_> {
    let event = |at: &str, by: &str, what: &str| Happened {
        at: at.to_owned(),
        by: by.to_owned(),
        what: what.to_owned(),
    };
    RecordSheet {
        record: &car.record,
        inspection: &car.inspection,
        cures: &car.cures,
        on: DAY,
        book: BOOK,
        standing: Some("bad-ordered, since 2026-11-02".to_owned()),
        history: Some(vec![
            event(
                "2026-11-02 20:00",
                "Inspector",
                "Bad-ordered: coupler height, A end",
            ),
            event(
                "2026-11-02 19:40",
                "Inspector",
                "Judged under edition 1: bad order",
            ),
            event("2026-10-01 19:05", "Lead", "Lettered, owned and described"),
        ]),
        address: address(107),
    }
}

pub(crate) fn statement(cars: &[Car]) -> Statement {
    let one = |car: &Car| StatementCar {
        mark: car.record.car.mark.to_string(),
        what: what(car),
        judged: Some(judged(car)),
        standing: "at the bench, since 2026-11-02".to_owned(),
        out: StatementCar::out_of(&car.inspection, System::Both),
        asked: (car.inspection.verdict == Verdict::BadOrder)
            .then(|| "may the trucks be exchanged?".to_owned()),
    };
    Statement {
        owner: "Ýmir Þórsson-Öztürk".to_owned(),
        on: DAY,
        cars: cars.iter().map(one).collect(),
    }
}

pub(crate) fn month(cars: &[Car]) -> Monthly {
    let values = |name: &str| -> Vec<Amount> {
        let last = |car: &Car| {
            let mut entries = car.record.entries.iter().rev();
            entries.find_map(|entry| match &entry.value {
                Value::Quantity(typed) if entry.measure.name() == name => Some(typed.amount),
                Value::Quantity(_) | Value::Answer(_) => None,
            })
        };
        cars.iter().filter_map(last).collect()
    };
    let spread = |what: &str, name: &str| SpreadOf {
        what: what.to_owned(),
        values: values(name),
        limits: (None, None),
    };
    Monthly {
        from: date(2026, 11, 1),
        to: date(2026, 11, 30),
        outcomes: Outcomes {
            judged: 43,
            inspections: 61,
            admitted: 31,
            limited: 2,
            bad_ordered: 12,
            handed_back: 1,
        },
        defects: vec![Defects {
            defect: "coupler height".to_owned(),
            reports: 7,
            cars: 5,
        }],
        waits: vec![Waits {
            why: "waiting for parts".to_owned(),
            cars: 3,
            oldest: Some(("ZBR 107".to_owned(), date(2026, 9, 2))),
        }],
        spreads: vec![
            spread("coupler height, HO", "coupler height"),
            spread("weight, HO", "weight"),
        ],
        worst: vec![BadOrders {
            mark: "ZBR 107".to_owned(),
            what: "40-ft box car, HO".to_owned(),
            in_period: 3,
            ever: 9,
            last: "coupler height".to_owned(),
        }],
        instruments: vec![Instrument {
            name: "caliper 2".to_owned(),
            readings: 480,
            last: date(2026, 11, 24),
        }],
        unnamed_readings: 12,
        missing: vec!["Trouble on the hill is not in this record.".to_owned()],
    }
}
