//! How a number is drawn from what is known of it.

use statrs::distribution::{ContinuousCDF, Normal};

use crate::vehicle::Sourced;

/// How widely a number may lie about the value on the card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// Between the ends of the entry's own range, most likely at its value: triangular. A measured
    /// entry has no range and stays.
    Range,
    /// Normal, the standard uncertainty a part of the value.
    Relative(f64),
    /// Normal, the standard uncertainty in the SI unit of the quantity.
    Absolute(f64),
}

/// A law that can be drawn from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread(Law);

/// A spread that is none.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("a standard uncertainty of {found} was given; a number of zero or more is wanted")]
pub struct NotASpread {
    found: f64,
}

impl Spread {
    /// A spread by `law`.
    ///
    /// # Errors
    /// [`NotASpread`] when the standard uncertainty is negative or no number.
    pub fn new(law: Law) -> Result<Self, NotASpread> {
        match law {
            Law::Relative(found) | Law::Absolute(found) if !(found.is_finite() && found >= 0.0) => {
                Err(NotASpread { found })
            }
            Law::Range | Law::Relative(_) | Law::Absolute(_) => Ok(Self(law)),
        }
    }

    /// The law.
    #[must_use]
    pub fn law(self) -> Law {
        self.0
    }

    /// The value below which the part `uniform` of all draws lies, for an entry of a card.
    #[must_use]
    pub fn draw(self, entry: &Sourced, uniform: f64) -> f64 {
        match self.0 {
            Law::Range => triangular(entry.low, entry.value, entry.high, uniform),
            Law::Relative(part) => entry.value * (1.0 + part * standard_normal(uniform)),
            Law::Absolute(uncertainty) => entry.value + uncertainty * standard_normal(uniform),
        }
    }
}

/// The quantile of the triangular distribution between `low` and `high` with its mode at `mode`:
/// its distribution function is (x−a)²/((b−a)(c−a)) up to c and 1 − (b−x)²/((b−a)(b−c)) beyond.
fn triangular(low: f64, mode: f64, high: f64, uniform: f64) -> f64 {
    let width = high - low;
    if width <= 0.0 {
        return mode;
    }
    let before = (mode - low) / width;
    if uniform < before {
        low + (uniform * width * (mode - low)).sqrt()
    } else {
        high - ((1.0 - uniform) * width * (high - mode)).sqrt()
    }
}

/// The quantile of the standard normal distribution; symmetric to the last bit.
fn standard_normal(uniform: f64) -> f64 {
    let upper = |p: f64| -Normal::standard().inverse_cdf(p);
    if uniform < 0.5 {
        -upper(uniform)
    } else {
        upper(1.0 - uniform)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_is_no_negative_number() {
        for found in [-0.1, f64::NAN, f64::INFINITY] {
            let refusal = Spread::new(Law::Relative(found)).expect_err("no spread");
            assert!(refusal.to_string().contains("zero or more"));
        }
    }
}
