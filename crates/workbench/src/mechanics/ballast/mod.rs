//! Which weights from stock in which pockets bring a car to its weight with its centre of gravity
//! where it belongs.
//!
//! Unknown is `n_jp`, how many weights of kind j lie in pocket p at the end. With M the car without
//! its movable ballast and m, (x, y, z) of weights and pockets:
//!
//! - W = M + Σ `n_jp` `m_j` within the tolerance of the target `W_t` (N1)
//! - moments: `|Σ in x| ≤ ε_x W`, `|Σ in y| ≤ ε_y W`, `Σ in z ≤ z_max W` (N2): linear, although the
//!   limit on the centre of gravity multiplies the **actual** weight
//! - `Σ_j n_jp m_j ≤` capacity of pocket p, and `Σ_p n_jp ≤` weights of kind j that shop and car
//!   hold (N3)
//! - minimise `|W − W_t| + w_c Σ |n_jp − fitted_jp| + w_z Σ n_jp m_j z_p` (N4)
//!
//! A weight put in or taken out counts one in the middle term, so moving one counts two.
//!
//! The search is exact, on whole femtograms and nanometres. It first draws in the range of W to
//! where a divisible mass could meet (N2) and (N3) at all; then it goes through the totals
//! (how many of each kind, in order of what they cost at least), and for each it places the
//! weights pocket by pocket, heaviest first, leaving a branch when the weights still to place
//! cannot bring a moment back inside (N2) whatever pockets they take, when they no longer fit, or
//! when the branch cannot beat the best plan so far. The bounds are sound because they let the
//! remaining mass be divided freely.
//! A search that reaches its node limit says so and returns a bound ([`Proof::NodeLimit`]).
//! Rejected: mixed-integer programming by `good_lp` with microlp, slower and in floating point
//! (`benches/stock_choices.rs` measures both in one run).
//!
//! When no plan exists, each limit is relaxed in turn and the least relaxation found: that names
//! the limits that block and what would be needed of each ([`Shortfall`]).
//!
//! Validity: a pocket's weights act at its one point; a weight fits wherever its mass does.
//! Source: statics, derived here; checked against SciPy's HiGHS and full enumeration
//! (`oracles/ballast_milp.py`).

mod diagnose;
mod model;
mod placement;
mod reach;
mod search;

use gradeworthy_units::{Length, Mass};

use model::{Found, Model};
use search::Relaxed;

/// Why ballast could not be searched for.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BallastError {
    /// A mass that has to be above zero was not.
    #[error("{what} is {found:.3}: it has to be above zero")]
    MassNotPositive {
        /// Which mass.
        what: &'static str,
        /// What was given.
        found: Mass,
    },
    /// A tolerance or price below zero.
    #[error("{what} is {found:.3}: it cannot be below zero")]
    NegativeMass {
        /// Which one.
        what: &'static str,
        /// What was given.
        found: Mass,
    },
    /// A limit on the centre of gravity below zero, or a pocket below the rail head.
    #[error("{what} is {found:.3}: it cannot be below zero")]
    NegativeLength {
        /// Which one.
        what: &'static str,
        /// What was given.
        found: Length,
    },
    /// A fitted weight names a pocket that is not there.
    #[error("a fitted weight lies in pocket {found}, but only pockets 0 to {limit} were given")]
    NoSuchPocket {
        /// The pocket named.
        found: usize,
        /// The last pocket.
        limit: usize,
    },
    /// The fitted weights together outweigh the car.
    #[error("the fitted weights sum to {found:.2}, not below the car's own {limit:.2}")]
    FittedOutweighCar {
        /// Sum of the fitted weights.
        found: Mass,
        /// Weight of the car as it is.
        limit: Mass,
    },
    /// More kinds, pockets or pieces, or larger numbers, than exact arithmetic takes.
    #[error("{what} is {found}, above the limit of {limit}")]
    TooLarge {
        /// Which number.
        what: &'static str,
        /// What was given.
        found: f64,
        /// The limit.
        limit: f64,
    },
}

/// A point over the rail head: along towards A, across to the left, up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Point {
    /// x.
    pub along: Length,
    /// y.
    pub across: Length,
    /// z.
    pub up: Length,
}

