//! Where on a car a reading was taken.
//!
//! Conventions (ours, stated because the trade has several): the B end is the hand-brake end, as on
//! the prototype; axles are counted from the A end; left and right are those of somebody who stands
//! behind the B end and looks towards the A end.

use std::fmt;

pub use crate::mechanics::ends::{End, Side};

/// Where a reading was taken. Counts start at 1, as people count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// The car as a whole.
    Car,
    /// An axle, counted from the A end.
    Axle(u8),
    /// A station round an axle: two are half a turn apart, three a third.
    Station(u8, u8),
    /// A wheel.
    Wheel(u8, Side),
    /// An end, with its truck and coupler.
    End(End),
    /// A truck turned to one side.
    Turn(End, Side),
    /// A side of the car.
    Side(Side),
    /// A timing gate of a coast-down run.
    Gate(u8, u8),
    /// A coast-down run.
    Run(u8),
    /// A line of the look-over list, by its number in the rule book.
    Item(u8),
}

/// What kind of place a measure is taken at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlaceKind {
    /// One reading for the car.
    Car,
    /// One for each axle.
    Axle,
    /// Several round each axle.
    Station,
    /// One for each wheel.
    Wheel,
    /// One for each end.
    End,
    /// One for each truck and direction of turning.
    Turn,
    /// One for each side.
    Side,
    /// One for each gate of each run.
    Gate,
    /// One for each run.
    Run,
    /// One for each line of the look-over.
    Item,
}

impl Place {
    /// What kind of place this is.
    #[must_use]
    pub fn kind(self) -> PlaceKind {
        match self {
            Self::Car => PlaceKind::Car,
            Self::Axle(_) => PlaceKind::Axle,
            Self::Station(..) => PlaceKind::Station,
            Self::Wheel(..) => PlaceKind::Wheel,
            Self::End(_) => PlaceKind::End,
            Self::Turn(..) => PlaceKind::Turn,
            Self::Side(_) => PlaceKind::Side,
            Self::Gate(..) => PlaceKind::Gate,
            Self::Run(_) => PlaceKind::Run,
            Self::Item(_) => PlaceKind::Item,
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Car => f.write_str("car"),
            Self::Axle(axle) => write!(f, "axle {axle}"),
            Self::Station(axle, station) => write!(f, "axle {axle}, place {station}"),
            Self::Wheel(axle, side) => write!(f, "axle {axle} {side}"),
            Self::End(end) => write!(f, "{end} end"),
            Self::Turn(end, side) => write!(f, "{end} end, turned {side}"),
            Self::Side(side) => write!(f, "{side} side"),
            Self::Gate(run, gate) => write!(f, "run {run}, gate {gate}"),
            Self::Run(run) => write!(f, "run {run}"),
            Self::Item(item) => write!(f, "item {item}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_read_as_people_say_them() {
        assert_eq!(Place::Wheel(2, Side::Left).to_string(), "axle 2 left");
        assert_eq!(
            Place::Turn(End::B, Side::Right).to_string(),
            "B end, turned right"
        );
        assert_eq!(Place::Station(1, 2).to_string(), "axle 1, place 2");
    }
}
