//! The exact search over the four places.
//!
//! Costs are whole numbers in units of (1/1000)·nm·(truck centres in nm). A pair of washer stacks
//! is costed by its own ride and pieces; the boxes then have a window of effects that leave each
//! coupler within tolerance. Washer stacks come in order of cost, so the first pair that cannot
//! beat the best found ends its row, and the first such row ends the search.

use super::stacks::{AnyStrip, Sizes, Stack};
use super::{CostWeights, Place, ShimCure, ShimError, ShimTask, Stores};
use crate::mechanics::ends::{End, Ends};
use crate::mechanics::lever::ExactLever;
use gradeworthy_units::Length;

/// More than any cost of (M1): weights below 2³², a few lengths below 2²⁹ nm, and 2a below 2³¹ nm.
const STRIP_COST: i128 = 1 << 100;

/// What turns lengths and pieces into costs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scales {
    /// Per nanometre of ride.
    ride: i128,
    /// Per scaled unit of height.
    height: i128,
    /// Per piece handled.
    piece: i128,
    centres_nm: i64,
}

impl Scales {
    pub(super) fn new(lever: &ExactLever, weights: CostWeights) -> Self {
        let centres_nm = i128::from(lever.centres_nm);
        Self {
            ride: i128::from(weights.ride) * centres_nm,
            height: i128::from(weights.height),
            piece: i128::from(weights.piece) * 1_000_000 * centres_nm,
            centres_nm: lever.centres_nm,
        }
    }

    fn of_stack(&self, stack: &Stack) -> i128 {
        let strip = if stack.strip_nm > 0 { STRIP_COST } else { 0 };
        strip + self.piece * i128::from(stack.handled)
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "the comparison is done; this is for people to read"
    )]
    fn units(&self, cost: i128) -> f64 {
        (cost % STRIP_COST) as f64 / (1e9 * self.centres_nm as f64)
    }
}

/// A stack under a bolster, with the change of thickness and the cost it brings.
#[derive(Clone, Copy, Debug)]
struct WasherOption {
    stack: Stack,
    change_nm: i64,
    cost: i128,
}

/// A stack in a box, with how far it lowers the coupler (scaled) and its cost but for height.
#[derive(Clone, Copy, Debug)]
struct BoxOption {
    stack: Stack,
    lowers: i64,
    cost: i128,
}

/// All that can be put into the four places.
#[derive(Debug)]
pub(super) struct Options {
    washer_sizes: Sizes,
    box_sizes: Sizes,
    /// In order of cost.
    washers: Ends<Vec<WasherOption>>,
    /// In order of effect.
    boxes: Ends<Vec<BoxOption>>,
}

impl Options {
    pub(super) fn from_stock(
        task: &ShimTask<'_>,
        stores: &Stores<'_>,
        scales: &Scales,
    ) -> Result<Self, ShimError> {
        Self::new(task, stores, scales, None)
    }

    pub(super) fn new(
        task: &ShimTask<'_>,
        stores: &Stores<'_>,
        scales: &Scales,
        strip: Option<AnyStrip>,
    ) -> Result<Self, ShimError> {
        let washer_sizes = Sizes::new(stores.washers, task.fitted_washers)?;
        let box_sizes = Sizes::new(stores.box_shims, task.fitted_box_shims)?;
        let washers = |end: End| {
            let fitted = washer_sizes.fitted().at(end);
            let lying_nm = washer_sizes.fitted_nm(fitted);
            let ride_nm = task.ride.at(end).nanometres();
            let mut options: Vec<_> = washer_sizes
                .stacks(fitted, stores.washers_max, strip)?
                .into_iter()
                .map(|stack| {
                    let change_nm = stack.sum_nm - lying_nm;
                    let off_nm = i128::from(ride_nm + change_nm).abs();
                    WasherOption {
                        stack,
                        change_nm,
                        cost: scales.ride * off_nm + scales.of_stack(&stack),
                    }
                })
                .collect();
            options.sort_unstable_by_key(|option| (option.cost, option.change_nm));
            Ok::<_, ShimError>(options)
        };
        let boxes = |end: End| {
            let fitted = box_sizes.fitted().at(end);
            let lying_nm = box_sizes.fitted_nm(fitted);
            let per_nm = task.box_mounting.at(end).sign() * scales.centres_nm;
            let mut options: Vec<_> = box_sizes
                .stacks(fitted, stores.box_shims_max, strip)?
                .into_iter()
                .map(|stack| BoxOption {
                    stack,
                    lowers: (stack.sum_nm - lying_nm) * per_nm,
                    cost: scales.of_stack(&stack),
                })
                .collect();
            options.sort_unstable_by_key(|option| (option.lowers, option.cost));
            Ok::<_, ShimError>(options)
        };
        Ok(Self {
            washers: Ends {
                a: washers(End::A)?,
                b: washers(End::B)?,
            },
            boxes: Ends {
                a: boxes(End::A)?,
                b: boxes(End::B)?,
            },
            washer_sizes,
            box_sizes,
        })
    }
}