/// A kind of weight in the stores.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weights {
    /// Mass of one.
    pub each: Mass,
    /// How many there are.
    pub count: u32,
}

/// A place in the car that takes weights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pocket {
    /// Where the weights act.
    pub at: Point,
    /// The most it holds.
    pub capacity: Mass,
    /// It cannot be got at: whatever lies in it stays.
    pub is_blocked: bool,
}

/// Weights that lie in the car now; its measured weight and centre of gravity include them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FittedWeights {
    /// Index of the pocket.
    pub pocket: usize,
    /// The weights.
    pub weights: Weights,
}

/// What the car has to become.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// `W_t`.
    pub target: Mass,
    /// The most that W may differ from it.
    pub tolerance: Mass,
    /// `ε_x`.
    pub along_max: Length,
    /// `ε_y`.
    pub across_max: Length,
    /// `z_max` above the rail head.
    pub height_max: Length,
}

/// What makes one plan better than another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Prices {
    /// `w_c`: what a weight put in or taken out is worth in weight error.
    pub piece: Mass,
    /// `w_z` in millionths per millimetre: 1000 makes 1 g raised 1 mm cost 1 mg.
    pub height_millionths_per_mm: u32,
}

impl Default for Prices {
    /// ASSUMED: 20 mg a piece, 100 millionths per millimetre. Effect: every plan meets its limits
    /// whatever they are; these only prefer fewer weights, and lower ones.
    fn default() -> Self {
        Self {
            piece: Mass::from_milligrams(20),
            height_millionths_per_mm: 100,
        }
    }
}

/// A car to be ballasted.
#[derive(Clone, Copy, Debug)]
pub struct BallastTask<'a> {
    /// Weight of the car as it is.
    pub weight: Mass,
    /// Its centre of gravity as it is.
    pub centre: Point,
    /// Its pockets.
    pub pockets: &'a [Pocket],
    /// Ballast that is in it and may be moved or taken out.
    pub fitted: &'a [FittedWeights],
    /// Weights in the stores.
    pub stock: &'a [Weights],
    /// What it has to become.
    pub limits: Limits,
    /// What makes one plan better.
    pub prices: Prices,
    /// Most branches to look at before the search gives up proving, in each search.
    pub node_limit: u64,
}

/// A reasonable [`BallastTask::node_limit`]: well under a second.
pub const NODE_LIMIT: u64 = 5_000_000;

/// A change in one pocket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// Index of the pocket.
    pub pocket: usize,
    /// Mass of one weight.
    pub each: Mass,
    /// Weights put in.
    pub put_in: u32,
    /// Weights taken out.
    pub taken_out: u32,
}

/// What to do and what the car becomes.
#[derive(Clone, Debug, PartialEq)]
pub struct BallastPlan {
    /// Every pocket and kind where something changes.
    pub changes: Vec<Change>,
    /// W.
    pub weight: Mass,
    /// Centre of gravity, to the nearest nanometre.
    pub centre: Point,
    /// Weights put in and taken out.
    pub pieces_handled: u32,
    /// (N4), as a mass.
    pub cost: Mass,
}

/// How sure it is that no plan is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// Every other plan was ruled out.
    Optimal,
    /// The search stopped at its node limit.
    NodeLimit {
        /// No plan costs less than this.
        cost_at_least: Mass,
        /// The best plan costs at most this much more.
        gap: Mass,
    },
}

/// What would have to give, if only one limit did.
#[derive(Clone, Debug, PartialEq)]
pub enum Shortfall {
    /// The weight: this is the nearest that can be had.
    Weight(BallastPlan),
    /// The end balance.
    Along(BallastPlan),
    /// The side balance.
    Across(BallastPlan),
    /// The height of the centre of gravity.
    Height(BallastPlan),
    /// The pockets: these would have to hold so much more.
    Capacity {
        /// The plan, if they did.
        plan: BallastPlan,
        /// Pocket and mass above its capacity.
        more: Vec<(usize, Mass)>,
    },
    /// The stores: these weights are wanting.
    Stock {
        /// The plan, if they were there.
        plan: BallastPlan,
        /// Kind and number.
        more: Vec<Weights>,
    },
}

