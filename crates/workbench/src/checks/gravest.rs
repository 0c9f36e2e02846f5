//! From the verdicts on single readings to one for each check, with what exceptions excuse.

use jiff::civil::Date;

use crate::Verdict;
use crate::record::{Car, Check};
use crate::rules::{Exception, RuleBook};

/// A verdict for each check, in the order of [`Check::ALL`].
pub(super) type ByCheck = [Verdict; Check::ALL.len()];

/// The gravest verdict on each check so far, as it is and as it would be excused; none where no
/// reading was judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Gravest {
    judged: [Option<Verdict>; Check::ALL.len()],
    excused: [Option<Verdict>; Check::ALL.len()],
}

impl Gravest {
    pub(super) fn add(&mut self, check: Check, verdict: Verdict) {
        // What is stale or was not read is not excused.
        let excused = match verdict {
            Verdict::BadOrder => Verdict::Watch,
            Verdict::Fit | Verdict::Watch | Verdict::NotChecked | Verdict::Stale => verdict,
        };
        let at = check as usize;
        self.judged[at] = self.judged[at].max(Some(verdict));
        self.excused[at] = self.excused[at].max(Some(excused));
    }

    /// The verdict for each check, with the bad orders that an exception of `book` excuses on `today`
    /// told to `excuse`.
    pub(super) fn concluded<'b>(
        &self,
        car: &Car,
        book: &'b RuleBook,
        today: Date,
        mut excuse: impl FnMut(&'b Exception, Check),
    ) -> ByCheck {
        let mut checks = self.judged.map(|own| own.unwrap_or(Verdict::NotChecked));
        if car.tags.is_empty() {
            return checks;
        }
        let (holding, _) = book.exceptions_for(car, today);
        for exception in holding {
            for check in &exception.waives {
                let at = *check as usize;
                if checks[at] == Verdict::BadOrder {
                    checks[at] = self.excused[at].unwrap_or(Verdict::NotChecked);
                    excuse(exception, *check);
                }
            }
        }
        checks
    }
}
