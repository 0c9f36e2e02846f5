//! The best of many trains, without working each of them out.
//!
//! The margin of a train is 1 less its hardest use over all places, so its use at any one place is
//! a bound: the train can be no better than that. Every train is first looked at where others were
//! hard pressed (a few *hard spots*, each a vehicle and where it stood), best bound first; what
//! cannot beat the best known is left. The one with the best bound is then looked at everywhere:
//! every 64th place, every 8th, every one; where it is harder pressed than was known, that is a
//! new hard spot for all. A train that has been looked at everywhere has its exact margin, that of
//! a fresh [`crate::sweep::sweep`] on the same places.
//!
//! What comes out is therefore the best of all, exactly, up to [`Goal::tolerance`]: no other train
//! is better by more than that. The tolerance matters because moving a vehicle shifts those behind
//! against the grid of places, which alone moves margins by some 1e-4: without it trains that are
//! equal to a shop would each be worked out in full.
//!
//! The rejected way: keeping, for each car and place, the use as a function of the coupler force.
//! Balance speed and slack make every force depend on every vehicle, and the exact answer still
//! needs each place; the bounds leave fewer than one place in a thousand to be looked at.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use super::pool::{Lineup, Pool};
use super::watch::{Go, Progress, StopReason, Watcher};
use crate::margins::Mode;
use crate::sweep::{Check, Cores, Hardest, HeadPlaces, Probe, SweepError};
use crate::track::Alignment;
use crate::vehicle::{Numbers, first_without_link};

/// Every so many places, stage by stage.
const STRIDES: [usize; 3] = [64, 8, 1];

/// Trains looked at together between two words to the watcher.
const BATCH: usize = 128;

/// Places looked at between two words to the watcher, for each of [`SHARES`].
const STRETCH: usize = 32;

/// Shares of a stretch that are looked at side by side.
const SHARES: usize = 8;

/// What is sought.
#[derive(Clone, Copy, Debug)]
pub(super) struct Goal {
    /// How many trains are wanted.
    pub(super) keep: usize,
    /// A train counts only if its margin is above this.
    pub(super) above: f64,
    /// A difference of margin that does not matter.
    pub(super) tolerance: f64,
    /// A margin with which the search may end.
    pub(super) enough: f64,
}

/// Where a train was hard pressed, for others to be looked at.
#[derive(Clone, Copy, Debug)]
pub(super) struct HardSpot {
    /// The vehicle, by its identity.
    pub(super) who: usize,
    /// Place of the head then, m.
    pub(super) head_s: f64,
    /// How far behind the head the vehicle stands on straight track, m.
    pub(super) behind_head: f64,
}

/// A train with its exact margin.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    /// Its number among the candidates.
    pub(super) candidate: usize,
    /// Its hardest use.
    pub(super) hardest: Hardest,
}

/// What came of a contest.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    /// The best, best first.
    pub(super) best: Vec<Placed>,
    /// For each candidate a margin that it does not exceed; none where it cannot stand.
    pub(super) at_most: Vec<Option<f64>>,
    /// Why it ended.
    pub(super) stop: StopReason,
    /// How many single places of single trains were looked at.
    pub(super) looks: usize,
}

/// The ground on which trains are compared.
pub(super) struct Contest<'a> {
    pub(super) line: &'a Alignment,
    pub(super) check: &'a Check,
    pub(super) pool: &'a Pool,
    pub(super) watcher: Watcher<'a>,
    /// Grows as the contest goes on.
    pub(super) spots: Vec<HardSpot>,
}

/// What is known of one candidate.
#[derive(Clone, Copy, Debug)]
struct State {
    hardest: Option<Hardest>,
    seen: usize,
    stage: usize,
    fate: Fate,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    Open,
    Placed,
    CannotStand,
}

impl State {
    const NEW: Self = Self {
        hardest: None,
        seen: 0,
        stage: 0,
        fate: Fate::Open,
    };

    fn use_at_least(&self) -> f64 {
        self.hardest.map_or(0.0, |own| own.ratio)
    }

    fn raise(&mut self, found: Option<Hardest>) -> bool {
        let higher = found.is_some_and(|next| next.ratio > self.use_at_least());
        if higher {
            self.hardest = found;
        }
        higher
    }
}

/// A use as a key: not negative, so its bits are in its order.
fn key(ratio: f64) -> u64 {
    ratio.max(0.0).to_bits()
}

impl<'a> Contest<'a> {
    /// Finds the best of the candidates `0..count`, each made by `build`.
    pub(super) fn best(
        &mut self,
        count: usize,
        build: &(dyn Fn(usize) -> Lineup + Sync),
        goal: Goal,
    ) -> Outcome {
        let mut run = Run {
            states: vec![State::NEW; count],
            heap: (0..count).map(|own| Reverse((0, own))).collect(),
            best: Vec::new(),
            looks: 0,
            goal,
        };
        let stop = self.settle(&mut run, build);
        run.best
            .sort_by(|a, b| a.hardest.ratio.total_cmp(&b.hardest.ratio));
        let at_most = |state: &State| match state.fate {
            Fate::CannotStand => None,
            Fate::Open | Fate::Placed => Some(1.0 - state.use_at_least()),
        };
        Outcome {
            at_most: run.states.iter().map(at_most).collect(),
            best: run.best,
            stop,
            looks: run.looks,
        }
    }

