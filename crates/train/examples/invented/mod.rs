//! An invented train and an invented line, the same for the example, the bench and the comparison.

use gradeworthy_train::track::{
    Alignment, AlignmentError, CantPoint, GradeSegment, Origin, PlanSegment,
};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Train, TrainError, Vehicle, VehicleError};

/// What can go wrong in making things up.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Wrong {
    #[error(transparent)]
    Vehicle(#[from] VehicleError),
    #[error(transparent)]
    Train(#[from] TrainError),
    #[error(transparent)]
    Line(#[from] AlignmentError),
}

/// `cars` cars of three lengths, locomotives at the `power` places.
pub(crate) fn train(cars: usize, power: &[usize]) -> Result<Train, Wrong> {
    let mut vehicles = Vec::new();
    let mut next = 0_usize;
    while vehicles.len() < cars + power.len() {
        if power.contains(&vehicles.len()) {
            vehicles.push(locomotive()?);
        } else {
            vehicles.push(car(next)?);
            next += 1;
        }
    }
    Ok(Train::new(vehicles)?)
}

fn car(index: usize) -> Result<Vehicle, VehicleError> {
    let (a, p, weight) = [
        (0.050, 0.064, 1.112),
        (0.060, 0.076, 1.25),
        (0.040, 0.053, 1.0),
    ][(index / 4) % 3];
    let spread = [0.012, 0.015, 0.018, 0.010, 0.014][index % 5];
    Vehicle::of_class(format!("demo car {index}"), Class::HoCar).measured(&[
        (Q::HalfTruckCentres, a),
        (Q::PivotFront, p),
        (Q::PivotRear, p),
        (Q::Weight, weight),
        (Q::RollingDrag, spread),
        (Q::RollingDragPerSpeed, 0.002),
        (Q::CurveDrag, 0.005),
        (Q::CouplerStrength, 8.0),
    ])
}

fn locomotive() -> Result<Vehicle, VehicleError> {
    Vehicle::of_class("demo locomotive", Class::HoLocomotive).measured(&[
        (Q::Weight, 6.0),
        (Q::AdhesionPull, 1.5),
        (Q::SpeedSlope, 12.0),
        (Q::SpeedSetting, 0.25),
    ])
}

/// A line of `length` metres: loops of easement, arc, easement and straight, left and right,
/// on 2 % with short level stretches.
pub(crate) fn line(length: f64) -> Result<Alignment, Wrong> {
    let (mut plan, mut cant, mut s, mut turn) = (Vec::new(), Vec::new(), 0.0, 1.0);
    while s + 6.0 < length {
        let curvature = turn / 0.9;
        plan.push(PlanSegment::straight(1.2));
        plan.push(PlanSegment::easement(0.6, 0.0, curvature));
        plan.push(PlanSegment::arc(3.0, curvature));
        plan.push(PlanSegment::easement(0.6, curvature, 0.0));
        for (at, angle) in [
            (1.2, 0.0),
            (1.8, 0.02 * turn),
            (4.8, 0.02 * turn),
            (5.4, 0.0),
        ] {
            cant.push(CantPoint {
                s: s + at,
                cant: -angle,
            });
        }
        s += 5.4;
        turn = -turn;
    }
    plan.push(PlanSegment::straight(length - s));
    let (mut profile, mut s) = (Vec::new(), 0.0);
    while s + 30.0 < length {
        profile.push(GradeSegment::steady(20.0, 0.02));
        profile.push(GradeSegment::vertical_curve(1.0, 0.02, 0.0));
        profile.push(GradeSegment::steady(3.0, 0.0));
        profile.push(GradeSegment::vertical_curve(1.0, 0.0, 0.02));
        s += 25.0;
    }
    profile.push(GradeSegment::steady(length - s, 0.02));
    Ok(Alignment::new(Origin::default(), plan, profile, cant)?)
}
