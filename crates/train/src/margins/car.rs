//! All the uses of one vehicle at one place.

use super::climb::climb;
use super::mode::{Mode, Use};
use super::pair::Coupling;
use crate::placement::Stance;
use crate::statics::{Step, TruckLoad, loads, rail_along};
use crate::vehicle::Numbers;

/// Least capacity against tipping, as part of what the level car has, so that a car that leans
/// over by itself shows a large use.
const LEAST_STANDING: f64 = 1e-3;

/// One vehicle at one place with the forces on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Situation<'a> {
    pub(crate) car: &'a Numbers,
    pub(crate) stance: &'a Stance,
    /// The couplings at the front and the rear.
    pub(crate) couplings: [Option<&'a Coupling>; 2],
    pub(crate) step: &'a Step,
    /// Coupler forces at the front and the rear, N.
    pub(crate) forces: [f64; 2],
    pub(crate) pull: f64,
    pub(crate) extra_drag: [f64; 2],
}

impl Situation<'_> {
    /// How much higher the neighbour's coupler stands, front and rear, m.
    #[inline]
    fn steps(&self) -> [f64; 2] {
        let bench = |end: usize| self.couplings[end].map_or(0.0, |coupling| coupling.height_step);
        [
            self.stance.step[0] - bench(0),
            self.stance.step[1] + bench(1),
        ]
    }

    /// What the two trucks carry.
    #[inline]
    pub(crate) fn truck_loads(&self) -> [TruckLoad; 2] {
        let along = rail_along(self.car, self.stance, self.step, self.pull, self.extra_drag);
        loads(
            self.car,
            self.stance,
            self.step,
            self.forces,
            self.steps(),
            along,
        )
    }
}

/// The uses of one vehicle, one per [`Mode`] in the order of [`Mode::ALL`].
///
/// [`Mode::Stall`] belongs to the whole train and is left at nothing here.
pub(crate) fn uses(at: &Situation<'_>) -> [Use; Mode::ALL.len()] {
    let [
        climbing,
        jackknife,
        stringline,
        buckling,
        unloading,
        pull_apart,
    ] = of_forces(at, 0.0);
    let [coupler_swing, truck_swing, bypass, twist] = of_places(at.car, at.stance, at.couplings[0]);
    [
        climbing,
        jackknife,
        stringline,
        buckling,
        unloading,
        coupler_swing,
        truck_swing,
        pull_apart,
        bypass,
        twist,
        adhesion(at),
        Use::NONE,
    ]
}

/// The worst use of one vehicle that depends on forces and ends the climb, if above `floor`.
#[inline]
pub(crate) fn worst_of_forces(at: &Situation<'_>, floor: f64) -> Option<(f64, Mode)> {
    let modes = [
        Mode::WheelClimb,
        Mode::Jackknife,
        Mode::Stringline,
        Mode::Buckling,
        Mode::Unloading,
        Mode::PullApart,
    ];
    worst(floor, of_forces(at, floor).iter().zip(modes))
}

/// The worst use of one vehicle that depends only on where it stands, if above `floor`.
pub(crate) fn worst_of_places(
    car: &Numbers,
    stance: &Stance,
    front: Option<&Coupling>,
    floor: f64,
) -> Option<(f64, Mode)> {
    let modes = [
        Mode::CouplerSwing,
        Mode::TruckSwing,
        Mode::Bypass,
        Mode::Twist,
    ];
    worst(floor, of_places(car, stance, front).iter().zip(modes))
}

#[inline]
fn worst<'a>(floor: f64, uses: impl Iterator<Item = (&'a Use, Mode)>) -> Option<(f64, Mode)> {
    let mut worst = None;
    let mut most = floor;
    for (used, mode) in uses {
        if used.demand > most * used.capacity {
            most = used.ratio();
            worst = Some((most, mode));
        }
    }
    worst
}

/// Wheel climb, jackknife, stringline, buckling, unloading, pull-apart. Trucks whose wheel climb
/// cannot reach `floor` are left out; with a floor of 0 none is.
#[inline]
fn of_forces(at: &Situation<'_>, floor: f64) -> [Use; 6] {
    let trucks = at.truck_loads();
    let (stringline, buckling) = tipping(at, &trucks);
    let one = |end: usize, floor: f64| climb(at.car, at.stance, end, &trucks[end], 0.0, floor);
    let front = one(0, floor);
    [
        front.worse(one(1, floor.max(front.ratio()))),
        jackknife(at, &trucks, floor),
        stringline,
        buckling,
        unloading(at, &trucks),
        pull_apart(at),
    ]
}

