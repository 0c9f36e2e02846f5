//! What each truck carries: side force, vertical load and roll; equations (9), (10) and below.
//!
//! (12) `S_t = −L_t = S_c,t + Y_t`
//! (13) `Q_f = W_f + ΔQ, Q_r = W_r − ΔQ,`
//!     `ΔQ = [F_f h_f − F_r h_r − W (sin G + v'/g) h_cg]/2a,`
//!     and the couplers' vertical parts by their levers; v' is nothing in the quasi-static climb
//! (14) `M_t = S_c,t h_c + Y_t h_cg + Q_t y_cg; load of the left and right side Q_t/2 ± M_t/g_c`
//!
//! The vertical part of a coupler force is F times the slope of the link, at most
//! [`STEEPEST_LINK`], beyond which the knuckles slip over each other (ASSUMED, from memory).

use super::coupling::Step;
use crate::placement::Stance;
use crate::vehicle::Numbers;
use gradeworthy_units::STANDARD_GRAVITY;

/// Greatest slope of a link before its knuckles slip. ASSUMED; at a step of 0.5 mm over a 16 mm
/// link (slope 0.03) the bound is not reached, so it matters only where bypass already shows.
pub const STEEPEST_LINK: f64 = 0.3;

/// What one truck carries.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TruckLoad {
    /// S: side force of the body on the truck, N, left positive.
    pub side: f64,
    /// `S_c`: its part from the couplers and the pull along the track, N.
    pub coupler_side: f64,
    /// Y: its part from cant and speed, N.
    pub cant_side: f64,
    /// Q: vertical load, N.
    pub vertical: f64,
    /// M: roll moment, N·m, to the left positive.
    pub roll: f64,
}

impl TruckLoad {
    /// Load of the left and the right side, N.
    #[must_use]
    pub fn sides(&self, contact_spacing: f64) -> [f64; 2] {
        let shift = self.roll / contact_spacing;
        [0.5 * self.vertical + shift, 0.5 * self.vertical - shift]
    }
}

/// `Y_t`, N.
#[inline]
fn cant_side(weight: f64, stance: &Stance, end: usize, speed: f64) -> f64 {
    let centrifugal = speed * speed * stance.curvature[end] / STANDARD_GRAVITY;
    weight * (stance.cant[end].sin - centrifugal)
}

/// −`S_c`: what the couplers and the pull along the track leave for the rails to hold, N.
#[inline]
fn coupler_lateral(car: &Numbers, stance: &Stance, forces: [f64; 2], along: [f64; 2]) -> [f64; 2] {
    let a = car.half_truck_centres;
    let [front, rear] = [
        forces[0] * stance.coupler[0].sin,
        forces[1] * stance.coupler[1].sin,
    ];
    let about_rear = (a + car.pivot_front) * front - (car.pivot_rear - a) * rear
        + 2.0 * a * along[0] * stance.truck[0].sin;
    let about_front = (car.pivot_front - a) * front
        - (car.pivot_rear + a) * rear
        - 2.0 * a * along[1] * stance.truck[1].sin;
    [
        -about_rear / (2.0 * a * stance.truck[0].cos),
        about_front / (2.0 * a * stance.truck[1].cos),
    ]
}

/// `L_t`: the lateral forces of the rail, N; equations (9) and (10).
#[inline]
pub(super) fn lateral_forces(
    car: &Numbers,
    stance: &Stance,
    speed: f64,
    forces: [f64; 2],
    along: [f64; 2],
) -> [f64; 2] {
    let weights = car.truck_weights();
    let coupler = coupler_lateral(car, stance, forces, along);
    [0, 1].map(|end| coupler[end] - cant_side(weights[end], stance, end, speed))
}

/// Everything the two trucks of one vehicle carry, front first.
///
/// `forces` are the coupler forces at the front and the rear, `steps` how much higher each
/// neighbour's coupler stands (m), `extra` the drag that depends on the lateral force.
#[must_use]
pub(crate) fn loads(
    car: &Numbers,
    stance: &Stance,
    step: &Step,
    forces: [f64; 2],
    steps: [f64; 2],
    along: [f64; 2],
) -> [TruckLoad; 2] {
    let a = car.half_truck_centres;
    let weights = car.truck_weights();
    let coupler = coupler_lateral(car, stance, forces, along);
    let grade = 0.5 * (stance.grade[0] + stance.grade[1]);
    let lift = [0, 1].map(|end| {
        forces[end] * (steps[end] / stance.link[end]).clamp(-STEEPEST_LINK, STEEPEST_LINK)
    });
    let sin_grade = grade / (1.0 + grade * grade).sqrt();
    let pitch = (forces[0] * car.coupler_height_front
        - forces[1] * car.coupler_height_rear
        - car.weight * (sin_grade + step.acceleration / STANDARD_GRAVITY) * car.cg_height)
        / (2.0 * a);
    let overhang = [
        (car.pivot_front - a) / (2.0 * a),
        (car.pivot_rear - a) / (2.0 * a),
    ];
    let shift = [
        pitch - lift[0] * (1.0 + overhang[0]) + lift[1] * overhang[1],
        -pitch - lift[1] * (1.0 + overhang[1]) + lift[0] * overhang[0],
    ];
    [0, 1].map(|end| {
        let coupler_side = -coupler[end];
        let cant_side = cant_side(weights[end], stance, end, step.speed);
        let vertical = weights[end] + shift[end];
        TruckLoad {
            side: coupler_side + cant_side,
            coupler_side,
            cant_side,
            vertical,
            roll: coupler_side * car.coupler_height()
                + cant_side * car.cg_height
                + vertical * car.cg_left,
        }
    })
}
