//! Cars in another order, each within its own block.
//!
//! Three ways, tried in this order for each block:
//! 1. Up to [`FEW`] cars: every order is compared, by bounds; exact.
//! 2. The theorem of [`super::steady`] gives an order and a use below which no order can come; when
//!    the whole margin of that order reaches it, the order is proved best.
//! 3. Otherwise from the better of the order as it is and the heaviest cars towards the power, the
//!    best exchange of two cars or move of one car within a block, again and again while it gains:
//!    of those that touch the hardest pressed car or one next to it, then, when none of these
//!    gains, of all. The end is only found.

use std::ops::Range;

use super::adviser::{AdviceError, Advised, Adviser, Claim};
use super::change::Change;
use super::contest::{Contest, Placed};
use super::makeup::Origin;
use super::pool::Lineup;
use super::steady::steady_order;
use super::units::units;
use super::watch::StopReason;

/// Cars of a block whose orders are all compared: 7! is 5040.
const FEW: usize = 7;

/// Rounds through every step of every block after which a local search ends.
const FULL_ROUNDS: usize = 4;

/// A search for an order, so far.
struct Search<'c> {
    contest: Contest<'c>,
    lineup: Lineup,
    best: Option<Placed>,
    margin: f64,
    tried: usize,
    looks: usize,
    stop: StopReason,
}

impl Adviser<'_> {
    /// The runs of cars between locomotives, the blocks of a train that has no others.
    #[must_use]
    pub fn runs_of_cars(&self) -> Vec<Range<usize>> {
        let numbers = self.train.numbers();
        let mut runs: Vec<Range<usize>> = Vec::new();
        for unit in units(numbers) {
            if numbers[unit.start].power.is_some() {
                continue;
            }
            match runs.last_mut() {
                Some(last) if last.end == unit.start => last.end = unit.end,
                _ => runs.push(unit),
            }
        }
        runs
    }

    /// A better order of the cars within each of `blocks` (places in the train, from 0; blocks that
    /// do not overlap).
    ///
    /// # Errors
    /// [`AdviceError::NotThere`] for a block that is not all cars of the train.
    pub fn orders(&self, blocks: &[Range<usize>]) -> Result<Advised, AdviceError> {
        let numbers = self.train.numbers();
        for block in blocks {
            let cars = numbers.get(block.clone()).unwrap_or_default();
            if cars.is_empty() || cars.iter().any(|own| own.power.is_some()) {
                return Err(self.not_there(block, "cars"));
            }
        }
        let mut search = Search {
            contest: self.contest(&self.pool),
            lineup: self.lineup(),
            best: None,
            margin: self.margin(),
            tried: 0,
            looks: 0,
            stop: StopReason::Settled,
        };
        let free: Vec<&Range<usize>> = blocks.iter().filter(|own| own.len() > 1).collect();
        let claim = match free.as_slice() {
            [] => Claim::Best,
            [only] if only.len() <= FEW => {
                self.every_order(&mut search, only);
                Claim::Best
            }
            [only] if self.by_theorem(&mut search, only) => Claim::Theorem,
            _ => {
                self.heavy_first(&mut search, &free);
                self.improve(&mut search, &free);
                Claim::Found
            }
        };
        let changes = self.reorders(blocks, &search.lineup);
        let best = search.best.iter();
        let settled = search.stop == StopReason::Settled;
        Ok(Advised {
            best: best
                .map(|own| self.advice(&self.pool, &search.lineup, changes.clone(), &own.hardest))
                .collect(),
            claim: if settled { claim } else { Claim::Found },
            stop: search.stop,
            tried: search.tried,
            looks: search.looks,
        })
    }

    fn every_order(&self, search: &mut Search<'_>, block: &Range<usize>) {
        let start = search.lineup.clone();
        let orders = permutations(block.clone().collect());
        let build = |own: usize| {
            let mut lineup = start.clone();
            lineup[block.clone()].copy_from_slice(&orders[own]);
            lineup
        };
        self.take(search, orders.len(), &build);
    }

    /// Tries the order of the theorem; says whether it is proved best.
    fn by_theorem(&self, search: &mut Search<'_>, block: &Range<usize>) -> bool {
        let Some(steady) = steady_order(self, block) else {
            return false;
        };
        let mut lineup = search.lineup.clone();
        lineup[block.clone()].copy_from_slice(&steady.order);
        self.take(search, 1, &|_| lineup.clone());
        1.0 - search.margin <= steady.least_use + self.tolerance
    }

    fn heavy_first(&self, search: &mut Search<'_>, blocks: &[&Range<usize>]) {
        let mut lineup = search.lineup.clone();
        let weight = |card: &usize| self.pool.card(*card).weight;
        for block in blocks {
            lineup[(*block).clone()].sort_by(|a, b| weight(b).total_cmp(&weight(a)));
        }
        self.take(search, 1, &|_| lineup.clone());
    }

    fn improve(&self, search: &mut Search<'_>, blocks: &[&Range<usize>]) {
        let all: Vec<Step> = blocks.iter().flat_map(|block| Step::all(block)).collect();
        let mut full_rounds = 0;
        while full_rounds < FULL_ROUNDS && search.stop != StopReason::Watcher {
            let hardest = search.best.map_or(self.hardest, |own| own.hardest).vehicle;
            let near: Vec<Step> = all
                .iter()
                .copied()
                .filter(|step| step.touches(hardest))
                .collect();
            if self.take_step(search, &near) {
                continue;
            }
            full_rounds += 1;
            if !self.take_step(search, &all) {
                return;
            }
        }
    }

    fn take_step(&self, search: &mut Search<'_>, steps: &[Step]) -> bool {
        let before = search.lineup.clone();
        self.take(search, steps.len(), &|own| steps[own].of(&before))
    }

    /// Takes the best of the candidates if it gains; says whether it does.
    fn take(
        &self,
        search: &mut Search<'_>,
        count: usize,
        build: &(dyn Fn(usize) -> Lineup + Sync),
    ) -> bool {
        let goal = self.goal(1, search.margin);
        let outcome = search.contest.best(count, build, goal);
        search.tried += count;
        search.looks += outcome.looks;
        search.stop = outcome.stop;
        let Some(placed) = outcome.best.first().copied() else {
            return false;
        };
        search.lineup = build(placed.candidate);
        search.margin = 1.0 - placed.hardest.ratio;
        search.best = Some(placed);
        true
    }

    /// The changes that bring the blocks into the order of `lineup`.
    fn reorders(&self, blocks: &[Range<usize>], lineup: &[usize]) -> Vec<Change> {
        let changed = blocks.iter().filter(|block| {
            !(*block)
                .clone()
                .eq(lineup[(*block).clone()].iter().copied())
        });
        changed
            .map(|block| Change::Reorder {
                vehicles: lineup[block.clone()]
                    .iter()
                    .map(|own| Origin::Own(*own))
                    .collect(),
            })
            .collect()
    }
}

