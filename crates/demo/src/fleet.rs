//! The ordinary cars of the invented fleet: what each is, and what the bench read on it.
//!
//! A car is drawn first as it is (its true wheels, frames, heights, weight), with a few faults at
//! invented rates ([`Keeping`]), and then read with the small errors of hands and instruments.

use gradeworthy_standards::Scale;
use gradeworthy_units::Length;
use gradeworthy_workbench::record::{
    Answer, Axles, Car, CarMark, CarType, End, Measure, Place, Record, Side,
};
use jiff::civil::{Date, date};

use crate::draw::Draw;
use crate::keeping::Keeping;
use crate::models::{MODELS, Model};
use crate::slip::Slip;

const MARKS: &[&str] = &["QVL", "ZBR", "WQX", "JQH"];
const MATERIALS: &[&str] = &["styrene", "acetal", "nylon"];

/// Opening day of the demo's bench nights.
const FIRST_NIGHT: Date = date(2026, 9, 1);

/// The car numbered `index` of the fleet that `seed` stands for, kept so.
#[must_use]
pub fn car(seed: u64, index: u64, keeping: &Keeping) -> Record {
    let mut draw = Draw::of(seed, index);
    let model = pick_model(&mut draw);
    let mut record = Record::new(lettered(&mut draw, model, index, keeping));
    let night = i64::try_from(index % 80).unwrap_or(0);
    let on = FIRST_NIGHT
        .checked_add(jiff::Span::new().days(night))
        .unwrap_or(FIRST_NIGHT);
    read_all(&mut record, &mut draw, model, on, keeping);
    record
}

fn pick_model(draw: &mut Draw) -> &'static Model {
    let mut left = draw.between(0.0, 100.0);
    for model in MODELS {
        left -= model.share;
        if left < 0.0 {
            return model;
        }
    }
    &MODELS[0]
}

fn lettered(draw: &mut Draw, model: &Model, index: u64, keeping: &Keeping) -> Car {
    let number = 1000 + index * 7 % 9973;
    let mark = format!("{} {number}", draw.pick(MARKS));
    let mut car = Car::new(CarMark::new(&mark).expect("a short name"), Scale::HO);
    describe(&mut car, model);
    car.owner = Some(format!("member {:02}", 1 + index % 41).into());
    car.figures.wheel_code = Some(if draw.chance(keeping.narrow_treads) {
        88
    } else {
        110
    });
    car.figures.frame_material = Some((*draw.pick(MATERIALS)).into());
    car
}

/// Fills in what every car of a kind has in common.
pub(crate) fn describe(car: &mut Car, model: &Model) {
    let mm = |mm: f64| Length::from_mm_rounded(mm);
    car.car_type = Some(CarType::new(model.letters));
    car.description = Some(model.description.into());
    car.tags = model.tag.iter().map(|tag| (*tag).into()).collect();
    let figures = &mut car.figures;
    figures.axles = Axles::Four;
    figures.body_length = mm(model.body_mm);
    figures.length_over_couplers = mm(model.centres_mm + 2.0 * model.overhang_mm);
    figures.truck_centres = mm(model.centres_mm);
    figures.truck_wheelbase = mm(model.wheelbase_mm);
    figures.overhang = [mm(model.overhang_mm); 2];
}

pub(crate) fn read_all(
    record: &mut Record,
    draw: &mut Draw,
    model: &Model,
    on: Date,
    keeping: &Keeping,
) {
    let code = record.car.figures.wheel_code.unwrap_or(110);
    let flange_mm = if code == 88 { 0.635 } else { 0.762 };
    let tire_mm = f64::from(code) * 0.0254;
    let mut slip = Slip::on(record, on);
    look_over(&mut slip, draw, keeping);
    wheels(&mut slip, draw, flange_mm, tire_mm, keeping);
    rolling(&mut slip, draw, keeping);
    seating(&mut slip, draw, keeping);
    trucks(&mut slip, draw, model, keeping);
    couplers(&mut slip, draw, keeping);
    weighing(&mut slip, draw, model, keeping);
}

fn look_over(slip: &mut Slip<'_>, draw: &mut Draw, keeping: &Keeping) {
    for item in 1..=4 {
        let answer = if draw.chance(keeping.loose_part) {
            Answer::Poor
        } else {
            Answer::Good
        };
        slip.answer(Measure::LookOver, Place::Item(item), answer);
    }
}

