//! The checks: from one car's record to its verdicts.
//!
//! [`inspect`] runs every check of the bench order on what was read, under one edition of the rule
//! book, as of one day. It never guesses: what was not read is `not checked`, what a standard does
//! not print is not judged and said, what was done since a reading makes it `stale`.
//!
//! Units: exact lengths and masses throughout; angles, grades and probabilities as floats.

mod bench;
mod inspection;
mod latest;

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
pub use inspection::{Aspect, Finding, Grounds, Inspection, Line};
pub(crate) use seating::{Seated, seat};
pub use weight::target as weight_target;
pub(crate) use wheels::read_axle;

use gradeworthy_units::Length;
use jiff::civil::Date;

use crate::Verdict;
use crate::record::{Check, Record};
use crate::rules::RuleBook;
use crate::shop::Shop;

/// Judges everything in `record` under `book`, as of `today`, with what the `shop` has learned.
#[must_use]
pub fn inspect(record: &Record, book: &RuleBook, shop: &Shop, today: Date) -> Inspection {
    let mut bench = Bench::new(record, book, shop);
    if bench.rules.is_none() {
        bench.findings.push(Finding::ScaleWithoutRules {
            scale: record.car.scale,
        });
    }
    look_over::check(&mut bench);
    wheels::check(&mut bench);
    axles::check(&mut bench);
    rolling::check(&mut bench);
    seating::check(&mut bench);
    trucks::check(&mut bench);
    couplers::check(&mut bench);
    weight::check(&mut bench);
    balance::check(&mut bench);
    bench.conclude(today)
}

/// The worst of the lines of one check; `NotChecked` when there is none.
fn worst(lines: &[Line], check: Check) -> Verdict {
    lines
        .iter()
        .filter(|line| line.check == check)
        .map(|line| line.verdict)
        .max()
        .unwrap_or(Verdict::NotChecked)
}

/// How far two lengths are apart.
fn apart(a: Length, b: Length) -> Length {
    (a - b).abs()
}
