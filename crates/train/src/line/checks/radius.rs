//! The tightest radius, against the club, each kind of car, and a rigid wheelbase.
//!
//! (1) [NEM-111]: a wheel of a rigid wheelbase a may meet the rail at no more than 12°, so that
//! R ≥ a/(2 sin 12°) = 2.40 a.

use super::walk::{Stretch, curvature, runs_above};
use super::{Bound, Check, Finding, Limits, Measure};
use crate::track::Alignment;

pub(super) fn check(line: &Alignment, limits: &Limits, findings: &mut Vec<Finding>) {
    let curves = sharpness(line);
    let Some(tightest) = tightest(&curves, limits.straight_below) else {
        return;
    };
    findings.push(tightest);
    let club = "the club's rule book";
    if let Some(radius) = limits.radius_min {
        hold(&curves, Check::Radius, radius, club, "every car", findings);
    }
    for car in &limits.cars {
        if let Some(radius) = car.radius_min {
            hold(&curves, Check::Radius, radius, club, &car.name, findings);
        }
        if let Some(wheelbase) = car.rigid_wheelbase {
            let radius = wheelbase / (2.0 * 12_f64.to_radians().sin()); // (1)
            hold(
                &curves,
                Check::RigidWheelbase,
                radius,
                "[NEM-111] 2016",
                &car.name,
                findings,
            );
        }
    }
}

/// |κ| along the line, cut where κ passes zero so that it stays linear.
fn sharpness(line: &Alignment) -> Vec<Stretch> {
    let mut stretches = Vec::new();
    for stretch in curvature(line) {
        let crosses = stretch.start * stretch.end < 0.0;
        if crosses {
            let part = stretch.start / (stretch.start - stretch.end);
            let zero = stretch.from + part * (stretch.to - stretch.from);
            stretches.push(Stretch {
                to: zero,
                start: stretch.start.abs(),
                end: 0.0,
                ..stretch
            });
            stretches.push(Stretch {
                from: zero,
                start: 0.0,
                end: stretch.end.abs(),
                ..stretch
            });
        } else {
            let (start, end) = (stretch.start.abs(), stretch.end.abs());
            stretches.push(Stretch {
                start,
                end,
                ..stretch
            });
        }
    }
    stretches
}

fn tightest(curves: &[Stretch], straight_below: f64) -> Option<Finding> {
    let most = |stretch: &Stretch| stretch.start.max(stretch.end);
    let sharpest = curves.iter().max_by(|a, b| most(a).total_cmp(&most(b)))?;
    let curvature = most(sharpest);
    if curvature <= straight_below {
        return None;
    }
    let span = (sharpest.from, sharpest.to);
    let finding = Finding::stated(Check::Radius, span, 1.0 / curvature, Measure::Metres);
    Some(finding.about("tightest on the line"))
}

/// One finding for each run of track tighter than `radius`, or one that there is none.
fn hold(
    curves: &[Stretch],
    check: Check,
    radius: f64,
    source: &'static str,
    about: &str,
    findings: &mut Vec<Finding>,
) {
    let level = (1.0 + super::ROUNDING) / radius;
    let mut runs = runs_above(curves, level);
    if runs.is_empty() {
        let most = |stretch: &Stretch| stretch.start.max(stretch.end);
        let sharpest = curves.iter().max_by(|a, b| most(a).total_cmp(&most(b)));
        runs.extend(sharpest.map(|stretch| (stretch.from, stretch.to, most(stretch))));
    }
    for (from, to, curvature) in runs {
        let finding = Finding::stated(check, (from, to), 1.0 / curvature, Measure::Metres);
        findings.push(finding.against(Bound::AtLeast(radius), source).about(about));
    }
}
