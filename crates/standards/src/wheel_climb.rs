//! Wheel climb: the limit of lateral over vertical force by Nadal.
//!
//! (1) L/V = (tan δ − μ) / (1 + μ tan δ) = tan(δ − arctan μ), δ the flange angle and μ the
//!     friction of wheel on rail.
//!
//! Exact at large angles of attack and conservative at small ones (Marquis and Greif,
//! JRC2011-56064). 49 CFR 238 Appendix C names the formula with μ = 0.5 for passenger equipment;
//! it prints the formula as a picture, so its text here is from memory.
//! Source: [CFR-238-C].

use crate::StandardsError;
use crate::error::{not_negative, within};

/// The limit of L/V at which a wheel may climb, equation (1).
///
/// Zero or negative where friction alone carries the wheel up: μ ≥ tan δ.
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for an angle outside 0 to 90° or a negative friction.
///
/// # Example
/// ```
/// use gradeworthy_standards::wheel_climb::nadal;
/// let limit = nadal(75.0, 0.5)?;
/// assert!((limit - 1.128).abs() < 0.0005);
/// # Ok::<(), gradeworthy_standards::StandardsError>(())
/// ```
pub fn nadal(flange_angle_deg: f64, friction: f64) -> Result<f64, StandardsError> {
    let holds = flange_angle_deg > 0.0 && flange_angle_deg < 90.0;
    let expected = "above 0 and below 90 degrees";
    let angle = within(
        "a flange angle in degrees",
        flange_angle_deg,
        holds,
        expected,
    )?;
    let friction = not_negative("a coefficient of friction", friction)?;
    let slope = angle.to_radians().tan();
    Ok((slope - friction) / (1.0 + friction * slope))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn without_friction_the_limit_is_the_slope_of_the_flange() {
        let limit = nadal(45.0, 0.0).expect("in range");
        assert!((limit - 1.0).abs() < 1e-15);
        assert!(nadal(90.0, 0.3).is_err());
        assert!(nadal(70.0, f64::NAN).is_err());
    }

    proptest! {
        // The other form of equation (1), by the addition theorem of the tangent.
        #[test]
        fn the_limit_is_the_tangent_of_the_angle_less_that_of_friction(
            angle in 1.0_f64..89.0, friction in 0.0_f64..1.5,
        ) {
            let other = (angle.to_radians() - friction.atan()).tan();
            let limit = nadal(angle, friction).expect("in range");
            prop_assert!((limit - other).abs() < 1e-9 * other.abs().max(1.0));
        }
    }
}
