//! What a rule book can set a plain limit on.
//!
//! Wheel gauge and weight have rules of their own ([`super::WheelRules`], [`super::WeightRule`]);
//! everything else is a lower limit, an upper limit, or both.

use std::fmt;

use gradeworthy_units::Dimension;

use crate::record::Check;

/// A quantity that a rule book limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limited {
    /// Sideways run-out of a wheel.
    Wobble,
    /// Difference of the two treads of one axle.
    DiameterMatch,
    /// Length of an axle over its points.
    AxleLength,
    /// End play of an axle in its frames.
    EndPlay,
    /// Time a wheelset spins.
    SpinTime,
    /// Grade at which a truck keeps rolling.
    TruckRollGrade,
    /// Twist of one truck frame, as the gap under its high wheel.
    Warp,
    /// Cross-level difference between the trucks, as a gap at the rail.
    BodyRoll,
    /// Fore-and-aft tilt of a truck in its bolster, as a gap under the high axle.
    Pitch,
    /// Truck swing beyond what the tightest radius needs.
    TruckSwing,
    /// Rise of L/V that a stiff truck adds.
    SwivelDrag,
    /// Gap when a truck is rocked.
    RockGap,
    /// Vertical play at the truck screw.
    ScrewPlay,
    /// Gap at the side bearings.
    SideBearingGap,
    /// Cross-level change over the truck centres before a wheel unloads.
    TwistCapability,
    /// Clearance of the trip pin.
    TripPin,
    /// Droop of the coupler head.
    Droop,
    /// Whole vertical play of the coupler head.
    FreePlay,
    /// Height of the coupler.
    CouplerHeight,
    /// Weight on the heavier end over the mean of both, less one.
    EndBalance,
    /// Centre of gravity off the centre line.
    SideBalance,
    /// Height of the centre of gravity above the rail.
    CgHeight,
    /// The lower of the two tilt angles.
    TiltIndex,
    /// Difference of the two tilt angles.
    TiltDifference,
    /// Breakaway drag as a grade.
    StartGrade,
    /// Rolling drag as a grade.
    RollGrade,
}

const LIMITED: &[(Limited, &str, Check, Dimension)] = &[
    (
        Limited::Wobble,
        "wobble",
        Check::Wheelsets,
        Dimension::Length,
    ),
    (
        Limited::DiameterMatch,
        "diameter match",
        Check::Wheelsets,
        Dimension::Length,
    ),
    (
        Limited::AxleLength,
        "axle length",
        Check::AxleFit,
        Dimension::Length,
    ),
    (
        Limited::EndPlay,
        "end play",
        Check::AxleFit,
        Dimension::Length,
    ),
    (Limited::SpinTime, "spin time", Check::Spin, Dimension::Time),
    (
        Limited::TruckRollGrade,
        "truck roll grade",
        Check::Spin,
        Dimension::Grade,
    ),
    (Limited::Warp, "warp", Check::Seating, Dimension::Length),
    (
        Limited::BodyRoll,
        "body roll",
        Check::Seating,
        Dimension::Length,
    ),
    (Limited::Pitch, "pitch", Check::Seating, Dimension::Length),
    (
        Limited::TruckSwing,
        "truck swing",
        Check::TruckSwing,
        Dimension::Angle,
    ),
    (
        Limited::SwivelDrag,
        "swivel drag",
        Check::SwivelDrag,
        Dimension::Grade,
    ),
    (Limited::RockGap, "rock gap", Check::Rock, Dimension::Length),
    (
        Limited::ScrewPlay,
        "screw play",
        Check::Rock,
        Dimension::Length,
    ),
    (
        Limited::SideBearingGap,
        "side bearing gap",
        Check::Rock,
        Dimension::Length,
    ),
    (
        Limited::TwistCapability,
        "twist capability",
        Check::Rock,
        Dimension::Length,
    ),
    (
        Limited::TripPin,
        "trip pin",
        Check::CouplerAction,
        Dimension::Length,
    ),
    (Limited::Droop, "droop", Check::Droop, Dimension::Length),
    (
        Limited::FreePlay,
        "free play",
        Check::Droop,
        Dimension::Length,
    ),
    (
        Limited::CouplerHeight,
        "coupler height",
        Check::CouplerHeight,
        Dimension::Length,
    ),
    (
        Limited::EndBalance,
        "end balance",
        Check::Balance,
        Dimension::Grade,
    ),
    (
        Limited::SideBalance,
        "side balance",
        Check::Balance,
        Dimension::Length,
    ),
    (
        Limited::CgHeight,
        "cg height",
        Check::Balance,
        Dimension::Length,
    ),
    (
        Limited::TiltIndex,
        "tilt index",
        Check::Balance,
        Dimension::Angle,
    ),
    (
        Limited::TiltDifference,
        "tilt difference",
        Check::Balance,
        Dimension::Angle,
    ),
    (
        Limited::StartGrade,
        "start grade",
        Check::CarRoll,
        Dimension::Grade,
    ),
    (
        Limited::RollGrade,
        "roll grade",
        Check::CarRoll,
        Dimension::Grade,
    ),
];

impl Limited {
    /// How many there are.
    pub const COUNT: usize = LIMITED.len();

    /// Every one, in bench order.
    pub fn all() -> impl Iterator<Item = Self> {
        LIMITED.iter().map(|row| row.0)
    }

    /// The name, as the rule book writes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        LIMITED[self as usize].1
    }

    /// The check that judges it.
    #[must_use]
    pub fn check(self) -> Check {
        LIMITED[self as usize].2
    }

    /// Its dimension.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        LIMITED[self as usize].3
    }

    /// The one of that name; case, hyphens and underscores do not matter.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        let plain = name.trim().to_lowercase().replace(['-', '_'], " ");
        LIMITED.iter().find(|row| row.1 == plain).map(|row| row.0)
    }
}

impl fmt::Display for Limited {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_enum() {
        for (index, row) in LIMITED.iter().enumerate() {
            assert_eq!(row.0 as usize, index, "{}", row.1);
            assert_eq!(Limited::from_name(row.1), Some(row.0));
        }
    }
}
