//! Going through an inspection and prescribing.

use crate::Verdict;
use crate::checks::{Bench, Inspection};
use crate::record::{Check, Place, Record};
use crate::rules::RuleBook;
use crate::shop::Shop;

use super::action::{Action, Cure};
use super::{CureKind, heights, plain, seating, strip, weights, wheels};

/// Cures for everything in `inspection` that is bad order.
///
/// `inspection` must be of this `record` under this `book` with this `shop`; the cures are computed
/// from the same readings.
#[must_use]
pub fn prescribe(
    record: &Record,
    book: &RuleBook,
    shop: &Shop,
    inspection: &Inspection,
) -> Vec<Cure> {
    let faulty = |check| {
        inspection
            .lines_of(check)
            .any(|line| line.verdict == Verdict::BadOrder)
    };
    if !Check::ALL.into_iter().any(faulty) {
        return Vec::new();
    }
    let bench = Bench::new(record, book, shop);
    let mut ward = Ward {
        bench: &bench,
        inspection,
        cures: Vec::new(),
    };
    for check in Check::ALL.into_iter().filter(|check| faulty(*check)) {
        match check {
            Check::Wheelsets => wheels::cure(&mut ward),
            Check::Seating => seating::cure(&mut ward),
            Check::Droop => strip::cure(&mut ward),
            Check::CouplerHeight => heights::cure(&mut ward),
            Check::Weight | Check::Balance => weights::cure(&mut ward, check),
            Check::LookOver
            | Check::AxleFit
            | Check::Spin
            | Check::TruckSwing
            | Check::SwivelDrag
            | Check::Rock
            | Check::CouplerAction
            | Check::CarRoll => plain::cure(&mut ward, check),
        }
    }
    ward.cures
}

/// A car that is being prescribed for.
pub(super) struct Ward<'a> {
    pub(super) bench: &'a Bench<'a>,
    pub(super) inspection: &'a Inspection,
    cures: Vec<Cure>,
}

impl Ward<'_> {
    /// Writes a cure, with what the rule book says of its kind.
    pub(super) fn write(&mut self, check: Check, place: Place, kind: CureKind, action: Action) {
        let book = self.bench.book;
        self.cures.push(Cure {
            check,
            place,
            kind,
            action,
            in_doubt: book.doubt.in_doubt_after(kind),
            rest_days: book.rest_days.get(&kind).copied(),
            caution: book.caution.get(&kind).cloned(),
        });
    }

    /// Whether anything of `check` is bad order.
    pub(super) fn is_bad(&self, check: Check) -> bool {
        self.inspection
            .lines_of(check)
            .any(|line| line.verdict == Verdict::BadOrder)
    }

    /// Whether something of that kind was already prescribed for that place.
    pub(super) fn has(&self, kind: CureKind, place: Place) -> bool {
        self.cures
            .iter()
            .any(|cure| cure.kind == kind && cure.place == place)
    }
}
