//! Which measurement would tell most: the span of margins that it closes.
//!
//! [`crate::sweep::leans`] reads the margin at the hardest place with every unmeasured number of
//! a kind at either end of its range. The kinds that move it most there are asked again over the
//! whole line.

use super::adviser::Adviser;
use super::pool::Pool;
use super::watch::StopReason;
use crate::sweep::{Lean, SweepError, leans};
use crate::vehicle::{Quantity, RangeEnd};

/// A kind of number that could be measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// The kind, how it is known, on how many vehicles, and what it does at the hardest place.
    pub lean: Lean,
    /// Margin of the climb with all of them at the low and at the high end of their range; `None`
    /// where the train cannot stand then.
    pub margins: [Option<f64>; 2],
}

impl Measurement {
    /// The kind.
    #[must_use]
    pub fn quantity(&self) -> Quantity {
        self.lean.quantity
    }

    /// The least and the greatest margin that the measurement may bring out, the margin as it is
    /// reckoned now included; the least is minus infinity where the train cannot stand.
    #[must_use]
    pub fn span(&self, now: f64) -> (f64, f64) {
        let ends = self.margins.map(|end| end.unwrap_or(f64::NEG_INFINITY));
        (ends[0].min(ends[1]).min(now), ends[0].max(ends[1]).max(now))
    }
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurements {
    /// Widest span first.
    pub best: Vec<Measurement>,
    /// Why the search ended.
    pub stop: StopReason,
}

impl Adviser<'_> {
    /// The `keep` kinds of numbers whose measurement would tell most.
    ///
    /// # Errors
    /// [`SweepError`] when the train cannot stand at its hardest place.
    pub fn measurements(&self, keep: usize) -> Result<Measurements, SweepError> {
        let leans = leans(self.train, self.line, &self.check, self.hardest.head_s)?;
        let mut answer = Measurements {
            best: Vec::new(),
            stop: StopReason::Settled,
        };
        for lean in leans.into_iter().take(keep) {
            let mut margins = [None; 2];
            for (margin, end) in margins.iter_mut().zip([RangeEnd::Low, RangeEnd::High]) {
                let moved = self.train.with_unmeasured_at(lean.quantity, end);
                let pool = Pool::of(moved.numbers());
                let goal = self.any_with(f64::NEG_INFINITY);
                let outcome = self.contest(&pool).best(1, &|_| self.lineup(), goal);
                *margin = outcome.best.first().map(|own| 1.0 - own.hardest.ratio);
                if outcome.stop == StopReason::Watcher {
                    answer.stop = outcome.stop;
                    return Ok(answer);
                }
            }
            answer.best.push(Measurement { lean, margins });
        }
        let now = self.margin();
        let width = |own: &Measurement| {
            let (least, most) = own.span(now);
            most - least
        };
        answer.best.sort_by(|a, b| width(b).total_cmp(&width(a)));
        Ok(answer)
    }
}
