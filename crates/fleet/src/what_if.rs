//! What a changed rule book would do to the fleet, car by car.
//!
//! Only what the change touches is judged again, by the very code that judges a car on the bench;
//! the verdicts of the other checks stand. Where other limits, bands, exceptions or another decision
//! rule are all that differs, it is judged from what was kept of each car's inspection; where other
//! readings count, or count otherwise, from the readings. Property tests hold the answer to that of
//! judging everything again.

use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::RuleBook;

use std::sync::Arc;

use crate::fleet::{Fleet, Judged, Row, Under};
use crate::halves::in_halves;
use crate::touched::Touched;

/// A car whose verdicts would be others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The car.
    pub row: Row,
    /// Its verdicts as they are.
    pub before: Judged,
    /// Its verdicts as they would be.
    pub after: Judged,
}

impl Change {
    /// Whether the car would be bad order and is not.
    #[must_use]
    pub fn fails(&self) -> bool {
        self.before.verdict != Verdict::BadOrder && self.after.verdict == Verdict::BadOrder
    }

    /// Whether the car is bad order and would not be.
    #[must_use]
    pub fn comes_back(&self) -> bool {
        self.before.verdict == Verdict::BadOrder && self.after.verdict != Verdict::BadOrder
    }

    /// The checks whose verdict would be another, with both verdicts.
    pub fn checks(&self) -> impl Iterator<Item = (Check, Verdict, Verdict)> {
        let both = |check: Check| (check, self.before.of(check), self.after.of(check));
        let all = Check::ALL.into_iter().map(both);
        all.filter(|(_, before, after)| before != after)
    }
}

/// What a changed rule book would do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WhatIf {
    /// Cars that were looked at.
    pub cars: usize,
    /// Of these, cars of which something had to be judged again.
    pub judged_again: usize,
    /// Cars whose verdicts would be others, in row order.
    pub changes: Vec<Change>,
}

impl WhatIf {
    /// Cars that would be bad order and are not.
    pub fn fails(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.fails())
    }

    /// Cars that are bad order and would not be.
    pub fn comes_back(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.comes_back())
    }

    /// Cars whose verdicts would change in some other way.
    pub fn others(&self) -> impl Iterator<Item = &Change> {
        let other = |change: &&Change| !change.fails() && !change.comes_back();
        self.changes.iter().filter(other)
    }
}

impl Fleet {
    /// What `book` in place of the fleet's own would do to the cars of `rows`, on the fleet's day.
    #[must_use]
    pub fn what_if(&self, book: &Arc<RuleBook>, rows: &[Row]) -> WhatIf {
        let touched = Touched::between(&self.under().book, book);
        let columns = self.columns_of(touched.any_read());
        let under = Under {
            book: Arc::clone(book),
            ..self.under().clone()
        };
        let asked = in_halves(rows, |row| {
            let own = &self.cars()[row];
            let again = touched.of(&own.car, book);
            if again.is_empty() && !touched.required {
                return (false, None);
            }
            let after = self.judged_again(&under, row, again, &columns);
            let change = Change {
                row,
                before: own.judged,
                after,
            };
            (!again.is_empty(), (after != own.judged).then_some(change))
        });
        WhatIf {
            cars: rows.len(),
            judged_again: asked.iter().filter(|(again, _)| *again).count(),
            changes: asked.into_iter().filter_map(|(_, change)| change).collect(),
        }
    }
}
