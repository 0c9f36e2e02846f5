//! Wheels: which to move, which way and how far; which to exchange; which to clean.

use super::prescribe::Ward;
use super::{Action, CureKind};
use crate::Verdict;
use crate::checks::{Aspect, read_axle};
use crate::mechanics::wheelset::{Cure, Mobility};
use crate::record::{Check, Place};
use crate::rules::Limited;

pub(super) fn cure(ward: &mut Ward<'_>) {
    for axle in 1..=ward.bench.car.figures.axles.count() {
        let place = Place::Axle(axle);
        cure_gauge(ward, axle);
        let bad = |aspect| {
            ward.inspection
                .line(aspect, place)
                .is_some_and(|line| line.verdict == Verdict::BadOrder)
        };
        let wobbles = bad(Aspect::Limited(Limited::Wobble));
        let unequal = bad(Aspect::Limited(Limited::DiameterMatch));
        let dirty = bad(Aspect::WheelDirt);
        if (wobbles || unequal) && !ward.has(CureKind::WheelsetChanged, place) {
            let what = if wobbles {
                "exchange the wheelset: a wheel that wobbles cannot be trued on its axle"
            } else {
                "exchange the wheelset: its two treads differ in diameter"
            };
            ward.write(
                Check::Wheelsets,
                place,
                CureKind::WheelsetChanged,
                Action::Do(what),
            );
        }
        if dirty {
            let what = "scrape or wipe the treads clean";
            ward.write(
                Check::Wheelsets,
                place,
                CureKind::WheelsCleaned,
                Action::Do(what),
            );
        }
    }
}

fn cure_gauge(ward: &mut Ward<'_>, axle: u8) {
    let Some(rules) = ward.bench.rules.and_then(|rules| rules.wheels.as_ref()) else {
        return;
    };
    let Ok(Some(read)) = read_axle(ward.bench, rules, axle) else {
        return;
    };
    if !is_bad(ward, axle) {
        return;
    }
    let place = Place::Axle(axle);
    let window = *read.judgement.window();
    match read.judgement.cure(Mobility::Both) {
        Cure::Move(movement) => {
            let action = Action::MoveWheels {
                left_outward: movement.left_outward,
                right_outward: movement.right_outward,
                from: movement.target - movement.change,
                to: movement.target,
                lower: window.lower,
                upper: window.upper,
            };
            ward.write(Check::Wheelsets, place, CureKind::WheelMoved, action);
        }
        Cure::Replace(fault) => {
            let action = Action::ChangeWheels(fault);
            ward.write(Check::Wheelsets, place, CureKind::WheelsetChanged, action);
        }
        Cure::MeasureFirst(_) => {
            let lack = super::Lack::Knowledge(
                "measure flange thickness and tire width of both wheels, or enter the car's tread \
                 code; a move computed without them would be a guess",
            );
            ward.write(
                Check::Wheelsets,
                place,
                CureKind::WheelMoved,
                Action::Lacking(lack),
            );
        }
        Cure::NoneNeeded => {}
    }
}

/// Whether any functional limit of this axle is bad order.
fn is_bad(ward: &Ward<'_>, axle: u8) -> bool {
    ward.inspection.lines_of(Check::Wheelsets).any(|line| {
        let here = match line.place {
            Place::Axle(own) | Place::Wheel(own, _) => own == axle,
            _ => false,
        };
        here && matches!(line.aspect, Aspect::Wheel(_)) && line.verdict == Verdict::BadOrder
    })
}
