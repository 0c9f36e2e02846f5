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
/// `extra_side` is a further side force on the truck, N. A truck whose use cannot reach `floor` is
/// not solved and shows nothing.
#[inline]
pub(super) fn climb(
    car: &Numbers,
    stance: &Stance,
    end: usize,
    load: &TruckLoad,
    extra_side: f64,
    floor: f64,
) -> Use {
    let least = LEAST_LOAD * 0.5 * car.weight;
    let sides = load.sides(car.contact_spacing).map(|side| side.max(least));
    if floor > 0.0 && bound(car, load, sides, extra_side) < floor * car.nadal {
        return Use::NONE;
    }
    let forces = truck_at(car, stance, end, sides, load.side + extra_side).forces();
    let demand =
        lateral_over_vertical(&forces, sides, 0).max(lateral_over_vertical(&forces, sides, 1));
    Use {
        demand,
        capacity: car.nadal,
    }
}

/// A number that L/V of no wheel of the truck exceeds, without solving the truck.
///
/// With h = |S|/2 + M_s/w, y = g_c/2, ρ0 = √(w²/4 + y²), ρ = √(w² + y²) and Q the load of the truck,
/// the monotone course of the flange forces over the place of the pole (see [`crate::truck`]) gives
/// at most h + μQ(ρ + y)/2w for a leading flange the truck leans on, its tread then taking off at
/// least μV w/2ρ0; h + μQ/2 for one it is pulled against; h + μQ ρ0/w for a trailing flange while
/// the pole is ahead of its axle, and h + μQ y(y + ρ)/2wρ when it is behind.
#[inline]
fn bound(car: &Numbers, load: &TruckLoad, sides: [f64; 2], extra_side: f64) -> f64 {
    let v = 0.5 * sides[0].min(sides[1]);
    let reach = &car.truck_reach;
    let h = 0.5 * (load.side.abs() + extra_side.abs()) + car.swivel_moment * reach.per_wheelbase;
    let relative = (sides[0] + sides[1]) / v;
    let friction = (relative * reach.leaning - reach.relief)
        .max(0.5 * relative + 1.0)
        .max(relative * reach.trailing_ahead)
        .max(relative * reach.trailing_behind + 1.0);
    h / v + car.tread_friction * friction
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