/// Coupler swing, truck swing, bypass, twist.
#[inline]
fn of_places(car: &Numbers, stance: &Stance, front: Option<&Coupling>) -> [Use; 4] {
    [
        swing(stance.coupler, car.coupler_swing),
        swing(stance.truck, car.truck_swing),
        bypass(stance, front),
        twist(car, stance),
    ]
}

/// Wheel climb in buff with the zig-zag of (15), in whichever direction is worse.
///
/// (15) `φ = Σ(σ p/a)/ℓ, S' = Σ |F| φ p/(2a) over the couplers in buff`
fn jackknife(at: &Situation<'_>, trucks: &[TruckLoad; 2], floor: f64) -> Use {
    let pivots = [at.car.pivot_front, at.car.pivot_rear];
    let mut couple = 0.0;
    for (end, pivot) in pivots.into_iter().enumerate() {
        if let (Some(coupling), true) = (at.couplings[end], at.forces[end] < 0.0) {
            let angle = coupling.sideways_play / at.stance.link[end];
            couple += -at.forces[end] * angle * pivot;
        }
    }
    if couple == 0.0 {
        return Use::NONE;
    }
    let extra = couple / (2.0 * at.car.half_truck_centres);
    // The likelier sign first: a truck that cannot be worse than the worst so far is left out.
    let toward = [0, 1].map(|end: usize| extra.copysign(trucks[end].side));
    [
        (0, toward[0]),
        (1, toward[1]),
        (0, -toward[0]),
        (1, -toward[1]),
    ]
    .into_iter()
    .fold(Use::NONE, |worst, (end, side)| {
        let least = floor.max(worst.ratio());
        worst.worse(climb(at.car, at.stance, end, &trucks[end], side, least))
    })
}

/// Tipping of the whole car by its couplers: stringline in draft, buckling in buff.
///
/// In terms of the drawbar force on equal cars the limit is F = W `g_c` cos ψ/(4 `h_c` sin γ); cant
/// towards the side it is pulled to, an off-centre load and speed are deducted from the capacity.
#[inline]
fn tipping(at: &Situation<'_>, trucks: &[TruckLoad; 2]) -> (Use, Use) {
    let height = at.car.coupler_height();
    let pull = trucks[0].coupler_side + trucks[1].coupler_side;
    let lean = (trucks[0].cant_side + trucks[1].cant_side) * at.car.cg_height
        + at.car.weight * at.car.cg_left;
    let level = 0.5 * at.car.weight * at.car.contact_spacing;
    let standing =
        level * 0.5 * (at.stance.cant[0].cos + at.stance.cant[1].cos) - pull.signum() * lean;
    let tip = Use {
        demand: pull.abs(),
        capacity: standing.max(LEAST_STANDING * level) / height,
    };
    if at.forces[0] + at.forces[1] >= 0.0 {
        (tip, Use::NONE)
    } else {
        (Use::NONE, tip)
    }
}

/// The truck side that has lost most of its standing load.
#[inline]
fn unloading(at: &Situation<'_>, trucks: &[TruckLoad; 2]) -> Use {
    let weights = at.car.truck_weights();
    let one = |end: usize| {
        let [left, right] = trucks[end].sides(at.car.contact_spacing);
        let standing = 0.5 * weights[end];
        Use {
            demand: (standing - left.min(right)).max(0.0),
            capacity: standing,
        }
    };
    one(0).worse(one(1))
}

#[inline]
fn swing(turns: [crate::placement::Turn; 2], greatest: f64) -> Use {
    let sin = if turns[0].sin.abs() > turns[1].sin.abs() {
        turns[0]
    } else {
        turns[1]
    };
    Use {
        demand: sin.sin.abs().atan2(sin.cos),
        capacity: greatest,
    }
}

#[inline]
fn pull_apart(at: &Situation<'_>) -> Use {
    at.couplings[0].map_or(Use::NONE, |coupling| Use {
        demand: at.forces[0].max(0.0),
        capacity: coupling.strength,
    })
}

#[inline]
fn bypass(stance: &Stance, front: Option<&Coupling>) -> Use {
    front.map_or(Use::NONE, |coupling| Use {
        demand: (stance.step[0] - coupling.height_step).abs(),
        capacity: coupling.step_capacity,
    })
}

#[inline]
fn twist(car: &Numbers, stance: &Stance) -> Use {
    let [front, rear] = stance.cant;
    Use {
        demand: (front.sin - rear.sin).abs() * car.contact_spacing,
        capacity: car.twist_capability,
    }
}

#[inline]
fn adhesion(at: &Situation<'_>) -> Use {
    at.car.power.map_or(Use::NONE, |power| Use {
        demand: at.pull.abs(),
        capacity: power.adhesion_pull,
    })
}
