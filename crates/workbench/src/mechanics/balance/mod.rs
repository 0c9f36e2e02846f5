//! Where the centre of gravity lies, from end weights, tipping angles, or a scale under a tilted
//! car, and what it means for balance and for speed on curves.
//!
//! | symbol | meaning | |
//! | --- | --- | --- |
//! | 2a | distance of the two places where the ends are weighed | mm |
//! | `W_A`, `W_B`, W | end weights, their sum | any |
//! | x | centre of gravity from the middle, towards A | mm |
//! | β | half the width on which the car tips | mm |
//! | `θ_L`, `θ_R` | tipping angles to the left and right | rad |
//! | h, y | centre of gravity above the tipping line; to the left | mm |
//! | `Q_0`, `Q_θ` | reading of a scale under the low side, level and tilted, normal to the table | |
//!
//! - `x = a(W_A − W_B)/W`; end balance `(W_A − W_B)/W` (B1)
//! - `tan θ_L = (β − y)/h`, `tan θ_R = (β + y)/h`, so `h = 2β/(tan θ_L + tan θ_R)` and
//!   `y = β − h tan θ_L` (B2)
//! - `h = (Q_θ − Q_0 cos θ)·2β/(W sin θ)` (B3)
//! - uncertainties by the law of propagation for independent inputs, [JCGM-100 §5.1.2] (B4)
//! - on rails a car tips about the rolling contacts, on a plate about its flange tips, which lie
//!   one flange depth lower and closer together: the same car shows a smaller angle on a plate
//!   (B5, [`Support`])
//! - body that rocks by δ about a height `h_r` before it tips: its centre of gravity has moved
//!   `(h − h_r)δ` sideways, so `h = (2β + 2δh_r)/(tan θ_L + tan θ_R + 2δ)` (B6).
//!   Without this the car seems top-heavier than it is; better block the rock.
//!
//! Validity: rigid car, no sliding; (B6) takes the whole mass as rocking, ASSUMED: trucks of a
//! tenth of the weight make it over-correct by about a tenth of the correction.
//! Source: statics, derived here. That tilting both ways and keeping the lower angle is a club
//! test is common practice, no source.

mod overturning;
mod uncertainty;

pub use overturning::{OverturningCurve, overturning_speed_metres_per_second};

use gradeworthy_units::{Angle, Force, Length, Mass};

use super::ends::Ends;
use super::input::{
    Measured, Unusable, above_zero, angle, length, measured_length, not_negative_mm, positive_mm,
};
use uncertainty::propagate;

/// Why balance could not be worked out.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BalanceError {
    /// One of the numbers cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// A tipping or tilt angle outside what a test can show.
    #[error("{what} is {found_degrees:.2}°: it has to lie above 0° and below {limit_degrees}°")]
    AngleOutside {
        /// Which angle.
        what: &'static str,
        /// What was given.
        found_degrees: f64,
        /// The limit.
        limit_degrees: f64,
    },
    /// The scale's readings put the centre of gravity below the rail.
    #[error(
        "the readings put the centre of gravity at {height:.2}, below the rail head (limit \
         {limit:.2}): the tilted reading has to be the one under the low side"
    )]
    BelowRail {
        /// What came out.
        height: Length,
        /// Zero.
        limit: Length,
    },
}

/// The balance of a car along its length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndBalance {
    /// x.
    pub along: Measured<Length>,
    /// `(W_A − W_B)/W`: between −1 and 1, zero when balanced.
    pub fraction: f64,
    /// W.
    pub weight: Mass,
}

/// (B1): weighs one end with the other blocked level, both ways round.
///
/// `weighing_places` is the distance of the two places (bolster to bolster as a rule), and
/// `standard_uncertainty` that of each weight.
///
/// # Errors
/// [`BalanceError`] when a number is impossible.
pub fn end_balance(
    ends: Ends<Mass>,
    weighing_places: Length,
    standard_uncertainty: Mass,
) -> Result<EndBalance, BalanceError> {
    let places_mm = positive_mm("the distance of the weighing places", weighing_places)?;
    let a_g = above_zero("the weight at A in grams", ends.a.grams())?;
    let b_g = above_zero("the weight at B in grams", ends.b.grams())?;
    let x_mm =
        |weights: [f64; 2]| places_mm / 2.0 * (weights[0] - weights[1]) / (weights[0] + weights[1]);
    // ∂x/∂W_A = 2a·W_B/W², ∂x/∂W_B = −2a·W_A/W².
    let u_g = standard_uncertainty.grams();
    let per_g = places_mm / ((a_g + b_g) * (a_g + b_g));
    let u_mm = propagate(&[(per_g * b_g, u_g), (per_g * a_g, u_g)]);
    Ok(EndBalance {
        along: measured_length("the centre of gravity", x_mm([a_g, b_g]), u_mm)?,
        fraction: (a_g - b_g) / (a_g + b_g),
        weight: ends.a + ends.b,
    })
}

