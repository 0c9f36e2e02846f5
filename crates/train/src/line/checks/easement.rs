//! Sudden changes of curvature: easements that are missing.
//!
//! [NEM-113]: an easement may be left out where R > 60 G. The rule is applied to the sharper of
//! the two sides of every jump, between arcs as well as from straight track.

use super::walk::curvature;
use super::{Bound, Check, Finding, Limits, Measure};
use crate::track::Alignment;

pub(super) fn check(line: &Alignment, limits: &Limits, findings: &mut Vec<Finding>) {
    for pair in curvature(line).windows(2) {
        let jump = (pair[1].start - pair[0].end).abs();
        if jump <= limits.curvature_jump_min {
            continue;
        }
        let radius = 1.0 / pair[0].end.abs().max(pair[1].start.abs());
        let here = (pair[0].to, pair[0].to);
        let finding = Finding::stated(Check::Easement, here, radius, Measure::Metres).about(
            format!("curvature jumps by {jump:.4} 1/m without an easement"),
        );
        findings.push(match limits.gauge {
            Some(gauge) => finding.against(Bound::AtLeast(60.0 * gauge), "[NEM-113] 2016"),
            None => finding,
        });
    }
}
