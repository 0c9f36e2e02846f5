//! The checks: from one car's record to its verdicts.
//!
//! [`inspect`] runs every check of the bench order on what was read, under one edition of the rule
//! book, as of one day. It never guesses: what was not read is `not checked`, what a standard does
//! not print is not judged and said, what was done since a reading makes it `stale`.
//!
//! Units: exact lengths and masses throughout; angles, grades and probabilities as floats.

mod bench;
mod gravest;
mod held;
mod inspection;
mod laid;
mod latest;
mod station;

mod axles;
mod balance;
mod couplers;
mod look_over;
mod rolling;
mod seating;
mod trucks;
mod weight;
mod wheels;

pub(crate) use balance::support;
pub(crate) use bench::Bench;
pub use held::Held;
pub use inspection::{Aspect, Finding, Grounds, Inspection, Line};
pub(crate) use seating::{Seated, seat};
pub use station::{is_used, judged_with};
pub use weight::target as weight_target;
pub(crate) use wheels::read_axle;

use gradeworthy_units::Length;
use jiff::civil::Date;

use crate::Verdict;
use crate::doubt::CheckSet;
use crate::record::{Check, Record};
use crate::rules::RuleBook;
use crate::shop::Shop;
use station::STATIONS;

/// Judges everything in `record` under `book`, as of `today`, with what the `shop` has learned.
#[must_use]
pub fn inspect(record: &Record, book: &RuleBook, shop: &Shop, today: Date) -> Inspection {
    inspect_only(Check::ALL.into_iter().collect(), record, book, shop, today)
}

/// Judges `checks` alone, with those that are judged together with them ([`judged_with`]); every
/// other check is `not checked`, and so the verdict on the car is not one.
///
/// It needs no other readings than those that [`is_used`] names.
#[must_use]
pub fn inspect_only(
    checks: CheckSet,
    record: &Record,
    book: &RuleBook,
    shop: &Shop,
    today: Date,
) -> Inspection {
    let mut bench = Bench::new(record, book, shop);
    if bench.rules.is_none() {
        bench.findings.push(Finding::ScaleWithoutRules {
            scale: record.car.scale,
        });
    }
    for station in &STATIONS {
        if station.checks.iter().any(|own| checks.contains(*own)) {
            (station.judge)(&mut bench);
        }
    }
    bench.conclude(today)
}

/// The verdict on a car from those of its checks: the gravest, where a check that was not made
/// counts only if it is required.
#[must_use]
pub fn overall(checks: &[Verdict; Check::ALL.len()], required: &[Check]) -> Verdict {
    let counts =
        |check: &Check| checks[*check as usize] != Verdict::NotChecked || required.contains(check);
    let graver = |worst: Verdict, check: Check| worst.max(checks[check as usize]);
    let all = Check::ALL.into_iter().filter(counts);
    all.fold(Verdict::Fit, graver)
}

/// How far two lengths are apart.
fn apart(a: Length, b: Length) -> Length {
    (a - b).abs()
}
