//! Opposite curves: how much straight track lies between them, against the longest car.
//!
//! That the tangent be at least as long as the longest car is common practice, no source.
//! [NEM-113] lets opposite curves join without straight track where both have easements; the
//! finding then says so, and stays.

use super::walk::{Stretch, curvature, holding, runs_above};
use super::{Bound, Check, Finding, Limits, Measure};
use crate::track::Alignment;

pub(super) fn check(line: &Alignment, limits: &Limits, findings: &mut Vec<Finding>) {
    let left = curvature(line);
    let right: Vec<Stretch> = left.iter().map(Stretch::mirrored).collect();
    let curves = |stretches, side| {
        let runs = runs_above(stretches, limits.straight_below).into_iter();
        runs.map(move |(from, to, _)| (from, to, side))
    };
    let mut all: Vec<_> = curves(&left, 1).chain(curves(&right, -1)).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    for pair in all.windows(2).filter(|pair| pair[0].2 != pair[1].2) {
        let (end, start) = (pair[0].1, pair[1].0);
        let tangent = (start - end).max(0.0);
        let finding = Finding::stated(
            Check::ReverseCurve,
            (end, start.max(end)),
            tangent,
            Measure::Metres,
        );
        let eased = is_eased(&left, end, limits) && is_eased(&left, start, limits);
        let note = if eased {
            "both curves have easements, so that [NEM-113] 2016 lets them join without straight track"
        } else {
            "an easement is missing beside the tangent"
        };
        findings.push(match limits.longest_car() {
            Some(car) => finding
                .against(Bound::AtLeast(car.length), "common practice, no source")
                .about(format!("longest car: {}; {note}", car.name)),
            None => finding.about(note),
        });
    }
}

/// Whether curvature passes `s` without a jump.
fn is_eased(curves: &[Stretch], s: f64, limits: &Limits) -> bool {
    let near = 1e-7;
    let at = |s: f64| holding(curves, s).map_or(0.0, |stretch| stretch.at(s));
    let slope = holding(curves, s).map_or(0.0, |c| ((c.end - c.start) / (c.to - c.from)).abs());
    let before =
        holding(curves, s - near).map_or(0.0, |c| ((c.end - c.start) / (c.to - c.from)).abs());
    (at(s + near) - at(s - near)).abs()
        <= limits.curvature_jump_min + 2.0 * near * slope.max(before)
}
