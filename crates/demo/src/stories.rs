//! A dozen cars of the invented fleet, each with one story that the documentation walks through.
//!
//! Every story starts from a car in good order and changes the few readings that make it.

use gradeworthy_standards::Scale;
use gradeworthy_units::Length;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{Answer, Car, CarMark, End, Measure, Place, Record, Side};
use jiff::civil::{Date, date};

use crate::draw::Draw;
use crate::fleet;
use crate::keeping::Keeping;
use crate::models::MODELS;
use crate::slip::Slip;

/// A named car of the demo.
pub struct Story {
    /// Its mark.
    pub mark: &'static str,
    /// What is the matter, in a few words.
    pub title: &'static str,
    letters: &'static str,
    tell: fn(&mut Record),
}

/// The dozen, in the order in which the documentation tells them.
pub const STORIES: &[Story] = &[
    Story {
        mark: "QVL 101",
        title: "in good order",
        letters: "XM",
        tell: |_| {},
    },
    Story {
        mark: "QVL 102",
        title: "one wheelset too narrow",
        letters: "XM",
        tell: narrow,
    },
    Story {
        mark: "QVL 103",
        title: "thin flanges at the usual back-to-back",
        letters: "HM",
        tell: thin_flanges,
    },
    Story {
        mark: "QVL 104",
        title: "a wheel that wobbles",
        letters: "RS",
        tell: wobble,
    },
    Story {
        mark: "ZBR 105",
        title: "narrow treads that drop in",
        letters: "XL",
        tell: narrow_treads,
    },
    Story {
        mark: "ZBR 106",
        title: "a truck frame out of flat",
        letters: "HT",
        tell: warped,
    },
    Story {
        mark: "ZBR 107",
        title: "both couplers low",
        letters: "XM",
        tell: both_low,
    },
    Story {
        mark: "ZBR 108",
        title: "a head that droops",
        letters: "RS",
        tell: drooping,
    },
    Story {
        mark: "WQX 109",
        title: "light, and lighter at one end",
        letters: "XM",
        tell: light,
    },
    Story {
        mark: "WQX 110",
        title: "an empty flat too light for anywhere",
        letters: "FM",
        tell: empty_flat,
    },
    Story {
        mark: "WQX 111",
        title: "a truck that does not want to turn",
        letters: "TM",
        tell: stiff,
    },
    Story {
        mark: "JQH 112",
        title: "new wheels since it was read",
        letters: "XL",
        tell: new_wheels,
    },
];

const NIGHT: Date = date(2026, 11, 19);

impl Story {
    /// The car's record.
    #[must_use]
    pub fn record(&self, seed: u64) -> Record {
        let model = MODELS.iter().find(|model| model.letters == self.letters);
        let model = model.expect("stories are told of cars that the demo has");
        let mut car = Car::new(CarMark::new(self.mark).expect("a short name"), Scale::HO);
        fleet::describe(&mut car, model);
        car.owner = Some("member 01".into());
        car.figures.wheel_code = Some(110);
        car.figures.frame_material = Some("styrene".into());
        let mut record = Record::new(car);
        let mut draw = Draw::of(seed, u64::MAX);
        fleet::read_all(&mut record, &mut draw, model, NIGHT, &Keeping::KEPT);
        in_good_order(&mut record, model.body_mm, model.cg_mm);
        (self.tell)(&mut record);
        record
    }
}

/// Overwrites everything that a draw could have spoiled.
fn in_good_order(record: &mut Record, body_mm: f64, cg_mm: f64) {
    let grams = 28.349_523_125 * (1.0 + 0.5 * body_mm / 25.4);
    let mut slip = Slip::on(record, NIGHT);
    for axle in 1..=4 {
        for (station, inches) in [(1, "0.5705 in"), (2, "0.5700 in")] {
            slip.amend(
                Measure::BackToBack,
                Place::Station(axle, station),
                inches,
                "caliper",
            );
        }
        slip.amend(Measure::Wobble, Place::Axle(axle), "0.01 mm", "feeler");
        slip.amend(Measure::SpinTime, Place::Axle(axle), "21.5 s", "stopwatch");
        slip.amend(Measure::EndPlay, Place::Axle(axle), "0.20 mm", "feeler");
        for side in Side::BOTH {
            slip.amend(Measure::Gap, Place::Wheel(axle, side), "0.00 mm", "feeler");
            if axle % 2 == 1 {
                let place = Place::Wheel(axle, side);
                slip.amend(Measure::FlangeThickness, place, "0.0300 in", "caliper");
            }
        }
        if axle % 2 == 1 {
            let place = Place::Wheel(axle, Side::Left);
            slip.amend(Measure::TireWidth, place, "0.1100 in", "caliper");
        }
    }
    for end in End::BOTH {
        let place = Place::End(end);
        slip.amend(Measure::CouplerHeight, place, "0.391 in", "height strips");
        slip.amend(Measure::Droop, place, "0.05 mm", "feeler");
        slip.amend(Measure::TripPin, place, "1.10 mm", "feeler");
        slip.amend(Measure::SwivelForce, place, "0.20 gf", "spring scale");
        slip.amend(Measure::SideBearingGap, place, "0.30 mm", "feeler");
        slip.amend(
            Measure::EndWeight,
            place,
            &format!("{:.1} g", grams / 2.0),
            "scale",
        );
    }
    for (end, rock, play) in [
        (End::A, "0.30 mm", "0.16 mm"),
        (End::B, "0.20 mm", "0.06 mm"),
    ] {
        slip.amend(Measure::RockGap, Place::End(end), rock, "feeler");
        slip.amend(Measure::ScrewPlay, Place::End(end), play, "feeler");
        for side in Side::BOTH {
            slip.amend(
                Measure::TruckSwing,
                Place::Turn(end, side),
                "9.0 deg",
                "protractor",
            );
        }
    }
    let angle = (8.25 / cg_mm).atan().to_degrees();
    for side in Side::BOTH {
        slip.amend(
            Measure::TiltAngle,
            Place::Side(side),
            &format!("{angle:.1} deg"),
            "protractor",
        );
    }
    slip.amend(
        Measure::Weight,
        Place::Car,
        &format!("{grams:.1} g"),
        "scale",
    );
    slip.amend(Measure::RollGrade, Place::Car, "1.30 %", "test incline");
    slip.amend(Measure::StartGrade, Place::Car, "1.60 %", "test incline");
    answers_good(record);
}

