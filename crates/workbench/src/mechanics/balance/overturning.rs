//! The speed at which a car tips outwards on a curve.
//!
//! Moments about the outer rail: v² = g R (β cos φ + h sin φ)/(h cos φ − β sin φ) (O1), with β
//! half the contact spacing plus the offset of the centre of gravity to the inside (mm), h its
//! height (mm), φ the cant with the outer rail high (rad), R the radius (m).
//! Validity: steady running, rigid car, no coupler force, no clearance in the trucks (body roll
//! lowers it). A margin, never a speed to run at.
//! Source: statics, derived here.

use gradeworthy_units::{Angle, Length, STANDARD_GRAVITY};

use super::BalanceError;
use crate::mechanics::input::positive_mm;

/// A curve, and the car's centre of gravity on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverturningCurve {
    /// R.
    pub radius: Length,
    /// φ: positive with the outer rail high.
    pub cant: Angle,
    /// 2 × half the contact spacing.
    pub contact_spacing: Length,
    /// h above the rail head.
    pub height: Length,
    /// Offset of the centre of gravity towards the inside of the curve.
    pub towards_inside: Length,
}

/// (O1) in metres per second; `None` when the cant is so steep that no speed tips it outwards,
/// zero when it tips outwards standing.
///
/// # Errors
/// [`BalanceError`] when a length is impossible.
pub fn overturning_speed_metres_per_second(
    curve: &OverturningCurve,
) -> Result<Option<f64>, BalanceError> {
    let radius_m = positive_mm("the radius", curve.radius)? / 1e3;
    let spacing_mm = positive_mm("the spacing of the wheel contacts", curve.contact_spacing)?;
    let height_mm = positive_mm("the height of the centre of gravity", curve.height)?;
    let beta_mm = spacing_mm / 2.0 + curve.towards_inside.mm();
    let (sin, cos) = curve.cant.radians().sin_cos();
    let holds_mm = beta_mm * cos + height_mm * sin;
    let tips_mm = height_mm * cos - beta_mm * sin;
    if tips_mm <= 0.0 {
        return Ok(None);
    }
    let square = STANDARD_GRAVITY * radius_m * holds_mm / tips_mm;
    Ok(Some(square.max(0.0).sqrt()))
}
