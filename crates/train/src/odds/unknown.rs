//! What is not known of a train, what of it is shared, and how far each may lie from the card.

use super::spread::{Law, Spread};
use crate::vehicle::{Kind, Quantity, Sourced, Vehicle};

/// Whether one draw serves the whole train.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sharing {
    /// One draw a trip; every vehicle moves within its own spread by it.
    Shared,
    /// A draw for each vehicle.
    PerVehicle,
}

/// Which entries of the cards an unknown moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entries {
    /// Those measured on the vehicle.
    Measured,
    /// Those taken from its class or assumed.
    Unmeasured,
}

/// One thing that is not known exactly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unknown {
    /// The quantity.
    pub quantity: Quantity,
    /// The entries it moves.
    pub entries: Entries,
    /// Whether they move together.
    pub sharing: Sharing,
    /// How far.
    pub spread: Spread,
}

impl Unknown {
    /// Whether it moves this entry.
    #[must_use]
    pub fn moves(&self, vehicle: &Vehicle) -> bool {
        let own = !self.quantity.is_of_locomotives() || vehicle.kind() == Kind::Locomotive;
        let entry = vehicle.entry(self.quantity);
        let unmeasured = entry.is_unmeasured();
        own && match self.entries {
            Entries::Measured => !unmeasured,
            Entries::Unmeasured => unmeasured && !(self.is_by_range() && is_point(&entry)),
        }
    }

    fn is_by_range(&self) -> bool {
        self.spread.law() == Law::Range
    }

    /// The number for one vehicle. Where the spread reaches beyond what the quantity can be, the
    /// number stops a thousandth of its card's value from nothing.
    #[must_use]
    pub fn draw(&self, vehicle: &Vehicle, uniform: f64) -> f64 {
        let entry = vehicle.entry(self.quantity);
        let drawn = self.spread.draw(&entry, uniform);
        match self.quantity {
            Quantity::CgForward | Quantity::CgLeft => drawn,
            _ => drawn.max(entry.value * 1e-3),
        }
    }
}

fn is_point(entry: &Sourced) -> bool {
    entry.low >= entry.high
}

/// Spreads of measured numbers, and of what is the same for a whole train.
///
/// ASSUMED, all of them; each is a standard uncertainty, and twice as much makes the odds of a train
/// near its limit wander by about as much again:
/// - weight 0.5 %: a letter scale that shows 0.1 g on a car of 20 g and more;
/// - drag 15 %: five roll-offs of one car on one evening differ by as much;
/// - coupler height 0.05 mm and centre of gravity 1 mm high, 0.3 mm sideways: what a gauge and a tilt
///   table tell;
/// - adhesion 8 %, shared: a pull test on clean rail and one after an evening's running;
/// - speed setting 1 %: two timings over a measured length.
const MEASURED: [(Quantity, Sharing, Law); 10] = [
    (Quantity::Weight, Sharing::PerVehicle, Law::Relative(0.005)),
    (
        Quantity::RollingDrag,
        Sharing::PerVehicle,
        Law::Relative(0.15),
    ),
    (
        Quantity::BreakawayDrag,
        Sharing::PerVehicle,
        Law::Relative(0.15),
    ),
    (
        Quantity::CouplerHeightFront,
        Sharing::PerVehicle,
        Law::Absolute(5e-5),
    ),
    (
        Quantity::CouplerHeightRear,
        Sharing::PerVehicle,
        Law::Absolute(5e-5),
    ),
    (Quantity::CgHeight, Sharing::PerVehicle, Law::Absolute(1e-3)),
    (Quantity::CgLeft, Sharing::PerVehicle, Law::Absolute(3e-4)),
    (Quantity::AdhesionPull, Sharing::Shared, Law::Relative(0.08)),
    (
        Quantity::StallPull,
        Sharing::PerVehicle,
        Law::Relative(0.05),
    ),
    (
        Quantity::SpeedSetting,
        Sharing::PerVehicle,
        Law::Relative(0.01),
    ),
];

/// What is the same for all vehicles on one evening, where nobody measured it: the state of the rail,
/// the gauge of the track, the law of curve drag.
const SHARED: [Quantity; 6] = [
    Quantity::TreadFriction,
    Quantity::FlangeFriction,
    Quantity::CurveDrag,
    Quantity::LateralPlay,
    Quantity::ContactSpacing,
    Quantity::AdhesionPull,
];

/// The usual unknowns: measured numbers within what instruments tell, unmeasured ones within the range
/// of their class. Numbers that decide where the vehicles stand are left as they are.
#[must_use]
pub fn usual() -> Vec<Unknown> {
    let measured = MEASURED.into_iter().filter_map(|(quantity, sharing, law)| {
        Some(Unknown {
            quantity,
            entries: Entries::Measured,
            sharing,
            spread: Spread::new(law).ok()?,
        })
    });
    let of_forces = Quantity::ALL
        .into_iter()
        .filter(|quantity| !quantity.shapes_the_train());
    let unmeasured = of_forces.filter_map(|quantity| {
        let shared = SHARED.contains(&quantity);
        Some(Unknown {
            quantity,
            entries: Entries::Unmeasured,
            sharing: if shared {
                Sharing::Shared
            } else {
                Sharing::PerVehicle
            },
            spread: Spread::new(Law::Range).ok()?,
        })
    });
    measured.chain(unmeasured).collect()
}