/// One step of a local search within a block.
#[derive(Clone, Copy, Debug)]
enum Step {
    Exchange(usize, usize),
    Move(usize, usize),
}

impl Step {
    fn all(block: &Range<usize>) -> Vec<Self> {
        let mut steps = Vec::new();
        for from in block.clone() {
            for to in block.clone() {
                if from < to {
                    steps.push(Self::Exchange(from, to));
                }
                // One place over is an exchange.
                if from.abs_diff(to) > 1 {
                    steps.push(Self::Move(from, to));
                }
            }
        }
        steps
    }

    /// Whether it moves a car that stands at a place, or next to it.
    fn touches(self, place: usize) -> bool {
        let (Self::Exchange(one, other) | Self::Move(one, other)) = self;
        [one, other].iter().any(|own| own.abs_diff(place) <= 1)
    }

    fn of(self, lineup: &[usize]) -> Lineup {
        let mut after = lineup.to_vec();
        match self {
            Self::Exchange(one, other) => after.swap(one, other),
            Self::Move(from, to) => {
                let own = after.remove(from);
                after.insert(to, own);
            }
        }
        after
    }
}

/// Every order of the items.
fn permutations(items: Vec<usize>) -> Vec<Vec<usize>> {
    if items.len() <= 1 {
        return vec![items];
    }
    let mut all = Vec::new();
    for index in 0..items.len() {
        let mut rest = items.clone();
        let first = rest.remove(index);
        for mut order in permutations(rest) {
            order.insert(0, first);
            all.push(order);
        }
    }
    all
}