impl Options {
    /// The pieces of strip in a choice, with their places.
    pub(super) fn strips(&self, found: &Found) -> Vec<(Place, Length)> {
        let ends = [End::A, End::B];
        let under = ends.map(|end| {
            let option = &self.washers.at(end)[*found.washers.at(end)];
            (Place::Bolster(end), option.stack.strip_nm)
        });
        let inside = ends.map(|end| {
            let option = &self.boxes.at(end)[*found.boxes.at(end)];
            (Place::CouplerBox(end), option.stack.strip_nm)
        });
        under
            .into_iter()
            .chain(inside)
            .filter(|(_, strip_nm)| *strip_nm > 0)
            .map(|(place, strip_nm)| (place, Length::from_nanometres(strip_nm)))
            .collect()
    }
}

/// The car in whole numbers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Problem {
    pub(super) lever: ExactLever,
    pub(super) scales: Scales,
    /// Scaled heights less the scaled target.
    pub(super) off: Ends<i64>,
    /// Scaled tolerance less guard.
    pub(super) allowed: i64,
    target: Length,
    ride: Ends<Length>,
}

/// Indices of the chosen stacks in [`Options`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    washers: Ends<usize>,
    boxes: Ends<usize>,
    cost: i128,
}

impl Problem {
    pub(super) fn new(
        task: &ShimTask<'_>,
        lever: &ExactLever,
        scales: Scales,
    ) -> Result<Self, ShimError> {
        let target = lever.scaled(Ends {
            a: task.target,
            b: task.tolerance - task.guard,
        })?;
        let heights = lever.scaled(task.heights)?;
        lever.scaled(task.ride)?;
        Ok(Self {
            lever: *lever,
            scales,
            off: heights.map(|height| height - target.a),
            allowed: target.b,
            target: task.target,
            ride: task.ride,
        })
    }

    pub(super) fn cure(&self, options: &Options, found: &Found) -> ShimCure {
        let washer = |end: End| &options.washers.at(end)[*found.washers.at(end)];
        let in_box = |end: End| &options.boxes.at(end)[*found.boxes.at(end)];
        let ends = Ends {
            a: End::A,
            b: End::B,
        };
        let change_nm = ends.map(|end| washer(end).change_nm);
        let off = self.lever.after(self.off, change_nm, Ends { a: 0, b: 0 });
        let handled =
            |end: End| u32::from(washer(end).stack.handled) + u32::from(in_box(end).stack.handled);
        ShimCure {
            washers: ends.map(|end| {
                let sizes = &options.washer_sizes;
                sizes.stacked(sizes.fitted().at(end), &washer(end).stack)
            }),
            box_shims: ends.map(|end| {
                let sizes = &options.box_sizes;
                sizes.stacked(sizes.fitted().at(end), &in_box(end).stack)
            }),
            heights: ends
                .map(|end| self.target + self.lever.length(off.at(end) - in_box(end).lowers)),
            ride: ends
                .map(|end| *self.ride.at(end) + Length::from_nanometres(washer(end).change_nm)),
            pieces_handled: handled(End::A) + handled(End::B),
            cost: self.scales.units(found.cost),
        }
    }
}

