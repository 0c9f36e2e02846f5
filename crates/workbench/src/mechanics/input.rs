//! What every kernel asks of the numbers it is given, and how a result leaves it.

use gradeworthy_units::{Angle, Length};

/// A number that no formula here can use.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Unusable {
    /// A length that has to be above zero was not.
    #[error("{what} is {found:.3}: it has to be above zero")]
    NotPositive {
        /// Which length.
        what: &'static str,
        /// What was given.
        found: Length,
    },
    /// A length that cannot be below zero was.
    #[error("{what} is {found:.3}: it cannot be below zero")]
    Negative {
        /// Which length.
        what: &'static str,
        /// What was given.
        found: Length,
    },
    /// A plain number that has to be above zero, or cannot be negative, was not so.
    #[error("{what} is {value}: a finite value above zero is needed")]
    NotAboveZero {
        /// Which number, with its unit.
        what: &'static str,
        /// What was given.
        value: f64,
    },
    /// The formula has no finite value for these numbers.
    #[error("{what} has no finite value for these readings (it came out as {value})")]
    NotFinite {
        /// Which result.
        what: &'static str,
        /// What came out.
        value: f64,
    },
}

/// A result with its standard uncertainty (one standard deviation, [JCGM-100 §2.3.1]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured<Q> {
    /// The best value.
    pub value: Q,
    /// Its standard uncertainty.
    pub standard_uncertainty: Q,
}

pub(crate) fn positive_mm(what: &'static str, found: Length) -> Result<f64, Unusable> {
    if found > Length::ZERO {
        Ok(found.mm())
    } else {
        Err(Unusable::NotPositive { what, found })
    }
}

pub(crate) fn not_negative_mm(what: &'static str, found: Length) -> Result<f64, Unusable> {
    if found >= Length::ZERO {
        Ok(found.mm())
    } else {
        Err(Unusable::Negative { what, found })
    }
}

pub(crate) fn above_zero(what: &'static str, value: f64) -> Result<f64, Unusable> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(Unusable::NotAboveZero { what, value })
    }
}

pub(crate) fn length(what: &'static str, mm: f64) -> Result<Length, Unusable> {
    Length::from_mm_rounded(mm).ok_or(Unusable::NotFinite { what, value: mm })
}

pub(crate) fn angle(what: &'static str, radians: f64) -> Result<Angle, Unusable> {
    Angle::from_radians(radians).map_err(|_| Unusable::NotFinite {
        what,
        value: radians,
    })
}

pub(crate) fn measured_length(
    what: &'static str,
    mm: f64,
    u_mm: f64,
) -> Result<Measured<Length>, Unusable> {
    Ok(Measured {
        value: length(what, mm)?,
        standard_uncertainty: length(what, u_mm)?,
    })
}

pub(crate) fn measured_angle(
    what: &'static str,
    radians: f64,
    u_radians: f64,
) -> Result<Measured<Angle>, Unusable> {
    Ok(Measured {
        value: angle(what, radians)?,
        standard_uncertainty: angle(what, u_radians)?,
    })
}
