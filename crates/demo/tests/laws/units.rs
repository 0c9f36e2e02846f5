//! The unit in which a reading is typed changes nothing.
//!
//! Tried on lengths that are whole half thousandths of an inch and weights that are whole eighths
//! of an ounce: these are exact in both systems (1 in = 25.4 mm, 1 oz = 28.349523125 g, [SP811 §B.8]).

use gradeworthy_units::{Amount, Length, Mass, Reader, Typed, Unit};
use gradeworthy_workbench::record::Record;

use crate::given::{Club, cars, quantities};

/// An amount in one spelling, where that spelling is for it.
type Spell = fn(Amount) -> Option<String>;

/// The record with every length and weight exact in both systems, and typed as `spell` does.
fn typed(record: &Record, spell: impl Fn(Amount) -> Option<String>) -> Record {
    let mut record = record.clone();
    for (_, own) in quantities(&mut record) {
        let exact = match own.amount {
            Amount::Length(length) => {
                Length::from_nanometres((length.nanometres() + 6_350).div_euclid(12_700) * 12_700)
                    .into()
            }
            Amount::Mass(mass) => {
                let eighths = (mass.ounces() * 8.0).round();
                Reader::new(Unit::Ounce)
                    .read(&format!("{eighths}/8 oz"))
                    .expect("a fraction")
                    .amount
            }
            other => other,
        };
        own.amount = exact;
        if let Some(text) = spell(exact) {
            let bare = if matches!(exact, Amount::Mass(_)) {
                Unit::Gram
            } else {
                Unit::Metre
            };
            let read: Typed = Reader::new(bare)
                .read(&text)
                .unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!(read.amount, exact, "{text}");
            // The step of a spelling is part of the reading: what is compared is one reading.
            *own = Typed {
                resolution: own.resolution,
                ..read
            };
        }
    }
    record
}

fn half_thousandths(length: Length) -> i64 {
    length.nanometres() / 12_700
}

#[test]
fn a_unit_changes_nothing() {
    let club = Club::demo();
    let spellings: [(&str, Spell); 5] = [
        ("mm", |amount| match amount {
            Amount::Length(l) => Some(format!("{:.4} mm", l.mm())),
            _ => None,
        }),
        ("in", |amount| match amount {
            Amount::Length(l) => Some(format!("{:.4} in", l.inches())),
            _ => None,
        }),
        ("fractions of an inch", |amount| match amount {
            Amount::Length(l) => Some(format!("{}/2000\"", half_thousandths(l))),
            _ => None,
        }),
        ("thou and ounces", |amount| match amount {
            Amount::Length(l) => Some(format!(
                "{}.{} thou",
                half_thousandths(l) / 2,
                5 * (half_thousandths(l) % 2)
            )),
            Amount::Mass(mass) => Some(format!("{:.3} oz", mass.ounces())),
            _ => None,
        }),
        ("µm and grams", |amount| match amount {
            Amount::Length(l) => Some(format!("{:.1} µm", l.mm() * 1000.0)),
            Amount::Mass(mass) => Some(format!("{} g", exact_grams(mass))),
            _ => None,
        }),
    ];
    for record in cars(150) {
        let plain = typed(&record, |_| None);
        let inspection = club.inspect(&plain);
        let cures = club.prescribe(&plain, &inspection);
        for (name, spell) in spellings {
            let other = typed(&record, spell);
            let found = club.inspect(&other);
            assert_eq!(found, inspection, "{} in {name}", record.car.mark);
            assert_eq!(
                club.prescribe(&other, &found),
                cures,
                "{} in {name}",
                record.car.mark
            );
        }
    }
}

/// An eighth of an ounce is 3.543690390625 g: twelve decimals write it exactly.
fn exact_grams(mass: Mass) -> String {
    let femtograms = mass.femtograms();
    let one = 1_000_000_000_000_000;
    let digits = format!("{:015}", femtograms % one);
    format!("{}.{}", femtograms / one, digits.trim_end_matches('0'))
}

/// Inches and thousandths show the same step as well, so the readings need no help to be one.
#[test]
fn thousandths_are_inches_step_and_all() {
    let read = |text| Reader::new(Unit::Millimetre).read(text).expect("a length");
    let (inch, thou) = (read("0.5705 in"), read("570.5 thou"));
    assert_eq!(
        (inch.amount, inch.resolution),
        (thou.amount, thou.resolution)
    );
    assert_eq!(inch.amount, read("14.4907 mm").amount);
}
