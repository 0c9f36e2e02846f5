//! How many times smaller than the prototype a model is, as an exact fraction.
//!
//! HO is 3.5 mm to the foot, that is 304.8 : 3.5 = 3048 : 35 and not 87.1 nor 87;
//! H0 of the NEM is 87. Sources: [NMRA-S-1.2], [NEM-010].

use crate::Length;

/// A scale as `numerator : denominator`, prototype over model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Ratio {
    numerator: i64,
    denominator: i64,
}

impl Ratio {
    /// A ratio of two positive whole numbers, the first no smaller than the second.
    ///
    /// # Errors
    /// `None` when either is zero or negative, or when the model would be larger than life.
    #[must_use]
    pub const fn new(numerator: i64, denominator: i64) -> Option<Self> {
        if denominator > 0 && numerator >= denominator {
            Some(Self {
                numerator,
                denominator,
            })
        } else {
            None
        }
    }

    /// The ratio as a number: 87.0857… for HO.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "scale numbers are small")]
    pub fn value(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// Prototype over model, as the two whole numbers.
    #[must_use]
    pub const fn parts(self) -> (i64, i64) {
        (self.numerator, self.denominator)
    }

    /// A prototype length at this scale, rounded to the nearest nanometre.
    #[must_use]
    pub fn model(self, prototype: Length) -> Length {
        let scaled = i128::from(prototype.nanometres()) * i128::from(self.denominator);
        let nanometres = crate::numeral::divide_rounded(scaled, i128::from(self.numerator));
        let nanometres = i64::try_from(nanometres);
        Length::from_nanometres(nanometres.expect("no model is larger than its prototype"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_foot_in_ho_is_three_and_a_half_millimetres() {
        let ho = Ratio::new(3048, 35).expect("positive");
        assert_eq!(
            ho.model(Length::from_thousandths(12_000)),
            Length::from_hundredths_mm(350)
        );
    }
}
