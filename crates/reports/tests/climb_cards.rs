//! What the bench read arrives on the card of the hill, by hand calculation from the sheet's
//! figures; the standard acceleration is that of [SP811 §B.8].

use gradeworthy_reports::climb::{CarCard, card};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Vehicle};
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{End, Measure, Place, Record, Value};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;

fn record() -> Record {
    gradeworthy_demo::fleet(gradeworthy_demo::SEED, 12).remove(0)
}

fn vehicle(record: &Record, reversed: bool) -> Vehicle {
    let book = RuleBook::read(&gradeworthy_demo::rule_book()).expect("a sound book");
    let day = gradeworthy_demo::climb::DAY;
    let inspection = inspect(record, &book, &Shop::default(), day);
    let car = CarCard {
        record,
        inspection: &inspection,
        book: &book,
        reversed,
        gauge_m: Some(0.0165),
    };
    card(car, Class::HoCar).expect("a sound card")
}

fn read(record: &Record, measure: Measure, place: Place) -> f64 {
    let mut all = record.entries.iter();
    let entry = all.find(|entry| (entry.measure, entry.place) == (measure, place));
    match &entry.expect("it was read").value {
        Value::Quantity(typed) => typed.amount.base(),
        Value::Answer(_) => f64::NAN,
    }
}

fn near(found: f64, wanted: f64) {
    let apart = (found - wanted).abs();
    assert!(apart <= 1e-9 * wanted.abs().max(1e-3), "{found} {wanted}");
}

#[test]
fn readings_become_the_numbers_of_the_card() {
    let record = record();
    let car = vehicle(&record, false);
    let end = |measure, end| read(&record, measure, Place::End(end));
    let grams = read(&record, Measure::Weight, Place::Car);
    near(car.value(Q::Weight), grams / 1e3 * 9.806_65);
    // A 40-ft box car of the demo: 94 mm between bolsters, 31 mm on to the coupler's face.
    near(car.value(Q::HalfTruckCentres), 0.047);
    let reach = car.value(Q::PivotFront) + car.value(Q::ShankFront);
    near(reach, 0.047 + 0.031);
    let (a, b) = (
        end(Measure::EndWeight, End::A),
        end(Measure::EndWeight, End::B),
    );
    near(car.value(Q::CgForward), 0.047 * (a - b) / (a + b));
    let grade = read(&record, Measure::RollGrade, Place::Car);
    near(car.value(Q::RollingDrag), grade);
    let height = end(Measure::CouplerHeight, End::A);
    near(car.value(Q::CouplerHeightFront), height / 1e3);
    // The lever of the demo's rule book is 50 mm long.
    let stiffer = end(Measure::SwivelForce, End::A).max(end(Measure::SwivelForce, End::B));
    near(car.value(Q::SwivelMoment), stiffer * 0.05);
    for quantity in [
        Q::TruckSwing,
        Q::TwistCapability,
        Q::CgHeight,
        Q::LateralPlay,
    ] {
        assert!(!car.entry(quantity).is_unmeasured(), "{quantity:?}");
    }
    assert!(car.entry(Q::CouplerSwing).is_unmeasured());
}

#[test]
fn a_car_turned_round_leads_with_its_other_end() {
    let record = record();
    let (ahead, back) = (vehicle(&record, false), vehicle(&record, true));
    near(back.value(Q::CgForward), -ahead.value(Q::CgForward));
    near(back.value(Q::CgLeft), -ahead.value(Q::CgLeft));
    let height = ahead.value(Q::CouplerHeightRear);
    near(back.value(Q::CouplerHeightFront), height);
}

#[test]
fn a_reading_from_before_the_last_work_is_not_taken_for_measured() {
    let mut record = record();
    record.note_done(CureKind::WheelsetChanged, None);
    let car = vehicle(&record, false);
    assert!(car.entry(Q::Weight).is_unmeasured());
    assert!(car.entry(Q::CouplerHeightFront).is_unmeasured());
    assert!(!car.entry(Q::TruckSwing).is_unmeasured());
}
