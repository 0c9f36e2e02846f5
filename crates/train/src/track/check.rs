//! What a line must be before it is one: every refusal names the list, the entry and the wish.

use super::alignment::Origin;
use super::segment::{CantPoint, GradeSegment, PlanSegment};

/// Greatest difference between plan length and profile length, m.
///
/// ASSUMED: a micrometre, far below what a survey can tell and far above rounding; the profile is
/// carried on at its last grade over such a gap, which moves the height by less than 1 µm.
const LENGTH_AGREEMENT: f64 = 1e-6;

/// Which of the three lists of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layer {
    /// The plan segments.
    Plan,
    /// The grade segments.
    Profile,
    /// The cant points.
    Cant,
}

impl std::fmt::Display for Layer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Plan => "plan segment",
            Self::Profile => "grade segment",
            Self::Cant => "cant point",
        })
    }
}

/// A line that cannot be built as written. Indices count from 0.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum AlignmentError {
    /// A list without which there is no line is empty.
    #[error("the line has no {layer}: at least one is needed")]
    Empty {
        /// The empty list.
        layer: Layer,
    },
    /// A number that is not finite.
    #[error("{layer} {index}: {quantity} is {value}: a finite number is needed")]
    NotFinite {
        /// The list.
        layer: Layer,
        /// Position in the list.
        index: usize,
        /// What the number was meant to be.
        quantity: &'static str,
        /// The number found.
        value: f64,
    },
    /// A segment of no length or less.
    #[error("{layer} {index}: length is {length} m: it must be greater than zero")]
    NoLength {
        /// The list.
        layer: Layer,
        /// Position in the list.
        index: usize,
        /// Length found, m.
        length: f64,
    },
    /// Plan and profile end at different places.
    #[error(
        "the plan is {plan_m} m long and the profile {profile_m} m: both must cover the same track; \
         lengthen or shorten the last segment of one of them"
    )]
    LengthsDiffer {
        /// Sum of the plan segments, m.
        plan_m: f64,
        /// Sum of the grade segments, m.
        profile_m: f64,
    },
    /// Cant points that do not go forward, or lie off the line.
    #[error(
        "cant point {index} stands at {s} m: points must grow along the line and lie between 0 and {length} m"
    )]
    CantOutOfOrder {
        /// Position in the list.
        index: usize,
        /// Its place, m.
        s: f64,
        /// Length of the line, m.
        length: f64,
    },
}

/// Checks the three lists against each other; gives the length of the line, m.
pub(super) fn check_lists(
    origin: &Origin,
    plan: &[PlanSegment],
    profile: &[GradeSegment],
    cant: &[CantPoint],
) -> Result<f64, AlignmentError> {
    check_origin(origin)?;
    check_plan(plan)?;
    check_profile(profile)?;
    let plan_m: f64 = plan.iter().map(|segment| segment.length).sum();
    let profile_m: f64 = profile.iter().map(|segment| segment.length).sum();
    if (profile_m - plan_m).abs() > LENGTH_AGREEMENT {
        return Err(AlignmentError::LengthsDiffer { plan_m, profile_m });
    }
    check_cant(cant, plan_m)?;
    Ok(plan_m)
}

fn finite(
    layer: Layer,
    index: usize,
    quantity: &'static str,
    value: f64,
) -> Result<(), AlignmentError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(AlignmentError::NotFinite {
            layer,
            index,
            quantity,
            value,
        })
    }
}

fn check_origin(origin: &Origin) -> Result<(), AlignmentError> {
    finite(Layer::Plan, 0, "x of the origin", origin.x)?;
    finite(Layer::Plan, 0, "y of the origin", origin.y)?;
    finite(Layer::Plan, 0, "heading of the origin", origin.heading)?;
    finite(Layer::Profile, 0, "height of the origin", origin.height)
}

fn check_length(layer: Layer, index: usize, length: f64) -> Result<(), AlignmentError> {
    finite(layer, index, "length", length)?;
    if length > 0.0 {
        Ok(())
    } else {
        Err(AlignmentError::NoLength {
            layer,
            index,
            length,
        })
    }
}

fn check_plan(plan: &[PlanSegment]) -> Result<(), AlignmentError> {
    for (index, segment) in plan.iter().enumerate() {
        check_length(Layer::Plan, index, segment.length)?;
        finite(
            Layer::Plan,
            index,
            "curvature at the start",
            segment.curvature_start,
        )?;
        finite(
            Layer::Plan,
            index,
            "curvature at the end",
            segment.curvature_end,
        )?;
    }
    if plan.is_empty() {
        Err(AlignmentError::Empty { layer: Layer::Plan })
    } else {
        Ok(())
    }
}

fn check_profile(profile: &[GradeSegment]) -> Result<(), AlignmentError> {
    for (index, segment) in profile.iter().enumerate() {
        check_length(Layer::Profile, index, segment.length)?;
        finite(
            Layer::Profile,
            index,
            "grade at the start",
            segment.grade_start,
        )?;
        finite(Layer::Profile, index, "grade at the end", segment.grade_end)?;
    }
    if profile.is_empty() {
        Err(AlignmentError::Empty {
            layer: Layer::Profile,
        })
    } else {
        Ok(())
    }
}

fn check_cant(cant: &[CantPoint], length: f64) -> Result<(), AlignmentError> {
    let mut before = f64::NEG_INFINITY;
    for (index, point) in cant.iter().enumerate() {
        finite(Layer::Cant, index, "place", point.s)?;
        finite(Layer::Cant, index, "cant", point.cant)?;
        if point.s <= before || point.s < 0.0 || point.s > length + LENGTH_AGREEMENT {
            return Err(AlignmentError::CantOutOfOrder {
                index,
                s: point.s,
                length,
            });
        }
        before = point.s;
    }
    Ok(())
}
