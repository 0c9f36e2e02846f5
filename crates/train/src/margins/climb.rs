//! Wheel climb: the net lateral force of each flanging wheel against Nadal's limit.

use super::mode::Use;
use crate::placement::Stance;
use crate::statics::{TruckLoad, truck_at};
use crate::truck::TruckForces;
use crate::vehicle::Numbers;

/// Least wheel load reckoned with, as part of the standing load of its truck.
///
/// A wheel about to lift has L/V without bound; the use stays finite and far above 1.
const LEAST_LOAD: f64 = 1e-3;

/// The worse axle of one truck: L/V against Nadal's limit.
///
/// `extra_side` is a further side force on the truck, N.
#[inline]
pub(super) fn climb(
    car: &Numbers,
    stance: &Stance,
    end: usize,
    load: &TruckLoad,
    extra_side: f64,
) -> Use {
    let floor = LEAST_LOAD * 0.5 * car.weight;
    let sides = load.sides(car.contact_spacing).map(|side| side.max(floor));
    let forces = truck_at(car, stance, end, sides, load.side + extra_side).forces();
    let demand =
        lateral_over_vertical(&forces, sides, 0).max(lateral_over_vertical(&forces, sides, 1));
    Use {
        demand,
        capacity: car.nadal,
    }
}

/// L/V of the flanging wheel of one axle (0 leading, 1 trailing): the flange force less what the
/// tread of that wheel takes off it.
#[inline]
fn lateral_over_vertical(forces: &TruckForces, sides: [f64; 2], axle: usize) -> f64 {
    let flange = if axle == 0 {
        forces.leading
    } else {
        forces.trailing
    };
    // A rail that pushes to the left is the right-hand one.
    let wheel = usize::from(flange > 0.0);
    let net = flange.signum() * (flange + forces.tread[2 * axle + wheel]);
    let flanging = if flange == 0.0 { 0.0 } else { net };
    2.0 * flanging / sides[wheel]
}
