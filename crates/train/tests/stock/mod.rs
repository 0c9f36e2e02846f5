//! Invented vehicles and lines that the tests share.
#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test file uses its own part of the stock"
)]

use gradeworthy_train::placement::Placer;
use gradeworthy_train::statics::{Balance, Condition, CurveDragLaw, Solver};
use gradeworthy_train::sweep::{Check, Snapshot, snapshot};
use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Train, Vehicle};

pub fn vectors(name: &str) -> serde_json::Value {
    let text = match name {
        "b1" => include_str!("../vectors/b1_track.json"),
        _ => include_str!("../vectors/b23_quasistatic.json"),
    };
    serde_json::from_str(text).expect("valid JSON")
}

pub fn number(value: &serde_json::Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Half truck centres, pivot and half a link, m.
#[derive(Clone, Copy)]
pub struct Shape {
    pub a: f64,
    pub p: f64,
    pub l: f64,
}

pub const SHORT: Shape = Shape {
    a: 0.035,
    p: 0.045,
    l: 0.008,
};
pub const MIDDLE: Shape = Shape {
    a: 0.050,
    p: 0.064,
    l: 0.008,
};
pub const LONG: Shape = Shape {
    a: 0.095,
    p: 0.125,
    l: 0.008,
};

/// A car of the prototype's cases: no slack, no drag, level couplers.
pub fn car(shape: Shape, weight: f64) -> Vehicle {
    plain(Vehicle::of_class("demo car", Class::HoCar), shape, weight)
}

pub fn locomotive(shape: Shape, weight: f64) -> Vehicle {
    plain(
        Vehicle::of_class("demo locomotive", Class::HoLocomotive),
        shape,
        weight,
    )
}

fn plain(vehicle: Vehicle, Shape { a, p, l }: Shape, weight: f64) -> Vehicle {
    vehicle
        .measured(&[
            (Q::HalfTruckCentres, a),
            (Q::PivotFront, p),
            (Q::PivotRear, p),
            (Q::ShankFront, l),
            (Q::ShankRear, l),
            (Q::CouplerSlack, 0.0),
            (Q::Weight, weight),
            (Q::ContactSpacing, 0.0178),
            (Q::CouplerHeightFront, 0.0099),
            (Q::CouplerHeightRear, 0.0099),
            (Q::CgForward, 0.0),
            (Q::CgLeft, 0.0),
            (Q::CgHeight, 0.022),
            (Q::RollingDrag, 0.0),
            (Q::RollingDragPerSpeed, 0.0),
            (Q::CurveDrag, 0.0),
            (Q::SwivelMoment, 0.0),
        ])
        .expect("sound numbers")
}

pub fn with(vehicle: Vehicle, readings: &[(Q, f64)]) -> Vehicle {
    vehicle.measured(readings).expect("sound numbers")
}

pub fn line(plan: Vec<PlanSegment>, grade: f64) -> Alignment {
    let length = plan.iter().map(|segment| segment.length).sum();
    Alignment::new(
        Origin::default(),
        plan,
        vec![GradeSegment::steady(length, grade)],
        vec![],
    )
    .expect("a sound line")
}

pub fn near(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{what}: {found} against {wanted}"
    );
}

/// A locomotive that only pulls: its own drag is `drag` newtons.
pub fn power(setting: f64, slope: f64, cap: f64) -> Vehicle {
    with(
        locomotive(MIDDLE, 10.0),
        &[
            (Q::SpeedSetting, setting),
            (Q::SpeedSlope, slope),
            (Q::AdhesionPull, cap),
            (Q::StallPull, 10.0 * cap),
            (Q::BrakePull, cap),
        ],
    )
}

pub fn balance(
    train: &Train,
    track: &Alignment,
    condition: Condition,
    law: CurveDragLaw,
) -> Balance {
    let mut stances = Vec::new();
    Placer::new(track)
        .place(train.numbers(), &[], track.length(), &mut stances)
        .expect("stands");
    let mut balance = Balance::default();
    Solver::new(condition, law).solve(train.numbers(), &stances, &mut balance);
    balance
}

pub fn look(train: &Train, track: &Alignment, head_s: f64) -> Snapshot {
    snapshot(train, track, &Check::new(Condition::Running, 0.1), head_s).expect("it stands")
}
