//! How locomotives answer the one unknown that makes the train balance.
//!
//! Running, the unknown is the speed v, and T = clamp(K (`v_set` − v), −`F_brake`, min(μN, `F_stall`)).
//! Starting, it is the part θ of every speed setting that has been turned on when the train just
//! moves: T = min(K θ `v_set`, min(μN, `F_stall`)); a train that would roll off by itself is held by a
//! part of every brake (θ < 0).
//! Held, it is the part of every locomotive's holding force that is used; the cars' drag is left
//! out, since after a stop its sign is not known. ASSUMED; its effect on a coupler force is at
//! most ± the drag of the cars behind.

use crate::vehicle::{Numbers, Power};

/// What the train is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Condition {
    /// Climbing at its balance speed, with running drag.
    Running,
    /// Just about to move, every car with its breakaway drag.
    Starting,
    /// Stopped and held by its locomotives.
    Held,
}

impl Condition {
    /// Every condition.
    pub const ALL: [Self; 3] = [Self::Running, Self::Starting, Self::Held];

    /// The pull at the value `unknown`, and its derivative by it.
    #[inline]
    pub(super) fn pull(self, power: &Power, unknown: f64) -> (f64, f64) {
        match self {
            Self::Running => {
                let free = power.speed_slope * (power.speed_setting - unknown);
                clamped(
                    free,
                    -power.speed_slope,
                    -power.greatest_hold(),
                    power.greatest_pull(),
                )
            }
            Self::Starting if unknown >= 0.0 => {
                let slope = power.speed_slope * power.speed_setting;
                clamped(slope * unknown, slope, 0.0, power.greatest_pull())
            }
            Self::Starting | Self::Held => {
                let hold = power.greatest_hold();
                (hold * unknown, hold)
            }
        }
    }

    /// The unknown at which the locomotives pull hardest, and at which they hold back hardest.
    pub(super) fn range(self, train: &[Numbers]) -> (f64, f64) {
        match self {
            Self::Running => {
                let fastest = train
                    .iter()
                    .filter_map(|vehicle| vehicle.power)
                    .map(|power| power.speed_setting + power.greatest_hold() / power.speed_slope)
                    .fold(0.0, f64::max);
                (0.0, fastest)
            }
            Self::Starting | Self::Held => (1.0, -1.0),
        }
    }

    /// The speed that goes with the unknown, m/s.
    #[inline]
    pub(super) fn speed(self, unknown: f64) -> f64 {
        if self == Self::Running { unknown } else { 0.0 }
    }
}

#[inline]
fn clamped(free: f64, slope: f64, low: f64, high: f64) -> (f64, f64) {
    if free > high {
        (high, 0.0)
    } else if free < low {
        (low, 0.0)
    } else {
        (free, slope)
    }
}
