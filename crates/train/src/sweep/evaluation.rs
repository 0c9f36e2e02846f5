//! Many trials on one line: the geometry is kept, the forces are found anew.
//!
//! Where the vehicles stand depends on their shapes and order only. A trial that changes power
//! settings, weights or drags reuses all of it; moving a locomotive places anew only the vehicles
//! between its old and its new place, and the ones behind until they stand within
//! [`SETTLED`] of where they stood (a vehicle takes up a little more track on a curve than on a
//! straight, so those behind shift by a fraction of a millimetre, which is then left out).
//! Memory: about 180 bytes per vehicle and place.

use super::check::{Check, SlackRule, SweepError};
use super::envelope::{Entry, Envelope};
use super::places::{PlaceColumns, head_places};
use super::run::{Seen, Sweep, take_all};
use crate::margins::{Coupling, Mode, worst_of_places};
use crate::placement::{Placer, Slack, Stance};
use crate::statics::{Balance, Solver, Step};
use crate::track::Alignment;
use crate::vehicle::{Numbers, Train, TrainError, Vehicle};

/// How near a vehicle must stand to its old place for those behind to be left alone, m.
/// ASSUMED: 2 mm, which moves a margin by less than the step between places does; a test compares
/// with a fresh sweep.
const SETTLED: f64 = 2e-3;

/// A train whose places on a line are known.
#[derive(Clone, Debug)]
pub struct Evaluation<'line> {
    line: &'line Alignment,
    check: Check,
    train: Train,
    couplings: Vec<Coupling>,
    heads: Vec<f64>,
    /// One row of stances per place, one after another.
    stances: Vec<Stance>,
    /// The worst of what depends on places alone, per vehicle.
    of_places: Vec<f64>,
}

/// Every so many places are looked at first.
const SCOUT: usize = 64;

impl<'line> Evaluation<'line> {
    /// Places `train` everywhere on `line`.
    ///
    /// The slack must not follow the forces here: [`SlackRule::ByForce`] is taken as all stretched.
    ///
    /// # Errors
    /// As [`super::sweep`].
    pub fn new(train: Train, line: &'line Alignment, check: &Check) -> Result<Self, SweepError> {
        let heads = head_places(train.numbers(), line, check)?;
        let mut evaluation = Self {
            line,
            check: Check {
                slack: fixed(check.slack),
                ..*check
            },
            couplings: Coupling::of_train(train.numbers()),
            stances: Vec::with_capacity(heads.len() * train.vehicle_count()),
            of_places: vec![0.0; train.vehicle_count()],
            train,
            heads,
        };
        let slack = evaluation.slack();
        let mut placer = Placer::new(line);
        let mut row = Vec::new();
        for &head_s in &evaluation.heads {
            placer
                .place(evaluation.train.numbers(), &slack, head_s, &mut row)
                .map_err(|source| SweepError::Placement { head_s, source })?;
            evaluation.stances.extend_from_slice(&row);
        }
        evaluation.look_at_places(0, usize::MAX);
        Ok(evaluation)
    }

    /// The train as it is now.
    #[must_use]
    pub fn train(&self) -> &Train {
        &self.train
    }

    /// The places of the head, m.
    #[must_use]
    pub fn head_places(&self) -> &[f64] {
        &self.heads
    }

    /// Replaces the card of one vehicle; all places are kept if its shape is the same.
    ///
    /// # Errors
    /// [`EvaluationError`] when there is no such vehicle, or it no longer fits.
    pub fn replace(&mut self, index: usize, vehicle: Vehicle) -> Result<(), EvaluationError> {
        let count = self.train.vehicle_count();
        if index >= count {
            return Err(TrainError::NoSuchPlace {
                place: index,
                count,
            }
            .into());
        }
        let mut vehicles = self.train.vehicles().to_vec();
        vehicles[index] = vehicle;
        let train = Train::new(vehicles)?;
        let same_shape = train.numbers()[index].has_shape_of(&self.train.numbers()[index]);
        self.adopt(train, (index, index), !same_shape)
    }

    /// Takes the vehicle at `from` out and cuts it in at `to`.
    ///
    /// # Errors
    /// [`EvaluationError`] when a place is not in the train, or a vehicle cannot stand somewhere.
    pub fn move_vehicle(&mut self, from: usize, to: usize) -> Result<(), EvaluationError> {
        let train = self.train.with_moved(from, to)?;
        self.adopt(train, (from.min(to), from.max(to)), true)
    }

