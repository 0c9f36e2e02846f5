//! Every vehicle at every place: what a moving picture of the climb is drawn from.
//!
//! Kept in single precision, a row for each place: a force of 10 N is known to a micronewton and a
//! use to one part in ten million, far finer than any picture. The worst of a climb is not read off
//! here but from the [`super::Envelope`], which keeps full precision and every place.

use std::ops::ControlFlow;

use super::check::{Check, SweepError, Watch};
use super::places::{first_head_place, head_places};
use super::run::Climber;
use crate::margins::{Mode, Use};
use crate::track::Alignment;
use crate::vehicle::Train;

/// A climb, place by place and vehicle by vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Passage {
    /// How many vehicles there are; each row below is as long.
    pub vehicle_count: usize,
    /// Places of the head's front bolster, m.
    pub head_s: Vec<f64>,
    /// How far the front bolster of each vehicle is behind that of the head, m, row by row.
    pub behind_m: Vec<f32>,
    /// Force at the front coupler of each vehicle, N, draft positive, row by row.
    pub force_n: Vec<f32>,
    /// Greatest use of anything that ends the climb on each vehicle, row by row.
    pub worst_use: Vec<f32>,
    /// Its mode.
    pub worst_mode: Vec<Mode>,
}

/// Places between two words to the watcher.
const WATCHED: usize = 64;

/// Runs `train` along `line` and keeps what every vehicle bears at each place, at most `most` places.
///
/// The places are those of the check, further apart where they would be more than `most`.
///
/// # Errors
/// As [`super::sweep`], and [`SweepError::Stopped`] when the watcher asked for it.
pub fn passage(
    train: &Train,
    line: &Alignment,
    check: &Check,
    most: usize,
    watch: Watch<'_>,
) -> Result<Passage, SweepError> {
    let numbers = train.numbers();
    let first = first_head_place(numbers, line)?;
    #[expect(clippy::cast_precision_loss, reason = "a count of places")]
    let coarsest = (line.length() - first) / most.saturating_sub(1).max(1) as f64;
    let check = Check {
        step_m: check.step_m.max(coarsest * (1.0 + 1e-12)),
        ..*check
    };
    let heads = head_places(numbers, line, &check)?;
    let mut kept = Passage {
        vehicle_count: numbers.len(),
        ..Passage::default()
    };
    let mut climber = Climber::new(numbers, line, &check);
    for (block, done) in heads.chunks(WATCHED).zip(1_usize..) {
        for &head_s in block {
            climber.stand_at(head_s)?;
            kept.take(head_s, &climber);
        }
        if watch((done * WATCHED).min(heads.len()), heads.len()) == ControlFlow::Break(()) {
            return Err(SweepError::Stopped);
        }
    }
    Ok(kept)
}

impl Passage {
    #[expect(clippy::cast_possible_truncation, reason = "kept in single precision")]
    fn take(&mut self, head_s: f64, climber: &Climber<'_>) {
        let seen = climber.seen();
        let lead = seen.lead();
        self.head_s.push(head_s);
        for (index, stance) in seen.stances.iter().enumerate() {
            self.behind_m.push((head_s - stance.bolster_s[0]) as f32);
            self.force_n.push(seen.balance.forces[index] as f32);
            let (used, mode) = worst(&seen.uses(index, lead));
            self.worst_use.push(used.ratio() as f32);
            self.worst_mode.push(mode);
        }
    }
}

fn worst(uses: &[Use; Mode::ALL.len()]) -> (Use, Mode) {
    let ending = uses
        .iter()
        .zip(Mode::ALL)
        .filter(|(_, mode)| mode.ends_the_climb());
    ending.fold((Use::NONE, Mode::Stall), |worst, (used, mode)| {
        if used.ratio() > worst.0.ratio() {
            (*used, mode)
        } else {
            worst
        }
    })
}
