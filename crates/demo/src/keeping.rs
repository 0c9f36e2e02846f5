//! How well a fleet is kept: how often each fault is found on one of its cars.
//!
//! ASSUMED: every rate here. Nobody publishes failure rates by defect; a club's own log is the only
//! source, and this club is invented. The rates of a kept fleet were chosen so that one car in six
//! or seven is bad order when it comes to the bench, as a fleet must be that runs trains every
//! week; the rates of a neglected one, at which every second car is, give tests and benchmarks
//! enough to do. No verdict of the tool rests on either.

/// The rates of faults, each a probability, and the spreads of what is sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Keeping {
    /// A line of the look-over is answered poor.
    pub(crate) loose_part: f64,
    /// The wheelsets of a car come from a lot that is too narrow.
    pub(crate) narrow_lot: f64,
    /// Standard deviation of back-to-back from axle to axle, mm.
    pub(crate) gauge_spread_mm: f64,
    /// A car has narrow treads.
    pub(crate) narrow_treads: f64,
    /// A wheelset wobbles.
    pub(crate) wobble: f64,
    /// A wheelset carries a deposit; a wheelset is dull or worse.
    pub(crate) dirt: [f64; 2],
    /// The bearings of a car are dry.
    pub(crate) dry: f64,
    /// Least and greatest end play of an axle, mm.
    pub(crate) end_play_mm: [f64; 2],
    /// A truck frame is out of flat.
    pub(crate) warped: f64,
    /// A truck is rolled in its bolster.
    pub(crate) rolled: f64,
    /// Something stops the swing of a truck.
    pub(crate) fouled: f64,
    /// A truck turns stiffly.
    pub(crate) stiff: f64,
    /// A car rides low.
    pub(crate) low: f64,
    /// A coupler does not return; a coupler returns slowly or not at all.
    pub(crate) centring: [f64; 2],
    /// A knuckle sticks.
    pub(crate) knuckle: f64,
    /// A coupler head droops.
    pub(crate) droop: f64,
    /// The weight of a car sits high.
    pub(crate) high: f64,
}

impl Keeping {
    /// A fleet that has been kept for years and runs every week: the sample club's.
    pub const KEPT: Self = Self {
        loose_part: 0.002,
        narrow_lot: 0.01,
        gauge_spread_mm: 0.02,
        narrow_treads: 0.03,
        wobble: 0.004,
        dirt: [0.004, 0.02],
        dry: 0.02,
        end_play_mm: [0.12, 0.40],
        warped: 0.015,
        rolled: 0.005,
        fouled: 0.004,
        stiff: 0.007,
        low: 0.02,
        centring: [0.008, 0.03],
        knuckle: 0.004,
        droop: 0.01,
        high: 0.006,
    };

    /// A fleet that nobody has looked at: for tests and benchmarks, where much must be wrong.
    pub const NEGLECTED: Self = Self {
        loose_part: 0.012,
        narrow_lot: 0.05,
        gauge_spread_mm: 0.03,
        narrow_treads: 0.08,
        wobble: 0.02,
        dirt: [0.01, 0.05],
        dry: 0.06,
        end_play_mm: [0.08, 0.42],
        warped: 0.06,
        rolled: 0.03,
        fouled: 0.02,
        stiff: 0.03,
        low: 0.06,
        centring: [0.03, 0.08],
        knuckle: 0.015,
        droop: 0.05,
        high: 0.03,
    };
}