    /// Balances and checks the train at every place, on the places as kept.
    #[must_use]
    pub fn sweep(&self) -> Sweep {
        let mut places = PlaceColumns::default();
        let mut envelope = Envelope::of(self.train.vehicle_count());
        self.each_place(1, |head_s, seen| {
            let worst = take_all(&mut envelope, None, head_s, seen);
            places.push(head_s, seen.balance, &worst);
        });
        Sweep {
            check: self.check,
            places,
            envelope,
        }
    }

    /// The margin alone, for a search: 1 − max u over all places.
    ///
    /// The same as that of [`Evaluation::sweep`], found faster: what depends on places alone is
    /// known already, and a truck is solved only where a bound on its wheel climb lies above the
    /// worst use found so far.
    #[must_use]
    pub fn margin(&self) -> f64 {
        // A few places first: the sooner a bad one is known, the more trucks need no solution.
        let scouted = self.worst_ratio(SCOUT, 0.0);
        1.0 - self.worst_ratio(1, scouted)
    }

    /// The margin over every `stride`-th place only, what depends on places alone being taken over
    /// all of them: never below [`Evaluation::margin`], and quicker by that factor. For the first
    /// pass of a search; what it chooses is then asked for its full margin.
    #[must_use]
    pub fn margin_of_every(&self, stride: usize) -> f64 {
        1.0 - self.worst_ratio(stride.max(1), 0.0)
    }

    fn worst_ratio(&self, stride: usize, floor: f64) -> f64 {
        let ratio = self.of_places.iter().copied().fold(floor, f64::max);
        let mut worst = Entry {
            ratio,
            ..Entry::NONE
        };
        self.each_place(stride, |_, seen| {
            worst.ratio = worst.ratio.max(seen.balance.stall_use());
            for index in 0..seen.train.len() {
                seen.raise(index, &mut worst);
            }
        });
        worst.ratio
    }

    /// The least margin of `train`, which must have the shapes of this one and may have other numbers:
    /// its places are those kept here.
    ///
    /// # Errors
    /// [`EvaluationError::OtherShape`] when a vehicle would stand otherwise.
    pub fn trial(&self, train: &Train) -> Result<Trial, EvaluationError> {
        let pairs = self.train.numbers().iter().zip(train.numbers());
        let other = pairs.clone().position(|(own, new)| !own.has_shape_of(new));
        if self.train.vehicle_count() != train.vehicle_count() || other.is_some() {
            let vehicle = other.unwrap_or(self.train.vehicle_count().min(train.vehicle_count()));
            return Err(EvaluationError::OtherShape { vehicle });
        }
        let couplings = Coupling::of_train(train.numbers());
        let of_places = self.worst_place(train.numbers(), &couplings);
        // A few places first: the sooner a bad one is known, the more trucks need no solution.
        let scouted = self.worst_force(train.numbers(), &couplings, SCOUT, of_places);
        let (worst, head_s) = self.worst_force(train.numbers(), &couplings, 1, scouted);
        Ok(Trial {
            margin: 1.0 - worst.ratio,
            mode: worst.mode,
            vehicle: worst.vehicle,
            head_s,
        })
    }

    /// The worst of what depends on places alone.
    fn worst_place(&self, train: &[Numbers], couplings: &[Coupling]) -> (Entry, f64) {
        let mut worst = (Entry::NONE, self.heads.first().copied().unwrap_or(0.0));
        let rows = self.stances.chunks_exact(train.len());
        for (&head_s, row) in self.heads.iter().zip(rows) {
            for (vehicle, (car, stance)) in train.iter().zip(row).enumerate() {
                let front = vehicle.checked_sub(1).map(|before| &couplings[before]);
                if let Some((ratio, mode)) = worst_of_places(car, stance, front, worst.0.ratio) {
                    let entry = Entry {
                        ratio,
                        mode,
                        vehicle,
                    };
                    worst = (entry, head_s);
                }
            }
        }
        worst
    }

    /// The worst of forces over every `stride`-th place, if above `floor`.
    fn worst_force(
        &self,
        train: &[Numbers],
        couplings: &[Coupling],
        stride: usize,
        floor: (Entry, f64),
    ) -> (Entry, f64) {
        let (mut worst, mut at) = floor;
        let mut solver = Solver::new(self.check.condition, self.check.law);
        let mut balance = Balance::default();
        let rows = self.stances.chunks_exact(train.len());
        for (&head_s, stances) in self.heads.iter().zip(rows).step_by(stride) {
            solver.solve(train, stances, &mut balance);
            let step = Step {
                condition: self.check.condition,
                law: self.check.law,
                speed: balance.speed,
                acceleration: 0.0,
            };
            let seen = Seen {
                train,
                couplings,
                stances,
                balance: &balance,
                step,
            };
            let before = worst.ratio;
            let stall = balance.stall_use();
            if stall > worst.ratio {
                worst = Entry {
                    ratio: stall,
                    mode: Mode::Stall,
                    vehicle: seen.lead(),
                };
            }
            for index in 0..train.len() {
                seen.raise(index, &mut worst);
            }
            if worst.ratio > before {
                at = head_s;
            }
        }
        (worst, at)
    }