    fn settle(&mut self, run: &mut Run, build: &(dyn Fn(usize) -> Lineup + Sync)) -> StopReason {
        loop {
            if run.is_enough() {
                return StopReason::Enough;
            }
            let Some(&Reverse((top, leader))) = run.heap.peek() else {
                return StopReason::Settled;
            };
            if top >= key(run.bar()) {
                return StopReason::Settled;
            }
            if (self.watcher)(run.progress()) == Go::Stop {
                return StopReason::Watcher;
            }
            if run.states[leader].seen < self.spots.len() {
                self.look_at_spots(run, build);
            } else if self.look_everywhere(run, leader, &build(leader)) == Go::Stop {
                return StopReason::Watcher;
            }
        }
    }

    /// Looks at the best few where others were hard pressed.
    fn look_at_spots(&self, run: &mut Run, build: &(dyn Fn(usize) -> Lineup + Sync)) {
        let bar = run.bar();
        let mut batch = Vec::with_capacity(BATCH);
        while batch.len() < BATCH {
            match run.heap.peek() {
                Some(&Reverse((top, own)))
                    if top < key(bar) && run.states[own].seen < self.spots.len() =>
                {
                    run.heap.pop();
                    batch.push(own);
                }
                _ => break,
            }
        }
        let next = run.heap.peek().map_or(0, |&Reverse((top, _))| top);
        let limit = bar.min(f64::from_bits(next) + run.goal.tolerance);
        let states = &run.states;
        let one = |own: &usize| self.at_spots(&build(*own), states[*own], limit);
        for (own, (state, looks)) in batch.iter().zip(each(self.check.cores, &batch, one)) {
            run.states[*own] = state;
            run.looks += looks;
            if state.fate == Fate::Open {
                run.heap.push(Reverse((key(state.use_at_least()), *own)));
            }
        }
    }

    /// Looks at one train at the spots it has not seen, until it is harder pressed than `limit`.
    fn at_spots(&self, lineup: &Lineup, mut state: State, limit: f64) -> (State, usize) {
        let numbers = self.pool.numbers(lineup);
        let mut looks = 0;
        let Some(places) = self.places(&numbers) else {
            state.fate = Fate::CannotStand;
            return (state, looks);
        };
        let reach = behind_head(&numbers);
        let mut probe = Probe::new(&numbers, self.line, self.check, places);
        while state.seen < self.spots.len() {
            let spot = &self.spots[state.seen];
            state.seen += 1;
            let Some(place) = self.pool.place_of(lineup, spot.who) else {
                continue;
            };
            let head_s = spot.head_s + reach[place] - spot.behind_head;
            looks += 1;
            let Ok(found) = probe.look(places.nearest(head_s), state.use_at_least()) else {
                state.fate = Fate::CannotStand;
                return (state, looks);
            };
            state.raise(found);
            if state.use_at_least() > limit {
                break;
            }
        }
        (state, looks)
    }

    /// The places of a train; none where it cannot be coupled up or does not fit on the line.
    fn places(&self, numbers: &[Numbers]) -> Option<HeadPlaces> {
        if first_without_link(numbers).is_some() {
            return None;
        }
        let places = HeadPlaces::of(numbers, self.line, self.check).ok()?;
        (places.count() > 0).then_some(places)
    }

    /// Looks at one train everywhere, or until it is seen to be worse than another.
    fn look_everywhere(&mut self, run: &mut Run, leader: usize, lineup: &Lineup) -> Go {
        run.heap.pop();
        let next = run.heap.peek().map_or(u64::MAX, |&Reverse((top, _))| top);
        let bar = run.bar();
        let limit = bar.min(f64::from_bits(next.min(key(1e300))) + run.goal.tolerance);
        let numbers = self.pool.numbers(lineup);
        let mut state = run.states[leader];
        let Some(places) = self.places(&numbers) else {
            run.states[leader].fate = Fate::CannotStand;
            return Go::On;
        };
        while state.stage < STRIDES.len() && state.fate == Fate::Open {
            let before = state.hardest;
            let stage = staged(places.count(), state.stage);
            for stretch in stage.chunks(STRETCH * SHARES) {
                if (self.watcher)(run.progress()) == Go::Stop {
                    return Go::Stop;
                }
                match self.stretch(&numbers, places, stretch, state.use_at_least()) {
                    Ok(found) => _ = state.raise(found),
                    Err(_) => state.fate = Fate::CannotStand,
                }
                run.looks += stretch.len();
                if state.fate != Fate::Open || state.use_at_least() >= bar {
                    break;
                }
            }
            state.stage += 1;
            if state.hardest != before {
                self.remember(lineup, &numbers, &state);
            }
            if state.use_at_least() > limit && state.stage < STRIDES.len() {
                break;
            }
        }
        state.seen = self.spots.len();
        let beaten = state.use_at_least() >= bar;
        if state.fate == Fate::Open && state.stage == STRIDES.len() && !beaten {
            state.fate = Fate::Placed;
            // A train that nothing bears on at all is as good as one can be.
            let at_ease = Hardest {
                ratio: 0.0,
                mode: Mode::Stall,
                vehicle: 0,
                head_s: places.at(0),
            };
            run.place(leader, state.hardest.unwrap_or(at_ease));
        } else if state.fate == Fate::Open && !beaten {
            let key = key(state.use_at_least());
            run.heap.push(Reverse((key, leader)));
        }
        run.states[leader] = state;
        Go::On
    }

