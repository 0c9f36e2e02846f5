//! Everything that can be read on a car: what it is called, where it is taken, in what dimension,
//! and which check it belongs to.
//!
//! The table below is the one list of it; sheets, rule books, pages and files all use these names.

use std::fmt;

use gradeworthy_units::Dimension;

use super::{Check, PlaceKind};

/// Something that is read on a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// A line of the look-over list.
    LookOver,
    /// Distance between the flange backs of a wheelset.
    BackToBack,
    /// Thickness of a flange at its gauging point.
    FlangeThickness,
    /// Width over the tire, flange included.
    TireWidth,
    /// Depth of a flange below the tread.
    FlangeDepth,
    /// Diameter of a tread.
    TreadDiameter,
    /// Sideways run-out of a wheel, total indicator reading.
    Wobble,
    /// How far a wheelset sits to the right of the middle of its axle.
    WheelOffset,
    /// Dirt on the treads.
    WheelDirt,
    /// Length of an axle over its points.
    AxleLength,
    /// End play of an axle in its side frames.
    EndPlay,
    /// Time a wheelset spins after the shop's standard flick.
    SpinTime,
    /// Grade at which a truck alone keeps rolling.
    TruckRollGrade,
    /// Gap under a wheel with the trucks held tight on the surface plate.
    Gap,
    /// Angle a truck turns before something touches.
    TruckSwing,
    /// Force at the end of the lever that turns a truck.
    SwivelForce,
    /// Gap under a corner of a truck when it is rocked.
    RockGap,
    /// Vertical play at the truck screw.
    ScrewPlay,
    /// Gap at the side bearings.
    SideBearingGap,
    /// Whether the coupler comes back to the middle.
    Centring,
    /// Whether the knuckle closes and does not stick.
    Knuckle,
    /// Clearance of the trip pin above the rail.
    TripPin,
    /// Droop of the coupler head under a light pull.
    Droop,
    /// Whole vertical play of the coupler head.
    FreePlay,
    /// Height of the coupler centre above the rail.
    CouplerHeight,
    /// Weight of the car.
    Weight,
    /// Weight on the truck of one end, the other blocked level.
    EndWeight,
    /// Angle at which the car just tips towards a side.
    TiltAngle,
    /// Reading under a side's wheels with the car level.
    SideWeightLevel,
    /// Reading under a side's wheels, normal to the table, with that side low.
    SideWeightTilted,
    /// Angle of the table for the tilted side weight.
    TableAngle,
    /// Grade at which the car starts by itself.
    StartGrade,
    /// Grade at which the car keeps rolling.
    RollGrade,
    /// Time at a gate of a coast-down run.
    GateTime,
    /// Grade of the track of a coast-down run, downhill positive.
    RunGrade,
}

/// Whether a measure is a quantity or an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A quantity of that dimension.
    Quantity(Dimension),
    /// One of three answers.
    Answer,
}

use Kind::{Answer, Quantity};

