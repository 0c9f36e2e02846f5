//! Why a use is what it is: one thing after another is taken away, and the use read again.
//!
//! The cause is whatever relieves the use most when it is set right at the same place, if that is
//! at least [`TELLING`] of it; otherwise what is left: the pull of the train, or the track.

use super::check::{Check, SweepError};
use super::margin::Worst;
use super::run::Climber;
use crate::margins::Mode;
use crate::placement::{Stance, Turn};
use crate::track::Alignment;
use crate::vehicle::{Numbers, Train};

/// Least relief, as part of the use, for a thing to be named as its cause.
/// ASSUMED: a policy; with a half of it, or twice, only the borderline between a specific cause and
/// the general ones moves.
const TELLING: f64 = 0.1;

/// What a use comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// The car is lighter than the middle one of the train.
    LightCar,
    /// The vehicles coupled to it are of another length or overhang.
    UnlikeNeighbours,
    /// Its load stands off centre.
    OffCentreLoad,
    /// Its couplers and its neighbours' stand at different heights.
    CouplerHeights,
    /// Its trucks resist swivelling.
    StiffSwivel,
    /// Other cars roll worse than the middle one of the train.
    DragOfOtherCars,
    /// The cant of the track.
    Cant,
    /// The vertical curve, or its end.
    GradeBreak,
    /// The locomotives have too little pull, or hold, for this train.
    TooLittlePower,
    /// Nothing stands out: the pull or push in the train as made up.
    ForceInTheTrain,
    /// Nothing stands out: the curve itself, with this car on it.
    Track,
}

/// The cause of the use that decides a climb.
pub(super) fn cause(
    train: &Train,
    line: &Alignment,
    check: &Check,
    worst: &Worst,
) -> Result<Cause, SweepError> {
    let own = train.numbers();
    let trial = Trial { line, check, worst };
    let now = worst.used.ratio();
    let mut best = (TELLING * now, fallback(&trial, own)?);
    for (cause, cars) in edited_trains(own, worst.vehicle) {
        let relief = trial.ratio(&cars, |_| {}).map_or(0.0, |left| now - left);
        if relief > best.0 {
            best = (relief, cause);
        }
    }
    for (cause, edit) in TRACK_EDITS {
        let relief = now - trial.ratio(own, edit)?;
        if relief > best.0 {
            best = (relief, cause);
        }
    }
    Ok(best.1)
}

/// A change to how a vehicle stands.
type StanceEdit = fn(&mut Stance);

/// The track set right, one thing after another.
const TRACK_EDITS: [(Cause, StanceEdit); 2] = [
    (Cause::Cant, |stance| stance.cant = [Turn::NONE; 2]),
    (Cause::GradeBreak, |stance| stance.step = [0.0; 2]),
];

/// What to name when nothing stands out.
fn fallback(trial: &Trial<'_>, own: &[Numbers]) -> Result<Cause, SweepError> {
    if trial.worst.mode == Mode::Stall {
        return Ok(Cause::TooLittlePower);
    }
    let without_force = trial.ratio_without_force(own)?;
    Ok(if without_force < 0.5 * trial.worst.used.ratio() {
        Cause::ForceInTheTrain
    } else {
        Cause::Track
    })
}

/// The train with one thing after another set right.
fn edited_trains(own: &[Numbers], vehicle: usize) -> Vec<(Cause, Vec<Numbers>)> {
    let car = own[vehicle];
    let near = vehicle.saturating_sub(1)..(vehicle + 2).min(own.len());
    let one = |edit: &dyn Fn(&mut Numbers)| {
        let mut cars = own.to_vec();
        edit(&mut cars[vehicle]);
        cars
    };
    let all = |range: std::ops::Range<usize>, edit: &dyn Fn(&mut Numbers)| {
        let mut cars = own.to_vec();
        cars[range].iter_mut().for_each(edit);
        cars
    };
    let weight = median(own, |car| car.weight).max(car.weight);
    let height = median(own, Numbers::coupler_height);
    let drag = median(own, |car| car.rolling_drag);
    let breakaway = median(own, |car| car.breakaway_drag);
    vec![
        (Cause::LightCar, one(&|car| car.weight = weight)),
        (
            Cause::UnlikeNeighbours,
            all(near.clone(), &|other| other.take_shape_of(&car)),
        ),
        (
            Cause::OffCentreLoad,
            one(&|car| (car.cg_forward, car.cg_left) = (0.0, 0.0)),
        ),
        (
            Cause::CouplerHeights,
            all(near, &|car| {
                (car.coupler_height_front, car.coupler_height_rear) = (height, height)
            }),
        ),
        (Cause::StiffSwivel, one(&|car| car.swivel_moment = 0.0)),
        (
            Cause::DragOfOtherCars,
            all(0..own.len(), &|car| {
                car.rolling_drag = car.rolling_drag.min(drag);
                car.breakaway_drag = car.breakaway_drag.min(breakaway);
            }),
        ),
    ]
}

/// The middle value over the cars (all vehicles when there is no car).
fn median(own: &[Numbers], of: impl Fn(&Numbers) -> f64) -> f64 {
    let mut values: Vec<f64> = own
        .iter()
        .filter(|car| car.power.is_none())
        .map(&of)
        .collect();
    if values.is_empty() {
        values = own.iter().map(&of).collect();
    }
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// The same place, asked again.
struct Trial<'a> {
    line: &'a Alignment,
    check: &'a Check,
    worst: &'a Worst,
}

impl Trial<'_> {
    /// The use of the same mode on the same vehicle.
    fn ratio(&self, cars: &[Numbers], edit: impl Fn(&mut Stance)) -> Result<f64, SweepError> {
        let mut climber = Climber::new(cars, self.line, self.check);
        climber.stand_at(self.worst.head_s)?;
        climber.stances.iter_mut().for_each(edit);
        climber.balance_again();
        Ok(self.read(&climber))
    }

    fn ratio_without_force(&self, cars: &[Numbers]) -> Result<f64, SweepError> {
        let mut climber = Climber::new(cars, self.line, self.check);
        climber.stand_at(self.worst.head_s)?;
        climber.balance.forces.fill(0.0);
        Ok(self.read(&climber))
    }

    fn read(&self, climber: &Climber<'_>) -> f64 {
        let seen = climber.seen();
        seen.uses(self.worst.vehicle, seen.lead())[self.worst.mode as usize].ratio()
    }
}
