//! What was read and what was judged of one car, by measure and place.

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Inspection, Line};
use gradeworthy_workbench::record::{Kind, Measure, Place, Record, Value};
use gradeworthy_workbench::rules::Limited;

/// A record with its inspection.
#[derive(Clone, Copy)]
pub(super) struct Seen<'a> {
    pub(super) record: &'a Record,
    pub(super) inspection: &'a Inspection,
}

impl<'a> Seen<'a> {
    /// The reading that counts: the last of `measure` at `place`, if it is of the measure's kind.
    pub(super) fn amount(&self, measure: Measure, place: Place) -> Option<Amount> {
        let entries = self.record.entries.iter().rev();
        let mut here = entries.filter(|entry| (entry.measure, entry.place) == (measure, place));
        match &here.next()?.value {
            Value::Quantity(typed) => {
                let own = Kind::Quantity(typed.amount.dimension()) == measure.kind();
                own.then_some(typed.amount)
            }
            Value::Answer(_) => None,
        }
    }

    /// The same as a number of the base unit: mm, g, degree.
    pub(super) fn number(&self, measure: Measure, place: Place) -> Option<f64> {
        self.amount(measure, place).map(Amount::base)
    }

    /// The line on a plain limit at `place`.
    pub(super) fn line(&self, limited: Limited, place: Place) -> Option<&'a Line> {
        self.inspection.line(Aspect::Limited(limited), place)
    }

    /// Its verdict; not checked where there is no line.
    pub(super) fn verdict(&self, limited: Limited, place: Place) -> Verdict {
        self.line(limited, place)
            .map_or(Verdict::NotChecked, |line| line.verdict)
    }
}

/// Lower and upper limit of a line in base units.
pub(super) fn limits(line: &Line) -> (Option<f64>, Option<f64>) {
    (line.lower.map(Amount::base), line.upper.map(Amount::base))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// An inspection in which nothing was judged.
    pub(in super::super) fn unjudged(record: &Record) -> Inspection {
        Inspection {
            mark: record.car.mark.clone(),
            edition: 1,
            verdict: Verdict::NotChecked,
            checks: [Verdict::NotChecked; gradeworthy_workbench::record::Check::ALL.len()],
            lines: Vec::new(),
            findings: Vec::new(),
        }
    }
}
