//! Seating: racking a warped frame past where it should be, and pads for roll and pitch.
//!
//! How far to overbend is learned from the shop's own bends of the same material; without any it
//! rests on common practice, and says so by its wide interval.

use gradeworthy_units::{Amount, Length};

use super::prescribe::Ward;
use super::{Action, CureKind, Lack, SeatPlace};
use crate::Verdict;
use crate::checks::{Aspect, Seated, seat};
use crate::mechanics::bend::{Bend, Goal, SpringBack};
use crate::mechanics::ends::Ends;
use crate::mechanics::seating::{
    Cure as Correction, Diagonal, Pads, StockShim, StripBox, cures, shim_from_stock,
};
use crate::record::{Check, End, Place, Side};
use crate::rules::Limited;

pub(super) fn cure(ward: &mut Ward<'_>) {
    let Ok(Some(seated)) = seat(ward.bench) else {
        return;
    };
    let parts = ward
        .bench
        .rules
        .map(|rules| rules.parts)
        .unwrap_or_default();
    let pads = match (parts.pad_half_length, parts.pad_half_width) {
        (Some(half_length), Some(half_width)) => Some(Pads {
            half_length,
            half_width,
        }),
        _ => None,
    };
    // The racking of a frame needs no pad; any size will do to compute it.
    let any = Pads {
        half_length: Length::from_hundredths_mm(100),
        half_width: Length::from_hundredths_mm(100),
    };
    let Ok(corrections) = cures(&seated.stance, &seated.flatness, pads.unwrap_or(any)) else {
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
            Correction::Roll {
                thickness,
                places,
                wheel_gap,
            } => {
                roll(ward, pads.is_some(), thickness, places, wheel_gap);
            }
            Correction::Pitch {
                truck,
                edge_towards,
                thickness,
                wheel_gap,
            } => {
                let at = SeatPlace::EdgeOf(truck, edge_towards);
                let limited = Limited::Pitch;
                let place = Place::End(truck);
                pad(
                    ward,
                    pads.is_some(),
                    limited,
                    place,
                    thickness,
                    wheel_gap,
                    at,
                );
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
        }
    }
}

fn is_bad(ward: &Ward<'_>, limited: Limited, place: Place) -> bool {
    let line = ward.inspection.line(Aspect::Limited(limited), place);
    line.is_some_and(|line| line.verdict == Verdict::BadOrder)
}

fn most(ward: &Ward<'_>, limited: Limited) -> Option<Length> {
    let upper: Option<Amount> = ward.bench.limit(limited)?.upper;
    upper.and_then(|amount| Length::try_from(amount).ok())
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
    let Some(limit) = most(ward, Limited::Warp) else {
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

fn roll(
    ward: &mut Ward<'_>,
    sized: bool,
    thickness: Length,
    places: Ends<Side>,
    wheel_gap: Length,
) {
    let at = SeatPlace::SideOf(End::A, places.a);
    pad(
        ward,
        sized,
        Limited::BodyRoll,
        Place::Car,
        thickness,
        wheel_gap,
        at,
    );
}

fn pad(
    ward: &mut Ward<'_>,
    sized: bool,
    limited: Limited,
    place: Place,
    thickness: Length,
    wheel_gap: Length,
    at: SeatPlace,
) {
    if !is_bad(ward, limited, place) {
        return;
    }
    let Some(tolerance) = most(ward, limited) else {
        return;
    };
    let action = if sized {
        from_stock(ward, thickness, wheel_gap, tolerance, at)
    } else {
        let what = "the rule book gives no pad sizes, so the thickness cannot be computed";
        Action::Lacking(Lack::Knowledge(what))
    };
    ward.write(Check::Seating, place, CureKind::SeatShimmed, action);
}

fn from_stock(
    ward: &Ward<'_>,
    thickness: Length,
    wheel_gap: Length,
    tolerance: Length,
    at: SeatPlace,
) -> Action {
    let thicknesses: Vec<Length> = ward
        .bench
        .shop
        .pads
        .iter()
        .map(|sheet| sheet.thickness)
        .collect();
    let stock = StripBox {
        thicknesses: &thicknesses,
        stack_max: 3,
        step: Length::from_thousandths(5),
    };
    match shim_from_stock(thickness, wheel_gap, tolerance, stock) {
        Ok(StockShim::Use { pieces, .. }) => Action::Pad {
            computed: thickness,
            pads: pieces,
            at,
        },
        Ok(StockShim::Missing { from, to, .. }) => Action::Lacking(Lack::Stock(format!(
            "a pad from {:.4} in ({from}) to {:.4} in ({to}) thick",
            from.inches(),
            to.inches()
        ))),
        Ok(StockShim::NotNeeded) => Action::Do("read the gaps again: they are within the limit"),
        Err(_) => Action::Do("read the gaps again: they cannot be used together"),
    }
}
