//! Any car, any reading, any fleet: the pictures stay sound.

use gradeworthy_reports::drawing;
use gradeworthy_reports::words::System;
use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Angle, Length, Mass, Typed, Unit};
use gradeworthy_workbench::record::{
    Answer, Axles, Car, CarMark, End, Entry, Measure, Place, Record, Side, Value,
};
use proptest::prelude::*;

use super::sound::sound;
use super::{judged, story, views};

fn any_length() -> impl Strategy<Value = Length> {
    prop_oneof![
        (-500_000_000_i64..500_000_000).prop_map(Length::from_nanometres),
        (-1_000_000_000_000_i64..1_000_000_000_000).prop_map(Length::from_nanometres),
        Just(Length::ZERO),
        Just(Length::from_nanometres(1)),
    ]
}

fn any_amount() -> impl Strategy<Value = Amount> {
    prop_oneof![
        any_length().prop_map(Amount::from),
        (-10_000_000_i64..10_000_000).prop_map(|mg| Amount::from(Mass::from_milligrams(mg))),
        (-360.0..360.0_f64)
            .prop_map(|degrees| Angle::from_degrees(degrees).expect("finite").into()),
    ]
}

fn any_place() -> impl Strategy<Value = Place> {
    let end = prop_oneof![Just(End::A), Just(End::B)];
    let side = prop_oneof![Just(Side::Left), Just(Side::Right)];
    (0_u8..8, 1_u8..4, end, side, 0_u8..7).prop_map(|(axle, station, end, side, kind)| match kind {
        0 => Place::Car,
        1 => Place::Axle(axle),
        2 => Place::Station(axle, station),
        3 => Place::Wheel(axle, side),
        4 => Place::End(end),
        5 => Place::Turn(end, side),
        _ => Place::Side(side),
    })
}

fn any_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        4 => any_amount().prop_map(|amount| Value::Quantity(Typed {
            text: "typed".into(),
            amount,
            unit: Unit::Millimetre,
            unit_was_typed: true,
            resolution: amount,
        })),
        1 => prop_oneof![Just(Answer::Good), Just(Answer::Fair), Just(Answer::Poor)]
            .prop_map(Value::Answer),
    ]
}

fn any_entry() -> impl Strategy<Value = Entry> {
    let measures: Vec<Measure> = Measure::all().collect();
    (prop::sample::select(measures), any_place(), any_value()).prop_map(
        |(measure, place, value)| Entry {
            measure,
            place,
            value,
            instrument: None,
            on: None,
        },
    )
}

fn any_record() -> impl Strategy<Value = Record> {
    let scales: Vec<Scale> = Scale::all().collect();
    let length = || prop::option::of(any_length());
    (
        prop::sample::select(scales),
        prop_oneof![Just(Axles::Two), Just(Axles::Four), Just(Axles::Six)],
        [length(), length(), length(), length(), length(), length()],
        prop::option::of(prop_oneof![Just(88_u16), Just(110), Just(999)]),
        prop::collection::vec(any_entry(), 0..60),
        any::<bool>(),
    )
        .prop_map(|(scale, axles, lengths, wheel_code, entries, from_demo)| {
            let [body, over, centres, wheelbase, a, b] = lengths;
            let mut record = if from_demo {
                story("QVL 104")
            } else {
                Record::new(Car::new(CarMark::new("T 1").expect("a name"), scale))
            };
            let figures = &mut record.car.figures;
            figures.axles = axles;
            figures.body_length = body;
            figures.length_over_couplers = over;
            figures.truck_centres = centres;
            figures.truck_wheelbase = wheelbase;
            figures.overhang = [a, b];
            figures.wheel_code = wheel_code;
            record.entries.extend(entries);
            record
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_was_read_the_pictures_are_sound(record in any_record()) {
        let inspection = judged(&record);
        let margins = inspection.lines.iter().map(|line| drawing::margin(line, System::Both));
        for drawing in views(&record, System::Both).into_iter().chain(margins) {
            sound(&drawing).map_err(TestCaseError::fail)?;
        }
    }

    #[test]
    fn whatever_a_fleet_reads_its_spread_is_sound(
        values in prop::collection::vec(any_amount(), 0..50),
        own in prop::option::of(any_amount()),
        lower in prop::option::of(any_amount()),
        upper in prop::option::of(any_amount()),
    ) {
        let spread = drawing::Spread { what: "a <reading>", values: &values, own, lower, upper };
        sound(&drawing::spread(&spread, System::Both)).map_err(TestCaseError::fail)?;
    }
}
