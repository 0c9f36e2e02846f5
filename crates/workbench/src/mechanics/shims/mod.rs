//! Which washers under the bolsters and which shims in the coupler boxes bring both couplers to
//! height, from the stock that is really there.
//!
//! With heights after (L1) of [`super::lever`], ride heights ρ (departure of the body from its
//! nominal height at a bolster) and N the pieces handled (each one put in or taken out), choose
//! the stacks that minimise
//!
//! `w_r(|ρ_A + t_A| + |ρ_B + t_B|) + w_h(|h_A' − h0| + |h_B' − h0|) + w_c·N` (M1)
//!
//! subject to |h' − h0| ≤ tolerance − guard at both ends, at most so many pieces in a place, and
//! no more pieces of a size in the two bolsters (or the two boxes) together than the shop has.
//! Pieces already fitted may stay, go, or move to the other end.
//!
//! The answer is exact: all arithmetic is on whole numbers (nanometres times the truck centres),
//! every stack is enumerated, and the search leaves out only pairs that cannot beat what it has:
//! stacks are tried in order of cost, and costs only add.
//! Rejected: integer programming by a general solver, tens of times slower here and in floating
//! point at the very limit that decides (`oracles/shims_milp.py` keeps the comparison).
//!
//! When nothing in stock cures the car, the same search runs with strip of every multiple of the
//! shop's step to be had without end, at a price above any cost of (M1) per piece: that gives the
//! fewest pieces to buy or cut, and among those the best. One such piece in a place is enough to
//! consider, since two could be cut as one.
//!
//! Validity: body-mounted couplers, washers that do not compress, one stock for washers and one
//! for box shims.
//! Source: derived here; the trade's rule (both ends low: washers under both trucks; one end low:
//! a washer there; too high: a shim in the box) is common practice, no source.

mod missing;
mod search;
mod stacks;

use gradeworthy_units::Length;

use super::ends::{End, Ends};
use super::input::{Unusable, positive_mm};
use super::lever::{BoxMounting, ExactLever, Lever, LeverError};

/// Why a choice of shims could not be searched for.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ShimError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// The car's lever cannot be used.
    #[error(transparent)]
    Lever(#[from] LeverError),
    /// Reading uncertainty leaves nothing of the tolerance.
    #[error(
        "a guard of {guard:.3} leaves nothing of a tolerance of {tolerance:.3}: read more finely"
    )]
    GuardEatsTolerance {
        /// The guard.
        guard: Length,
        /// The tolerance.
        tolerance: Length,
    },
    /// More pieces in one place than this search stacks.
    #[error("a stack of {found} pieces was asked for or found; at most {limit} are searched")]
    StackTooHigh {
        /// Pieces asked for or fitted.
        found: usize,
        /// Limit of the search.
        limit: usize,
    },
    /// More different thicknesses, or stacks of them, than the search takes.
    #[error(
        "{sizes} thicknesses give {stacks} stacks in one place, above the limit of {limit}: offer \
         fewer thicknesses or lower stacks"
    )]
    TooManyStacks {
        /// Different thicknesses.
        sizes: usize,
        /// Stacks they give.
        stacks: usize,
        /// Limit of the search.
        limit: usize,
    },
}

/// Pieces of one thickness in the stores.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Thickness of one.
    pub thickness: Length,
    /// How many there are.
    pub count: u32,
}

/// What one unit of each thing costs in (M1), in thousandths, so that the sum stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CostWeights {
    /// `w_r`: thousandths per millimetre of ride height off.
    pub ride: u32,
    /// `w_h`: thousandths per millimetre of coupler height off.
    pub height: u32,
    /// `w_c`: thousandths per piece handled.
    pub piece: u32,
}

impl Default for CostWeights {
    /// ASSUMED: ride 1 per mm, height 0.5 per mm, 0.05 per piece. Effect: a piece more is worth
    /// 0.05 mm of ride height; every answer is within tolerance whatever they are.
    fn default() -> Self {
        Self {
            ride: 1000,
            height: 500,
            piece: 50,
        }
    }
}

/// A car whose couplers are to be brought to height.
#[derive(Clone, Copy, Debug)]
pub struct ShimTask<'a> {
    /// Truck centres and overhangs.
    pub lever: Lever,
    /// Coupler heights as read.
    pub heights: Ends<Length>,
    /// Departure of the body from its nominal ride height at each bolster.
    pub ride: Ends<Length>,
    /// h0.
    pub target: Length,
    /// The most that a coupler may be off.
    pub tolerance: Length,
    /// Kept free of the tolerance for the uncertainty of the reading; zero for none.
    pub guard: Length,
    /// Washers that lie under the bolsters now.
    pub fitted_washers: Ends<&'a [Length]>,
    /// Shims that lie in the coupler boxes now.
    pub fitted_box_shims: Ends<&'a [Length]>,
    /// Which way a box shim moves its coupler.
    pub box_mounting: Ends<BoxMounting>,
}

