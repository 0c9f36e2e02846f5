//! Whether one group of values lies higher than another: the rank-sum test of Mann and Whitney,
//! two-sided.
//!
//! With all values of both groups ranked together (equal values share the mean of their ranks) and
//! n₁, n₂ values in the groups, U₁ = R₁ − n₁(n₁ + 1)/2 (1), where R₁ is the sum of the first group's
//! ranks. Without equal values and with at most [`EXACT_MOST`] in the smaller group the probability
//! is exact, from the number of ways to choose n₁ ranks with each sum, whose generating function is
//! the Gaussian binomial ∏ (1 − q^(n₂+i)) / (1 − q^i), i = 1 … n₁ (2). Otherwise it is that of a
//! normal variable with mean n₁n₂/2 and variance n₁n₂/12 · ((n + 1) − Σ(t³ − t)/(n(n − 1))) (3), t
//! the sizes of the groups of equal values, with a correction of ½ for continuity.
//!
//! Source: [MANN-WHITNEY-1947]; the rules for ties and continuity as in SciPy's `mannwhitneyu`,
//! against which `crates/demo/tests/fleet/lots.rs` checks both ways.

use std::cmp::Ordering;

/// Most values in the smaller group for which the probability is exact, as in SciPy.
const EXACT_MOST: usize = 8;

/// How the probability was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Counted.
    Exact,
    /// By the normal distribution.
    Normal,
}

/// What the test says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RankTest {
    /// U of the first group, equation (1).
    pub u: f64,
    /// The probability of a U at least so far from its mean, were the groups alike.
    pub p: f64,
    /// How it was found.
    pub method: Method,
}

/// Tests two groups; `None` when one of them is empty or holds what is no number.
#[must_use]
pub fn rank_test(first: &[f64], second: &[f64]) -> Option<RankTest> {
    let finite = |values: &[f64]| values.iter().all(|value| value.is_finite());
    if first.is_empty() || second.is_empty() || !finite(first) || !finite(second) {
        return None;
    }
    let (rank_sum, ties) = ranked(first, second);
    let (n1, n2) = (count(first.len()), count(second.len()));
    let u = rank_sum - n1 * (n1 + 1.0) / 2.0;
    let further = u.max(n1 * n2 - u);
    let exact = ties == 0.0 && first.len().min(second.len()) <= EXACT_MOST;
    let tail = if exact {
        exact_tail(
            first.len().min(second.len()),
            first.len().max(second.len()),
            further,
        )
    } else {
        normal_tail(n1, n2, ties, further)
    };
    Some(RankTest {
        u,
        p: (2.0 * tail).min(1.0),
        method: if exact { Method::Exact } else { Method::Normal },
    })
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a count of cars is far below 2^53"
)]
fn count(count: usize) -> f64 {
    count as f64
}

/// The sum of the first group's ranks, and Σ(t³ − t) over groups of equal values.
fn ranked(first: &[f64], second: &[f64]) -> (f64, f64) {
    let mut all: Vec<(f64, bool)> = first.iter().map(|value| (*value, true)).collect();
    all.extend(second.iter().map(|value| (*value, false)));
    // Not by total_cmp: zero and minus zero are one value.
    all.sort_unstable_by(|one, other| one.0.partial_cmp(&other.0).unwrap_or(Ordering::Equal));
    let (mut rank_sum, mut ties, mut below) = (0.0, 0.0, 0.0);
    for equal in all.chunk_by(|one, other| one.0 >= other.0) {
        let t = count(equal.len());
        let own = equal.iter().filter(|(_, is_first)| *is_first).count();
        rank_sum += count(own) * (below + (t + 1.0) / 2.0);
        ties += t * t * t - t;
        below += t;
    }
    (rank_sum, ties)
}

/// P(U ≥ `u`) by equation (2).
fn exact_tail(small: usize, large: usize, u: f64) -> f64 {
    let most = small * large;
    let mut ways = vec![0.0; most + 1];
    ways[0] = 1.0;
    for i in 1..=small {
        let step = large + i;
        for sum in (step..=most).rev() {
            ways[sum] -= ways[sum - step];
        }
        for sum in i..=most {
            ways[sum] += ways[sum - i];
        }
    }
    let all: f64 = ways.iter().sum();
    // The distribution is symmetrical, and the lower tail is summed without loss.
    let reach = count(most) - u;
    let tail: f64 = ways
        .iter()
        .zip(0_u32..)
        .take_while(|(_, sum)| f64::from(*sum) <= reach)
        .map(|(own, _)| own)
        .sum();
    tail / all
}

/// P(U ≥ `u`) by equation (3).
fn normal_tail(n1: f64, n2: f64, ties: f64, u: f64) -> f64 {
    let n = n1 + n2;
    let variance = n1 * n2 / 12.0 * ((n + 1.0) - ties / (n * (n - 1.0)));
    if variance <= 0.0 {
        return 0.5;
    }
    let z = (u - n1 * n2 / 2.0 - 0.5) / variance.sqrt();
    0.5 * statrs::function::erf::erfc(z / std::f64::consts::SQRT_2)
}
