//! Droop of a coupler in its box, the strip that cures it, and whether two knuckles still meet.
//!
//! | symbol | meaning | |
//! | --- | --- | --- |
//! | H, τ | height inside the box, thickness of the shank | mm |
//! | p | play H − τ | mm |
//! | b | length of shank held in the box | mm |
//! | m | from the mouth of the box to the knuckle face | mm |
//! | t | thickness of a strip laid in the box | mm |
//! | f | height of a knuckle face | mm |
//!
//! - droop below the middle position: p/2 + m·p/b; range from lowest to highest: p(1 + 2m/b) (D1)
//! - play from a measured range: p = range/(1 + 2m/b) (D2)
//! - a strip along the box takes t off the play: the droop becomes (p − t)(1/2 + m/b), and the
//!   middle position moves by t/2, up for a strip under the shank (D3)
//! - overlap of two faces whose middles differ by Δz:
//!   min(f₁/2, Δz + f₂/2) − max(−f₁/2, Δz − f₂/2); negative when they pass (D4)
//!
//! The strip is cut to b, so that the shank bears at the mouth and at its tail: any length that
//! reaches the mouth gives (D3), but a short one lets the tail tip.
//! Validity: rigid shank in a rigid box, no friction; measured under a light pull, since droop
//! shows only under load (common practice, no source).
//! Source: derived here.

mod grade_break;

pub use grade_break::{
    CoupledEnd, HeightMismatch, MismatchTask, VerticalCurve, mismatch_on_vertical_curve,
};

use gradeworthy_units::Length;

use super::input::{Unusable, length, not_negative_mm, positive_mm};

/// Why droop or overlap could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DroopError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// The shank is thicker than the box is high.
    #[error("a shank of {shank:.3} does not go into a box of {limit:.3}")]
    ShankTooThick {
        /// Thickness of the shank.
        shank: Length,
        /// Height inside the box.
        limit: Length,
    },
}

/// A shank in its box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoxFit {
    /// p.
    pub play: Length,
    /// b.
    pub held: Length,
    /// m.
    pub mouth_to_face: Length,
}

impl BoxFit {
    /// The fit of a shank of `shank_thickness` in a box of `box_height`.
    ///
    /// # Errors
    /// [`DroopError`] when the shank does not go in.
    pub fn from_parts(
        parts: BoxParts,
        held: Length,
        mouth_to_face: Length,
    ) -> Result<Self, DroopError> {
        if parts.shank_thickness > parts.box_height {
            return Err(DroopError::ShankTooThick {
                shank: parts.shank_thickness,
                limit: parts.box_height,
            });
        }
        Ok(Self {
            play: parts.box_height - parts.shank_thickness,
            held,
            mouth_to_face,
        })
    }

    /// The fit that shows a measured `range` from lowest to highest (D2).
    ///
    /// # Errors
    /// [`DroopError`] when a length is impossible.
    pub fn from_range(
        range: Length,
        held: Length,
        mouth_to_face: Length,
    ) -> Result<Self, DroopError> {
        let range_mm = not_negative_mm("the range of the coupler", range)?;
        let unknown = Self {
            play: Length::ZERO,
            held,
            mouth_to_face,
        };
        Ok(Self {
            play: length("the play", range_mm / (2.0 * unknown.droop_per_play()?))?,
            ..unknown
        })
    }

    /// (D1).
    ///
    /// # Errors
    /// [`DroopError`] when a length is impossible.
    pub fn droop(&self) -> Result<Droop, DroopError> {
        let play_mm = not_negative_mm("the play", self.play)?;
        let droop_mm = play_mm * self.droop_per_play()?;
        Ok(Droop {
            below_middle: length("the droop", droop_mm)?,
            range: length("the range", 2.0 * droop_mm)?,
        })
    }

    fn droop_per_play(&self) -> Result<f64, DroopError> {
        let held_mm = positive_mm("the length held in the box", self.held)?;
        let reach_mm = not_negative_mm("the mouth-to-face distance", self.mouth_to_face)?;
        Ok(0.5 + reach_mm / held_mm)
    }
}

/// The two heights whose difference is the play.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoxParts {
    /// H.
    pub box_height: Length,
    /// τ.
    pub shank_thickness: Length,
}

