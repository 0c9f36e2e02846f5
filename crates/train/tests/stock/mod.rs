//! Invented vehicles and lines that the tests share.
#![expect(
    dead_code,
    unreachable_pub,
    reason = "each test file uses its own part of the stock"
)]

use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Vehicle};

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
