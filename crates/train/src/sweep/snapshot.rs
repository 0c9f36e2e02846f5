//! One place, in full: where everything stands, what it bears, how much of that is used.

use super::check::{Check, SweepError};
use super::run::{Climber, Seen};
use crate::margins::{Mode, Use};
use crate::placement::Stance;
use crate::statics::{Balance, TruckLoad};
use crate::track::Alignment;
use crate::vehicle::{Numbers, Train};

/// A train at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Snapshot {
    /// Place of the head's front bolster, m.
    pub head_s: f64,
    /// Where each vehicle stands.
    pub stances: Vec<Stance>,
    /// The forces along the train.
    pub balance: Balance,
    /// What the front and the rear truck of each vehicle carry.
    pub truck_loads: Vec<[TruckLoad; 2]>,
    /// The uses of each vehicle, one per mode in the order of [`Mode::ALL`].
    pub uses: Vec<[Use; Mode::ALL.len()]>,
}

/// Looks at one place of the head, `head_s` metres along the line.
///
/// # Errors
/// [`SweepError::Placement`] when the train cannot stand there.
pub fn snapshot(
    train: &Train,
    line: &Alignment,
    check: &Check,
    head_s: f64,
) -> Result<Snapshot, SweepError> {
    snapshot_of(train.numbers(), line, check, head_s)
}

pub(super) fn snapshot_of(
    train: &[Numbers],
    line: &Alignment,
    check: &Check,
    head_s: f64,
) -> Result<Snapshot, SweepError> {
    let mut climber = Climber::new(train, line, check);
    climber.stand_at(head_s)?;
    Ok(Snapshot::of(head_s, &climber.seen()))
}

impl Snapshot {
    pub(super) fn of(head_s: f64, seen: &Seen<'_>) -> Self {
        let lead = seen.lead();
        let each = 0..seen.train.len();
        Self {
            head_s,
            stances: seen.stances.to_vec(),
            balance: seen.balance.clone(),
            truck_loads: each
                .clone()
                .map(|index| seen.situation(index).truck_loads())
                .collect(),
            uses: each.map(|index| seen.uses(index, lead)).collect(),
        }
    }

    /// The greatest use of anything that ends the climb: vehicle, mode, use.
    #[must_use]
    pub fn worst(&self) -> Option<(usize, Mode, Use)> {
        let all = self.uses.iter().enumerate().flat_map(|(vehicle, row)| {
            row.iter()
                .zip(Mode::ALL)
                .map(move |(used, mode)| (vehicle, mode, *used))
        });
        all.filter(|(_, mode, _)| mode.ends_the_climb())
            .fold(None, |worst, next| match worst {
                Some((_, _, used)) if used.ratio() >= next.2.ratio() => worst,
                _ => Some(next),
            })
    }

    /// 1 less the greatest use of anything that ends the climb.
    #[must_use]
    pub fn margin(&self) -> f64 {
        1.0 - self.worst().map_or(0.0, |(_, _, used)| used.ratio())
    }
}