/// What the stores offer and the shop accepts.
#[derive(Clone, Copy, Debug)]
pub struct Stores<'a> {
    /// Bolster washers.
    pub washers: &'a [Stock],
    /// Coupler-box shims.
    pub box_shims: &'a [Stock],
    /// Most pieces under one bolster; a higher fitted stack may stay as high as it is.
    pub washers_max: usize,
    /// Most pieces in one box, likewise.
    pub box_shims_max: usize,
    /// Step in which strip can be bought or cut.
    pub strip_step: Length,
}

/// A place that takes shims.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// Under the bolster at an end.
    Bolster(End),
    /// In the coupler box at an end.
    CouplerBox(End),
}

/// What happens to the pieces of one place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stacked {
    /// What lies there afterwards, thickest first.
    pub stack: Vec<Length>,
    /// What is put in.
    pub put_in: Vec<Length>,
    /// What is taken out.
    pub taken_out: Vec<Length>,
}

/// A cure and its effect.
#[derive(Clone, Debug, PartialEq)]
pub struct ShimCure {
    /// Under the bolsters.
    pub washers: Ends<Stacked>,
    /// In the boxes.
    pub box_shims: Ends<Stacked>,
    /// Coupler heights afterwards, to the nearest nanometre.
    pub heights: Ends<Length>,
    /// Ride departures afterwards.
    pub ride: Ends<Length>,
    /// N: pieces put in or taken out.
    pub pieces_handled: u32,
    /// (M1) in units, not thousandths.
    pub cost: f64,
}

/// What the stores can do for the car.
#[derive(Clone, Debug, PartialEq)]
pub enum ShimAnswer {
    /// The best cure from stock; with no piece handled when the car is best left alone.
    Cure(ShimCure),
    /// Nothing in stock brings both couplers within tolerance.
    Missing {
        /// The fewest pieces that would, in multiples of the strip step.
        wanted: Vec<(Place, Length)>,
        /// What the car would be like with them.
        with_them: ShimCure,
    },
    /// No strip in this step would do either: the step is too coarse for the tolerance, or the
    /// places are full.
    NoStripWouldDo {
        /// The step.
        strip_step: Length,
        /// The width of the range that is allowed, twice tolerance less guard.
        allowed: Length,
    },
}

/// Finds the best cure for `task` from `stores`, or what is missing.
///
/// Ties go to the stack found first, in order of cost, then thickness.
///
/// # Errors
/// [`ShimError`] when a number is impossible or the search would be too large.
///
/// # Example
/// ```
/// use gradeworthy_units::Length;
/// use gradeworthy_workbench::mechanics::ends::Ends;
/// use gradeworthy_workbench::mechanics::lever::{BoxMounting, Lever};
/// use gradeworthy_workbench::mechanics::shims::{
///     CostWeights, ShimAnswer, ShimTask, Stock, Stores, choose_shims,
/// };
/// let mm = |hundredths| Length::from_hundredths_mm(hundredths);
/// let both = |length| Ends { a: length, b: length };
/// let task = ShimTask {
///     lever: Lever { truck_centres: mm(100_00), overhang: both(mm(20_00)) },
///     heights: both(mm(9_55)),
///     ride: both(mm(-40)),
///     target: Length::from_sixty_fourths(25),
///     tolerance: mm(13),
///     guard: mm(2),
///     fitted_washers: Ends { a: &[], b: &[] },
///     fitted_box_shims: Ends { a: &[], b: &[] },
///     box_mounting: Ends { a: BoxMounting::ShimLowers, b: BoxMounting::ShimLowers },
/// };
/// let washer = Stock { thickness: Length::from_thousandths(15), count: 10 };
/// let stores = Stores {
///     washers: &[washer],
///     box_shims: &[],
///     washers_max: 3,
///     box_shims_max: 3,
///     strip_step: Length::from_thousandths(5),
/// };
/// let Ok(ShimAnswer::Cure(cure)) = choose_shims(&task, &stores, CostWeights::default()) else {
///     panic!("one washer at each end does it");
/// };
/// assert_eq!(cure.washers.a.put_in, [Length::from_thousandths(15)]);
/// assert_eq!(cure.washers.b.put_in, [Length::from_thousandths(15)]);
/// ```
pub fn choose_shims(
    task: &ShimTask<'_>,
    stores: &Stores<'_>,
    weights: CostWeights,
) -> Result<ShimAnswer, ShimError> {
    positive_mm("the strip step", stores.strip_step)?;
    let allowed = task.tolerance - task.guard;
    if task.guard < Length::ZERO || allowed < Length::ZERO {
        return Err(ShimError::GuardEatsTolerance {
            guard: task.guard,
            tolerance: task.tolerance,
        });
    }
    let lever = ExactLever::new(&task.lever)?;
    let scales = search::Scales::new(&lever, weights);
    let stock = search::Options::from_stock(task, stores, &scales)?;
    let problem = search::Problem::new(task, &lever, scales)?;
    if let Some(found) = search::best(&problem, &stock) {
        return Ok(ShimAnswer::Cure(problem.cure(&stock, &found)));
    }
    missing::what_is_missing(&problem, task, stores)
}
