//! Exact lengths: whole nanometres in an `i64`.
//!
//! Units: nanometre inside; millimetre, inch and thousandth of an inch at the edges.
//! Validity: ±9.2 million km, far beyond any railroad.
//! Source: 1 in = 25.4 mm exactly, [SP811 §B.8].

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// An exact length, in nanometres.
///
/// # Example
/// ```
/// use gradeworthy_units::Length;
/// assert_eq!(Length::from_sixty_fourths(25), Length::from_nanometres(9_921_875));
/// assert!(Length::from_thousandths(566) < Length::from_hundredths_mm(14_38));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0);

    const NM_PER_THOUSANDTH: i64 = 25_400;

    /// A length of `nanometres`.
    #[must_use]
    pub const fn from_nanometres(nanometres: i64) -> Self {
        Self(nanometres)
    }

    /// A length of `thousandths` of an inch, exactly.
    #[must_use]
    pub const fn from_thousandths(thousandths: i64) -> Self {
        Self(thousandths * Self::NM_PER_THOUSANDTH)
    }

    /// A length of `sixty_fourths` of an inch, exactly (1/64 in = 396 875 nm).
    #[must_use]
    pub const fn from_sixty_fourths(sixty_fourths: i64) -> Self {
        Self(sixty_fourths * 396_875)
    }

    /// A length of `hundredths` of a millimetre, exactly.
    #[must_use]
    pub const fn from_hundredths_mm(hundredths: i64) -> Self {
        Self(hundredths * 10_000)
    }

    /// The nearest whole nanometre to a computed number of millimetres.
    ///
    /// For results of a calculation only; text goes through [`crate::Reader`], which stays exact.
    ///
    /// # Errors
    /// `None` for NaN, infinity, and lengths beyond the range of the type.
    #[must_use]
    pub fn from_mm_rounded(mm: f64) -> Option<Self> {
        let nanometres = (mm * 1e6).round();
        // 2^63 is exactly representable; anything strictly inside converts without loss of range.
        const LIMIT: f64 = 9_223_372_036_854_775_808.0;
        if !nanometres.is_finite() || nanometres.abs() >= LIMIT {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "range checked on the line above"
        )]
        let whole = nanometres as i64;
        Some(Self(whole))
    }

    /// Whole nanometres.
    #[must_use]
    pub const fn nanometres(self) -> i64 {
        self.0
    }

    /// Millimetres.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "bench lengths are far below 2^53 nm (9000 km)"
    )]
    pub fn mm(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Metres.
    #[must_use]
    pub fn metres(self) -> f64 {
        self.mm() / 1e3
    }

    /// Inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.mm() / 25.4
    }

    /// The distance from zero.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// Half of this length, rounded towards zero to a whole nanometre.
    #[must_use]
    pub const fn half(self) -> Self {
        Self(self.0 / 2)
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, factor: i64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div<i64> for Length {
    type Output = Self;
    fn div(self, divisor: i64) -> Self {
        Self(self.0 / divisor)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

impl fmt::Display for Length {
    /// Millimetres, to as many places as the caller asks for and three otherwise.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = f.precision().unwrap_or(3);
        write!(f, "{:.places$} mm", self.mm())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_thousandth_and_every_sixty_fourth_is_exact() {
        // 64 sixty-fourths and 1000 thousandths are the same inch. Source: [SP811 §B.8].
        assert_eq!(
            Length::from_sixty_fourths(64),
            Length::from_thousandths(1000)
        );
        assert_eq!(Length::from_thousandths(1000).nanometres(), 25_400_000);
    }

    #[test]
    fn a_computed_length_that_is_no_number_is_refused() {
        assert_eq!(Length::from_mm_rounded(f64::NAN), None);
        assert_eq!(Length::from_mm_rounded(f64::INFINITY), None);
        assert_eq!(Length::from_mm_rounded(1e300), None);
        assert_eq!(
            Length::from_mm_rounded(-14.3764),
            Some(Length::from_nanometres(-14_376_400))
        );
    }
}
