//! An amount of any of the bench's dimensions, for places that handle all of them alike.

use std::fmt;

use crate::{Angle, Force, Grade, Length, Mass, Time, Unit};

/// What kind of quantity something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// A length.
    Length,
    /// A mass, which the shop calls weight.
    Mass,
    /// A plane angle.
    Angle,
    /// A grade or a coefficient.
    Grade,
    /// A span of time.
    Time,
    /// A force.
    Force,
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Length => "length",
            Self::Mass => "weight",
            Self::Angle => "angle",
            Self::Grade => "grade",
            Self::Time => "time",
            Self::Force => "force",
        })
    }
}

/// A quantity together with its dimension.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub enum Amount {
    /// A length.
    Length(Length),
    /// A mass.
    Mass(Mass),
    /// An angle.
    Angle(Angle),
    /// A grade or coefficient.
    Grade(Grade),
    /// A time.
    Time(Time),
    /// A force.
    Force(Force),
}

impl Amount {
    /// The dimension of this amount.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Length(_) => Dimension::Length,
            Self::Mass(_) => Dimension::Mass,
            Self::Angle(_) => Dimension::Angle,
            Self::Grade(_) => Dimension::Grade,
            Self::Time(_) => Dimension::Time,
            Self::Force(_) => Dimension::Force,
        }
    }

    /// The amount as a number in the base unit people meet in files: mm, g, degree, ratio, s, N.
    #[must_use]
    pub fn base(self) -> f64 {
        match self {
            Self::Length(length) => length.mm(),
            Self::Mass(mass) => mass.grams(),
            Self::Angle(angle) => angle.degrees(),
            Self::Grade(grade) => grade.ratio(),
            Self::Time(time) => time.seconds(),
            Self::Force(force) => force.newtons(),
        }
    }

    /// The amount that is so much of its base unit: mm, g, degree, ratio, s, N; lengths and masses to
    /// the nearest step they are kept in. `None` where that is no finite amount or out of range.
    #[must_use]
    pub fn from_base_rounded(dimension: Dimension, base: f64) -> Option<Self> {
        Some(match dimension {
            Dimension::Length => Self::Length(Length::from_mm_rounded(base)?),
            Dimension::Mass => Self::Mass(Mass::from_grams_rounded(base)?),
            Dimension::Angle => Self::Angle(Angle::from_degrees(base).ok()?),
            Dimension::Grade => Self::Grade(Grade::from_ratio(base).ok()?),
            Dimension::Time => Self::Time(Time::from_seconds(base).ok()?),
            Dimension::Force => Self::Force(Force::from_newtons(base).ok()?),
        })
    }

    /// The amount as a number of `unit`.
    ///
    /// # Errors
    /// `None` when the unit measures something else, or is a scale unit.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "the worths of units are far below 2^53 apart"
    )]
    pub fn in_unit(self, unit: Unit) -> Option<f64> {
        if unit.dimension() != self.dimension() {
            return None;
        }
        if unit == Unit::OneIn {
            return Some(1.0 / self.base());
        }
        let (worth, by) = unit.worth()?;
        let base_worth = match self.dimension() {
            Dimension::Length => 1e6,
            Dimension::Mass => 1e15,
            Dimension::Angle => 17_453_292_519_943_296.0,
            Dimension::Grade => 1e18,
            Dimension::Time => 1e6,
            Dimension::Force => 1e9,
        };
        Some(self.base() * (base_worth * by as f64 / worth as f64))
    }
}

macro_rules! from_quantity {
    ($($quantity:ident),+) => {$(
        impl From<$quantity> for Amount {
            fn from(quantity: $quantity) -> Self {
                Self::$quantity(quantity)
            }
        }

        impl TryFrom<Amount> for $quantity {
            type Error = Dimension;

            /// The quantity itself, or the dimension that was found in its place.
            fn try_from(amount: Amount) -> Result<Self, Dimension> {
                match amount {
                    Amount::$quantity(quantity) => Ok(quantity),
                    other => Err(other.dimension()),
                }
            }
        }
    )+};
}

from_quantity!(Length, Mass, Angle, Grade, Time, Force);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_length_in_four_units() {
        let height = Amount::from(Length::from_sixty_fourths(25));
        let read = |unit| height.in_unit(unit).expect("a unit of length");
        assert!((read(Unit::Inch) - 0.390_625).abs() < 1e-12);
        assert!((read(Unit::Thousandth) - 390.625).abs() < 1e-9);
        assert!((read(Unit::Millimetre) - 9.921_875).abs() < 1e-12);
        assert_eq!(height.in_unit(Unit::Gram), None);
    }

    #[test]
    fn what_is_so_much_of_its_base_unit_says_so_again() {
        let length = Amount::from_base_rounded(Dimension::Length, 14.43).expect("a length");
        assert_eq!(length, Length::from_hundredths_mm(1443).into());
        let time = Amount::from_base_rounded(Dimension::Time, 12.5).expect("a time");
        assert!((time.base() - 12.5).abs() < 1e-12);
        assert_eq!(Amount::from_base_rounded(Dimension::Mass, f64::NAN), None);
    }

    #[test]
    fn two_percent_is_one_in_fifty() {
        let grade = Amount::from(Grade::from_percent(2.0).expect("finite"));
        let run = grade.in_unit(Unit::OneIn).expect("a unit of grade");
        assert!((run - 50.0).abs() < 1e-9);
    }
}
