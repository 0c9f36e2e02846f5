//! Trucks on the car: how far they turn, what it takes to turn them, how they rock, and how much
//! track twist they follow.

use gradeworthy_units::{Angle, Force, Grade, Length, Mass};

use super::bench::Bench;
use super::latest::Read;
use crate::mechanics::ends::Ends;
use crate::mechanics::swing::{LeverTest, TestedCar, swing_drag, truck_swing};
use crate::mechanics::twist::{FreeTrucks, Hanging, side_frame_pitch, twist_capability};
use crate::record::{Check, End, Measure, Place, Side};
use crate::rules::Limited;

pub(super) fn check(bench: &mut Bench<'_>) {
    swing(bench);
    swivel(bench);
    for (measure, limited) in [
        (Measure::RockGap, Limited::RockGap),
        (Measure::ScrewPlay, Limited::ScrewPlay),
        (Measure::SideBearingGap, Limited::SideBearingGap),
    ] {
        // Play and gap feed the twist capability; without a limit of their own that is enough.
        let expected = bench.limit(limited).is_some() || measure == Measure::RockGap;
        for end in End::BOTH.into_iter().filter(|_| expected) {
            let place = Place::End(end);
            if let Some(read) = bench.latest.quantity::<Length>(measure, place) {
                bench.judge_limited(limited, measure, place, read);
            }
        }
    }
    twist(bench);
}

/// Judges what is left beyond the angle that the tightest curve needs.
fn swing(bench: &mut Bench<'_>) {
    if !bench.latest.any(Measure::TruckSwing) {
        return;
    }
    let Some(radius) = bench.rules.and_then(|rules| rules.tightest_radius) else {
        return bench.missing(Check::TruckSwing, "the rule book names no tightest radius");
    };
    let Some(centres) = bench.car.figures.truck_centres else {
        return bench.missing(
            Check::TruckSwing,
            "the distance of the truck centres is wanted",
        );
    };
    for end in End::BOTH {
        for side in Side::BOTH {
            let place = Place::Turn(end, side);
            let read = bench.latest.quantity::<Angle>(Measure::TruckSwing, place);
            let Some(read) = read else { continue };
            match truck_swing(read.value, centres, radius) {
                Ok(swing) => {
                    let spare = Read {
                        value: swing.margin,
                        ..read
                    };
                    bench.judge_limited(Limited::TruckSwing, Measure::TruckSwing, place, spare);
                }
                Err(error) => return bench.unusable(Check::TruckSwing, error),
            }
        }
    }
}

/// Judges what a stiff truck adds to L/V at a flange.
fn swivel(bench: &mut Bench<'_>) {
    if !bench.latest.any(Measure::SwivelForce) {
        return;
    }
    let Some(lever) = bench.rules.and_then(|rules| rules.swivel_lever) else {
        return bench.missing(
            Check::SwivelDrag,
            "the rule book names no lever for the pull",
        );
    };
    let Some(wheelbase) = bench.car.figures.truck_wheelbase else {
        return bench.missing(Check::SwivelDrag, "the truck wheelbase is wanted");
    };
    let Some(weight) = bench.latest.quantity::<Mass>(Measure::Weight, Place::Car) else {
        return bench.missing(Check::SwivelDrag, "the car's weight is wanted");
    };
    let Ok(weight_force) = Force::from_newtons(weight.value.weight_newtons()) else {
        return;
    };
    let wheels = 2 * u32::from(bench.car.figures.axles.count());
    let car = TestedCar {
        weight: weight_force,
        wheel_count: wheels,
        wheelbase,
    };
    for end in End::BOTH {
        let place = Place::End(end);
        let Some(read) = bench.latest.quantity::<Force>(Measure::SwivelForce, place) else {
            continue;
        };
        match swing_drag(
            &LeverTest {
                force: read.value,
                lever,
            },
            &car,
        ) {
            Ok(drag) => {
                let Ok(value) = Grade::from_ratio(drag.l_over_v) else {
                    continue;
                };
                // Δ(L/V) is proportional to the pull, and so is its uncertainty.
                let per_newton = drag.l_over_v / read.value.newtons().max(f64::MIN_POSITIVE);
                let read = Read {
                    value,
                    instrument: read.instrument.map(|u| u * per_newton),
                    resolution: read.resolution * per_newton,
                    stale: read.stale || weight.stale,
                };
                bench.judge_limited(Limited::SwivelDrag, Measure::SwivelForce, place, read);
            }
            Err(error) => return bench.unusable(Check::SwivelDrag, error),
        }
    }
}

/// Judges the twist of the track that the car follows before a wheel unloads.
fn twist(bench: &mut Bench<'_>) {
    let any = |measure| bench.latest.any(measure);
    if !(any(Measure::ScrewPlay) && any(Measure::SideBearingGap) && any(Measure::RockGap)) {
        return;
    }
    match free_trucks(bench) {
        Err(what) => bench.missing(Check::Rock, what),
        Ok((car, stale)) => match twist_capability(&car) {
            Ok(capability) => {
                let read = Read {
                    value: capability.cross_level,
                    instrument: None,
                    resolution: 0.0,
                    stale,
                };
                bench.judge_limited(
                    Limited::TwistCapability,
                    Measure::ScrewPlay,
                    Place::Car,
                    read,
                );
            }
            Err(error) => bench.unusable(Check::Rock, error),
        },
    }
}

fn free_trucks(bench: &Bench<'_>) -> Result<(FreeTrucks, bool), &'static str> {
    let rules = bench
        .rules
        .ok_or("the rule book has no rules for the scale")?;
    let parts = &rules.parts;
    let figures = &bench.car.figures;
    let wheelbase = figures
        .truck_wheelbase
        .ok_or("the truck wheelbase is wanted")?;
    let read = |measure, end| {
        bench
            .latest
            .quantity::<Length>(measure, Place::End(end))
            .ok_or("the twist capability needs screw play, side-bearing gap and rock at both ends")
    };
    let mut stale = false;
    let mut lift = Length::from_nanometres(i64::MAX);
    let mut hang = |end| -> Result<Hanging, &'static str> {
        let (play, gap) = (
            read(Measure::ScrewPlay, end)?,
            read(Measure::SideBearingGap, end)?,
        );
        let rock = read(Measure::RockGap, end)?;
        stale |= play.stale || gap.stale || rock.stale;
        lift = lift.min(rock.value);
        Ok(Hanging {
            screw_play: play.value,
            centre_plate_half_width: parts
                .centre_plate_half_width
                .ok_or("the rule book gives no centre plate half width")?,
            side_bearing_gap: gap.value,
            side_bearing_offset: parts
                .side_bearing_offset
                .ok_or("the rule book gives no side bearing offset")?,
        })
    };
    let hanging = Ends {
        a: hang(End::A)?,
        b: hang(End::B)?,
    };
    // The stiffer of the two frames binds first.
    let side_frame_pitch = side_frame_pitch(lift, wheelbase)
        .map_err(|_| "the rock and the wheelbase do not go together")?;
    let car = FreeTrucks {
        hanging,
        truck_centres: figures
            .truck_centres
            .ok_or("the distance of the truck centres is wanted")?,
        contact_spacing: rules
            .rail_contact_spacing
            .ok_or("the rule book gives no contact spacing")?,
        side_frame_pitch,
    };
    Ok((car, stale))
}
