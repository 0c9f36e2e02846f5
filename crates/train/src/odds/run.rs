//! Trips drawn and checked.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use super::Draws;
use super::interval::{Interval, clopper_pearson};
use super::unknown::{Sharing, Unknown};
use crate::margins::Mode;
use crate::sweep::{Check, Cores, Evaluation, EvaluationError, SweepError, Trial};
use crate::track::Alignment;
use crate::vehicle::{Quantity, Sourced, Train, TrainError, Vehicle, VehicleError};

/// A train on a line, and what is not known of it.
#[derive(Clone, Debug)]
pub struct Problem<'a> {
    /// The train, its numbers as on the cards.
    pub train: &'a Train,
    /// The line.
    pub line: &'a Alignment,
    /// What the train does, how far apart the places are that are looked at, and how many cores share
    /// the trips.
    pub check: Check,
    /// What is not known.
    pub unknowns: &'a [Unknown],
    /// How many trips.
    pub trips: usize,
}

/// Why the odds cannot be told.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum OddsError {
    /// No trips.
    #[error("no trips were asked for: a thousand tell one in a hundred from one in fifty")]
    NoTrips,
    /// An unknown that would move the vehicles on the line.
    #[error(
        "{0:?} decides where the vehicles stand and cannot be drawn here: measure it, or try its ends"
    )]
    Shapes(Quantity),
    /// A number between 0 and 1 was wanted.
    #[error("trip {trip}, unknown {unknown}: the draw is {found}, not between 0 and 1")]
    NotADraw {
        /// The trip.
        trip: u64,
        /// The unknown.
        unknown: u64,
        /// What was drawn.
        found: f64,
    },
    /// A drawn number that no vehicle can have.
    #[error(transparent)]
    Vehicle(#[from] VehicleError),
    /// A drawn train that is none.
    #[error(transparent)]
    Train(#[from] TrainError),
    /// The train cannot stand on the line.
    #[error(transparent)]
    Sweep(#[from] SweepError),
    /// The same, of a trial.
    #[error(transparent)]
    Trial(#[from] EvaluationError),
}

/// What the trips came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Odds {
    /// The trips, in the order of their draws; fewer than asked for where the watcher ended it.
    pub trips: Vec<Trial>,
    /// How many were asked for.
    pub asked: usize,
}

impl Odds {
    /// How many trips are in trouble.
    #[must_use]
    pub fn troubled(&self) -> usize {
        self.trips.iter().filter(|trip| trip.margin < 0.0).count()
    }

    /// The probability of trouble in a trip.
    #[must_use]
    pub fn probability(&self, confidence: f64) -> Interval {
        clopper_pearson(self.troubled(), self.trips.len(), confidence)
    }

    /// What the trips in trouble came to grief by: mode, vehicle and count, most often first.
    #[must_use]
    pub fn causes(&self) -> Vec<(Mode, usize, usize)> {
        let mut causes: Vec<(Mode, usize, usize)> = Vec::new();
        for trip in self.trips.iter().filter(|trip| trip.margin < 0.0) {
            let own =
                |cause: &&mut (Mode, usize, usize)| (cause.0, cause.1) == (trip.mode, trip.vehicle);
            match causes.iter_mut().find(own) {
                Some(cause) => cause.2 += 1,
                None => causes.push((trip.mode, trip.vehicle, 1)),
            }
        }
        causes.sort_by_key(|(mode, vehicle, count)| (std::cmp::Reverse(*count), *vehicle, *mode));
        causes
    }

    /// The margin below which the part `p` of the trips lies; `None` without trips or for no part.
    #[must_use]
    pub fn margin_quantile(&self, p: f64) -> Option<f64> {
        if !(0.0..=1.0).contains(&p) {
            return None;
        }
        let mut margins: Vec<f64> = self.trips.iter().map(|trip| trip.margin).collect();
        margins.sort_by(f64::total_cmp);
        let last = margins.len().checked_sub(1)?;
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the last index, which is far below 2^53"
        )]
        let (place, below) = {
            let place = last as f64 * p;
            (place, place.floor() as usize)
        };
        let above = (below + 1).min(last);
        Some(margins[below] + place.fract() * (margins[above] - margins[below]))
    }
}

/// Draws and checks `problem.trips` trips.
///
/// The watcher is told how many are done, of how many, now and then and from any core; where it
/// breaks, the odds of the trips done so far are given.
///
/// # Errors
/// [`OddsError`] when no trip is asked for, an unknown would move the vehicles, the train does not fit
/// on the line, or a draw is none.
pub fn odds(
    problem: &Problem<'_>,
    draws: &dyn Draws,
    watch: &(dyn Fn(usize, usize) -> ControlFlow<()> + Sync),
) -> Result<Odds, OddsError> {
    if problem.trips == 0 {
        return Err(OddsError::NoTrips);
    }
    let shaping = |unknown: &&Unknown| unknown.quantity.shapes_the_train();
    if let Some(unknown) = problem.unknowns.iter().find(shaping) {
        return Err(OddsError::Shapes(unknown.quantity));
    }
    let standing = Evaluation::new(problem.train.clone(), problem.line, &problem.check)?;
    let (done, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let trip = |number: usize| -> Result<Option<Trial>, OddsError> {
        if stop.load(Ordering::Relaxed) {
            return Ok(None);
        }
        let drawn = drawn(problem, draws, number)?;
        let trip = standing.trial(&drawn)?;
        let count = done.fetch_add(1, Ordering::Relaxed) + 1;
        if watch(count, problem.trips).is_break() {
            stop.store(true, Ordering::Relaxed);
        }
        Ok(Some(trip))
    };
    let numbers = 0..problem.trips;
    let trips: Vec<Option<Trial>> = match problem.check.cores {
        Cores::One => numbers.map(trip).collect::<Result<_, _>>()?,
        Cores::All => numbers
            .into_par_iter()
            .map(trip)
            .collect::<Result<_, _>>()?,
    };
    Ok(Odds {
        trips: trips.into_iter().flatten().collect(),
        asked: problem.trips,
    })
}

/// The train of one trip.
pub(super) fn drawn(
    problem: &Problem<'_>,
    draws: &dyn Draws,
    number: usize,
) -> Result<Train, OddsError> {
    let trip = u64::try_from(number).unwrap_or(u64::MAX);
    let mut vehicles: Vec<Vehicle> = problem.train.vehicles().to_vec();
    for (unknown, place) in problem.unknowns.iter().zip(0_u64..) {
        let uniform = |vehicle: Option<&str>| {
            let found = draws.uniform(trip, place, vehicle);
            if found > 0.0 && found < 1.0 {
                Ok(found)
            } else {
                let unknown = place;
                Err(OddsError::NotADraw {
                    trip,
                    unknown,
                    found,
                })
            }
        };
        let shared = match unknown.sharing {
            Sharing::Shared => Some(uniform(None)?),
            Sharing::PerVehicle => None,
        };
        for (own, card) in vehicles.iter_mut().zip(problem.train.vehicles()) {
            if !unknown.moves(card) {
                continue;
            }
            let uniform = match shared {
                Some(uniform) => uniform,
                None => uniform(Some(card.label()))?,
            };
            let entry = Sourced {
                provenance: card.entry(unknown.quantity).provenance,
                ..Sourced::measured(unknown.draw(card, uniform))
            };
            *own = std::mem::replace(own, card.clone()).with(unknown.quantity, entry)?;
        }
    }
    Ok(Train::new(vehicles)?)
}
