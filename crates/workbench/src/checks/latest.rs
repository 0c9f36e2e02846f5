//! The reading that counts for each measure and place: the latest.

use gradeworthy_units::{Amount, Typed};

use crate::decision::{Judgeable, combined, resolution_uncertainty};
use crate::doubt::DoubtGraph;
use crate::record::{Answer, Entry, Measure, Place, Record, Value};
use crate::rules::RuleBook;

use super::Finding;

/// A quantity that was read, with what is known of its error.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Read<Q> {
    /// The reading.
    pub(crate) value: Q,
    /// Standard uncertainty of the named instrument, in the unit of [`Judgeable::number`].
    pub(crate) instrument: Option<f64>,
    /// Standard uncertainty of the step it was read to.
    pub(crate) resolution: f64,
    /// Whether something was done since that puts it in doubt.
    pub(crate) stale: bool,
}

impl<Q> Read<Q> {
    /// The standard uncertainty to judge with: the named instrument's, else `usual`, together with
    /// the reading step; the step alone is no measure of an instrument, so without either there is
    /// none.
    pub(crate) fn uncertainty(&self, usual: Option<f64>) -> Option<f64> {
        self.instrument
            .or(usual)
            .map(|instrument| combined(instrument, self.resolution))
    }
}

/// The readings that count, sorted for look-up.
pub(crate) struct Latest<'a> {
    entries: Vec<(Measure, Place, usize)>,
    record: &'a Record,
    book: &'a RuleBook,
    stale_from: Vec<(usize, crate::doubt::CheckSet)>,
}

impl<'a> Latest<'a> {
    pub(crate) fn of(record: &'a Record, book: &'a RuleBook, findings: &mut Vec<Finding>) -> Self {
        let mut keys: Vec<_> = record
            .entries
            .iter()
            .enumerate()
            .map(|(index, entry)| (entry.measure, entry.place, index))
            .collect();
        keys.sort_unstable();
        let mut entries: Vec<(Measure, Place, usize)> = Vec::with_capacity(keys.len());
        for group in keys.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
            entries.push(group[group.len() - 1]);
            if group.len() > 1 {
                let (measure, place, _) = group[0];
                findings.push(Finding::Repeated {
                    measure,
                    place,
                    count: group.len(),
                });
            }
        }
        let stale_from = stale_from(record, &book.doubt);
        Self {
            entries,
            record,
            book,
            stale_from,
        }
    }

    fn find(&self, measure: Measure, place: Place) -> Option<(usize, &'a Entry)> {
        let at = self
            .entries
            .binary_search_by(|(own, own_place, _)| (*own, *own_place).cmp(&(measure, place)))
            .ok()?;
        let index = self.entries[at].2;
        Some((index, &self.record.entries[index]))
    }

    fn is_stale(&self, index: usize, measure: Measure) -> bool {
        self.stale_from
            .iter()
            .any(|(after, doubtful)| index < *after && doubtful.contains(measure.check()))
    }

    /// The entries that count, in the order of measure and place.
    pub(crate) fn counting(&self) -> impl Iterator<Item = &'a Entry> {
        let record = self.record;
        self.entries
            .iter()
            .map(move |(_, _, index)| &record.entries[*index])
    }

    /// Whether anything was read of `measure`.
    pub(crate) fn any(&self, measure: Measure) -> bool {
        let at = self.entries.partition_point(|(own, _, _)| *own < measure);
        self.entries
            .get(at)
            .is_some_and(|(own, _, _)| *own == measure)
    }

    /// The quantity read at `place`.
    pub(crate) fn quantity<Q>(&self, measure: Measure, place: Place) -> Option<Read<Q>>
    where
        Q: Judgeable + TryFrom<Amount>,
    {
        let (index, entry) = self.find(measure, place)?;
        let Value::Quantity(typed) = &entry.value else {
            return None;
        };
        Some(Read {
            value: typed.amount.try_into().ok()?,
            instrument: self.instrument_uncertainty::<Q>(entry),
            resolution: step::<Q>(typed),
            stale: self.is_stale(index, measure),
        })
    }

    /// The answer given at `place`, and whether it is stale.
    pub(crate) fn answer(&self, measure: Measure, place: Place) -> Option<(Answer, bool)> {
        let (index, entry) = self.find(measure, place)?;
        match &entry.value {
            Value::Answer(answer) => Some((*answer, self.is_stale(index, measure))),
            Value::Quantity(_) => None,
        }
    }

    fn instrument_uncertainty<Q>(&self, entry: &Entry) -> Option<f64>
    where
        Q: Judgeable + TryFrom<Amount>,
    {
        let name = entry.instrument.as_deref()?;
        let uncertainty = self.book.instrument(name)?.uncertainty;
        Q::try_from(uncertainty).ok().map(Judgeable::number)
    }
}

fn step<Q: Judgeable + TryFrom<Amount>>(typed: &Typed) -> f64 {
    Q::try_from(typed.resolution).map_or(0.0, |step| resolution_uncertainty(step.number()))
}

/// For each cure carried out: how many entries it came after, and what it puts in doubt.
fn stale_from(record: &Record, doubt: &DoubtGraph) -> Vec<(usize, crate::doubt::CheckSet)> {
    record
        .done
        .iter()
        .map(|done| (done.after_entries, doubt.in_doubt_after(done.cure)))
        .collect()
}
