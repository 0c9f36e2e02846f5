//! Placing weights of given totals pocket by pocket, with sound bounds on every branch.
//!
//! A branch is left when the moments that the remaining mass can add, divided freely over the
//! pockets it may still go to, all lie outside a limit; when it does not fit; or when it cannot
//! beat the best plan. At each new kind the bound also respects the room left: the remaining mass
//! fills the pockets in order of a coordinate, which is the exact extreme of a divisible mass.

use super::model::{Found, Moments};
use super::search::{Relaxed, Search, Totals};

/// Weights of given totals, on their way into the pockets.
pub(super) struct Placement<'s, 'a> {
    search: &'s mut Search<'a>,
    totals: &'s Totals,
    allowed: [[i128; 2]; 3],
    /// Kind by kind, as far as placed.
    counts: Vec<u32>,
    room: Vec<i128>,
    /// Mass of the kinds after each one.
    later_mass: Vec<i128>,
    /// Handled at least, by the kinds after each one.
    later_handled: Vec<u32>,
    /// By pocket: least and most of each coordinate from that pocket on.
    reach_from: Vec<[[i128; 2]; 3]>,
    /// Pockets by each coordinate, rising.
    by_axis: [Vec<usize>; 3],
}

/// How far the placement is.
#[derive(Clone, Copy)]
struct State {
    kind: usize,
    pocket: usize,
    /// Of this kind, still to place.
    left: u32,
    moments: Moments,
    overfull: i128,
    handled: u32,
}

impl<'s, 'a> Placement<'s, 'a> {
    pub(super) fn new(search: &'s mut Search<'a>, totals: &'s Totals) -> Self {
        let model = search.model;
        let (kinds, pockets) = (&model.kinds, &model.pockets);
        let mut later_mass = vec![0; kinds.len() + 1];
        let mut later_handled = vec![0; kinds.len() + 1];
        for index in (0..kinds.len()).rev() {
            let count = totals.counts[index];
            later_mass[index] = later_mass[index + 1] + kinds[index].mass * i128::from(count);
            let handled = kinds[index].fitted_count().abs_diff(count);
            later_handled[index] = later_handled[index + 1] + handled;
        }
        // No pocket left: an empty range, so that no mass can go there.
        let mut reach_from = vec![[[0, 0]; 3]; pockets.len() + 1];
        for index in (0..pockets.len()).rev() {
            let next = reach_from[index + 1];
            for (axis, range) in reach_from[index].iter_mut().enumerate() {
                let nm = pockets[index].at[axis];
                *range = if index + 1 == pockets.len() {
                    [nm, nm]
                } else {
                    [nm.min(next[axis][0]), nm.max(next[axis][1])]
                };
            }
        }
        let by_axis = [0, 1, 2].map(|axis| {
            let mut order: Vec<usize> = (0..pockets.len()).collect();
            order.sort_by_key(|index| pockets[*index].at[axis]);
            order
        });
        Self {
            allowed: model.allowed(totals.mass),
            counts: vec![0; kinds.len() * pockets.len()],
            room: pockets.iter().map(|pocket| pocket.capacity).collect(),
            later_mass,
            later_handled,
            reach_from,
            by_axis,
            search,
            totals,
        }
    }

    pub(super) fn place_all(&mut self) {
        let moments = self.search.model.base;
        self.start_kind(State {
            kind: 0,
            pocket: 0,
            left: 0,
            moments,
            overfull: 0,
            handled: 0,
        });
    }

    /// Bounds with full regard to room, then the first pocket of the next kind.
    fn start_kind(&mut self, state: State) {
        let Some(left) = self.totals.counts.get(state.kind).copied() else {
            self.finish(&state);
            return;
        };
        if !self.search.spend() || !self.fits_somehow(&state) {
            return;
        }
        self.place(State {
            pocket: 0,
            left,
            ..state
        });
    }