/// The best choice, or none when no choice is within tolerance.
pub(super) fn best(problem: &Problem, options: &Options) -> Option<Found> {
    let mut best: Option<Found> = None;
    let cheapest_b = options.washers.b.first()?.cost;
    for (index_a, washer_a) in options.washers.a.iter().enumerate() {
        let limit = |best: &Option<Found>| best.map_or(i128::MAX, |found| found.cost);
        if washer_a.cost + cheapest_b >= limit(&best) {
            break;
        }
        for (index_b, washer_b) in options.washers.b.iter().enumerate() {
            let washers_cost = washer_a.cost + washer_b.cost;
            let room = limit(&best) - washers_cost;
            if room <= 0 {
                break;
            }
            if !options
                .washer_sizes
                .hold_both(&washer_a.stack, &washer_b.stack)
            {
                continue;
            }
            let change_nm = Ends {
                a: washer_a.change_nm,
                b: washer_b.change_nm,
            };
            let off = problem
                .lever
                .after(problem.off, change_nm, Ends { a: 0, b: 0 });
            if let Some((boxes, boxes_cost)) = best_boxes(problem, options, off, room) {
                best = Some(Found {
                    washers: Ends {
                        a: index_a,
                        b: index_b,
                    },
                    boxes,
                    cost: washers_cost + boxes_cost,
                });
            }
        }
    }
    best
}

/// The cheapest pair of boxes below `room` for couplers that are `off` before them.
fn best_boxes(
    problem: &Problem,
    options: &Options,
    off: Ends<i64>,
    room: i128,
) -> Option<(Ends<usize>, i128)> {
    let windows = Ends {
        a: window(&options.boxes.a, off.a, problem.allowed)?,
        b: window(&options.boxes.b, off.b, problem.allowed)?,
    };
    let cost = |end: End, index: usize| {
        let option = &options.boxes.at(end)[index];
        let left = i128::from((off.at(end) - option.lowers).abs());
        option.cost + problem.scales.height * left
    };
    let cheapest = |end: End| {
        windows
            .at(end)
            .clone()
            .map(|index| (cost(end, index), index))
            .min()
    };
    let (cost_a, index_a) = cheapest(End::A)?;
    if cost_a >= room {
        return None;
    }
    let (cost_b, index_b) = cheapest(End::B)?;
    if cost_a + cost_b >= room {
        return None;
    }
    let hold = |index_a: usize, index_b: usize| {
        let stacks = (
            &options.boxes.a[index_a].stack,
            &options.boxes.b[index_b].stack,
        );
        options.box_sizes.hold_both(stacks.0, stacks.1)
    };
    if hold(index_a, index_b) {
        let boxes = Ends {
            a: index_a,
            b: index_b,
        };
        return Some((boxes, cost_a + cost_b));
    }
    // The two best want the same scarce piece: try all pairs in order of cost.
    let sorted = |end: End| {
        let mut all: Vec<_> = windows
            .at(end)
            .clone()
            .map(|index| (cost(end, index), index))
            .collect();
        all.sort_unstable();
        all
    };
    let (all_a, all_b) = (sorted(End::A), sorted(End::B));
    let mut best = None;
    let mut room = room;
    for (cost_a, index_a) in all_a {
        for (cost_b, index_b) in &all_b {
            if cost_a + cost_b >= room {
                break;
            }
            if hold(index_a, *index_b) {
                room = cost_a + cost_b;
                let boxes = Ends {
                    a: index_a,
                    b: *index_b,
                };
                best = Some((boxes, room));
            }
        }
    }
    best
}

/// The options that leave a coupler within `allowed`; none when there is no such option.
fn window(options: &[BoxOption], off: i64, allowed: i64) -> Option<std::ops::Range<usize>> {
    let start = options.partition_point(|option| option.lowers < off - allowed);
    let length = options[start..].partition_point(|option| option.lowers <= off + allowed);
    (length > 0).then_some(start..start + length)
}