/// What a car tips on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Support {
    /// Rails: it tips about its rolling contacts.
    Rails {
        /// β: half the spacing of the contacts.
        half_width: Length,
    },
    /// A flat plate: it tips about its flange tips.
    Plate {
        /// β: half the spacing of the flange tips.
        half_width: Length,
        /// Depth of the flange below the tread.
        flange_depth: Length,
    },
}

impl Support {
    fn half_width_mm(self) -> Result<f64, Unusable> {
        match self {
            Self::Rails { half_width } | Self::Plate { half_width, .. } => {
                positive_mm("half the support's width", half_width)
            }
        }
    }

    /// How far the tipping line lies below the rail head.
    fn below_rail_mm(self) -> Result<f64, Unusable> {
        match self {
            Self::Rails { .. } => Ok(0.0),
            Self::Plate { flange_depth, .. } => not_negative_mm("the flange depth", flange_depth),
        }
    }
}

/// Body rock that was not blocked during the test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rock {
    /// δ: from upright to one side.
    pub angle: Angle,
    /// `h_r`: height about which it rocks, above the rail head.
    pub height: Length,
}

/// A tilt test both ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TiltTest {
    /// What the car stood on.
    pub support: Support,
    /// `θ_L`: left side down.
    pub to_left: Angle,
    /// `θ_R`: right side down.
    pub to_right: Angle,
    /// Standard uncertainty of each angle.
    pub angle_uncertainty: Angle,
    /// Standard uncertainty of β.
    pub half_width_uncertainty: Length,
    /// `None` when the rock was blocked.
    pub rock: Option<Rock>,
}

/// Height and offset of the centre of gravity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CentreOfGravity {
    /// Above the rail head.
    pub height: Measured<Length>,
    /// To the left of the middle.
    pub to_left: Measured<Length>,
}

/// (B2), with (B5) and (B6) where they apply.
///
/// # Errors
/// [`BalanceError`] when an angle or a length is impossible.
pub fn tilt(test: &TiltTest) -> Result<CentreOfGravity, BalanceError> {
    let beta_mm = test.support.half_width_mm()?;
    let below_mm = test.support.below_rail_mm()?;
    let left = acute("the tipping angle to the left", test.to_left)?.tan();
    let right = acute("the tipping angle to the right", test.to_right)?.tan();
    let (rock, rock_mm) = match test.rock {
        None => (0.0, 0.0),
        Some(rock) => (rock.angle.radians().abs(), rock.height.mm() + below_mm),
    };
    let spread = left + right + 2.0 * rock;
    let over_mm = (2.0 * beta_mm + 2.0 * rock * rock_mm) / spread;
    // With rock both lever arms shrink alike, so y is half their difference: h(tan R − tan L)/2.
    let y_mm = over_mm * (right - left) / 2.0;

    let u_rad = test.angle_uncertainty.radians().abs();
    let u_beta_mm = not_negative_mm("the uncertainty of the width", test.half_width_uncertainty)?;
    let sec2 = |tangent: f64| 1.0 + tangent * tangent;
    let u_height_mm = propagate(&[
        (2.0 / spread, u_beta_mm),
        (over_mm / spread * sec2(left), u_rad),
        (over_mm / spread * sec2(right), u_rad),
    ]);
    // y = h(tan R − tan L)/2 with h as above.
    let half_difference = (right - left) / 2.0;
    let u_y_mm = propagate(&[
        (2.0 / spread * half_difference, u_beta_mm),
        (
            sec2(left) * over_mm * (half_difference / spread + 0.5),
            u_rad,
        ),
        (
            sec2(right) * over_mm * (half_difference / spread - 0.5),
            u_rad,
        ),
    ]);
    Ok(CentreOfGravity {
        height: measured_length(
            "the height of the centre of gravity",
            over_mm - below_mm,
            u_height_mm,
        )?,
        to_left: measured_length("the offset of the centre of gravity", y_mm, u_y_mm)?,
    })
}

