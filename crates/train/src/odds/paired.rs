//! Two make-ups that met the same chance: how much likelier trouble is with the one than with the other.
//!
//! Trips are compared one by one, since both drew the same evening. What is in trouble with both, or with
//! neither, says nothing about the difference, so that
//!
//! δ = p(only the second) − p(only the first).
//!
//! Each of the two is known within an interval of Clopper and Pearson of confidence 1 − α/2; both hold at
//! once with at least 1 − α (Bonferroni), and then δ lies between the one's low less the other's high
//! and the one's high less the other's low. The usual interval from the root of the discordant counts is
//! not used: with few of them it covers less than it says.

use super::interval::clopper_pearson;
use super::run::Odds;

/// What the trips of two make-ups say of each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paired {
    /// Trips that both made.
    pub trips: usize,
    /// Trips in trouble with both.
    pub both: usize,
    /// Trips in trouble with the first only.
    pub first_only: usize,
    /// Trips in trouble with the second only.
    pub second_only: usize,
    /// Probability of trouble with the second less that with the first.
    pub difference: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The least probability with which such an interval holds the true difference.
    pub confidence: f64,
}

impl Paired {
    /// From counts; `counts` are the trips in trouble with the first only and with the second only.
    #[must_use]
    pub fn of_counts(
        trips: usize,
        both: usize,
        (first_only, second_only): (usize, usize),
        confidence: f64,
    ) -> Self {
        let each = 1.0 - 0.5 * (1.0 - confidence);
        let (first, second) = (
            clopper_pearson(first_only, trips, each),
            clopper_pearson(second_only, trips, each),
        );
        Self {
            trips,
            both,
            first_only,
            second_only,
            difference: second.estimate - first.estimate,
            low: second.low - first.high,
            high: second.high - first.low,
            confidence,
        }
    }
}

/// Compares trip by trip; nothing where either was ended before its last trip, since then it is not known
/// which trips belong together.
///
/// Both must have been drawn from the same draws by the same list of unknowns.
#[must_use]
pub fn paired(first: &Odds, second: &Odds, confidence: f64) -> Option<Paired> {
    let whole = |own: &Odds| own.trips.len() == own.asked;
    if !whole(first) || !whole(second) || first.asked != second.asked {
        return None;
    }
    let mut counts = [[0_usize; 2]; 2];
    for (own, other) in first.trips.iter().zip(&second.trips) {
        counts[usize::from(own.margin < 0.0)][usize::from(other.margin < 0.0)] += 1;
    }
    Some(Paired::of_counts(
        first.asked,
        counts[1][1],
        (counts[1][0], counts[0][1]),
        confidence,
    ))
}