type Row = (Measure, &'static str, Check, Kind, PlaceKind);

const MEASURES: &[Row] = &[
    (
        Measure::LookOver,
        "look over",
        Check::LookOver,
        Answer,
        PlaceKind::Item,
    ),
    (
        Measure::BackToBack,
        "back to back",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Station,
    ),
    (
        Measure::FlangeThickness,
        "flange thickness",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Wheel,
    ),
    (
        Measure::TireWidth,
        "tire width",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Wheel,
    ),
    (
        Measure::FlangeDepth,
        "flange depth",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Wheel,
    ),
    (
        Measure::TreadDiameter,
        "tread diameter",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Wheel,
    ),
    (
        Measure::Wobble,
        "wobble",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Axle,
    ),
    (
        Measure::WheelOffset,
        "wheel offset",
        Check::Wheelsets,
        Quantity(Dimension::Length),
        PlaceKind::Axle,
    ),
    (
        Measure::WheelDirt,
        "wheel dirt",
        Check::Wheelsets,
        Answer,
        PlaceKind::Axle,
    ),
    (
        Measure::AxleLength,
        "axle length",
        Check::AxleFit,
        Quantity(Dimension::Length),
        PlaceKind::Axle,
    ),
    (
        Measure::EndPlay,
        "end play",
        Check::AxleFit,
        Quantity(Dimension::Length),
        PlaceKind::Axle,
    ),
    (
        Measure::SpinTime,
        "spin time",
        Check::Spin,
        Quantity(Dimension::Time),
        PlaceKind::Axle,
    ),
    (
        Measure::TruckRollGrade,
        "truck roll grade",
        Check::Spin,
        Quantity(Dimension::Grade),
        PlaceKind::End,
    ),
    (
        Measure::Gap,
        "gap",
        Check::Seating,
        Quantity(Dimension::Length),
        PlaceKind::Wheel,
    ),
    (
        Measure::TruckSwing,
        "truck swing",
        Check::TruckSwing,
        Quantity(Dimension::Angle),
        PlaceKind::Turn,
    ),
    (
        Measure::SwivelForce,
        "swivel force",
        Check::SwivelDrag,
        Quantity(Dimension::Force),
        PlaceKind::End,
    ),
    (
        Measure::RockGap,
        "rock gap",
        Check::Rock,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::ScrewPlay,
        "screw play",
        Check::Rock,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::SideBearingGap,
        "side bearing gap",
        Check::Rock,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::Centring,
        "centring",
        Check::CouplerAction,
        Answer,
        PlaceKind::End,
    ),
    (
        Measure::Knuckle,
        "knuckle",
        Check::CouplerAction,
        Answer,
        PlaceKind::End,
    ),
    (
        Measure::TripPin,
        "trip pin",
        Check::CouplerAction,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::Droop,
        "droop",
        Check::Droop,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::FreePlay,
        "free play",
        Check::Droop,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::CouplerHeight,
        "coupler height",
        Check::CouplerHeight,
        Quantity(Dimension::Length),
        PlaceKind::End,
    ),
    (
        Measure::Weight,
        "weight",
        Check::Weight,
        Quantity(Dimension::Mass),
        PlaceKind::Car,
    ),
    (
        Measure::EndWeight,
        "end weight",
        Check::Balance,
        Quantity(Dimension::Mass),
        PlaceKind::End,
    ),
    (
        Measure::TiltAngle,
        "tilt angle",
        Check::Balance,
        Quantity(Dimension::Angle),
        PlaceKind::Side,
    ),
    (
        Measure::SideWeightLevel,
        "side weight level",
        Check::Balance,
        Quantity(Dimension::Mass),
        PlaceKind::Side,
    ),
    (
        Measure::SideWeightTilted,
        "side weight tilted",
        Check::Balance,
        Quantity(Dimension::Mass),
        PlaceKind::Side,
    ),
    (
        Measure::TableAngle,
        "table angle",
        Check::Balance,
        Quantity(Dimension::Angle),
        PlaceKind::Car,
    ),
    (
        Measure::StartGrade,
        "start grade",
        Check::CarRoll,
        Quantity(Dimension::Grade),
        PlaceKind::Car,
    ),
    (
        Measure::RollGrade,
        "roll grade",
        Check::CarRoll,
        Quantity(Dimension::Grade),
        PlaceKind::Car,
    ),
    (
        Measure::GateTime,
        "gate time",
        Check::CarRoll,
        Quantity(Dimension::Time),
        PlaceKind::Gate,
    ),
    (
        Measure::RunGrade,
        "run grade",
        Check::CarRoll,
        Quantity(Dimension::Grade),
        PlaceKind::Run,
    ),
];

impl Measure {
    /// Every measure, in bench order.
    pub fn all() -> impl Iterator<Item = Self> {
        MEASURES.iter().map(|row| row.0)
    }

    /// The name, in words.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().1
    }

    /// The check that this measure serves.
    #[must_use]
    pub fn check(self) -> Check {
        self.row().2
    }

    /// Quantity or answer.
    #[must_use]
    pub fn kind(self) -> Kind {
        self.row().3
    }

    /// Where it is taken.
    #[must_use]
    pub fn place_kind(self) -> PlaceKind {
        self.row().4
    }

    /// The measure of that name; case, hyphens and underscores do not matter.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        let plain = name.trim().to_lowercase().replace(['-', '_'], " ");
        MEASURES.iter().find(|row| row.1 == plain).map(|row| row.0)
    }

    /// Rows stand in the order of the enum, which the tests below hold them to.
    fn row(self) -> &'static Row {
        &MEASURES[self as usize]
    }
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_enum() {
        for (index, row) in MEASURES.iter().enumerate() {
            assert_eq!(row.0 as usize, index, "{}", row.1);
            assert_eq!(row.0.name(), row.1);
        }
    }

    #[test]
    fn measures_stand_in_bench_order() {
        for pair in MEASURES.windows(2) {
            assert!(pair[0].2 <= pair[1].2, "{} after {}", pair[1].1, pair[0].1);
        }
    }

    #[test]
    fn names_lead_back() {
        for measure in Measure::all() {
            assert_eq!(
                Measure::from_name(&measure.name().replace(' ', "_")),
                Some(measure)
            );
        }
    }
}
