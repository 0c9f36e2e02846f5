//! The quantities that need no exactness: angle, grade, time, force.
//!
//! Each is an SI `f64` behind a constructor that refuses NaN and infinity, because a number that
//! is not one, let through here, would come out later as a verdict.

use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// Standard acceleration of free fall, m/s². Source: [SP811 §B.8], exact by definition.
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// A number that was NaN or infinite.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{quantity} of {value} is not a number this tool can use: a finite value is needed")]
pub struct NotFinite {
    /// What the number was meant to be.
    pub quantity: &'static str,
    /// The number found.
    pub value: f64,
}

macro_rules! scalar {
    ($(#[$doc:meta])* $name:ident, $quantity:literal, $symbol:literal,
     $( $(#[$unit_doc:meta])* $from:ident / $to:ident = $factor:expr ),+ $(,)?) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);

            $(
                $(#[$unit_doc])*
                ///
                /// # Errors
                /// [`NotFinite`] for NaN and infinity.
                pub fn $from(value: f64) -> Result<Self, NotFinite> {
                    let si = value * $factor;
                    if si.is_finite() {
                        Ok(Self(si))
                    } else {
                        Err(NotFinite { quantity: $quantity, value })
                    }
                }

                /// The same quantity read back in that unit.
                #[must_use]
                pub fn $to(self) -> f64 {
                    self.0 / $factor
                }
            )+

            /// The distance from zero.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)?;
                f.write_str($symbol)
            }
        }
    };
}

scalar! {
    /// A plane angle.
    Angle, "an angle", " rad",
    /// An angle of so many radians.
    from_radians / radians = 1.0,
    /// An angle of so many degrees.
    from_degrees / degrees = std::f64::consts::PI / 180.0,
}

scalar! {
    /// A grade or a coefficient: rise over run, drag over weight, one part of another.
    Grade, "a grade", "",
    /// A grade as a plain ratio: 0.02 for 2 %.
    from_ratio / ratio = 1.0,
    /// A grade in percent.
    from_percent / percent = 0.01,
}

scalar! {
    /// A span of time.
    Time, "a time", " s",
    /// A time of so many seconds.
    from_seconds / seconds = 1.0,
}

scalar! {
    /// A force.
    Force, "a force", " N",
    /// A force of so many newtons.
    from_newtons / newtons = 1.0,
    /// A force of so many millinewtons.
    from_millinewtons / millinewtons = 1e-3,
    /// A force of so many grams-force, as a spring scale shows it. Source: [SP811 §B.8].
    from_grams_force / grams_force = STANDARD_GRAVITY / 1e3,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nan_and_infinity_are_refused() {
        assert!(Angle::from_degrees(f64::NAN).is_err());
        assert!(Grade::from_percent(f64::INFINITY).is_err());
        assert!(Force::from_newtons(f64::NEG_INFINITY).is_err());
    }

    #[test]
    fn a_gram_force_is_9_80665_millinewtons() {
        let pull = Force::from_grams_force(1.0).expect("one is finite");
        assert!((pull.millinewtons() - 9.806_65).abs() < 1e-12);
    }

    #[test]
    fn half_a_turn_is_pi() {
        let half_turn = Angle::from_degrees(180.0).expect("finite");
        assert!((half_turn.radians() - std::f64::consts::PI).abs() < 1e-15);
    }
}
