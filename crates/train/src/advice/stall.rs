//! What a stall would do: where it stops, what the couplers carry standing, whether it starts again.

use super::adviser::Adviser;
use super::makeup::Origin;
use crate::margins::{Mode, Use};
use crate::statics::{Condition, Outcome};
use crate::sweep::{Check, Sweep, SweepError, snapshot};

/// A train that stands on the hill.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Whether its locomotives hold it.
    pub holds: bool,
    /// Part of their holding force that is used.
    pub hold_used: f64,
    /// Force at the front of each vehicle from the second on, N; draft positive.
    pub coupler_forces: Vec<f64>,
    /// What is nearest to giving way while it stands: vehicle, way, demand and capacity.
    pub hardest: Option<(Origin, Mode, Use)>,
}

/// What a stall would do.
#[derive(Clone, Debug, PartialEq)]
pub struct Stall {
    /// Place of the head where the train stops, or, where it does not stall, where it is nearest to
    /// it, m.
    pub head_s: f64,
    /// Whether it stalls there.
    pub stalls: bool,
    /// Pull that it needs there to go on, N.
    pub required: f64,
    /// Pull that its locomotives have there, N.
    pub available: f64,
    /// The train standing there.
    pub standing: Standing,
    /// Whether it can be started again there, with every car's breakaway drag.
    pub starts: bool,
    /// Pull needed to start over the pull available.
    pub start_used: f64,
}

impl Adviser<'_> {
    /// What happens where the train stalls first, or would if it were a little heavier.
    ///
    /// `swept` is its climb.
    ///
    /// # Errors
    /// [`SweepError`] when the train cannot stand there.
    pub fn stall(&self, swept: &Sweep) -> Result<Option<Stall>, SweepError> {
        let columns = &swept.places;
        let rows = 0..columns.len();
        let short = |row: &usize| columns.required[*row] / columns.available[*row];
        let stops = rows
            .clone()
            .find(|row| columns.outcome[*row] == Outcome::Stalls);
        let nearest = || rows.clone().max_by(|a, b| short(a).total_cmp(&short(b)));
        let Some(row) = stops.or_else(nearest) else {
            return Ok(None);
        };
        let head_s = columns.head_s[row];
        let at = |condition| {
            let check = Check {
                condition,
                ..self.check
            };
            snapshot(self.train, self.line, &check, head_s)
        };
        let (held, starting) = (at(Condition::Held)?, at(Condition::Starting)?);
        let forces = &held.balance.forces;
        let worst = held.worst();
        Ok(Some(Stall {
            head_s,
            stalls: columns.outcome[row] == Outcome::Stalls,
            required: columns.required[row],
            available: columns.available[row],
            standing: Standing {
                holds: held.balance.outcome == Outcome::Balanced,
                hold_used: held.balance.stall_use(),
                coupler_forces: forces[1..self.count()].to_vec(),
                hardest: worst.map(|(vehicle, mode, used)| (Origin::Own(vehicle), mode, used)),
            },
            starts: starting.balance.outcome == Outcome::Balanced,
            start_used: starting.balance.stall_use(),
        }))
    }
}
