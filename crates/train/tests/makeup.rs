//! Make-up of two trains that string-lined, from published accident reports.

mod stock;

use gradeworthy_train::margins::Mode;
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, prone_to_stringlining, sweep};
use gradeworthy_train::track::PlanSegment;
use gradeworthy_train::vehicle::{Class, Quantity as Q, Train, Vehicle};
use stock::{line, with};

/// A prototype car: length over couplers in ft, truck centres assumed 0.7 of it, weight in tons.
/// Feet become metres and tons of 2000 lb newtons; heights and contact spacing are the standard's
/// figures, 33 in and 59.5 in.
fn prototype(label: &str, class: Class, feet: f64, tons: f64) -> Vehicle {
    let (foot, inch) = (0.3048, 0.0254);
    let half = 0.5 * feet * foot;
    Vehicle::of_class(label, class)
        .measured(&[
            (Q::HalfTruckCentres, 0.7 * half),
            (Q::PivotFront, half - 0.8),
            (Q::PivotRear, half - 0.8),
            (Q::ShankFront, 0.8),
            (Q::ShankRear, 0.8),
            (Q::CouplerSlack, 0.02),
            (Q::Weight, tons * 2000.0 * 4.448_221_6),
            (Q::ContactSpacing, 59.5 * inch),
            (Q::CouplerHeightFront, 33.0 * inch),
            (Q::CouplerHeightRear, 33.0 * inch),
            (Q::KnuckleFace, 11.0 * inch),
            (Q::LeastOverlap, 4.0 * inch),
            (Q::CgHeight, 1.8),
            (Q::CgLeft, 0.0),
            (Q::CgForward, 0.0),
            (Q::TruckWheelbase, 1.75),
            (Q::LateralPlay, 0.01),
            (Q::RollingDrag, 0.002),
            (Q::CurveDrag, 0.7),
            (Q::SwivelMoment, 0.0),
            (Q::TwistCapability, 0.1),
            (Q::CouplerStrength, 1.6e6),
        ])
        .expect("sound numbers")
}

fn engine() -> Vehicle {
    let vehicle = prototype("engine", Class::HoLocomotive, 74.0, 208.0);
    with(
        vehicle,
        &[
            (Q::AdhesionPull, 600e3),
            (Q::StallPull, 800e3),
            (Q::BrakePull, 300e3),
            (Q::SpeedSetting, 6.0),
            (Q::SpeedSlope, 200e3),
        ],
    )
}

/// W21: TSB R19T0147. 24 empty autoracks (93.8 ft, 51.9 t) ahead of 34 loads (61 ft, 99.7 t) on a
/// 15° curve (R 383 ft); string-lined at the 26th to 29th car, overturned inwards.
/// Source: [TSB-R19T0147] for lengths and weights; the 24 cars in front (60 ft, 60 t), the grade of
/// 1 % and two engines are ours, since the report's figures are not held.
#[test]
fn w21_tsb_r19t0147_names_the_light_long_cars_ahead_of_the_loads() {
    let mut vehicles = vec![engine(), engine()];
    vehicles.extend((0..24).map(|_| prototype("other", Class::HoCar, 60.0, 60.0)));
    vehicles.extend((0..24).map(|_| prototype("autorack", Class::HoCar, 93.8, 51.9)));
    vehicles.extend((0..34).map(|_| prototype("load", Class::HoCar, 61.0, 99.7)));
    let train = Train::new(vehicles).expect("a train");
    let track = line(
        vec![
            PlanSegment::straight(1900.0),
            PlanSegment::easement(60.0, 0.0, 1.0 / (383.0 * 0.3048)),
            PlanSegment::arc(150.0, 1.0 / (383.0 * 0.3048)),
            PlanSegment::easement(60.0, 1.0 / (383.0 * 0.3048), 0.0),
            PlanSegment::straight(1200.0),
        ],
        0.01,
    );
    let swept = sweep(&train, &track, &Check::new(Condition::Running, 10.0)).expect("it fits");
    let prone = prone_to_stringlining(&train, &swept.envelope);
    assert!(!prone.is_empty(), "flagged");
    let worst = train.vehicles()[prone[0].vehicle].label();
    assert_eq!(worst, "autorack", "the worst of {} named", prone.len());
    assert!(prone[0].is_ahead_of_loads());
    let (first, last) = (26, 49);
    assert!((first..=last).contains(&prone[0].vehicle));
}

/// W21: TSB R05V0141. Five head-end engines, two remote behind car 101, 3 loads and 141 empties
/// (9,340 ft and 5,002 t in all). Source: [TSB-R05V0141]; the loads' weight (130 t), their place at
/// the rear, the curve of 12° and the grade of 2.2 % are ours.
/// Effect on, effect off: with the remote engines giving nothing the empties at the head end are
/// flagged; with the remote engines at work their use falls.
#[test]
fn w21_tsb_r05v0141_flags_the_empties_behind_the_head_end() {
    let (idle, at_work) = (makeup_r05v0141(1.0), makeup_r05v0141(600e3));
    let curve = 1.0 / (50.0 / 6_f64.to_radians().sin() * 0.3048);
    let track = line(
        vec![
            PlanSegment::straight(3100.0),
            PlanSegment::easement(60.0, 0.0, curve),
            PlanSegment::arc(200.0, curve),
            PlanSegment::easement(60.0, curve, 0.0),
            PlanSegment::straight(300.0),
        ],
        0.022,
    );
    let how = Check::new(Condition::Running, 20.0);
    let swept = sweep(&idle, &track, &how).expect("it fits");
    let prone = prone_to_stringlining(&idle, &swept.envelope);
    assert!(
        !prone.is_empty(),
        "{:?}",
        swept.envelope.worst_of(Mode::Stringline)
    );
    assert!(
        prone
            .iter()
            .all(|car| idle.vehicles()[car.vehicle].label() == "empty")
    );
    assert!(
        prone[0].vehicle < 5 + 101,
        "near the head end, where the pull is"
    );
    assert!(prone[0].is_ahead_of_loads());
    let relieved = sweep(&at_work, &track, &how).expect("it fits");
    let peak = |envelope: &gradeworthy_train::sweep::Envelope| {
        envelope
            .worst_of(Mode::Stringline)
            .expect("vehicles")
            .1
            .used
            .ratio()
    };
    assert!(peak(&relieved.envelope) < 0.85 * peak(&swept.envelope));
}

fn makeup_r05v0141(remote_pull: f64) -> Train {
    let (feet, empty) = (9340.0 / 144.0, (5002.0 - 3.0 * 130.0) / 141.0);
    let mut vehicles: Vec<Vehicle> = (0..5).map(|_| engine()).collect();
    vehicles.extend((0..101).map(|_| prototype("empty", Class::HoCar, feet, empty)));
    vehicles.extend((0..2).map(|_| with(engine(), &[(Q::AdhesionPull, remote_pull)])));
    vehicles.extend((0..40).map(|_| prototype("empty", Class::HoCar, feet, empty)));
    vehicles.extend((0..3).map(|_| prototype("load", Class::HoCar, feet, 130.0)));
    Train::new(vehicles).expect("a train")
}
