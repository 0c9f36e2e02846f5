//! Changes of grade: how long they take, and where they are sudden.
//!
//! (1) a change of ΔG percent should take ΔG car lengths; with the longest car this is
//! L ≥ 100 |ΔG| · length. Source: hobby forum quotation, 2014 (secondary).

use super::walk::{grade, simplified};
use super::{Bound, Check, Finding, Limits, Measure};
use crate::track::Alignment;

const SOURCE: &str = "one car length for each percent: forum quotation, 2014 (secondary)";

/// A run over which the grade changes one way.
struct Transition {
    from: f64,
    to: f64,
    change: f64,
}

pub(super) fn check(line: &Alignment, limits: &Limits, findings: &mut Vec<Finding>) {
    for transition in transitions(line, limits) {
        let span = (transition.from, transition.to);
        let length = transition.to - transition.from;
        let kind = if transition.change > 0.0 {
            "sag"
        } else {
            "summit"
        };
        let about = format!(
            "{kind}, grade changes by {:.3} %",
            100.0 * transition.change.abs()
        );
        if length <= 0.0 {
            let change = transition.change.abs();
            let kink = Finding::stated(Check::GradeKink, span, change, Measure::Grade);
            findings.push(kink.about(about.clone()));
        }
        let finding = Finding::stated(Check::VerticalCurve, span, length, Measure::Metres);
        findings.push(match limits.longest_car() {
            Some(car) => finding
                .against(
                    Bound::AtLeast(100.0 * transition.change.abs() * car.length),
                    SOURCE,
                ) // (1)
                .about(format!("{about}; longest car: {}", car.name)),
            None => finding.about(about),
        });
    }
}

fn transitions(line: &Alignment, limits: &Limits) -> Vec<Transition> {
    let mut transitions: Vec<Transition> = Vec::new();
    for stretch in simplified(&grade(line), limits.grade_jump_min) {
        let (from, to, change) = (stretch.from, stretch.to, stretch.end - stretch.start);
        // Both ends may be off by the tolerance of the simplified profile.
        if change.abs() <= 2.0 * limits.grade_jump_min {
            continue;
        }
        match transitions.last_mut() {
            Some(last) if from - last.to <= 1e-9 && last.change * change > 0.0 => {
                (last.to, last.change) = (to, last.change + change);
            }
            _ => transitions.push(Transition { from, to, change }),
        }
    }
    transitions
}
