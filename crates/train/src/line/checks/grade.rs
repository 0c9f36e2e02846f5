//! The steepest grade, and the steepest with curves counted as grade, both ways along the line.
//!
//! Symbols: grade G (rise over run), radius R, drag of a curve as a grade i.
//! (1) by degree of curve: i = p D, D = 5729.578 ft/R on the prototype. The arc form of D is
//!     used so that any radius has one; the chord form is up to 2.6 % larger.
//!     p = 0.04 % (0.8 lb for each ton and degree, [TR0603] ¶2.8), 0.10 % where heavy trains start
//!     ([WEBB] §180).
//! (2) by model inches: i = k/R %, k = 32 for HO, attributed to John Allen (forum quotation,
//!     secondary); 28 attributed to later experiments (secondary).
//! (3) compensated: ±G + i; both parts are linear between joints or convex, so that the largest
//!     lies at a joint.

use super::walk::{Stretch, curvature, grade, holding};
use super::{Bound, Check, Finding, Limits, Measure};
use crate::track::Alignment;

/// How a curve counts as grade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CurveRule {
    /// So many percent for each degree of the prototype's curve; needs the scale. By (1).
    PerDegree {
        /// Percent for each degree.
        percent: f64,
    },
    /// So many percent divided by the radius in model inches. By (2).
    PerInch {
        /// Percent times inches.
        constant: f64,
    },
}

impl CurveRule {
    /// 0.04 % for each degree.
    pub const PER_DEGREE_AVERAGE: Self = Self::PerDegree { percent: 0.04 };
    /// 0.10 % for each degree, where heavy trains start.
    pub const PER_DEGREE_STARTING: Self = Self::PerDegree { percent: 0.10 };
    /// 32/R for HO.
    pub const THIRTY_TWO: Self = Self::PerInch { constant: 32.0 };

    /// Where the rule comes from.
    #[must_use]
    pub const fn source(&self) -> &'static str {
        match self {
            Self::PerDegree { .. } => "curve drag by degree: [TR0603] ¶2.8, [WEBB] §180",
            Self::PerInch { .. } => "curve drag k/R, HO: forum quotation (secondary)",
        }
    }

    /// The drag of a curvature (1/m) as a grade; `None` where the rule needs a scale.
    #[must_use]
    pub fn drag(&self, curvature: f64, scale: Option<gradeworthy_units::Ratio>) -> Option<f64> {
        const FEET_DEGREES: f64 = 5729.578;
        let bend = curvature.abs();
        Some(match *self {
            Self::PerDegree { percent } => {
                let per_foot = bend / scale?.value() * 0.3048;
                percent / 100.0 * FEET_DEGREES * per_foot // (1)
            }
            Self::PerInch { constant } => constant / 100.0 * bend * 0.0254, // (2)
        })
    }
}

pub(super) fn check(line: &Alignment, limits: &Limits, findings: &mut Vec<Finding>) {
    let (curves, grades) = (curvature(line), grade(line));
    let club = "the club's rule book";
    for (way, sign) in [("forwards", 1.0), ("backwards", -1.0)] {
        let plain = steepest(&curves, &grades, |_, grade| Some(sign * grade));
        if let Some((span, steep)) = plain.filter(|(_, steep)| *steep > 0.0) {
            let finding = Finding::stated(Check::Grade, span, steep, Measure::Grade);
            let about = format!("steepest climb going {way}");
            findings.push(match limits.grade_max {
                Some(most) => finding.against(Bound::AtMost(most), club).about(about),
                None => finding.about(about),
            });
        }
        let Some(rule) = limits.curve_rule else {
            continue;
        };
        let both = steepest(&curves, &grades, |bend, grade| {
            Some(sign * grade + rule.drag(bend, limits.scale)?) // (3)
        });
        if let Some((span, steep)) = both.filter(|(_, steep)| *steep > 0.0) {
            let finding = Finding::stated(Check::CompensatedGrade, span, steep, Measure::Grade);
            let finding = Finding {
                source: rule.source(),
                ..finding
            };
            findings.push(finding.about(format!(
                "steepest climb going {way}, curves counted as grade"
            )));
        }
    }
}

/// The largest of `worth(curvature, grade)` and the stretch at whose end it stands.
fn steepest(
    curves: &[Stretch],
    grades: &[Stretch],
    worth: impl Fn(f64, f64) -> Option<f64>,
) -> Option<((f64, f64), f64)> {
    let joints = curves
        .iter()
        .chain(grades)
        .flat_map(|stretch| [stretch.from, stretch.to]);
    let mut joints: Vec<f64> = joints.collect();
    joints.sort_by(f64::total_cmp);
    joints.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let mut best: Option<((f64, f64), f64)> = None;
    for pair in joints.windows(2) {
        let middle = f64::midpoint(pair[0], pair[1]);
        let (curve, grade) = (holding(curves, middle)?, holding(grades, middle)?);
        for s in [pair[0], pair[1]] {
            let worth = worth(curve.at(s), grade.at(s))?;
            if best.is_none_or(|best| worth > best.1 + 1e-12) {
                best = Some(((pair[0], pair[1]), worth));
            }
        }
    }
    best
}
