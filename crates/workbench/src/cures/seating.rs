//! Seating: racking a warped frame past where it should be; pads are laid by [`super::pads`].
//!
//! How far to overbend is learned from the shop's own bends of the same material; without any it
//! rests on common practice, and says so by its wide interval.

use gradeworthy_units::Length;

use super::prescribe::Ward;
use super::{Action, CureKind, pads};
use crate::Verdict;
use crate::checks::{Aspect, Seated, seat};
use crate::mechanics::bend::{Bend, Goal, SpringBack};
use crate::mechanics::seating::{Cure as Correction, Diagonal, Flatness, Pads, cures};
use crate::record::{Check, End, Place};
use crate::rules::Limited;

pub(super) fn cure(ward: &mut Ward<'_>) {
    let Ok(Some(seated)) = seat(ward.bench) else {
        return;
    };
    if let Flatness::Trucks(trucks) = &seated.flatness {
        pads::cure(ward, &seated, trucks);
    }
    // The racking of a frame needs no pad; any size will do to compute it.
    let any = Pads {
        half_length: Length::from_hundredths_mm(100),
        half_width: Length::from_hundredths_mm(100),
    };
    let Ok(corrections) = cures(&seated.stance, &seated.flatness, any) else {
        return;
    };
    for correction in corrections {
        match correction {
            Correction::Rack {
                truck,
                lower,
                racking,
                ..
            } => {
                rack(ward, &seated, truck, lower, racking);
            }
            Correction::MiddleAxle { truck, .. } => {
                let place = Place::End(truck);
                if is_bad(ward, Limited::Warp, place) {
                    let what = "the middle axle is out of line: true or exchange the truck";
                    ward.write(
                        Check::Seating,
                        place,
                        CureKind::TruckChanged,
                        Action::Do(what),
                    );
                }
            }
            Correction::Roll { .. } | Correction::Pitch { .. } => {}
        }
    }
}

pub(super) fn is_bad(ward: &Ward<'_>, limited: Limited, place: Place) -> bool {
    let line = ward.inspection.line(Aspect::Limited(limited), place);
    line.is_some_and(|line| line.verdict == Verdict::BadOrder)
}

/// Warp is 4|e| under a wheel and racking is 2|e|, so half the warp limit is the racking that may
/// be left over.
fn rack(
    ward: &mut Ward<'_>,
    seated: &Seated,
    truck: Option<End>,
    lower: Diagonal,
    racking: Length,
) {
    let place = truck.map_or(Place::Car, Place::End);
    if !is_bad(ward, Limited::Warp, place) {
        return;
    }
    let Some(limit) = pads::most(ward, Limited::Warp) else {
        return;
    };
    let action = overbend(ward, seated, lower, racking.abs(), limit.half());
    ward.write(Check::Seating, place, CureKind::FrameBent, action);
}

fn overbend(
    ward: &Ward<'_>,
    seated: &Seated,
    lower: Diagonal,
    wanted: Length,
    tolerance: Length,
) -> Action {
    let material = ward.bench.car.figures.frame_material.clone();
    let bends: Vec<Bend> = material
        .as_deref()
        .into_iter()
        .flat_map(|material| ward.bench.shop.bends_of(material))
        .map(|past| Bend {
            set: past.set,
            rested: past.next_day,
        })
        .collect();
    let reading = seated.gap_uncertainty.and_then(Length::from_mm_rounded);
    let reading = reading.unwrap_or(Length::ZERO);
    let learned = SpringBack::common_practice().learn(&bends, reading);
    let goal = Goal {
        target: wanted,
        tolerance,
        reading,
    };
    let Ok(plan) = learned.and_then(|spring| spring.overbend(goal)) else {
        return Action::Do("this frame springs back too far to be bent true: exchange the truck");
    };
    /// Nine in ten, as the shop is told.
    const LEVEL: f64 = 0.90;
    let (low, high) = plan.tomorrow.interval(LEVEL).unwrap_or((wanted, wanted));
    Action::Overbend {
        wanted,
        today: plan.set,
        tomorrow: [low, plan.tomorrow.centre(), high],
        probability: plan.chance,
        tolerance,
        past_bends: bends.len(),
        material,
        lower,
    }
}
