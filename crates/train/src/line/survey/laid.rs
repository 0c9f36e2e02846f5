//! From a fitted survey to a line that trains can run on.

use super::levels::{HeightReading, ProfileFit, fit_levels};
use super::points::{PlanFit, SurveyPoint, fit_points};
use super::{Estimate, SurveyError, SurveyTerms, estimate_at};
use crate::track::{Alignment, AlignmentError, GradeSegment, Origin, PlanSegment};

/// Fits a plan to points, and a profile too where at least four of them carry a height.
///
/// `plan_terms` and `profile_terms` state what is known of the readings across the track and of
/// the heights.
///
/// # Errors
/// [`SurveyError`] of either fit.
pub fn fit_survey(
    points: &[SurveyPoint],
    plan_terms: SurveyTerms,
    profile_terms: SurveyTerms,
) -> Result<(PlanFit, Option<ProfileFit>), SurveyError> {
    let plan = fit_points(points, plan_terms)?;
    let heights = heights(points, &plan);
    if heights.is_empty() {
        return Ok((plan, None));
    }
    let profile = fit_levels(&heights, &[], profile_terms)?;
    Ok((plan, Some(profile)))
}

/// The heights that `points` carry, at the places that the plan gives them.
#[must_use]
pub fn heights(points: &[SurveyPoint], plan: &PlanFit) -> Vec<HeightReading> {
    let both = points.iter().zip(&plan.misfits);
    both.filter_map(|(point, misfit)| {
        Some(HeightReading {
            s: misfit.s,
            height: point.height?,
        })
    })
    .collect()
}

/// The line that a plan and a profile amount to.
///
/// It starts at the first place of the plan, which becomes s = 0, and is as long as the plan.
/// Where the profile ends before the plan does, its end grade goes on; without a profile the line
/// is level.
///
/// # Errors
/// [`AlignmentError`] where the lists do not make a line.
pub fn lay_fit(plan: &PlanFit, profile: Option<&ProfileFit>) -> Result<Alignment, AlignmentError> {
    let first = plan.curvature.first().map_or(0.0, |estimate| estimate.s);
    let last = first + plan.length();
    let segments: Vec<PlanSegment> = plan
        .curvature
        .windows(2)
        .map(|pair| PlanSegment::easement(pair[1].s - pair[0].s, pair[0].value, pair[1].value))
        .collect();
    let grades = profile.map_or_else(Vec::new, |profile| within(&profile.grade, first, last));
    let mut grade_segments: Vec<GradeSegment> = grades
        .windows(2)
        .map(|pair| {
            GradeSegment::vertical_curve(pair[1].s - pair[0].s, pair[0].value, pair[1].value)
        })
        .collect();
    if grade_segments.is_empty() {
        grade_segments.push(GradeSegment::steady(plan.length(), 0.0));
    }
    let height = profile.map_or(0.0, |profile| height_at(profile, first));
    Alignment::new(
        Origin {
            height,
            ..plan.origin
        },
        segments,
        grade_segments,
        Vec::new(),
    )
}

/// The estimates strictly inside `first..last`, with one at either end.
fn within(estimates: &[Estimate], first: f64, last: f64) -> Vec<Estimate> {
    let inside = estimates
        .iter()
        .filter(|estimate| estimate.s > first && estimate.s < last);
    let ends = |s: f64| estimate_at(estimates, s);
    ends(first)
        .into_iter()
        .chain(inside.copied())
        .chain(ends(last))
        .collect()
}

/// Height at `s`, before or inside the profile.
fn height_at(profile: &ProfileFit, s: f64) -> f64 {
    let start = profile.start_height.unwrap_or(0.0);
    let Some(begin) = profile.grade.first() else {
        return start;
    };
    let area = |a: Estimate, b: Estimate| (a.value + b.value) / 2.0 * (b.s - a.s);
    let (low, high) = (begin.s.min(s), begin.s.max(s));
    let between: f64 = within(&profile.grade, low, high)
        .windows(2)
        .map(|pair| area(pair[0], pair[1]))
        .sum();
    if s < begin.s {
        start - between
    } else {
        start + between
    }
}
