//! The sweep itself.

use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::{IntoParallelIterator, ParallelIterator};

use super::check::{Check, Cores, SlackRule, SweepError};
use super::envelope::{Entry, Envelope};
use super::places::{PlaceColumns, head_places};
use super::trace::Trace;
use crate::margins::{Coupling, Mode, Situation, Use, uses, worst_of_forces};
use crate::placement::{Placer, Slack, Stance};
use crate::statics::{Balance, Solver, Step};
use crate::track::Alignment;
use crate::vehicle::{Numbers, Train};

/// A whole climb.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweep {
    /// What was checked.
    pub check: Check,
    /// What was found at each place of the head.
    pub places: PlaceColumns,
    /// The worst of each mode on each vehicle.
    pub envelope: Envelope,
}

/// Moves `train` along `line` and checks every vehicle at every place.
///
/// # Errors
/// [`SweepError`] when the step is not positive, the train does not fit on the line, or a vehicle
/// cannot stand somewhere.
pub fn sweep(train: &Train, line: &Alignment, check: &Check) -> Result<Sweep, SweepError> {
    Ok(run(train, line, check, None, &|_, _| ())?.0)
}

/// As [`sweep`], and beside it what each piece of the line of `piece_m` metres sees of the train.
/// `watch` is told how many places are done, of how many, now and then and from any core.
///
/// # Errors
/// As [`sweep`].
pub fn sweep_traced(
    train: &Train,
    line: &Alignment,
    check: &Check,
    piece_m: f64,
    watch: &(dyn Fn(usize, usize) + Sync),
) -> Result<(Sweep, Trace), SweepError> {
    run(train, line, check, Some(piece_m), watch)
}

/// How many places are done between two words to the watcher.
const WATCHED: usize = 64;

fn run(
    train: &Train,
    line: &Alignment,
    check: &Check,
    piece_m: Option<f64>,
    watch: &(dyn Fn(usize, usize) + Sync),
) -> Result<(Sweep, Trace), SweepError> {
    let heads = head_places(train.numbers(), line, check)?;
    let done = AtomicUsize::new(0);
    let told = |count: usize| {
        watch(
            done.fetch_add(count, Ordering::Relaxed) + count,
            heads.len(),
        )
    };
    let empty = || piece_m.map_or_else(Trace::default, |piece_m| Trace::of(line, piece_m));
    let stretch = |heads: &[f64]| stretch(train.numbers(), line, check, heads, empty(), &told);
    let parts: Vec<Part> = match check.cores {
        Cores::One => vec![stretch(&heads)?],
        Cores::All => {
            let share = heads
                .len()
                .div_ceil(4 * rayon::current_num_threads())
                .max(1);
            let chunks: Vec<&[f64]> = heads.chunks(share).collect();
            chunks
                .into_par_iter()
                .map(stretch)
                .collect::<Result<_, _>>()?
        }
    };
    let mut places = PlaceColumns::default();
    let mut envelope = Envelope::of(train.vehicle_count());
    let mut trace = empty();
    for (columns, part, traced) in parts {
        places.append(columns);
        envelope.merge(&part);
        trace.merge(&traced);
    }
    let swept = Sweep {
        check: *check,
        places,
        envelope,
    };
    Ok((swept, trace))
}

/// What one core found.
type Part = (PlaceColumns, Envelope, Trace);

/// One stretch of places on one core.
fn stretch(
    train: &[Numbers],
    line: &Alignment,
    check: &Check,
    heads: &[f64],
    mut trace: Trace,
    told: &(dyn Fn(usize) + Sync),
) -> Result<Part, SweepError> {
    let mut climber = Climber::new(train, line, check);
    let mut places = PlaceColumns::default();
    let mut envelope = Envelope::of(train.len());
    for block in heads.chunks(WATCHED) {
        for &head_s in block {
            climber.stand_at(head_s)?;
            let worst = take_all(&mut envelope, Some(&mut trace), head_s, &climber.seen());
            places.push(head_s, &climber.balance, &worst);
        }
        told(block.len());
    }
    Ok((places, envelope, trace))
}

/// A balanced train, ready to be looked at.
#[derive(Clone, Copy)]
pub(super) struct Seen<'a> {
    pub(super) train: &'a [Numbers],
    pub(super) couplings: &'a [Coupling],
    pub(super) stances: &'a [Stance],
    pub(super) balance: &'a Balance,
    pub(super) step: Step,
}

