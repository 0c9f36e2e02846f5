//! The margin of a train: how little there is, which car, where, why, and what it leans on.

use super::check::SweepError;
use super::lean::{Lean, leans};
use super::run::Sweep;
use super::snapshot::snapshot;
use super::why::{Cause, cause};
use crate::margins::{Mode, Use};
use crate::track::Alignment;
use crate::vehicle::Train;

/// The use that decides a climb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// How the train comes to grief first.
    pub mode: Mode,
    /// The vehicle, counted from 0.
    pub vehicle: usize,
    /// Place of the head's front bolster then, m.
    pub head_s: f64,
    /// Places of the two bolsters of the vehicle then, front first, m.
    pub bolster_s: [f64; 2],
    /// Demand and capacity there, in [`Mode::unit`].
    pub used: Use,
}

/// The margin of a train over a climb.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainMargin {
    /// 1 − max u: what is left, as part of the capacity; negative when the limit is passed.
    pub margin: f64,
    /// The use that decides.
    pub worst: Worst,
    /// What it comes from, found by taking one thing after another away.
    pub cause: Cause,
    /// The unmeasured numbers, the one that can move the margin most first.
    pub leans: Vec<Lean>,
}

/// The margin of a swept train. `None` when the sweep has no place.
///
/// # Errors
/// [`SweepError::Placement`] as for one place.
pub fn train_margin(
    train: &Train,
    line: &Alignment,
    swept: &Sweep,
) -> Result<Option<TrainMargin>, SweepError> {
    let columns = &swept.places;
    let row = (0..columns.len()).reduce(|best, next| {
        if columns.worst_use[next] > columns.worst_use[best] {
            next
        } else {
            best
        }
    });
    let Some(row) = row else { return Ok(None) };
    let (head_s, vehicle, mode) = (
        columns.head_s[row],
        columns.worst_vehicle[row],
        columns.worst_mode[row],
    );
    let there = snapshot(train, line, &swept.check, head_s)?;
    let used = there.uses[vehicle][mode as usize];
    let worst = Worst {
        mode,
        vehicle,
        head_s,
        bolster_s: there.stances[vehicle].bolster_s,
        used,
    };
    Ok(Some(TrainMargin {
        margin: 1.0 - used.ratio(),
        worst,
        cause: cause(train, line, &swept.check, &worst)?,
        leans: leans(train, line, &swept.check, head_s)?,
    }))
}
