//! Which numbers that nobody measured a margin leans on.
//!
//! For each quantity, every unmeasured entry of it in the train is set to the lower end of its
//! stated range, all together (what is not known of a class is not known of any of its cars), the
//! train is placed and balanced again at the same place, and its margin there read; then the same
//! at the upper end. Nothing is linearised.

use super::check::{Check, SweepError};
use super::snapshot::snapshot;
use crate::track::Alignment;
use crate::vehicle::{Provenance, Quantity, RangeEnd, Train};

/// How far one unmeasured quantity can move the margin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lean {
    /// The quantity.
    pub quantity: Quantity,
    /// The weakest provenance among the entries.
    pub provenance: Provenance,
    /// How many vehicles have no measurement of it.
    pub vehicle_count: usize,
    /// Margin with all of them at the lower end of their range; `None` when the train cannot stand
    /// there then.
    pub margin_low: Option<f64>,
    /// Margin with all of them at the upper end; `None` likewise.
    pub margin_high: Option<f64>,
    /// Largest change of the margin; infinite when the train cannot stand at one of the ends.
    pub change: f64,
}

/// Every unmeasured quantity that moves the margin at one place, largest change first.
///
/// # Errors
/// [`SweepError::Placement`] when the train as it is cannot stand there.
pub fn leans(
    train: &Train,
    line: &Alignment,
    check: &Check,
    head_s: f64,
) -> Result<Vec<Lean>, SweepError> {
    let margin = snapshot(train, line, check, head_s)?.margin();
    let at = |quantity, end| {
        let moved = train.with_unmeasured_at(quantity, end);
        snapshot(&moved, line, check, head_s)
            .ok()
            .map(|there| there.margin())
    };
    let mut leans: Vec<Lean> = Quantity::ALL
        .into_iter()
        .filter_map(|quantity| {
            let unmeasured = train.unmeasured(quantity);
            let provenance = *unmeasured
                .iter()
                .max_by_key(|p| **p == Provenance::Assumed)?;
            let (low, high) = (at(quantity, RangeEnd::Low), at(quantity, RangeEnd::High));
            let moved = |end: Option<f64>| end.map_or(f64::INFINITY, |end| (end - margin).abs());
            let change = moved(low).max(moved(high));
            Some(Lean {
                quantity,
                provenance,
                vehicle_count: unmeasured.len(),
                margin_low: low,
                margin_high: high,
                change,
            })
        })
        .filter(|lean| lean.change > 0.0)
        .collect();
    leans.sort_by(|a, b| b.change.total_cmp(&a.change));
    Ok(leans)
}
