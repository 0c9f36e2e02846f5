//! How freely things roll: spin of a wheelset, roll of a truck, start and roll of the car.
//!
//! A rolling grade may be read on an incline, fitted to a coast-down past gates, or, failing both,
//! predicted from the spin times by the shop's own pairs of spin and grade.
//! No conversion from seconds to grade is built in: without pairs a spin is judged as a spin.

use gradeworthy_units::{Grade, Time};

use super::bench::{Bench, Ruling};
use super::inspection::{Aspect, Grounds};
use super::latest::Read;
use crate::mechanics::coast::{CoastFit, Gate, Run, Setup};
use crate::mechanics::spin::{Calibration, Pair, Reach, Scatter, SpinError};
use crate::record::{Check, End, Measure, Place};
use crate::rules::Limited;

pub(super) fn check(bench: &mut Bench<'_>) {
    for axle in 1..=bench.car.figures.axles.count() {
        let place = Place::Axle(axle);
        if let Some(read) = bench.latest.quantity::<Time>(Measure::SpinTime, place) {
            bench.judge_limited(Limited::SpinTime, Measure::SpinTime, place, read);
        }
    }
    for end in End::BOTH {
        let place = Place::End(end);
        if let Some(read) = bench
            .latest
            .quantity::<Grade>(Measure::TruckRollGrade, place)
        {
            bench.judge_limited(
                Limited::TruckRollGrade,
                Measure::TruckRollGrade,
                place,
                read,
            );
        }
    }
    if let Some(read) = bench
        .latest
        .quantity::<Grade>(Measure::StartGrade, Place::Car)
    {
        bench.judge_limited(Limited::StartGrade, Measure::StartGrade, Place::Car, read);
    }
    if let Some(read) = bench
        .latest
        .quantity::<Grade>(Measure::RollGrade, Place::Car)
    {
        bench.judge_limited(Limited::RollGrade, Measure::RollGrade, Place::Car, read);
    } else if bench.latest.any(Measure::GateTime) {
        coast_down(bench);
    } else if bench.latest.any(Measure::SpinTime) {
        grade_from_spin(bench);
    }
}

/// Most runs and gates that a record holds.
const RUNS_MAX: u8 = 9;

fn coast_down(bench: &mut Bench<'_>) {
    let Some(rotating_part) = bench.rules.and_then(|rules| rules.parts.rotating_part) else {
        return bench.missing(
            Check::CarRoll,
            "the rule book gives no rotating part for coasting",
        );
    };
    if bench.shop.gates.is_empty() {
        return bench.missing(
            Check::CarRoll,
            "the shop file names no gates of a test track",
        );
    }
    let mut runs = Vec::new();
    let (mut stale, mut timing): (bool, Option<f64>) = (false, None);
    for run in 1..=RUNS_MAX {
        let Some(grade) = bench
            .latest
            .quantity::<Grade>(Measure::RunGrade, Place::Run(run))
        else {
            continue;
        };
        stale |= grade.stale;
        let mut gates = Vec::new();
        for (gate, position) in (1..=u8::MAX).zip(&bench.shop.gates) {
            let read = bench
                .latest
                .quantity::<Time>(Measure::GateTime, Place::Gate(run, gate));
            stale |= read.is_some_and(|read| read.stale);
            timing = timing.or_else(|| read.and_then(|read| read.uncertainty(None)));
            gates.push(Gate {
                position: *position,
                time: read.map(|read| read.value),
            });
        }
        runs.push(Run {
            grade: grade.value,
            gates,
        });
    }
    let Some(timing) = timing.and_then(|seconds| Time::from_seconds(seconds).ok()) else {
        let what = "the timing needs an instrument that the rule book knows";
        return bench.missing(Check::CarRoll, what);
    };
    match CoastFit::from_runs(
        &runs,
        Setup {
            rotating_part,
            timing,
        },
    ) {
        Ok(fit) => {
            let read = Read {
                value: fit.rolling.value,
                instrument: Some(fit.rolling.error.ratio()),
                resolution: 0.0,
                stale,
            };
            bench.judge_limited(Limited::RollGrade, Measure::GateTime, Place::Car, read);
        }
        Err(error) => bench.unusable(Check::CarRoll, error),
    }
}

/// ASSUMED: one standard deviation in ten from car to car in the part of drag that spin shows, and
/// 0.1 % of grade per reading; both only weigh the shop's pairs against each other.
fn scatter() -> Result<Scatter, SpinError> {
    Ok(Scatter {
        reading: Grade::from_ratio(0.001)?,
        relative: 0.10,
    })
}

fn grade_from_spin(bench: &mut Bench<'_>) {
    if bench.shop.spin_pairs.is_empty() || bench.limit(Limited::RollGrade).is_none() {
        return;
    }
    match predict(bench) {
        Ok(Some(predicted)) => write_prediction(bench, predicted),
        Ok(None) => {}
        Err(error) => bench.unusable(Check::Spin, error),
    }
}

struct Predicted {
    grade: Grade,
    uncertainty: f64,
    beyond: bool,
    stale: bool,
}

/// The prediction for the mean spin time of the car's axles.
fn predict(bench: &Bench<'_>) -> Result<Option<Predicted>, SpinError> {
    let times: Vec<Read<Time>> = (1..=bench.car.figures.axles.count())
        .filter_map(|axle| bench.latest.quantity(Measure::SpinTime, Place::Axle(axle)))
        .collect();
    let Some(count) = u32::try_from(times.len()).ok().filter(|count| *count > 0) else {
        return Ok(None);
    };
    let total: f64 = times.iter().map(|read| read.value.seconds()).sum();
    let mean = Time::from_seconds(total / f64::from(count))?;
    let pairs: Vec<Pair> = bench
        .shop
        .spin_pairs
        .iter()
        .map(|pair| Pair {
            spin: pair.time,
            grade: pair.grade,
        })
        .collect();
    /// Two-sided 95 %: the half width is 1.96 standard deviations of a normal distribution.
    const LEVEL: f64 = 0.95;
    let predicted = Calibration::fit(&pairs, scatter()?)?.predict(mean, LEVEL)?;
    Ok(Some(Predicted {
        grade: predicted.grade,
        uncertainty: predicted.half_width.ratio() / 1.96,
        beyond: predicted.reach == Reach::Beyond,
        stale: times.iter().any(|read| read.stale),
    }))
}

fn write_prediction(bench: &mut Bench<'_>, predicted: Predicted) {
    let Some(limit) = bench.limit(Limited::RollGrade) else {
        return;
    };
    let Some(laid) = bench.laid(Aspect::SpinGrade) else {
        return;
    };
    let ruling = Ruling {
        check: Check::Spin,
        aspect: Aspect::SpinGrade,
        place: Place::Car,
        laid,
        grounds: Grounds {
            clause: None,
            authority: Some(std::sync::Arc::clone(&limit.authority)),
        },
    };
    bench.judge(
        ruling,
        predicted.grade,
        Some(predicted.uncertainty),
        predicted.stale,
    );
    if predicted.beyond {
        bench.missing(
            Check::Spin,
            "the spin is outside what the shop's own pairs cover",
        );
    }
}