impl Seen<'_> {
    /// The uses of one vehicle; that of stalling is entered on the first locomotive.
    #[inline]
    pub(super) fn uses(&self, index: usize, lead: usize) -> [Use; Mode::ALL.len()] {
        let mut row = uses(&self.situation(index));
        if index == lead {
            row[Mode::Stall as usize] = Use {
                demand: self.balance.required.abs(),
                capacity: self.balance.available,
            };
        }
        row
    }

    /// Raises `worst` to the worst use of forces on one vehicle.
    #[inline]
    pub(super) fn raise(&self, vehicle: usize, worst: &mut Entry) {
        if let Some((ratio, mode)) = worst_of_forces(&self.situation(vehicle), worst.ratio) {
            *worst = Entry {
                ratio,
                mode,
                vehicle,
            };
        }
    }

    pub(super) fn situation(&self, index: usize) -> Situation<'_> {
        Situation {
            car: &self.train[index],
            stance: &self.stances[index],
            couplings: [
                index
                    .checked_sub(1)
                    .and_then(|before| self.couplings.get(before)),
                self.couplings.get(index),
            ],
            step: &self.step,
            forces: [self.balance.forces[index], self.balance.forces[index + 1]],
            pull: self.balance.pulls[index],
            extra_drag: self.balance.extra_drag[index],
        }
    }

    /// The first vehicle that pulls.
    pub(super) fn lead(&self) -> usize {
        self.train
            .iter()
            .position(|car| car.power.is_some())
            .unwrap_or(0)
    }
}

/// Takes every vehicle of one place into an envelope.
pub(super) fn take_all(
    envelope: &mut Envelope,
    mut trace: Option<&mut Trace>,
    head_s: f64,
    seen: &Seen<'_>,
) -> Entry {
    let lead = seen.lead();
    let mut worst = Entry::NONE;
    for index in 0..seen.train.len() {
        let uses = seen.uses(index, lead);
        envelope.take(index, head_s, &uses, &mut worst);
        if let Some(trace) = &mut trace {
            let force = seen.balance.forces[index];
            trace.take(index, head_s, &seen.stances[index], force, &uses);
        }
    }
    worst
}

/// A train that is placed and balanced at one place after another.
pub(super) struct Climber<'a> {
    train: &'a [Numbers],
    couplings: Vec<Coupling>,
    placer: Placer<'a>,
    solver: Solver,
    rule: SlackRule,
    slack: Vec<Slack>,
    pub(super) stances: Vec<Stance>,
    pub(super) balance: Balance,
}

impl<'a> Climber<'a> {
    pub(super) fn new(train: &'a [Numbers], line: &'a Alignment, check: &Check) -> Self {
        Self {
            train,
            couplings: Coupling::of_train(train),
            placer: Placer::new(line),
            solver: Solver::new(check.condition, check.law),
            rule: check.slack,
            slack: Vec::new(),
            stances: Vec::new(),
            balance: Balance::default(),
        }
    }

    /// Places and balances the train with its head at `head_s`.
    pub(super) fn stand_at(&mut self, head_s: f64) -> Result<(), SweepError> {
        let state = if self.rule == SlackRule::AllBunched {
            Slack::Bunched
        } else {
            Slack::Stretched
        };
        self.slack.clear();
        self.slack.resize(self.couplings.len(), state);
        self.place(head_s)?;
        self.solver
            .solve(self.train, &self.stances, &mut self.balance);
        if self.rule == SlackRule::ByForce && self.bunch_what_is_in_buff() {
            self.place(head_s)?;
            self.solver
                .solve(self.train, &self.stances, &mut self.balance);
        }
        Ok(())
    }

    /// Balances again after the stances have been changed by hand.
    pub(super) fn balance_again(&mut self) {
        self.solver
            .solve(self.train, &self.stances, &mut self.balance);
    }

    pub(super) fn seen(&self) -> Seen<'_> {
        Seen {
            train: self.train,
            couplings: &self.couplings,
            stances: &self.stances,
            balance: &self.balance,
            step: Step {
                condition: self.solver.condition(),
                law: self.solver.law(),
                speed: self.balance.speed,
                acceleration: 0.0,
            },
        }
    }

    fn place(&mut self, head_s: f64) -> Result<(), SweepError> {
        self.placer
            .place(self.train, &self.slack, head_s, &mut self.stances)
            .map_err(|source| SweepError::Placement { head_s, source })
    }

    /// Sets the slack by the sign of the forces; says whether anything is in buff.
    fn bunch_what_is_in_buff(&mut self) -> bool {
        let mut any = false;
        for (state, force) in self.slack.iter_mut().zip(&self.balance.forces[1..]) {
            if *force < 0.0 {
                *state = Slack::Bunched;
                any = true;
            }
        }
        any
    }
}