    /// The hardest of several places, shared between cores.
    fn stretch(
        &self,
        numbers: &[Numbers],
        places: HeadPlaces,
        stretch: &[usize],
        floor: f64,
    ) -> Result<Option<Hardest>, SweepError> {
        let shares: Vec<&[usize]> = stretch.chunks(STRETCH).collect();
        let found = each(self.check.cores, &shares, |share| {
            let mut probe = Probe::new(numbers, self.line, self.check, places);
            let mut hardest: Option<Hardest> = None;
            for &index in *share {
                let floor = hardest.map_or(floor, |own| own.ratio);
                hardest = probe.look(index, floor)?.or(hardest);
            }
            Ok(hardest)
        });
        found.into_iter().try_fold(None, |worst, next| {
            let (worst, next): (Option<Hardest>, Option<Hardest>) = (worst, next?);
            Ok(match (worst, next) {
                (Some(one), Some(other)) if other.ratio > one.ratio => Some(other),
                (None, other) => other,
                (one, _) => one,
            })
        })
    }

    /// Adds where a train was hard pressed to the spots.
    fn remember(&mut self, lineup: &Lineup, numbers: &[Numbers], state: &State) {
        if let Some(hardest) = state.hardest {
            self.spots.push(HardSpot {
                who: self.pool.identity(lineup, hardest.vehicle),
                head_s: hardest.head_s,
                behind_head: behind_head(numbers)[hardest.vehicle],
            });
        }
    }
}

/// The places of one stage: those of its stride that no earlier stage had.
fn staged(count: usize, stage: usize) -> Vec<usize> {
    let before = stage.checked_sub(1).map(|own| STRIDES[own]);
    let fresh = |index: &usize| before.is_none_or(|stride| !index.is_multiple_of(stride));
    (0..count).step_by(STRIDES[stage]).filter(fresh).collect()
}

/// How far behind the head's front bolster each vehicle's is on straight track, m.
pub(super) fn behind_head(numbers: &[Numbers]) -> Vec<f64> {
    let mut reach = Vec::with_capacity(numbers.len());
    let mut at = 0.0;
    for (index, own) in numbers.iter().enumerate() {
        if let Some(ahead) = index.checked_sub(1).map(|before| &numbers[before]) {
            at += ahead.half_truck_centres
                + ahead.pivot_rear
                + ahead.link_to(own)
                + 0.5 * ahead.slack_to(own)
                + own.pivot_front
                - own.half_truck_centres;
        }
        reach.push(at);
    }
    reach
}

/// One answer for each item, in order, on one core or all.
fn each<T: Sync, R: Send>(
    cores: Cores,
    items: &[T],
    work: impl Fn(&T) -> R + Sync + Send,
) -> Vec<R> {
    match cores {
        Cores::One => items.iter().map(work).collect(),
        Cores::All => items.par_iter().map(work).collect(),
    }
}

/// A contest under way.
struct Run {
    states: Vec<State>,
    /// Open candidates, the least use first.
    heap: BinaryHeap<Reverse<(u64, usize)>>,
    best: Vec<Placed>,
    looks: usize,
    goal: Goal,
}

impl Run {
    /// A use that a train must stay below to be of interest.
    fn bar(&self) -> f64 {
        let mut placed: Vec<f64> = self.best.iter().map(|own| own.hardest.ratio).collect();
        placed.sort_by(f64::total_cmp);
        let least = 1.0 - self.goal.above;
        placed
            .get(self.goal.keep.saturating_sub(1))
            .map_or(least, |last| (last - self.goal.tolerance).min(least))
    }

    fn place(&mut self, candidate: usize, hardest: Hardest) {
        self.best.push(Placed { candidate, hardest });
        self.best
            .sort_by(|a, b| a.hardest.ratio.total_cmp(&b.hardest.ratio));
        self.best.truncate(self.goal.keep);
    }

    fn is_enough(&self) -> bool {
        let most = 1.0 - self.goal.enough;
        self.best.iter().any(|own| own.hardest.ratio <= most)
    }

    fn progress(&self) -> Progress {
        let bar = key(self.bar());
        let total = self.states.len();
        // Those whose bound is at the bar are settled already, though they still lie in the heap.
        let open = if self.heap.peek().is_some_and(|Reverse((top, _))| *top < bar) {
            self.heap.len()
        } else {
            0
        };
        Progress {
            done: total - open.min(total),
            total,
        }
    }
}
