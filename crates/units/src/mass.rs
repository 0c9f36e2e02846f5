//! Exact masses: whole femtograms in an `i128`.
//!
//! Units: femtogram inside, so that 0.001 g, 0.001 oz and every 1/64 oz are whole numbers;
//! gram and avoirdupois ounce at the edges. The shop says 'weight' for what a scale shows;
//! this type is that, and becomes a force only by [`Mass::weight_newtons`].
//! Source: 1 lb = 0.453 592 37 kg exactly, hence 1 oz = 28.349 523 125 g, [SP811 §B.8].

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

use crate::scalar::STANDARD_GRAVITY;

/// An exact mass, in femtograms.
///
/// # Example
/// ```
/// use gradeworthy_units::Mass;
/// assert_eq!(Mass::from_milliounces(1000).grams(), 28.349_523_125);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mass(i128);

impl Mass {
    /// No mass at all.
    pub const ZERO: Self = Self(0);

    /// A mass of `femtograms`.
    #[must_use]
    pub const fn from_femtograms(femtograms: i128) -> Self {
        Self(femtograms)
    }

    /// A mass of `milligrams`, exactly.
    #[must_use]
    pub const fn from_milligrams(milligrams: i64) -> Self {
        Self(milligrams as i128 * 1_000_000_000_000)
    }

    /// A mass of `milliounces` (thousandths of an avoirdupois ounce), exactly.
    #[must_use]
    pub const fn from_milliounces(milliounces: i64) -> Self {
        Self(milliounces as i128 * 28_349_523_125_000)
    }

    /// The nearest whole femtogram to a computed number of grams.
    ///
    /// For results of a calculation only; text goes through [`crate::Reader`], which stays exact.
    ///
    /// # Errors
    /// `None` for NaN, infinity, and masses of 10²⁰ g or more.
    #[must_use]
    pub fn from_grams_rounded(grams: f64) -> Option<Self> {
        if !grams.is_finite() || grams.abs() >= 1e20 {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "below 1e35, and i128 reaches 1.7e38"
        )]
        let whole = (grams * 1e15).round() as i128;
        Some(Self(whole))
    }

    /// Whole femtograms.
    #[must_use]
    pub const fn femtograms(self) -> i128 {
        self.0
    }

    /// Grams.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "a double keeps 15 digits, a scale shows 5"
    )]
    pub fn grams(self) -> f64 {
        self.0 as f64 / 1e15
    }

    /// Avoirdupois ounces.
    #[must_use]
    pub fn ounces(self) -> f64 {
        self.grams() / 28.349_523_125
    }

    /// The weight of this mass in newtons, under [`STANDARD_GRAVITY`].
    #[must_use]
    pub fn weight_newtons(self) -> f64 {
        self.grams() / 1e3 * STANDARD_GRAVITY
    }

    /// The distance from zero.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Add for Mass {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Mass {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Mass {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Mass {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Mass {
    type Output = Self;
    fn mul(self, factor: i64) -> Self {
        Self(self.0 * i128::from(factor))
    }
}

impl Sum for Mass {
    fn sum<I: Iterator<Item = Self>>(masses: I) -> Self {
        masses.fold(Self::ZERO, Add::add)
    }
}

impl fmt::Display for Mass {
    /// Grams, to as many places as the caller asks for and one otherwise.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = f.precision().unwrap_or(1);
        write!(f, "{:.places$} g", self.grams())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteen_ounces_are_one_pound() {
        // Source: [SP811 §B.8], 1 lb = 453.592 37 g.
        assert_eq!(
            Mass::from_milliounces(16_000),
            Mass::from_femtograms(453_592_370_000_000_000)
        );
    }

    #[test]
    fn a_four_ounce_car_weighs_its_newtons() {
        // 4 oz = 113.398 092 5 g; times 9.806 65 m/s² = 1.112 055 404 N, by hand.
        let weight = Mass::from_milliounces(4_000).weight_newtons();
        assert!((weight - 1.112_055_404).abs() < 1e-9, "{weight}");
    }
}
