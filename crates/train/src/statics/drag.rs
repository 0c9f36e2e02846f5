//! What holds a truck back: grade, rolling drag, and one law of curve drag.

use super::drive::Condition;
use crate::placement::Stance;
use crate::truck::Truck;
use crate::vehicle::Numbers;

/// The one law by which curves hold cars back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CurveDragLaw {
    /// A part of the weight proportional to curvature: `c_κ` |κ|. With `c_κ` = 0.32 in it is the
    /// 32/R rule (percent, R in inches), common practice, no primary source.
    #[default]
    PerCurvature,
    /// The sliding of the treads in the friction-centre truck.
    TreadSlip,
    /// Flange friction on the lateral force, `μ_f` |L|: grows with the pull of the train.
    FlangeFriction,
}

/// Weight-proportional drag of the two trucks of one vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct TruckDrag {
    /// At no speed, grade included, N; the grade resists when positive.
    pub(super) standing: [f64; 2],
    /// Growth with speed, N·s/m.
    pub(super) per_speed: [f64; 2],
}

/// The drag that does not depend on coupler forces; (11) without T.
#[inline]
pub(super) fn truck_drag(
    car: &Numbers,
    stance: &Stance,
    condition: Condition,
    law: CurveDragLaw,
) -> TruckDrag {
    let rolling = match condition {
        Condition::Running => car.rolling_drag,
        Condition::Starting => car.breakaway_drag,
        Condition::Held => 0.0,
    };
    let running = if condition == Condition::Running {
        car.rolling_drag_per_speed
    } else {
        0.0
    };
    let curve = match law {
        CurveDragLaw::PerCurvature if condition != Condition::Held => car.curve_drag,
        _ => 0.0,
    };
    let mut drag = TruckDrag {
        standing: [0.0; 2],
        per_speed: [0.0; 2],
    };
    for (end, weight) in car.truck_weights().into_iter().enumerate() {
        let grade = stance.grade[end];
        let normal = weight / (1.0 + grade * grade).sqrt();
        drag.standing[end] = normal * (grade + rolling + curve * stance.curvature[end].abs());
        drag.per_speed[end] = normal * running;
    }
    drag
}

/// The friction-centre truck of one end, with the loads and forces given.
#[inline]
pub(crate) fn truck_at(
    car: &Numbers,
    stance: &Stance,
    end: usize,
    side_loads: [f64; 2],
    side_force: f64,
) -> Truck {
    let [left, right] = side_loads.map(|load| 0.5 * load);
    Truck {
        wheel_loads: [left, right, left, right],
        friction: car.tread_friction,
        wheelbase: car.truck_wheelbase,
        contact_spacing: car.contact_spacing,
        lateral_play: car.lateral_play,
        curvature: stance.curvature[end],
        side_force,
        moment: swivel_moment(car, stance, end),
    }
}

/// The friction of the swivel on a truck: it resists the turning of the truck under the body.
///
/// On a curve the sign is the one that presses the leading flange harder: exact while the curve is
/// entered, and what may stay locked in afterwards. ASSUMED for the rest of the curve; the other
/// sign would lower the leading flange force by 4 `M_s/w`.
/// On straight track it resists the way the truck is turning back.
fn swivel_moment(car: &Numbers, stance: &Stance, end: usize) -> f64 {
    let own = stance.curvature[end];
    if own != 0.0 {
        return -own.signum() * car.swivel_moment;
    }
    let yaw = yaw_rate(car, stance);
    if yaw.abs() < STEADY {
        0.0
    } else {
        yaw.signum() * car.swivel_moment
    }
}

/// A body that yaws by less than this per metre goes straight: rounding, 1/m.
const STEADY: f64 = 1e-9;

/// ω: turn of the body per metre of travel, 1/m.
#[inline]
pub(super) fn yaw_rate(car: &Numbers, stance: &Stance) -> f64 {
    (stance.truck[0].tan() - stance.truck[1].tan()) / (2.0 * car.half_truck_centres)
}

/// Slip drag of one truck with the side force given, N.
pub(super) fn slip_drag(car: &Numbers, stance: &Stance, end: usize, side_force: f64) -> f64 {
    let half = 0.5 * car.truck_weights()[end];
    truck_at(car, stance, end, [half, half], side_force)
        .forces()
        .slip_drag
}
