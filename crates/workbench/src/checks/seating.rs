//! Seating: the gaps under all wheels on the surface plate, taken apart into the errors of the car.
//!
//! Warp is the gap that a twisted truck frame leaves under one wheel; body roll and pitch are those
//! that the bolsters leave ([`crate::mechanics::seating`]).

use gradeworthy_units::{Angle, Length};

use super::bench::Bench;
use super::inspection::Aspect;
use super::latest::Read;
use crate::mechanics::input::Measured;
use crate::mechanics::seating::{Flatness, FrameWarp, Gaps, Stance, flatness};
use crate::record::{Axles, Check, End, Measure, Place, Side};
use crate::rules::Limited;

pub(super) fn check(bench: &mut Bench<'_>) {
    if !bench.latest.any(Measure::Gap) {
        return;
    }
    match seat(bench) {
        Ok(Some(seated)) => write_lines(bench, &seated),
        Ok(None) => {
            bench.not_checked(Check::Seating, Aspect::Limited(Limited::Warp), Place::Car);
        }
        Err(Unseated::Missing(what)) => bench.missing(Check::Seating, what),
        Err(Unseated::Unusable(why)) => bench.unusable(Check::Seating, why),
    }
}

/// A car on the plate.
pub(crate) struct Seated {
    pub(crate) stance: Stance,
    pub(crate) flatness: Flatness,
    /// Standard uncertainty of one gap, where known.
    pub(crate) gap_uncertainty: Option<f64>,
    contact_spacing: Length,
    /// Distance of the outer axles of a truck.
    pub(crate) wheelbase: Length,
    stale: bool,
}

/// Why a car could not be seated.
pub(crate) enum Unseated {
    Missing(&'static str),
    Unusable(String),
}

/// Takes the gaps apart; `None` when a wheel was not read.
pub(crate) fn seat(bench: &Bench<'_>) -> Result<Option<Seated>, Unseated> {
    let mut gaps: Vec<Read<Length>> = Vec::with_capacity(12);
    for axle in 1..=bench.car.figures.axles.count() {
        for side in Side::BOTH {
            let Some(read) = bench
                .latest
                .quantity(Measure::Gap, Place::Wheel(axle, side))
            else {
                return Ok(None);
            };
            gaps.push(read);
        }
    }
    let spacing = bench.rules.and_then(|rules| rules.rail_contact_spacing);
    let spacing = spacing.ok_or(Unseated::Missing("the rule book gives no contact spacing"))?;
    let stance = stance(bench, spacing)?;
    let usual = bench
        .limit(Limited::Warp)
        .and_then(|limit| limit.uncertainty);
    let usual = usual.map(gradeworthy_units::Amount::base);
    let gap_uncertainty = gaps
        .iter()
        .filter_map(|read| read.uncertainty(usual))
        .reduce(f64::max);
    let values: Vec<Length> = gaps.iter().map(|read| read.value).collect();
    let readings = Gaps {
        gaps: &values,
        standard_uncertainty: gap_uncertainty
            .and_then(Length::from_mm_rounded)
            .unwrap_or(Length::ZERO),
    };
    let flatness =
        flatness(&stance, readings).map_err(|error| Unseated::Unusable(error.to_string()))?;
    Ok(Some(Seated {
        stance,
        flatness,
        gap_uncertainty,
        contact_spacing: spacing,
        wheelbase: bench.car.figures.truck_wheelbase.unwrap_or(Length::ZERO),
        stale: gaps.iter().any(|read| read.stale),
    }))
}

fn stance(bench: &Bench<'_>, contact_spacing: Length) -> Result<Stance, Unseated> {
    let figures = &bench.car.figures;
    let centres = figures.truck_centres.ok_or(Unseated::Missing(
        "taking the gaps apart needs the distance of the truck centres (of the axles, on a \
         two-axle car)",
    ))?;
    let wheelbase = || {
        figures.truck_wheelbase.ok_or(Unseated::Missing(
            "taking the gaps apart needs the truck wheelbase",
        ))
    };
    Ok(match figures.axles {
        Axles::Two => Stance::TwoAxle {
            wheelbase: centres,
            contact_spacing,
        },
        Axles::Four => Stance::TwoAxleTrucks {
            truck_centres: centres,
            wheelbase: wheelbase()?,
            contact_spacing,
        },
        Axles::Six => Stance::ThreeAxleTrucks {
            truck_centres: centres,
            wheelbase: wheelbase()?,
            middle_axle_inward: Length::ZERO,
            contact_spacing,
        },
    })
}

fn write_lines(bench: &mut Bench<'_>, seated: &Seated) {
    match &seated.flatness {
        Flatness::TwoAxle { corner, .. } => warp(bench, Place::Car, corner, seated),
        Flatness::Trucks(trucks) => {
            for (end, frame) in [(End::A, &trucks.frame.a), (End::B, &trucks.frame.b)] {
                let FrameWarp { corner, .. } = frame;
                warp(bench, Place::End(end), corner, seated);
            }
            let spacing = seated.contact_spacing.mm();
            tilt(
                bench,
                Limited::BodyRoll,
                Place::Car,
                &trucks.roll,
                spacing,
                seated,
            );
            for (end, pitch) in [(End::A, &trucks.pitch.a), (End::B, &trucks.pitch.b)] {
                let arm = seated.wheelbase.mm();
                tilt(bench, Limited::Pitch, Place::End(end), pitch, arm, seated);
            }
        }
    }
}

/// One corner e high leaves 4|e| under a wheel while the other three touch.
fn warp(bench: &mut Bench<'_>, place: Place, corner: &Measured<Length>, seated: &Seated) {
    let known = seated.gap_uncertainty.is_some();
    let read = Read {
        value: corner.value.abs() * 4,
        instrument: known.then(|| 4.0 * corner.standard_uncertainty.mm()),
        resolution: 0.0,
        stale: seated.stale,
    };
    bench.judge_limited(Limited::Warp, Measure::Gap, place, read);
}

/// An angle as the gap it makes over an arm.
fn tilt(
    bench: &mut Bench<'_>,
    limited: Limited,
    place: Place,
    angle: &Measured<Angle>,
    arm_mm: f64,
    seated: &Seated,
) {
    let Some(value) = Length::from_mm_rounded(angle.value.radians().abs() * arm_mm) else {
        return;
    };
    let known = seated.gap_uncertainty.is_some();
    let read = Read {
        value,
        instrument: known.then(|| angle.standard_uncertainty.radians() * arm_mm),
        resolution: 0.0,
        stale: seated.stale,
    };
    bench.judge_limited(limited, Measure::Gap, place, read);
}