/// What can be done for the car.
#[derive(Clone, Debug, PartialEq)]
pub enum BallastAnswer {
    /// This.
    Plan(BallastPlan, Proof),
    /// Nothing meets every limit.
    Blocked {
        /// What would be needed of each limit that alone stands in the way; empty when more than
        /// one has to give.
        shortfalls: Vec<Shortfall>,
        /// Whether every search was finished: else a smaller shortfall may exist.
        is_proven: bool,
    },
    /// The search stopped at its node limit before it found a plan or ruled one out.
    Undecided {
        /// No plan costs less than this.
        cost_at_least: Mass,
    },
}

/// Finds the best plan for `task`, or what stands in the way.
///
/// # Errors
/// [`BallastError`] when a number is impossible.
///
/// # Example
/// ```
/// use gradeworthy_units::{Length, Mass};
/// use gradeworthy_workbench::mechanics::ballast::{
///     BallastAnswer, BallastTask, Limits, NODE_LIMIT, Pocket, Point, Prices, Proof, Weights,
///     choose_ballast,
/// };
/// let mm = |hundredths| Length::from_hundredths_mm(hundredths);
/// let grams = |grams: i64| Mass::from_milligrams(1000 * grams);
/// let pocket = |along| Pocket {
///     at: Point { along, across: mm(0), up: mm(12_00) },
///     capacity: grams(30),
///     is_blocked: false,
/// };
/// let task = BallastTask {
///     weight: grams(80),
///     centre: Point { along: mm(0), across: mm(0), up: mm(20_00) },
///     pockets: &[pocket(mm(40_00)), pocket(-mm(40_00))],
///     fitted: &[],
///     stock: &[Weights { each: grams(10), count: 4 }],
///     limits: Limits {
///         target: grams(100),
///         tolerance: grams(2),
///         along_max: mm(1_00),
///         across_max: mm(1_00),
///         height_max: mm(20_00),
///     },
///     prices: Prices::default(),
///     node_limit: NODE_LIMIT,
/// };
/// let Ok(BallastAnswer::Plan(plan, Proof::Optimal)) = choose_ballast(&task) else { panic!() };
/// assert_eq!(plan.weight, grams(100));
/// assert_eq!(plan.changes.len(), 2);
/// ```
pub fn choose_ballast(task: &BallastTask<'_>) -> Result<BallastAnswer, BallastError> {
    let model = Model::new(task)?;
    let outcome = search::best_plan(&model, Relaxed::Nothing, task.node_limit);
    Ok(match (outcome.found, outcome.is_finished) {
        (Some(found), is_finished) => {
            let (plan, proof) = proven(&model, &found, is_finished, outcome.cost_at_least);
            BallastAnswer::Plan(plan, proof)
        }
        (None, false) => BallastAnswer::Undecided {
            cost_at_least: model.price(outcome.cost_at_least),
        },
        (None, true) => diagnose::what_blocks(&model, task.node_limit),
    })
}

/// The best plan for `task`, as [`choose_ballast`] finds it; where there is none it does not look
/// for what stands in the way, which takes several searches more.
///
/// # Errors
/// [`BallastError`] when a number is impossible.
pub fn find_plan(task: &BallastTask<'_>) -> Result<Option<(BallastPlan, Proof)>, BallastError> {
    let model = Model::new(task)?;
    let outcome = search::best_plan(&model, Relaxed::Nothing, task.node_limit);
    let plan = |found| proven(&model, &found, outcome.is_finished, outcome.cost_at_least);
    Ok(outcome.found.map(plan))
}

fn proven(
    model: &Model,
    found: &Found,
    is_finished: bool,
    cost_at_least: i128,
) -> (BallastPlan, Proof) {
    let plan = model.plan(found);
    if is_finished {
        return (plan, Proof::Optimal);
    }
    let cost_at_least = model.price(cost_at_least);
    let gap = plan.cost - cost_at_least;
    (plan, Proof::NodeLimit { cost_at_least, gap })
}
