//! Curves: degree and radius, drag by degree, and smallest radii.
//!
//! D degree of curve in degrees, R radius in prototype feet, r radius in model inches, G gauge,
//! a fixed wheelbase.
//!
//! (1) chord definition, railways: R = 50 / sin(D/2), the centre angle of a chord of 100 ft.
//! (2) arc definition, roads: R = 18000 / (π D), the centre angle of an arc of 100 ft.
//! (3) drag at scale: percent = p · (18000/π) · 12 / ratio / r, with p percent per degree; (2) at
//!     model size, so r is where the prototype's rule is exact and not a fit.
//! (4) NEM 111: R ≥ a / (2 sin 12°), the attack angle of a fixed wheelbase held to 12°.
//!
//! The two definitions differ by 2.6 % at 45°. Very sharp curves cost less per degree than (3)
//! says, [WEBB §180], so (3) is an upper estimate on model curves.
//! Sources: [NMRA-S-8], [TR0671 chord definition], [WEBB §180], [NEM-111]; table `rules-of-thumb`.

use gradeworthy_units::Ratio;

use crate::error::{positive, within};
use crate::{StandardsError, table};

/// Feet of arc-definition radius times degrees, 18000/π.
const FOOT_DEGREES: f64 = 18_000.0 / std::f64::consts::PI;

/// Radius in feet of a curve of `degrees` by the chord definition, equation (1).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] outside 0 to 180°.
pub fn chord_radius_ft(degrees: f64) -> Result<f64, StandardsError> {
    let degrees = degree_of_curve(degrees)?;
    Ok(50.0 / (degrees / 2.0).to_radians().sin())
}

/// Radius in feet of a curve of `degrees` by the arc definition, equation (2).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] outside 0 to 180°.
pub fn arc_radius_ft(degrees: f64) -> Result<f64, StandardsError> {
    Ok(FOOT_DEGREES / degree_of_curve(degrees)?)
}

/// Degree of curve of a radius in feet by the chord definition, equation (1) turned round.
///
/// # Errors
/// [`StandardsError::OutOfDomain`] below 50 ft, where no chord of 100 ft fits.
pub fn chord_degrees(radius_ft: f64) -> Result<f64, StandardsError> {
    let enough = radius_ft >= 50.0;
    let radius_ft = within("a radius in feet", radius_ft, enough, "50 ft or more")?;
    Ok(2.0 * (50.0 / radius_ft).asin().to_degrees())
}

/// Degree of curve of a radius in feet by the arc definition, equation (2) turned round.
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a radius that is not above zero.
pub fn arc_degrees(radius_ft: f64) -> Result<f64, StandardsError> {
    Ok(FOOT_DEGREES / positive("a radius in feet", radius_ft)?)
}

/// Curve drag in percent of weight on a model curve, equation (3).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a drag or a radius that is not above zero.
pub fn curve_drag_percent(
    percent_per_degree: f64,
    radius_in: f64,
    ratio: Ratio,
) -> Result<f64, StandardsError> {
    let per_degree = positive("a drag per degree in percent", percent_per_degree)?;
    let radius_in = positive("a radius in inches", radius_in)?;
    Ok(curve_constant_percent_in(per_degree, ratio) / radius_in)
}

/// The constant of equation (3): percent of weight times model inches of radius.
#[must_use]
pub fn curve_constant_percent_in(percent_per_degree: f64, ratio: Ratio) -> f64 {
    percent_per_degree * FOOT_DEGREES * 12.0 / ratio.value()
}

/// Curve drag in percent by the hobby's rule for HO, 32 over the radius in inches.
///
/// The prototype's 0.04 % per degree gives 31.6 at HO, so the rule is the prototype's.
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a radius that is not above zero.
pub fn ho_rule_of_thumb_drag_percent(radius_in: f64) -> Result<f64, StandardsError> {
    let radius_in = positive("a radius in inches", radius_in)?;
    let constant = table("rules-of-thumb")
        .and_then(|table| {
            table
                .cell(
                    "HO curve taken as grade: constant over radius in inches",
                    "value",
                )?
                .number()
        })
        .expect("a row of this crate's own table, read by its tests");
    Ok(constant / radius_in)
}

/// Smallest radius for a fixed wheelbase, in the wheelbase's unit, equation (4).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a wheelbase that is not above zero.
pub fn nem_111_radius_min(fixed_wheelbase: f64) -> Result<f64, StandardsError> {
    let wheelbase = positive("a fixed wheelbase", fixed_wheelbase)?;
    Ok(wheelbase / (2.0 * 12.0_f64.to_radians().sin()))
}

fn degree_of_curve(degrees: f64) -> Result<f64, StandardsError> {
    let in_range = degrees > 0.0 && degrees <= 180.0;
    within(
        "a degree of curve",
        degrees,
        in_range,
        "above 0 and up to 180",
    )
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_is_no_curve_is_refused() {
        for degrees in [0.0, -1.0, 181.0, f64::NAN, f64::INFINITY] {
            assert!(chord_radius_ft(degrees).is_err(), "{degrees}");
            assert!(arc_radius_ft(degrees).is_err(), "{degrees}");
        }
        assert_eq!(
            chord_degrees(49.0).expect_err("too sharp").to_string(),
            "a radius in feet of 49 is outside the formula: 50 ft or more is needed"
        );
        assert!(ho_rule_of_thumb_drag_percent(f64::NAN).is_err());
    }

    // NEM 111: the sine gives 2.40 wheelbases. Derived, a regression.
    #[test]
    fn a_fixed_wheelbase_needs_2_40_of_itself() {
        let radius = nem_111_radius_min(10.0).expect("above zero");
        assert!((radius - 24.05).abs() < 0.005, "{radius}");
    }

    proptest! {
        #[test]
        fn radius_and_degree_turn_each_other_round(degrees in 0.01_f64..179.0) {
            let chord = chord_radius_ft(degrees).and_then(chord_degrees).expect("in range");
            let arc = arc_radius_ft(degrees).and_then(arc_degrees).expect("in range");
            prop_assert!((chord - degrees).abs() < 1e-9 * degrees.max(1.0));
            prop_assert!((arc - degrees).abs() < 1e-9);
        }
    }
}