/// The tipping angle that a car which tips at `angle` on one support shows on `on`, both sides
/// alike (B5): the height above the tipping line changes by the flange depth, the width as given.
///
/// # Errors
/// [`BalanceError`] when an angle or a length is impossible.
pub fn convert_tipping_angle(
    angle_shown: Angle,
    shown_on: Support,
    on: Support,
) -> Result<Angle, BalanceError> {
    let tangent = acute("the tipping angle", angle_shown)?.tan();
    let height_mm = shown_on.half_width_mm()? / tangent - shown_on.below_rail_mm()?;
    let over_mm = above_zero(
        "the height of the centre of gravity above the tipping line in mm",
        height_mm + on.below_rail_mm()?,
    )?;
    Ok(angle(
        "the tipping angle",
        (on.half_width_mm()? / over_mm).atan(),
    )?)
}

/// Weighing the low side of a car on a tilting table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideScaleTest {
    /// 2β: distance of the contacts.
    pub contact_spacing: Length,
    /// W.
    pub weight: Measured<Force>,
    /// θ.
    pub tilt: Measured<Angle>,
    /// `Q_0`: under the side that will be low, table level.
    pub level_reading: Force,
    /// `Q_θ`: under the low side, normal to the table.
    pub tilted_reading: Force,
    /// Standard uncertainty of each reading.
    pub reading_uncertainty: Force,
}

/// What the side scale shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideScaleResult {
    /// h above the rail head (B3).
    pub height: Measured<Length>,
    /// Offset towards the side on the scale: `2β(Q_0/W − ½)`.
    pub towards_scale: Measured<Length>,
}

/// (B3) with the uncertainty of every input but the spacing, which is read far more finely.
///
/// # Errors
/// [`BalanceError`] when a number is impossible or the height comes out below the rail.
pub fn side_scale(test: &SideScaleTest) -> Result<SideScaleResult, BalanceError> {
    let spacing_mm = positive_mm("the spacing of the wheel contacts", test.contact_spacing)?;
    let weight_n = above_zero("the car's weight in newtons", test.weight.value.newtons())?;
    let level_n = above_zero("the level reading in newtons", test.level_reading.newtons())?;
    let tilted_n = above_zero(
        "the tilted reading in newtons",
        test.tilted_reading.newtons(),
    )?;
    let theta = acute("the tilt of the table", test.tilt.value)?;
    let (sin, cos) = theta.sin_cos();
    let per_n = spacing_mm / (weight_n * sin);
    let height_mm = per_n * (tilted_n - level_n * cos);
    if height_mm < 0.0 {
        return Err(BalanceError::BelowRail {
            height: length("the height", height_mm)?,
            limit: Length::ZERO,
        });
    }
    let u_n = test.reading_uncertainty.newtons().abs();
    let u_weight_n = test.weight.standard_uncertainty.newtons().abs();
    // ∂h/∂θ = 2β Q_0/W − h cot θ.
    let per_rad_mm = spacing_mm * level_n / weight_n - height_mm * cos / sin;
    let u_height_mm = propagate(&[
        (per_n, u_n),
        (per_n * cos, u_n),
        (height_mm / weight_n, u_weight_n),
        (per_rad_mm, test.tilt.standard_uncertainty.radians().abs()),
    ]);
    let u_offset_mm = propagate(&[
        (spacing_mm / weight_n, u_n),
        (spacing_mm * level_n / (weight_n * weight_n), u_weight_n),
    ]);
    let offset_mm = spacing_mm * (level_n / weight_n - 0.5);
    Ok(SideScaleResult {
        height: measured_length(
            "the height of the centre of gravity",
            height_mm,
            u_height_mm,
        )?,
        towards_scale: measured_length("the offset", offset_mm, u_offset_mm)?,
    })
}

/// An angle between 0° and 89°, in radians.
fn acute(what: &'static str, found: Angle) -> Result<f64, BalanceError> {
    const LIMIT_DEGREES: f64 = 89.0;
    let found_degrees = found.degrees();
    if found_degrees > 0.0 && found_degrees < LIMIT_DEGREES {
        Ok(found.radians())
    } else {
        Err(BalanceError::AngleOutside {
            what,
            found_degrees,
            limit_degrees: LIMIT_DEGREES,
        })
    }
}