fn wheels(slip: &mut Slip<'_>, draw: &mut Draw, flange_mm: f64, tire_mm: f64, keeping: &Keeping) {
    let narrow_lot = draw.chance(keeping.narrow_lot);
    for axle in 1..=4 {
        let mean = if narrow_lot { 14.32 } else { 14.49 };
        let true_mm = draw.normal(mean, keeping.gauge_spread_mm);
        let wobble = if draw.chance(keeping.wobble) {
            draw.between(0.1, 0.2)
        } else {
            draw.normal(0.02, 0.01).abs()
        };
        for (station, sign) in [(1, 0.5), (2, -0.5)] {
            let mm = true_mm + sign * wobble + draw.normal(0.0, 0.005);
            slip.caliper(Measure::BackToBack, Place::Station(axle, station), mm);
        }
        slip.feeler(Measure::Wobble, Place::Axle(axle), wobble);
        if axle % 2 == 1 {
            for side in Side::BOTH {
                let mm = draw.normal(flange_mm, 0.015);
                slip.caliper(Measure::FlangeThickness, Place::Wheel(axle, side), mm);
            }
            let mm = draw.normal(tire_mm, 0.01);
            slip.caliper(Measure::TireWidth, Place::Wheel(axle, Side::Left), mm);
        }
        let dirt = match draw.unit() {
            d if d < keeping.dirt[0] => Answer::Poor,
            d if d < keeping.dirt[1] => Answer::Fair,
            _ => Answer::Good,
        };
        slip.answer(Measure::WheelDirt, Place::Axle(axle), dirt);
    }
}

fn rolling(slip: &mut Slip<'_>, draw: &mut Draw, keeping: &Keeping) {
    // The invented shop's relation: grade = 0.3 % + 18 %·s / t, ±10 % from car to car.
    let time_s = draw.between(13.0, 34.0);
    let grade = (0.3 + 18.0 / time_s) * draw.normal(1.0, 0.1);
    let dry = draw.chance(keeping.dry);
    for axle in 1..=4 {
        let own = (if dry { 0.5 } else { 1.0 }) * time_s * draw.normal(1.0, 0.12);
        slip.typed(
            Measure::SpinTime,
            Place::Axle(axle),
            &format!("{own:.1} s"),
            "stopwatch",
        );
        let play = draw.between(keeping.end_play_mm[0], keeping.end_play_mm[1]);
        slip.feeler(Measure::EndPlay, Place::Axle(axle), play);
    }
    let percent = if dry { grade * 1.6 } else { grade.min(1.75) };
    slip.typed(
        Measure::RollGrade,
        Place::Car,
        &format!("{percent:.2} %"),
        "test incline",
    );
    let start = percent + draw.between(0.1, 0.4);
    slip.typed(
        Measure::StartGrade,
        Place::Car,
        &format!("{start:.2} %"),
        "test incline",
    );
}

/// Gaps under the eight wheels of a rigid car with its trucks held tight.
///
/// A frame warped by e stands on two opposite corners and leaves 2e under the other two; the body
/// rises by e over it, which lifts the inner axle of the other truck a little. A truck rolled in
/// its bolster leaves its gap along one side.
fn seating(slip: &mut Slip<'_>, draw: &mut Draw, keeping: &Keeping) {
    let corner = if draw.chance(keeping.warped) {
        draw.between(0.03, 0.08)
    } else {
        draw.normal(0.0, 0.003).abs()
    };
    let warped = if draw.chance(0.5) { 1 } else { 3 };
    let rolled = if draw.chance(keeping.rolled) {
        draw.between(0.25, 0.5)
    } else {
        0.0
    };
    let inner = if warped == 1 { 3 } else { 2 };
    for axle in 1..=4 {
        let lifted = if axle == inner { 0.19 * corner } else { 0.0 };
        let (mut left, mut right) = (lifted, lifted);
        if axle == warped {
            left = 2.0 * corner;
        } else if axle == warped + 1 {
            right = 2.0 * corner;
        }
        if axle >= 3 && warped == 1 {
            right += rolled;
        }
        slip.feeler(Measure::Gap, Place::Wheel(axle, Side::Left), left);
        slip.feeler(Measure::Gap, Place::Wheel(axle, Side::Right), right);
    }
}