/// How far a coupler drops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Droop {
    /// Below its middle position.
    pub below_middle: Length,
    /// From the lowest to the highest position.
    pub range: Length,
}

/// What is asked of a strip, and what there is to choose from.
#[derive(Clone, Copy, Debug)]
pub struct StripTask<'a> {
    /// The droop below the middle position that may stay.
    pub droop_max: Length,
    /// The play that has to stay, so that the shank still swings freely.
    pub play_min: Length,
    /// Strip at hand.
    pub thicknesses: &'a [Length],
}

/// The strip for a drooping coupler.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StripCure {
    /// The droop is within its limit as it is.
    NotNeeded(Droop),
    /// Lay this in.
    Lay {
        /// Of this thickness: the thinnest at hand that does.
        thickness: Length,
        /// Cut to this length.
        cut_length: Length,
        /// What is left.
        leaves: Droop,
        /// The middle position moves by this: up for a strip under the shank, down for one over.
        moves_middle: Length,
    },
    /// Nothing at hand does.
    Missing {
        /// The thinnest strip that would bring the droop within its limit.
        from: Length,
        /// The thickest that would leave the play; below `from` when none can do both.
        to: Length,
    },
}

/// The thinnest strip at hand that brings the droop of `fit` within its limit.
///
/// # Errors
/// [`DroopError`] when a length is impossible.
///
/// # Example
/// ```
/// use gradeworthy_units::Length;
/// use gradeworthy_workbench::mechanics::droop::{BoxFit, StripCure, StripTask, strip_for};
/// let mm = |hundredths| Length::from_hundredths_mm(hundredths);
/// let fit = BoxFit { play: mm(30), held: mm(5_00), mouth_to_face: mm(5_00) };
/// let task = StripTask {
///     droop_max: mm(25),
///     play_min: mm(5),
///     thicknesses: &[mm(10), mm(15), mm(20)],
/// };
/// let Ok(StripCure::Lay { thickness, leaves, .. }) = strip_for(&fit, &task) else { panic!() };
/// assert_eq!(thickness, mm(15));
/// assert_eq!(leaves.range, mm(45));
/// ```
pub fn strip_for(fit: &BoxFit, task: &StripTask<'_>) -> Result<StripCure, DroopError> {
    let now = fit.droop()?;
    not_negative_mm("the droop that may stay", task.droop_max)?;
    not_negative_mm("the play that has to stay", task.play_min)?;
    if now.below_middle <= task.droop_max {
        return Ok(StripCure::NotNeeded(now));
    }
    let mut choice: Option<(Length, Droop)> = None;
    for thickness in task.thicknesses {
        positive_mm("the thickness of a strip", *thickness)?;
        let with_strip = BoxFit {
            play: fit.play - *thickness,
            ..*fit
        };
        if with_strip.play < task.play_min || with_strip.play < Length::ZERO {
            continue;
        }
        let leaves = with_strip.droop()?;
        let thinner = choice.is_none_or(|(best, _)| *thickness < best);
        if leaves.below_middle <= task.droop_max && thinner {
            choice = Some((*thickness, leaves));
        }
    }
    Ok(match choice {
        Some((thickness, leaves)) => StripCure::Lay {
            thickness,
            cut_length: fit.held,
            leaves,
            moves_middle: thickness.half(),
        },
        None => StripCure::Missing {
            from: fit.play - length("a play", task.droop_max.mm() / fit.droop_per_play()?)?,
            to: fit.play - task.play_min,
        },
    })
}

/// The faces of two knuckles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Faces {
    /// Height of one.
    pub one: Length,
    /// Height of the other.
    pub other: Length,
}

/// (D4): how much of two faces meets when their middles differ by `height_difference`.
///
/// Negative when one passes over the other.
///
/// # Errors
/// [`DroopError`] for a face that is not above zero.
pub fn knuckle_overlap(faces: Faces, height_difference: Length) -> Result<Length, DroopError> {
    positive_mm("the height of a knuckle face", faces.one)?;
    positive_mm("the height of a knuckle face", faces.other)?;
    // Doubled, so that halves of whole nanometres stay exact.
    let shift = height_difference * 2;
    let top = faces.one.min(shift + faces.other);
    let bottom = (-faces.one).max(shift - faces.other);
    Ok((top - bottom).half())
}
