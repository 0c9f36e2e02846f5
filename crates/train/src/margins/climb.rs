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
    if floor > 0.0 {
        let most = bound(car, stance.curvature[end], load, sides, extra_side);
        if most.is_some_and(|most| most < floor * car.nadal) {
            return Use::NONE;
        }
    }
    let forces = truck_at(car, stance, end, sides, load.side + extra_side).forces();
    let demand =
        lateral_over_vertical(&forces, sides, 0).max(lateral_over_vertical(&forces, sides, 1));
    Use {
        demand,
        capacity: car.nadal,
    }
}

/// A number that L/V of no wheel of a truck on a curve exceeds, without solving the truck; `None`
/// on straight track and when both flanges lie on one rail, where the solution is as quick.
///
/// Both axles carry the same load here. In the frame where the curve is a left-hand one, with
/// y = half the contact spacing, ρ0 = √(w²/4 + y²), ρ = √(w² + y²), Q the load of the truck and the
/// swivel resisting, the flange forces with the pole in the middle are −S/2 ± c,
/// c = μQρ0/w + swivel/w. When they oppose each other the pole lies behind the middle, and by the
/// monotone course of the forces (see [`crate::truck`])
/// the leading one is at most −S/2 + swivel/w + μQ(ρ + y)/2w, of which its tread takes off at least
/// μV·w/2ρ0; the trailing one is at most S/2 + c while the pole is ahead of its axle (its tread then
/// helps), and S/2 + swivel/w + μQ·y(y + ρ)/2wρ, its tread adding at most μV, when it is behind.
#[inline]
fn bound(
    car: &Numbers,
    curvature: f64,
    load: &TruckLoad,
    sides: [f64; 2],
    extra_side: f64,
) -> Option<f64> {
    let (inner, outer) = if curvature > 0.0 {
        (sides[0], sides[1])
    } else {
        (sides[1], sides[0])
    };
    let half_side = 0.5 * (load.side + extra_side) * curvature.signum();
    let reach = &car.truck_reach;
    let swivel = car.swivel_moment * reach.per_wheelbase;
    let grip = car.tread_friction * (inner + outer);
    let middle = grip * reach.trailing_ahead + swivel;
    if curvature == 0.0 || half_side.abs() >= middle {
        return None;
    }
    let leading = (swivel + grip * reach.leaning - half_side) / (0.5 * outer)
        - car.tread_friction * reach.relief;
    let ahead = half_side + middle;
    let behind = half_side + swivel + grip * reach.trailing_behind;
    let trailing = (ahead / (0.5 * inner)).max(behind.abs() / (0.5 * inner) + car.tread_friction);
    Some(leading.max(trailing))
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