fn answers_good(record: &mut Record) {
    use gradeworthy_workbench::record::Value;
    for entry in &mut record.entries {
        if let Value::Answer(answer) = &mut entry.value {
            *answer = Answer::Good;
        }
    }
}

fn narrow(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.amend(
        Measure::BackToBack,
        Place::Station(2, 1),
        "0.5605 in",
        "caliper",
    );
    slip.amend(
        Measure::BackToBack,
        Place::Station(2, 2),
        "0.5600 in",
        "caliper",
    );
}

fn thin_flanges(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    for side in Side::BOTH {
        slip.amend(
            Measure::FlangeThickness,
            Place::Wheel(3, side),
            "0.0200 in",
            "caliper",
        );
    }
}

fn wobble(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.amend(
        Measure::BackToBack,
        Place::Station(4, 1),
        "0.5760 in",
        "caliper",
    );
    slip.amend(
        Measure::BackToBack,
        Place::Station(4, 2),
        "0.5650 in",
        "caliper",
    );
    slip.amend(Measure::Wobble, Place::Axle(4), "0.28 mm", "feeler");
}

fn narrow_treads(record: &mut Record) {
    record.car.figures.wheel_code = Some(88);
    let mut slip = Slip::on(record, NIGHT);
    for axle in 1..=4 {
        slip.amend(
            Measure::BackToBack,
            Place::Station(axle, 1),
            "0.5670 in",
            "caliper",
        );
        slip.amend(
            Measure::BackToBack,
            Place::Station(axle, 2),
            "0.5670 in",
            "caliper",
        );
        if axle % 2 == 1 {
            for side in Side::BOTH {
                let place = Place::Wheel(axle, side);
                slip.amend(Measure::FlangeThickness, place, "0.0250 in", "caliper");
            }
            slip.amend(
                Measure::TireWidth,
                Place::Wheel(axle, Side::Left),
                "0.0880 in",
                "caliper",
            );
        }
    }
}

fn warped(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    for (axle, side, gap) in [
        (1, Side::Left, "0.30 mm"),
        (2, Side::Right, "0.30 mm"),
        (3, Side::Left, "0.03 mm"),
        (3, Side::Right, "0.03 mm"),
    ] {
        slip.amend(Measure::Gap, Place::Wheel(axle, side), gap, "feeler");
    }
}

fn both_low(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.amend(
        Measure::CouplerHeight,
        Place::End(End::A),
        "0.372 in",
        "height strips",
    );
    slip.amend(
        Measure::CouplerHeight,
        Place::End(End::B),
        "0.378 in",
        "height strips",
    );
}

fn drooping(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.amend(Measure::Droop, Place::End(End::A), "0.55 mm", "feeler");
}

fn light(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.amend(Measure::Weight, Place::Car, "78.0 g", "scale");
    slip.amend(Measure::EndWeight, Place::End(End::A), "44.0 g", "scale");
    slip.amend(Measure::EndWeight, Place::End(End::B), "34.0 g", "scale");
}

fn empty_flat(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.call_it("empty 53-ft flat car");
    slip.amend(Measure::Weight, Place::Car, "62.0 g", "scale");
    slip.amend(Measure::EndWeight, Place::End(End::A), "31.0 g", "scale");
    slip.amend(Measure::EndWeight, Place::End(End::B), "31.0 g", "scale");
}

fn stiff(record: &mut Record) {
    let mut slip = Slip::on(record, NIGHT);
    slip.amend(
        Measure::SwivelForce,
        Place::End(End::B),
        "1.90 gf",
        "spring scale",
    );
}

fn new_wheels(record: &mut Record) {
    record.car.figures.bolster_shims[0] = vec![Length::from_thousandths(10)];
    record.note_done(CureKind::WheelsetChanged, Some(date(2026, 11, 22)));
}
