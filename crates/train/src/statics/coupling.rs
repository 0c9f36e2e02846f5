//! The march: coupler forces from the rear, vehicle by vehicle; equation (8).

use super::drag::{CurveDragLaw, TruckDrag, slip_drag, truck_drag, yaw_rate};
use super::drive::Condition;
use super::lateral::lateral_forces;
use crate::placement::Stance;
use crate::vehicle::Numbers;

/// Rounds of the fixed point for drag that depends on the lateral force.
/// Each round gains a factor of about `μ_f` sin γ ≈ 0.03, so ten reach rounding.
const ROUNDS: usize = 12;

/// The fixed point ends when the front force moves by less than this part of itself.
const ROUNDING: f64 = 1e-15;

/// What turns the rear force of one vehicle into its front force:
/// `F_f` = `pass·F_r` + standing + `per_speed·v` − pull·T.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Coefficients {
    pub(super) pass: f64,
    pub(super) standing: f64,
    pub(super) per_speed: f64,
    pub(super) pull: f64,
}

/// The kinematics of one vehicle at unit speed along its own axis.
#[derive(Clone, Copy, Debug)]
struct Motion {
    /// α of the trucks.
    truck: [f64; 2],
    /// `D_f` and `D_r`.
    coupler: [f64; 2],
}

#[inline]
fn motion(car: &Numbers, stance: &Stance) -> Motion {
    let mean = 0.5 * (stance.truck[0].tan() + stance.truck[1].tan());
    let yaw = yaw_rate(car, stance);
    let [front, rear] = stance.coupler;
    Motion {
        truck: [1.0 / stance.truck[0].cos, 1.0 / stance.truck[1].cos],
        coupler: [
            front.cos + front.sin * (mean + yaw * car.pivot_front),
            rear.cos - rear.sin * (mean - yaw * car.pivot_rear),
        ],
    }
}

#[inline]
pub(super) fn coefficients(
    car: &Numbers,
    stance: &Stance,
    condition: Condition,
    law: CurveDragLaw,
) -> Coefficients {
    let TruckDrag {
        standing,
        per_speed,
    } = truck_drag(car, stance, condition, law);
    let motion = motion(car, stance);
    let inverse = 1.0 / motion.coupler[0];
    let [front, rear] = motion.truck;
    Coefficients {
        pass: motion.coupler[1] * inverse,
        standing: (standing[0] * front + standing[1] * rear) * inverse,
        per_speed: (per_speed[0] * front + per_speed[1] * rear) * inverse,
        pull: 0.5 * (front + rear) * inverse,
    }
}

/// What a vehicle adds to the force at its front, where its couplers stand alike at both ends and the
/// force passes it whole, N.
pub(crate) fn coupler_drag(car: &Numbers, stance: &Stance, step: &Step) -> f64 {
    let c = coefficients(car, stance, step.condition, step.law);
    c.standing + c.per_speed * step.speed
}

/// One vehicle's front force when the drag depends on the lateral force: a fixed point.
pub(super) fn with_lateral_drag(
    car: &Numbers,
    stance: &Stance,
    step: &Step,
    rear: f64,
    pull: f64,
) -> (f64, [f64; 2]) {
    let motion = motion(car, stance);
    let base = {
        let c = coefficients(car, stance, step.condition, step.law);
        c.pass * rear + c.standing + c.per_speed * step.speed - c.pull * pull
    };
    let mut front = base;
    let mut extra = [0.0; 2];
    if step.condition == Condition::Held {
        return (front, extra);
    }
    for _ in 0..ROUNDS {
        let along = rail_along(car, stance, step, pull, extra);
        let lateral = lateral_forces(car, stance, step.speed, [front, rear], along);
        for end in 0..2 {
            extra[end] = match step.law {
                CurveDragLaw::FlangeFriction => car.flange_friction * lateral[end].abs(),
                CurveDragLaw::TreadSlip => slip_drag(car, stance, end, -lateral[end]),
                CurveDragLaw::PerCurvature => 0.0,
            };
        }
        let added = extra[0] * motion.truck[0] + extra[1] * motion.truck[1];
        let next = base + added / motion.coupler[0];
        let moved = (next - front).abs();
        front = next;
        if moved <= ROUNDING * front.abs() {
            break;
        }
    }
    (front, extra)
}

/// What every vehicle of one march has in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Step {
    pub(crate) condition: Condition,
    pub(crate) law: CurveDragLaw,
    pub(crate) speed: f64,
    /// Acceleration of the vehicle, m/s²; nothing where the train is quasi-static.
    pub(crate) acceleration: f64,
}

/// `X_t` of equation (11), N, forward positive.
#[inline]
pub(crate) fn rail_along(
    car: &Numbers,
    stance: &Stance,
    step: &Step,
    pull: f64,
    extra: [f64; 2],
) -> [f64; 2] {
    let drag = truck_drag(car, stance, step.condition, step.law);
    [0, 1]
        .map(|end| 0.5 * pull - drag.standing[end] - drag.per_speed[end] * step.speed - extra[end])
}
