//! The length of a vertical curve.
//!
//! (1) L = |ΔG| / rate, rounded up to whole stations, ΔG the change of grade in percent and rate
//!     the change that one station takes. The rule is an
//!     engineering examination's (secondary), table `vertical-curves`.
//!
//! The hobby's rule, one car length for each percent, is (1) with the car as station and rate 1.

use crate::StandardsError;
use crate::error::{finite, positive};
use crate::grade_problems::whole_above;

/// Length in whole stations from one grade to another, equation (1).
///
/// # Errors
/// [`StandardsError::OutOfDomain`] for a grade that is no number or a rate not above zero.
pub fn length_stations(
    from_percent: f64,
    to_percent: f64,
    percent_per_station: f64,
) -> Result<f64, StandardsError> {
    let from = finite("a grade in percent", from_percent)?;
    let to = finite("a grade in percent", to_percent)?;
    let rate = positive("a rate in percent per station", percent_per_station)?;
    Ok(whole_above((to - from).abs() / rate))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unbroken_grade_needs_none_and_no_rate_is_refused() {
        assert_eq!(length_stations(2.0, 2.0, 0.1), Ok(0.0));
        assert!(length_stations(2.0, 0.0, 0.0).is_err());
    }
}
