//! A probability from counts, with an interval that keeps its word.

use statrs::distribution::{Beta, ContinuousCDF};

/// k of n, and between what the probability lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// k/n; 0 where nothing was tried.
    pub estimate: f64,
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The least probability with which such an interval holds the true one.
    pub confidence: f64,
}

/// The interval of Clopper and Pearson: the probabilities p under which neither k or more, nor k or
/// fewer, of n would happen less often than α/2, with α = 1 − `confidence`.
///
/// By the quantiles of the beta distribution: `low` = B(α/2; k, n−k+1), `high` = B(1−α/2; k+1, n−k).
/// Source: [CLOPPER-1934].
///
/// `confidence` outside 0 to 1 is brought to the nearer end, and k beyond n to n.
#[must_use]
pub fn clopper_pearson(happened: usize, tried: usize, confidence: f64) -> Interval {
    let happened = happened.min(tried);
    let confidence = confidence.clamp(0.0, 1.0);
    let half = 0.5 * (1.0 - confidence);
    #[expect(
        clippy::cast_precision_loss,
        reason = "trips are counted in thousands, far below 2^53"
    )]
    let (k, n) = (happened as f64, tried as f64);
    let quantile = |p: f64, a: f64, b: f64| Beta::new(a, b).map(|beta| beta.inverse_cdf(p)).ok();
    let low = if happened == 0 {
        0.0
    } else {
        quantile(half, k, n - k + 1.0).unwrap_or(0.0)
    };
    let high = if happened == tried {
        1.0
    } else {
        quantile(1.0 - half, k + 1.0, n - k).unwrap_or(1.0)
    };
    Interval {
        estimate: if tried == 0 { 0.0 } else { k / n },
        low,
        high,
        confidence,
    }
}