    fn place(&mut self, state: State) {
        let model = self.search.model;
        if !self.search.spend() || !self.may_still_win(&state) {
            return;
        }
        let pocket_count = model.pockets.len();
        if state.pocket == pocket_count {
            if state.left == 0 {
                self.start_kind(State {
                    kind: state.kind + 1,
                    ..state
                });
            }
            return;
        }
        let kind = &model.kinds[state.kind];
        let pocket = &model.pockets[state.pocket];
        let room = self.room[state.pocket];
        let most = if self.search.relaxed == Relaxed::Capacity {
            state.left
        } else {
            let fit = u32::try_from((room / kind.mass).max(0)).unwrap_or(u32::MAX);
            state.left.min(fit)
        };
        let least = if state.pocket + 1 == pocket_count {
            state.left
        } else {
            0
        };
        for count in (least..=most).rev() {
            let mass = kind.mass * i128::from(count);
            let mut moments = state.moments;
            for (moment, nm) in moments.iter_mut().zip(pocket.at) {
                *moment += mass * nm;
            }
            self.counts[state.kind * pocket_count + state.pocket] = count;
            self.room[state.pocket] = room - mass;
            self.place(State {
                kind: state.kind,
                pocket: state.pocket + 1,
                left: state.left - count,
                moments,
                overfull: state.overfull + (mass - room.max(0)).max(0),
                handled: state.handled + kind.fitted[state.pocket].abs_diff(count),
            });
        }
        self.counts[state.kind * pocket_count + state.pocket] = 0;
        self.room[state.pocket] = room;
    }

    fn finish(&mut self, state: &State) {
        let (violation, cost) = self.least(state, [[0; 2]; 3], 0);
        if violation < i128::MAX && !self.search.cannot_beat(violation, cost) {
            self.search.best = Some(Found {
                counts: self.counts.clone(),
                violation,
                cost,
            });
        }
    }

    /// Bounds when what is left may be divided freely over the pockets it may still go to.
    fn may_still_win(&self, state: &State) -> bool {
        let kind = &self.search.model.kinds[state.kind];
        let now = kind.mass * i128::from(state.left);
        let later = self.later_mass[state.kind + 1];
        let mut reach = [[0; 2]; 3];
        for (axis, range) in reach.iter_mut().enumerate() {
            for (end, bound) in range.iter_mut().enumerate() {
                *bound = now * self.reach_from[state.pocket][axis][end]
                    + later * self.reach_from[0][axis][end];
            }
        }
        let still_fitted: u32 = kind.fitted[state.pocket..].iter().sum();
        let handled = state.left.abs_diff(still_fitted) + self.later_handled[state.kind + 1];
        let (violation, cost) = self.least(state, reach, handled);
        violation < i128::MAX && !self.search.cannot_beat(violation, cost)
    }

    /// Bounds when what is left fills the pockets' room in order of each coordinate.
    fn fits_somehow(&self, state: &State) -> bool {
        let mass = self.later_mass[state.kind];
        let room: i128 = self.room.iter().map(|room| (*room).max(0)).sum();
        let is_bounded = self.search.relaxed != Relaxed::Capacity;
        if is_bounded && room < mass {
            return false;
        }
        let mut reach = [[0; 2]; 3];
        for (axis, range) in reach.iter_mut().enumerate() {
            *range = if is_bounded {
                let rising = self.by_axis[axis].iter().copied();
                let falling = self.by_axis[axis].iter().rev().copied();
                [
                    self.filled(axis, mass, rising),
                    self.filled(axis, mass, falling),
                ]
            } else {
                self.reach_from[0][axis].map(|nm| nm * mass)
            };
        }
        let (violation, cost) = self.least(state, reach, self.later_handled[state.kind]);
        violation < i128::MAX && !self.search.cannot_beat(violation, cost)
    }

    fn filled(&self, axis: usize, mass: i128, order: impl Iterator<Item = usize>) -> i128 {
        let mut left = mass;
        let mut moment = 0;
        for index in order {
            let here = left.min(self.room[index].max(0));
            moment += here * self.search.model.pockets[index].at[axis];
            left -= here;
            if left == 0 {
                break;
            }
        }
        moment
    }

    /// The least violation and cost when what is left adds moments within `reach` and handles at
    /// least `handled` more; a violation of `i128::MAX` when a limit that holds cannot be met.
    fn least(&self, state: &State, reach: [[i128; 2]; 3], handled: u32) -> (i128, i128) {
        let model = self.search.model;
        let mut violation = self.totals.violation;
        for (axis, [low, high]) in reach.into_iter().enumerate() {
            let [at_least, at_most] = self.allowed[axis];
            let moment = state.moments[axis];
            let outside = (moment + low - at_most).max(at_least - moment - high);
            if outside > 0 {
                if self.search.relaxed != Relaxed::Moment(axis) {
                    return (i128::MAX, 0);
                }
                violation += outside;
            }
        }
        if self.search.relaxed == Relaxed::Capacity {
            violation += state.overfull;
        }
        let raised = state.moments[2] - model.base[2] + reach[2][0];
        let cost = model.weight_cost(self.totals.mass)
            + model.price_per_piece * i128::from(state.handled + handled)
            + model.price_per_moment * raised;
        (violation, cost)
    }
}
