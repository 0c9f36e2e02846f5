//! Honesty about many comparisons at once: probabilities adjusted so that, of the differences called
//! real, no more than a given part is expected to be chance.
//!
//! With m probabilities in rising order, p₍ᵢ₎ becomes the least of p₍ₖ₎ · m/k · Σ 1/j (j = 1 … m)
//! over k ≥ i (1). This holds whatever the comparisons have to do with each other, as readings of
//! one car do. Source: [BENJAMINI-YEKUTIELI-2001], theorem 1.3.

/// The part of false discoveries that is put up with. ASSUMED: one in twenty, as is usual; a club
/// that must not miss a bad lot would take more, and get a longer list.
pub const FALSE_DISCOVERIES: f64 = 0.05;

/// The adjusted probabilities, in the order given; equation (1).
#[must_use]
#[expect(
    clippy::cast_precision_loss,
    reason = "a count of comparisons is far below 2^53"
)]
pub fn adjusted(probabilities: &[f64]) -> Vec<f64> {
    let m = probabilities.len();
    let harmonic: f64 = (1..=m).map(|j| 1.0 / j as f64).sum();
    let mut order: Vec<usize> = (0..m).collect();
    order.sort_by(|one, other| probabilities[*one].total_cmp(&probabilities[*other]));
    let mut adjusted = vec![1.0; m];
    let mut least: f64 = 1.0;
    for (k, index) in order.into_iter().enumerate().rev() {
        let own = probabilities[index] * harmonic * m as f64 / (k + 1) as f64;
        least = least.min(own);
        adjusted[index] = least;
    }
    adjusted
}