    /// Finds the worst of what depends on places alone for the vehicles `first` to `last`.
    fn look_at_places(&mut self, first: usize, last: usize) {
        let count = self.train.vehicle_count();
        let (first, last) = (first.min(count - 1), last.min(count - 1));
        self.of_places[first..=last].fill(0.0);
        for row in self.stances.chunks_exact(count) {
            for (index, stance) in row.iter().enumerate().take(last + 1).skip(first) {
                let car = &self.train.numbers()[index];
                let front = index.checked_sub(1).map(|before| &self.couplings[before]);
                let worst = &mut self.of_places[index];
                if let Some((ratio, _)) = worst_of_places(car, stance, front, *worst) {
                    *worst = ratio;
                }
            }
        }
    }

    fn each_place(&self, stride: usize, mut look: impl FnMut(f64, &Seen<'_>)) {
        let mut solver = Solver::new(self.check.condition, self.check.law);
        let mut balance = Balance::default();
        let rows = self.stances.chunks_exact(self.train.vehicle_count());
        for (&head_s, stances) in self.heads.iter().zip(rows).step_by(stride) {
            solver.solve(self.train.numbers(), stances, &mut balance);
            let step = Step {
                condition: self.check.condition,
                law: self.check.law,
                speed: balance.speed,
                acceleration: 0.0,
            };
            let seen = Seen {
                train: self.train.numbers(),
                couplings: &self.couplings,
                stances,
                balance: &balance,
                step,
            };
            look(head_s, &seen);
        }
    }

    fn place_again(&mut self, train: &Train, changed: (usize, usize)) -> Result<(), SweepError> {
        let slack = self.slack();
        let mut placer = Placer::new(self.line);
        let rows = self.stances.chunks_exact_mut(train.vehicle_count());
        for (&head_s, row) in self.heads.iter().zip(rows) {
            placer
                .place_again(train.numbers(), &slack, changed, SETTLED, row)
                .map_err(|source| SweepError::Placement { head_s, source })?;
        }
        Ok(())
    }

    fn slack(&self) -> Vec<Slack> {
        let state = match self.check.slack {
            SlackRule::AllBunched => Slack::Bunched,
            SlackRule::AllStretched | SlackRule::ByForce => Slack::Stretched,
        };
        vec![state; self.train.vehicle_count()]
    }

    /// Takes a new train in; `first` to `last` are the places where a
    /// vehicle is another, with another shape if it is `reshaped`.
    fn adopt(
        &mut self,
        train: Train,
        (first, last): (usize, usize),
        reshaped: bool,
    ) -> Result<(), EvaluationError> {
        if reshaped && let Err(refusal) = self.place_again(&train, (first, last)) {
            // Some places already hold the new order: put every one back as it was.
            let (old, whole) = (self.train.clone(), self.train.vehicle_count() - 1);
            self.place_again(&old, (0, whole))?;
            return Err(refusal.into());
        }
        self.couplings = Coupling::of_train(train.numbers());
        self.train = train;
        self.look_at_places(first.saturating_sub(1), last.saturating_add(1));
        Ok(())
    }
}

fn fixed(rule: SlackRule) -> SlackRule {
    if rule == SlackRule::AllBunched {
        rule
    } else {
        SlackRule::AllStretched
    }
}

/// What a trial came to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// 1 − the greatest use of anything that ends the climb.
    pub margin: f64,
    /// In which way it is used most.
    pub mode: Mode,
    /// On which vehicle, from 0.
    pub vehicle: usize,
    /// Where the head's front bolster is then, m.
    pub head_s: f64,
}

/// A trial that cannot be made.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum EvaluationError {
    /// The changed list is no train.
    #[error(transparent)]
    Train(#[from] TrainError),
    /// A trial of a train whose vehicles stand otherwise.
    #[error(
        "vehicle {vehicle} stands otherwise than the one whose places are kept (vehicles count from 0)"
    )]
    OtherShape {
        /// The vehicle.
        vehicle: usize,
    },
    /// The changed train cannot stand everywhere.
    #[error(transparent)]
    Sweep(#[from] SweepError),
}
