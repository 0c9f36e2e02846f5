//! Rule books, each read once: an edition never changes after it was entered, and reading its text costs
//! more than judging a car by it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use gradeworthy_store::Snapshot;
use gradeworthy_workbench::rules::RuleBook;
use jiff::civil::Date;

use crate::refusal::Refusal;

/// The editions read so far.
#[derive(Default)]
pub(crate) struct Books(Mutex<BTreeMap<u32, Arc<RuleBook>>>);

impl Books {
    /// The latest edition that holds on `day`; before the first one holds, the first.
    pub(crate) fn holding(
        &self,
        snapshot: &Snapshot<'_>,
        day: Date,
    ) -> Result<Arc<RuleBook>, Refusal> {
        self.edition(snapshot, number_holding(snapshot, day)?)
    }

    /// One edition.
    pub(crate) fn edition(
        &self,
        snapshot: &Snapshot<'_>,
        edition: u32,
    ) -> Result<Arc<RuleBook>, Refusal> {
        let known = self.lock().get(&edition).cloned();
        if let Some(book) = known {
            return Ok(book);
        }
        // Not under the lock: two who ask at once both read it, and one result is kept.
        let book = Arc::new(snapshot.rule_book(edition)?.rules()?);
        Ok(Arc::clone(self.lock().entry(edition).or_insert(book)))
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, BTreeMap<u32, Arc<RuleBook>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The number of the edition that holds on `day`, for who needs no more.
pub(crate) fn number_holding(snapshot: &Snapshot<'_>, day: Date) -> Result<u32, Refusal> {
    let editions = snapshot.editions()?;
    let holds = editions.iter().rev().find(|(_, first)| *first <= day);
    let (edition, _) = holds.or(editions.first()).ok_or(Refusal::NoRuleBook)?;
    Ok(*edition)
}
