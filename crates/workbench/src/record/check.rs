//! The checks of the bench, in the order in which they are made.
//!
//! The order is that of the trade (common practice, no source): what a later check depends on comes
//! first, so wheels before ride height, droop before coupler height, every part on before weighing.

use std::fmt;

/// One check of a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Check {
    /// Loose, broken, missing or rubbing parts, and whose car it is.
    LookOver,
    /// Gauge, wobble, contour and cleanliness of the wheels.
    Wheelsets,
    /// Axles in their side frames.
    AxleFit,
    /// How freely a wheelset spins and a truck rolls.
    Spin,
    /// All wheels down on the surface plate with the trucks held tight.
    Seating,
    /// How far the trucks turn before something touches.
    TruckSwing,
    /// What it takes to turn a truck.
    SwivelDrag,
    /// Rock of a truck, and play at its screw and side bearings.
    Rock,
    /// Coupler centring, knuckle and trip pin.
    CouplerAction,
    /// Droop and free play of the coupler head.
    Droop,
    /// Height of the couplers above the rail.
    CouplerHeight,
    /// Weight of the car.
    Weight,
    /// Balance end to end and side to side, and height of the centre of gravity.
    Balance,
    /// How freely the whole car rolls.
    CarRoll,
}

impl Check {
    /// Every check, in bench order.
    pub const ALL: [Self; 14] = [
        Self::LookOver,
        Self::Wheelsets,
        Self::AxleFit,
        Self::Spin,
        Self::Seating,
        Self::TruckSwing,
        Self::SwivelDrag,
        Self::Rock,
        Self::CouplerAction,
        Self::Droop,
        Self::CouplerHeight,
        Self::Weight,
        Self::Balance,
        Self::CarRoll,
    ];

    /// The name, as the rule book writes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::LookOver => "look-over",
            Self::Wheelsets => "wheelsets",
            Self::AxleFit => "axle fit",
            Self::Spin => "spin",
            Self::Seating => "seating",
            Self::TruckSwing => "truck swing",
            Self::SwivelDrag => "swivel drag",
            Self::Rock => "rock",
            Self::CouplerAction => "coupler action",
            Self::Droop => "droop",
            Self::CouplerHeight => "coupler height",
            Self::Weight => "weight",
            Self::Balance => "balance",
            Self::CarRoll => "car roll",
        }
    }

    /// The check of that name; case does not matter.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|check| check.name().eq_ignore_ascii_case(name.trim()))
    }
}

impl fmt::Display for Check {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_is_found_by_its_name_and_stands_in_order() {
        for pair in Check::ALL.windows(2) {
            assert!(pair[0] < pair[1]);
        }
        for check in Check::ALL {
            assert_eq!(Check::from_name(&check.name().to_uppercase()), Some(check));
        }
        assert_eq!(Check::from_name("paint"), None);
    }
}