fn trucks(slip: &mut Slip<'_>, draw: &mut Draw, model: &Model, keeping: &Keeping) {
    // What the club's 36-in curve needs, and a few degrees more.
    let needed = (model.centres_mm / 2.0 / 914.4).asin().to_degrees();
    for end in End::BOTH {
        let fouled = draw.chance(keeping.fouled);
        for side in Side::BOTH {
            let spare = if fouled {
                draw.between(-1.0, 0.8)
            } else {
                draw.between(3.0, 8.0)
            };
            let text = format!("{:.1} deg", needed + spare);
            slip.typed(
                Measure::TruckSwing,
                Place::Turn(end, side),
                &text,
                "protractor",
            );
        }
        let stiff = if draw.chance(keeping.stiff) {
            1.6
        } else {
            0.22
        };
        let force = stiff * draw.between(0.5, 1.3);
        slip.typed(
            Measure::SwivelForce,
            Place::End(end),
            &format!("{force:.2} gf"),
            "spring scale",
        );
        // One truck rocks, the other less: three points carry the car.
        let (rock, play) = if end == End::A {
            (0.30, 0.16)
        } else {
            (0.20, 0.06)
        };
        slip.feeler(Measure::RockGap, Place::End(end), draw.normal(rock, 0.03));
        slip.feeler(
            Measure::ScrewPlay,
            Place::End(end),
            draw.normal(play, 0.02).max(0.02),
        );
        slip.feeler(
            Measure::SideBearingGap,
            Place::End(end),
            draw.normal(0.3, 0.04),
        );
    }
}

fn couplers(slip: &mut Slip<'_>, draw: &mut Draw, keeping: &Keeping) {
    let ride = if draw.chance(keeping.low) { -0.35 } else { 0.0 };
    for end in End::BOTH {
        let place = Place::End(end);
        let centring = match draw.unit() {
            d if d < keeping.centring[0] => Answer::Poor,
            d if d < keeping.centring[1] => Answer::Fair,
            _ => Answer::Good,
        };
        slip.answer(Measure::Centring, place, centring);
        let knuckle = if draw.chance(keeping.knuckle) {
            Answer::Poor
        } else {
            Answer::Good
        };
        slip.answer(Measure::Knuckle, place, knuckle);
        let droop = if draw.chance(keeping.droop) {
            draw.between(0.3, 0.6)
        } else {
            draw.between(0.02, 0.14)
        };
        slip.feeler(Measure::Droop, place, droop);
        let pin = draw.normal(1.1, 0.08);
        slip.feeler(Measure::TripPin, place, pin);
        let height = draw.normal(9.92 + ride, 0.07);
        let thousandths = (height / 25.4 * 1000.0).round() / 1000.0;
        slip.typed(
            Measure::CouplerHeight,
            place,
            &format!("{thousandths:.3} in"),
            "height strips",
        );
    }
}

fn weighing(slip: &mut Slip<'_>, draw: &mut Draw, model: &Model, keeping: &Keeping) {
    // RP-20.1 for the body, then what owners make of it.
    let target_g = 28.3495 * (1.0 + 0.5 * model.body_mm / 25.4);
    let light = if model.tag.is_some() {
        draw.between(0.55, 1.0)
    } else {
        1.0
    };
    let weight_g = target_g * light * draw.normal(1.0, 0.035);
    if light < 0.7 {
        slip.call_it(&format!("empty {}", model.description));
    }
    slip.typed(
        Measure::Weight,
        Place::Car,
        &format!("{weight_g:.1} g"),
        "scale",
    );
    let share = 0.5 * (1.0 + draw.normal(0.0, 0.025));
    for (end, part) in [(End::A, share), (End::B, 1.0 - share)] {
        let text = format!("{:.1} g", weight_g * part);
        slip.typed(Measure::EndWeight, Place::End(end), &text, "scale");
    }
    let cg_mm = draw.normal(model.cg_mm, 0.5) + if draw.chance(keeping.high) { 3.5 } else { 0.0 };
    let aside_mm = draw.normal(0.0, 0.2);
    for (side, sign) in [(Side::Left, -1.0), (Side::Right, 1.0)] {
        let angle = ((8.25 + sign * aside_mm) / cg_mm).atan().to_degrees();
        slip.typed(
            Measure::TiltAngle,
            Place::Side(side),
            &format!("{angle:.1} deg"),
            "protractor",
        );
    }
}
