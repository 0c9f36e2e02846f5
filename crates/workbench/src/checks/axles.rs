//! Axles in their side frames: length over points, and end play.

use gradeworthy_units::Length;

use super::bench::Bench;
use crate::record::{Measure, Place};
use crate::rules::Limited;

pub(super) fn check(bench: &mut Bench<'_>) {
    for (measure, limited) in [
        (Measure::AxleLength, Limited::AxleLength),
        (Measure::EndPlay, Limited::EndPlay),
    ] {
        for axle in 1..=bench.car.figures.axles.count() {
            let place = Place::Axle(axle);
            if let Some(read) = bench.latest.quantity::<Length>(measure, place) {
                bench.judge_limited(limited, measure, place, read);
            }
        }
    }
}
