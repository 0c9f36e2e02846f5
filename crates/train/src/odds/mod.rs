//! How sure we are: the probability that a trip ends in trouble, from how well each number is known.
//!
//! A trip is one climb with every unknown drawn anew; it is in trouble when its margin is below zero
//! somewhere. Two kinds of unknown are kept apart, because they do not average alike: what is
//! **shared** (friction of this evening's rail, adhesion, the law of curve drag, the gauge of the
//! track) is drawn once a trip for the whole train, and what belongs to a **vehicle** (its weight, its
//! drag, its coupler heights) once for each. Errors of single cars shrink as 1/√n in a train of n;
//! shared ones do not.
//!
//! p = k/n over n trips with k in trouble, with the interval of Clopper and Pearson ([CLOPPER-1934]),
//! whose coverage is never below what it states. The usual p ± 1.96 √(p(1−p)/n) is not used: with few
//! trips in trouble it reaches below zero and covers far less than it says.
//!
//! Draws are asked for by trip, unknown and vehicle, not in a row. So two make-ups of the same cars
//! draw the same friction and the same error of each car, wherever the car stands, and their
//! difference is that of the make-ups and not of chance: [`paired`].
//!
//! **Validity.** Quasi-static: the train crawls; starts, stops and run-ins are not in it. All couplings
//! are taken as stretched. The spread of a number that nobody measured is that of its class; the spreads
//! of [`usual`] are assumptions, each with its reason. The odds are as good as those spreads, and no
//! club has yet compared them with a year of its own trips.

mod interval;
mod narrowing;
mod paired;
mod run;
mod spread;
mod unknown;

pub use interval::{Interval, clopper_pearson};
pub use narrowing::{KEPT, Narrowing, narrowing, narrowing_trips};
pub use paired::{Paired, paired};
pub use run::{Odds, OddsError, Problem, odds};
pub use spread::{Law, NotASpread, Spread};
pub use unknown::{Entries, Sharing, Unknown, usual};

/// Where chance comes from: a number between 0 and 1, both left out, for each trip, unknown and
/// vehicle. Asked again for the same three it gives the same number.
pub trait Draws: Sync {
    /// The number for one trip, one unknown and one vehicle (`None` where all share it).
    fn uniform(&self, trip: u64, unknown: u64, vehicle: Option<&str>) -> f64;
}
