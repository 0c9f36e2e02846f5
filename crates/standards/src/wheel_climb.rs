//! Wheel climb: the limit of lateral over vertical force by Nadal, and the limits printed for it.
//!
//! (1) L/V = (tan δ − μ) / (1 + μ tan δ) = tan(δ − arctan μ), δ the flange angle and μ the
//!     friction of wheel on rail.
//!
//! Exact at large angles of attack and conservative at small ones (Marquis and Greif,
//! JRC2011-56064). 49 CFR 238 Appendix C names the formula with μ = 0.5 for passenger equipment;
//! it prints the formula as a picture, so its text here is from memory.
//! Source: [CFR-238-C].

use crate::error::{not_negative, within};
use crate::{Clause, StandardsError, table};

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
    Ok(nadal_of_slope(angle.to_radians().tan(), friction))
}

/// Equation (1) of the slope of the flange, tan δ, and the friction, both taken as they are: for a
/// caller who has checked them already.
#[must_use]
pub fn nadal_of_slope(flange_slope: f64, friction: f64) -> f64 {
    (flange_slope - friction) / (1.0 + friction * flange_slope)
}

/// A ratio of forces that a publication limits. All but the last two are of 49 CFR 238
/// Appendix C, for passenger equipment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ForceRatio {
    /// Net lateral force of an axle over its static load, at most.
    AxleLateralMax,
    /// Vertical force of a wheel over its static load, at least.
    WheelVerticalMin,
    /// Sum of vertical forces on one side of a truck over the static axle load, at least.
    TruckSideVerticalMin,
    /// L/V of one side of a truck, at most.
    TruckSideMax,
    /// Load of a wheel standing on 6 in of cant over its level load, at least.
    StandingOnCantMin,
    /// L/V of a wheel of a new freight car, at most.
    NewFreightCarWheelMax,
    /// L/V of a wheel at which the high rail of a curve is customarily held to be climbed.
    HighRailClimb,
}

/// The printed limit of `ratio`, as a plain ratio, with its clause.
///
/// Only what was read is here; the limits from memory stay in the table `lv-limits`.
#[must_use]
pub fn force_ratio_limit(ratio: ForceRatio) -> Option<(f64, Clause)> {
    let row = match ratio {
        ForceRatio::AxleLateralMax => "net axle lateral over static axle load max",
        ForceRatio::WheelVerticalMin => "vertical wheel force over static above",
        ForceRatio::TruckSideVerticalMin => {
            "one side of a truck: vertical over static axle load above"
        }
        ForceRatio::TruckSideMax => "truck side L/V max",
        ForceRatio::StandingOnCantMin => "standing on 6-in cant: wheel load over level load above",
        ForceRatio::NewFreightCarWheelMax => "AAR new freight car: wheel L/V",
        ForceRatio::HighRailClimb => "customary threshold for climbing the high rail in curves",
    };
    let table = table("lv-limits")?;
    let cell = table.cell(row, "value")?;
    let percent = table.cell(row, "unit_of_value")?.printed() == "%";
    let scale = if percent { 100.0 } else { 1.0 };
    Some((cell.number()? / scale, cell.clause()))
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

    // Source: 49 CFR 238 App. C (a)(2) to (6); Interface Journal, 25 January 2026.
    #[test]
    fn limits_are_ratios_with_their_paragraph() {
        for (ratio, printed, source) in [
            (ForceRatio::AxleLateralMax, 0.5, "49 CFR 238 App. C (a)(2)"),
            (
                ForceRatio::WheelVerticalMin,
                0.1,
                "49 CFR 238 App. C (a)(3)",
            ),
            (
                ForceRatio::TruckSideVerticalMin,
                0.2,
                "49 CFR 238 App. C (a)(4)",
            ),
            (ForceRatio::TruckSideMax, 0.6, "49 CFR 238 App. C (a)(5)"),
            (
                ForceRatio::StandingOnCantMin,
                0.6,
                "49 CFR 238 App. C (a)(6)",
            ),
            (
                ForceRatio::NewFreightCarWheelMax,
                1.0,
                "Interface Journal, 25 January 2026",
            ),
            (
                ForceRatio::HighRailClimb,
                0.82,
                "Interface Journal, 25 January 2026",
            ),
        ] {
            let (limit, clause) = force_ratio_limit(ratio).expect("in the table");
            assert!((limit - printed).abs() < 1e-12, "{clause}");
            assert_eq!(clause.source, Some(source));
            assert!(clause.confidence.may_be_oracle());
        }
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
