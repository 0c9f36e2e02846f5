//! Cant: how high, on which side, over which ramp, and how much the ramp twists the track.
//!
//! Symbols: cant angle φ in rad, rail spacing e in m, height u = e sin φ, gauge G.
//! (1) [NEM-114]: u at most G/15, printed rounded down for eight gauges; the same standard finds
//!     cant not needed by the running of models, and warns of tipping inwards.
//! (2) [NEM-114]: a ramp is as long as its easement.
//! (3) twist: cross level changes by e |φ₂ − φ₁|/L for each metre.

use super::walk::{Stretch, cant, curvature, holding};
use super::{Bound, Check, Finding, Limits, Measure};
use crate::track::Alignment;

/// Gauge and greatest cant in mm, as printed. Source: [NEM-114] 2007.
const PRINTED_MM: [(f64, f64); 8] = [
    (6.5, 0.4),
    (9.0, 0.6),
    (12.0, 0.8),
    (16.5, 1.0),
    (22.5, 1.5),
    (32.0, 2.0),
    (45.0, 3.0),
    (64.0, 4.0),
];

pub(super) fn check(line: &Alignment, limits: &Limits, findings: &mut Vec<Finding>) {
    let Some(spacing) = limits.rail_spacing.or(limits.gauge) else {
        return;
    };
    let curves = curvature(line);
    for stretch in cant(line) {
        if is_ramp(&stretch) {
            ramp(&stretch, &curves, spacing, limits, findings);
        } else if stretch.start != 0.0 {
            level(&stretch, &curves, spacing, limits, findings);
        }
    }
}

fn is_ramp(stretch: &Stretch) -> bool {
    (stretch.end - stretch.start).abs() > 1e-12
}

/// The greatest cant for a gauge, m, and where it stands. By (1).
fn greatest(gauge: f64) -> (f64, &'static str) {
    let printed = PRINTED_MM
        .iter()
        .find(|row| (row.0 / 1e3 - gauge).abs() < 1e-7);
    match printed {
        Some(row) => (row.1 / 1e3, "[NEM-114] 2007, table"),
        None => (gauge / 15.0, "[NEM-114] 2007, G/15"),
    }
}

fn level(
    stretch: &Stretch,
    curves: &[Stretch],
    spacing: f64,
    limits: &Limits,
    findings: &mut Vec<Finding>,
) {
    let span = (stretch.from, stretch.to);
    let height = spacing * stretch.start.abs().sin();
    let finding = Finding::stated(Check::Cant, span, height, Measure::Metres);
    findings.push(match limits.gauge.map(greatest) {
        Some((most, source)) => finding.against(Bound::AtMost(most), source),
        None => finding,
    });
    let middle = f64::midpoint(stretch.from, stretch.to);
    let curvature = holding(curves, middle).map_or(0.0, |curve| curve.at(middle));
    // The outer rail of a left curve is the right one, and a high right rail is positive.
    let about = if curvature.abs() <= limits.straight_below {
        "cant on straight track"
    } else if curvature * stretch.start < 0.0 {
        "the inner rail is high"
    } else {
        return;
    };
    let side = Finding::stated(Check::CantSide, span, height, Measure::Metres);
    findings.push(
        Finding {
            limit: Some(0.0),
            outcome: super::Outcome::Beyond,
            ..side
        }
        .about(about),
    );
}

fn ramp(
    stretch: &Stretch,
    curves: &[Stretch],
    spacing: f64,
    limits: &Limits,
    findings: &mut Vec<Finding>,
) {
    let span = (stretch.from, stretch.to);
    let length = stretch.to - stretch.from;
    let twist = spacing * (stretch.end - stretch.start).abs() / length; // (3)
    let finding = Finding::stated(Check::Twist, span, twist, Measure::Twist);
    findings.push(match limits.twist_max {
        Some(most) => finding.against(Bound::AtMost(most), "the stiffest car of the fleet"),
        None => finding,
    });
    let eased = curves.iter().filter(|curve| {
        let changes = (curve.end - curve.start).abs() > limits.curvature_jump_min;
        changes && curve.from < stretch.to && curve.to > stretch.from
    });
    let overlap = |curve: &&Stretch| curve.to.min(stretch.to) - curve.from.max(stretch.from);
    let best = eased.max_by(|a, b| overlap(a).total_cmp(&overlap(b)));
    let Some(easement) = best else {
        let ramp = Finding::stated(Check::CantRamp, span, length, Measure::Metres);
        let outcome = super::Outcome::Beyond;
        let ramp = Finding {
            outcome,
            limit: None,
            source: "[NEM-114] 2007",
            ..ramp
        };
        findings.push(ramp.about("the ramp lies on no easement"));
        return;
    };
    // (2): start and end of the ramp against those of its easement; a millimetre is laying.
    let off = (stretch.from - easement.from)
        .abs()
        .max((stretch.to - easement.to).abs());
    let wanted = easement.to - easement.from;
    let outcome = if off > 1e-3 {
        super::Outcome::Beyond
    } else {
        super::Outcome::Within
    };
    let ramp = Finding::stated(Check::CantRamp, span, length, Measure::Metres);
    let ramp = Finding {
        outcome,
        limit: Some(wanted),
        source: "[NEM-114] 2007",
        ..ramp
    };
    findings.push(ramp.about(format!(
        "its easement runs from {:.4} m to {:.4} m",
        easement.from, easement.to
    )));
}
