//! The stations of the bench: which checks are judged together, and from which readings.
//!
//! No station looks at the lines of another, so that one can be judged without the rest: a changed
//! limit is tried on a whole fleet by judging again only what it touches.

use super::Bench;
use super::{axles, balance, couplers, look_over, rolling, seating, trucks, weight, wheels};
use crate::doubt::CheckSet;
use crate::record::{Check, Measure};

/// Checks that are judged together.
pub(super) struct Station {
    /// Writes their lines.
    pub(super) judge: fn(&mut Bench<'_>),
    /// The checks whose lines it writes, and no others.
    pub(super) checks: &'static [Check],
    /// Readings that it uses beside those that belong to its checks.
    borrows: &'static [Measure],
}

/// Every station, in bench order.
pub(super) const STATIONS: [Station; 9] = [
    station(look_over::check, &[Check::LookOver], &[]),
    station(wheels::check, &[Check::Wheelsets], &[]),
    station(axles::check, &[Check::AxleFit], &[]),
    station(rolling::check, &[Check::Spin, Check::CarRoll], &[]),
    station(seating::check, &[Check::Seating], &[]),
    station(
        trucks::check,
        &[Check::TruckSwing, Check::SwivelDrag, Check::Rock],
        &[Measure::Weight],
    ),
    station(
        couplers::check,
        &[Check::CouplerAction, Check::Droop, Check::CouplerHeight],
        &[],
    ),
    station(weight::check, &[Check::Weight], &[]),
    station(balance::check, &[Check::Balance], &[Measure::Weight]),
];

const fn station(
    judge: fn(&mut Bench<'_>),
    checks: &'static [Check],
    borrows: &'static [Measure],
) -> Station {
    Station {
        judge,
        checks,
        borrows,
    }
}

/// `checks` and every check that is judged together with one of them.
#[must_use]
pub fn judged_with(checks: CheckSet) -> CheckSet {
    let touched = |station: &&Station| station.checks.iter().any(|own| checks.contains(*own));
    let all = STATIONS.iter().filter(touched);
    all.flat_map(|station| station.checks).copied().collect()
}

/// Whether a reading of `measure` is used in judging one of `checks`.
#[must_use]
pub fn is_used(measure: Measure, checks: CheckSet) -> bool {
    STATIONS.iter().any(|station| {
        station.checks.iter().any(|own| checks.contains(*own))
            && (station.checks.contains(&measure.check()) || station.borrows.contains(&measure))
    })
}
