//! The exact search over totals (how many of each kind), in order of least cost.

use super::model::{Found, Model};
use super::placement::Placement;
use super::reach::{Range, masses};

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
pub(super) struct Totals {
    pub(super) counts: Vec<u32>,
    pub(super) mass: i128,
    pub(super) violation: i128,
    cost: i128,
}

/// A search under way.
pub(super) struct Search<'a> {
    pub(super) model: &'a Model,
    pub(super) relaxed: Relaxed,
    /// What the car may weigh: within tolerance, and where the moments can be met.
    weights: Range,
    nodes_left: u64,
    pub(super) best: Option<Found>,
}

/// Finds the plan of least violation and then least cost.
pub(super) fn best_plan(model: &Model, relaxed: Relaxed, node_limit: u64) -> Outcome {
    let Some(weights) = weights(model, relaxed) else {
        return Outcome {
            found: None,
            is_finished: true,
            cost_at_least: 0,
        };
    };
    let mut search = Search {
        model,
        relaxed,
        weights,
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

fn weights(model: &Model, relaxed: Relaxed) -> Option<Range> {
    let [least, most] = masses(model, relaxed)?.map(|mass| model.base_mass + mass);
    if relaxed == Relaxed::Weight {
        return Some([least, most]);
    }
    let range = [
        least.max(model.target - model.tolerance),
        most.min(model.target + model.tolerance),
    ];
    (range[0] <= range[1]).then_some(range)
}

impl Search<'_> {
    pub(super) fn cannot_beat(&self, violation: i128, cost: i128) -> bool {
        self.best
            .as_ref()
            .is_some_and(|best| (violation, cost) >= (best.violation, best.cost))
    }

    /// Counts a branch; false once the limit is reached.
    pub(super) fn spend(&mut self) -> bool {
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
        if !self.can_be_brought_to_weight(mass, handled_left, counts.len()) {
            return;
        }
        let Some(kind) = model.kinds.get(counts.len()) else {
            if handled_left == 0 {
                self.add_totals(mass, counts, all);
            }
            return;
        };
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

    /// Whether handling `handled_left` weights of the kinds from `first` on can bring the car to an
    /// allowed weight.
    fn can_be_brought_to_weight(&self, mass: i128, handled_left: u32, first: usize) -> bool {
        self.heaviest(mass, handled_left, first) >= self.weights[0]
            && self.lightest(mass, handled_left, first) <= self.weights[1]
    }

    /// Everything fitted stays, and the heaviest weights are put in.
    fn heaviest(&self, mass: i128, handled_left: u32, first: usize) -> i128 {
        let mut left = handled_left;
        let mut heaviest = mass;
        for (index, kind) in self.model.kinds.iter().enumerate().skip(first) {
            let fitted = kind.fitted_count();
            let added = left.min(self.most(index) - fitted);
            left -= added;
            heaviest += kind.mass * i128::from(fitted + added);
        }
        heaviest
    }

    /// The heaviest that is fitted is taken out; what is left to handle, the lightest, is put in.
    fn lightest(&self, mass: i128, handled_left: u32, first: usize) -> i128 {
        let mut left = handled_left;
        let mut lightest = mass;
        let kinds = &self.model.kinds[first..];
        for kind in kinds {
            let fitted = kind.fitted_count();
            let taken = left.min(fitted);
            left -= taken;
            lightest += kind.mass * i128::from(fitted - taken);
        }
        for (index, kind) in kinds.iter().enumerate().rev() {
            let added = left.min(self.most(first + index) - kind.fitted_count());
            left -= added;
            lightest += kind.mass * i128::from(added);
        }
        lightest
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
