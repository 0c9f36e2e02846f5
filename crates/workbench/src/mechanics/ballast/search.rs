//! The exact search: totals in order of least cost, then placements with sound bounds.

use super::model::{Found, Model, Moments};

/// The one limit that a search may break, at a violation to be made least.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Relaxed {
    Nothing,
    Weight,
    /// 0 along, 1 across, 2 up.
    Moment(usize),
    Capacity,
    Stock,
}

/// What a search found.
#[derive(Debug)]
pub(super) struct Outcome {
    pub(super) found: Option<Found>,
    /// Whether everything better was ruled out.
    pub(super) is_finished: bool,
    /// No plan costs less.
    pub(super) cost_at_least: i128,
}

/// How many of each kind, and the least that any placement of them violates and costs.
struct Totals {
    counts: Vec<u32>,
    mass: i128,
    violation: i128,
    cost: i128,
}

struct Search<'a> {
    model: &'a Model,
    relaxed: Relaxed,
    nodes_left: u64,
    best: Option<Found>,
}

/// Finds the plan of least violation and then least cost.
pub(super) fn best_plan(model: &Model, relaxed: Relaxed, node_limit: u64) -> Outcome {
    let mut search = Search {
        model,
        relaxed,
        nodes_left: node_limit,
        best: None,
    };
    let most = |kind: usize| search.most(kind);
    let handled_max: u32 = (0..model.kinds.len())
        .map(|kind| most(kind) + model.kinds[kind].fitted_count())
        .sum();
    for handled in 0..=handled_max {
        let cost_at_least = model.price_per_piece * i128::from(handled);
        if search.cannot_beat(0, cost_at_least) && relaxed == Relaxed::Nothing {
            break;
        }
        let mut all = Vec::new();
        let mut counts = Vec::with_capacity(model.kinds.len());
        search.totals(handled, model.base_mass, &mut counts, &mut all);
        all.sort_by_key(|totals| (totals.violation, totals.cost));
        for totals in &all {
            if search.cannot_beat(totals.violation, totals.cost) {
                break;
            }
            Placement::new(&mut search, totals).place_all();
            if search.nodes_left == 0 {
                break;
            }
        }
        if search.nodes_left == 0 {
            return Outcome {
                found: search.best,
                is_finished: false,
                cost_at_least,
            };
        }
    }
    Outcome {
        cost_at_least: search.best.as_ref().map_or(0, |best| best.cost),
        found: search.best,
        is_finished: true,
    }
}

impl Search<'_> {
    fn cannot_beat(&self, violation: i128, cost: i128) -> bool {
        self.best
            .as_ref()
            .is_some_and(|best| (violation, cost) >= (best.violation, best.cost))
    }

    fn spend(&mut self) -> bool {
        self.nodes_left = self.nodes_left.saturating_sub(1);
        self.nodes_left > 0
    }

    /// The most weights of a kind that a plan may use.
    fn most(&self, kind: usize) -> u32 {
        let Model {
            kinds,
            base_mass,
            target,
            tolerance,
            ..
        } = self.model;
        let held = kinds[kind].held;
        if self.relaxed == Relaxed::Stock {
            let room = (target + tolerance - base_mass).max(0) / kinds[kind].mass;
            held.max(u32::try_from(room).unwrap_or(u32::MAX).min(10_000))
        } else {
            held
        }
    }

    /// All totals that handle at least `handled_left` more weights, no more, from kind
    /// `counts.len()` on, and can be brought to weight.
    fn totals(
        &mut self,
        handled_left: u32,
        mass: i128,
        counts: &mut Vec<u32>,
        all: &mut Vec<Totals>,
    ) {
        let model = self.model;
        if !self.spend() {
            return;
        }
        let heaviest = model.target + model.tolerance;
        if mass > heaviest && self.relaxed != Relaxed::Weight {
            return;
        }
        let Some(kind) = model.kinds.get(counts.len()) else {
            if handled_left == 0 {
                self.add_totals(mass, counts, all);
            }
            return;
        };
        if self.too_light(mass, handled_left, counts.len()) {
            return;
        }
        let fitted = kind.fitted_count();
        let most = self.most(counts.len());
        let is_last = counts.len() + 1 == model.kinds.len();
        let moved_least = if is_last { handled_left } else { 0 };
        for moved in moved_least..=handled_left {
            let more = Some(fitted + moved).filter(|count| *count <= most);
            let less = fitted.checked_sub(moved).filter(|_| moved > 0);
            for count in [more, less].into_iter().flatten() {
                counts.push(count);
                let with_it = mass + kind.mass * i128::from(count);
                self.totals(handled_left - moved, with_it, counts, all);
                counts.pop();
            }
        }
    }

    /// Whether even the heaviest use of what is left stays below the tolerance.
    fn too_light(&self, mass: i128, handled_left: u32, first: usize) -> bool {
        if self.relaxed == Relaxed::Weight {
            return false;
        }
        let model = self.model;
        let mut left = handled_left;
        let mut heaviest = mass;
        for (index, kind) in model.kinds.iter().enumerate().skip(first) {
            let fitted = kind.fitted_count();
            let added = left.min(self.most(index) - fitted);
            left -= added;
            heaviest += kind.mass * i128::from(fitted + added);
        }
        heaviest < model.target - model.tolerance
    }

    fn add_totals(&self, mass: i128, counts: &[u32], all: &mut Vec<Totals>) {
        let model = self.model;
        let off = ((mass - model.target).abs() - model.tolerance).max(0);
        let violation = match self.relaxed {
            Relaxed::Weight => off,
            Relaxed::Stock => model
                .kinds
                .iter()
                .zip(counts)
                .map(|(kind, count)| i128::from(count.saturating_sub(kind.held)))
                .sum(),
            Relaxed::Nothing | Relaxed::Moment(_) | Relaxed::Capacity => 0,
        };
        if off > 0 && self.relaxed != Relaxed::Weight {
            return;
        }
        let handled: u32 = model
            .kinds
            .iter()
            .zip(counts)
            .map(|(kind, count)| kind.fitted_count().abs_diff(*count))
            .sum();
        let lowest_nm = model.pockets.first().map_or(0, |pocket| pocket.at[2]);
        let cost = model.weight_cost(mass)
            + model.price_per_piece * i128::from(handled)
            + model.price_per_moment * lowest_nm * (mass - model.base_mass);
        all.push(Totals {
            counts: counts.to_vec(),
            mass,
            violation,
            cost,
        });
    }
}

/// Weights of given totals, on their way into the pockets.
struct Placement<'s, 'a> {
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
    fn new(search: &'s mut Search<'a>, totals: &'s Totals) -> Self {
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

    fn place_all(&mut self) {
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
