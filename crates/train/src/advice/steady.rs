//! The theorem on the order of cars: which car bears the whole pull of its block best goes first.
//!
//! Where a block of cars of one shape stands on track of one curvature, one grade and one cant, with
//! curve drag per curvature, and everything in draft, a car's use in string-lining and unloading
//! depends on nothing but the force at its front, and does not fall as that grows; and that force
//! is the drag of the car and of all behind it, whatever their order. To make the greatest use of
//! the block least is then the scheduling problem 1 || `f_max`, which E. L. Lawler solved (Management
//! Science 19, 1973, from memory): at the head of the block the force is known; put there the car
//! that bears it best; take its drag off and go on.
//!
//! Proof: take any best order and let i be that car. Moving i to the head of the block lessens the
//! force of each car that stood ahead of it and leaves those behind; i itself now bears the whole
//! force with the least use any car could have there. Nothing got worse. Then the same for the rest.
//!
//! The use so found, or that of a vehicle outside the block if it is greater, is one below which no
//! order of the block can come at that place, hence in all; so if the whole margin of the order, in
//! every mode and at every place, comes to the same use, no order is better. That last condition is
//! checked by the caller; the others are checked here, at the place where the train is hardest
//! pressed:
//!
//! 1. the curve-drag law is per curvature;
//! 2. the block's cars, and the vehicle at either end of it, are of one shape, with all couplers at
//!    one height;
//! 3. all trucks of the block stand on one curvature, not 0, one grade and one cant;
//! 4. every coupler force of the block is draft, and every car's drag is positive;
//! 5. no car's use falls with the force: it is convex (the greatest of several that are straight), so
//!    it is enough that it does not fall at the least force that the car can have in the block.

use std::ops::Range;

use super::adviser::Adviser;
use crate::margins::{Mode, Situation, uses};
use crate::placement::Stance;
use crate::statics::{CurveDragLaw, Step, coupler_drag};
use crate::sweep::{Snapshot, snapshot};
use crate::vehicle::Numbers;

/// Two numbers of the track that differ by less than this are one.
const SAME: f64 = 1e-9;

/// An order of a block, and the use below which none can come.
pub(super) struct Steady {
    pub(super) order: Vec<usize>,
    pub(super) least_use: f64,
}

/// The order of the theorem; `None` where a condition fails.
pub(super) fn steady_order(adviser: &Adviser<'_>, block: &Range<usize>) -> Option<Steady> {
    let numbers = adviser.train.numbers();
    if adviser.check.law != CurveDragLaw::PerCurvature || !alike(numbers, block) {
        return None;
    }
    let head_s = adviser.hardest.head_s;
    let there = snapshot(adviser.train, adviser.line, &adviser.check, head_s).ok()?;
    let stance = there.stances.get(block.start)?;
    let mut stances = there.stances[block.clone()].iter();
    let steady = stances.all(|own| is_steady(own) && same_track(own, stance));
    let forces = &there.balance.forces[block.start..=block.end];
    if !steady || forces.iter().any(|force| *force < 0.0) {
        return None;
    }
    let step = Step {
        condition: adviser.check.condition,
        law: adviser.check.law,
        speed: there.balance.speed,
        acceleration: 0.0,
    };
    let ground = Ground {
        stance,
        step,
        numbers,
    };
    let mut found = ground.order(block, forces[0])?;
    found.least_use = found.least_use.max(of_the_others(&there, block));
    Some(found)
}

/// The greatest use at the place that no order of the block changes: those of the vehicles outside
/// it, whose forces are the same, in the ways that do not depend on what is coupled to them.
fn of_the_others(there: &Snapshot, block: &Range<usize>) -> f64 {
    let ways = [
        Mode::WheelClimb,
        Mode::Stringline,
        Mode::Unloading,
        Mode::CouplerSwing,
        Mode::TruckSwing,
        Mode::Stall,
    ];
    let others = there.uses.iter().enumerate();
    others
        .filter(|(place, _)| !block.contains(place))
        .flat_map(|(_, uses)| ways.map(|way| uses[way as usize].ratio()))
        .fold(0.0, f64::max)
}

struct Ground<'a> {
    stance: &'a Stance,
    step: Step,
    numbers: &'a [Numbers],
}

impl Ground<'_> {
    fn order(&self, block: &Range<usize>, force: f64) -> Option<Steady> {
        let mut left: Vec<usize> = block.clone().collect();
        let rear = force - left.iter().map(|car| self.drag(*car)).sum::<f64>();
        if !left.iter().all(|car| self.grows(*car, rear)) {
            return None;
        }
        let (mut order, mut least_use, mut force) = (Vec::new(), 0.0_f64, force);
        while !left.is_empty() {
            let bears = |car: &usize| self.tips(*car, force);
            let best =
                (0..left.len()).min_by(|a, b| bears(&left[*a]).total_cmp(&bears(&left[*b])))?;
            let car = left.remove(best);
            least_use = least_use.max(self.tips(car, force));
            force -= self.drag(car);
            order.push(car);
        }
        Some(Steady { order, least_use })
    }

    fn drag(&self, car: usize) -> f64 {
        coupler_drag(&self.numbers[car], self.stance, &self.step)
    }

    /// The greater of the string-line and the unloading use of a car with a force at its front.
    fn tips(&self, car: usize, force: f64) -> f64 {
        let at = Situation {
            car: &self.numbers[car],
            stance: self.stance,
            couplings: [None, None],
            step: &self.step,
            forces: [force, force - self.drag(car)],
            pull: 0.0,
            extra_drag: [0.0; 2],
        };
        let uses = uses(&at);
        let of = |mode: Mode| uses[mode as usize].ratio();
        of(Mode::Stringline).max(of(Mode::Unloading))
    }

    /// Conditions 4 and 5 for one car, with the force behind the block.
    fn grows(&self, car: usize, rear: f64) -> bool {
        let drag = self.drag(car);
        let least = rear + drag;
        drag > 0.0 && self.tips(car, least) <= self.tips(car, least + 1e-3 * drag)
    }
}

/// Condition 2.
fn alike(numbers: &[Numbers], block: &Range<usize>) -> bool {
    let around = block.start.saturating_sub(1)..(block.end + 1).min(numbers.len());
    let first = &numbers[block.start];
    let height = first.coupler_height_front;
    numbers[around].iter().all(|own| {
        let heights = [own.coupler_height_front, own.coupler_height_rear];
        own.has_shape_of(first) && heights.iter().all(|own| (own - height).abs() < SAME)
    })
}

/// Condition 3 within one vehicle.
fn is_steady(stance: &Stance) -> bool {
    let near = |pair: [f64; 2]| (pair[0] - pair[1]).abs() < SAME;
    stance.curvature[0] != 0.0
        && near(stance.curvature)
        && near(stance.grade)
        && near([stance.cant[0].sin, stance.cant[1].sin])
}

/// Condition 3 from one vehicle to another: their couplers stand alike too.
fn same_track(one: &Stance, other: &Stance) -> bool {
    /// Angles of vehicles that stand alike, by their sine: rounding of the placement.
    const ALIKE: f64 = 1e-7;
    let near = |a: f64, b: f64, by: f64| (a - b).abs() < by;
    near(one.curvature[0], other.curvature[0], SAME)
        && near(one.grade[0], other.grade[0], SAME)
        && near(one.cant[0].sin, other.cant[0].sin, SAME)
        && (0..2).all(|end| near(one.coupler[end].sin, other.coupler[end].sin, ALIKE))
}
