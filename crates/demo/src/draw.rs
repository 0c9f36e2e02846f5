//! Repeatable draws: the same seed gives the same fleet on every machine.
//!
//! Method: `ChaCha8` for the bits; uniform from the top 53 of them; normal by Box and Muller.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A stream of draws.
pub(crate) struct Draw(ChaCha8Rng);

impl Draw {
    /// The stream of one car: independent of how many cars are drawn before it.
    pub(crate) fn of(seed: u64, stream: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Self(rng)
    }

    /// Uniform in [0, 1).
    pub(crate) fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
        let top = (self.0.next_u64() >> 11) as f64;
        top / 9_007_199_254_740_992.0
    }

    /// Uniform between two numbers.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Normal with that mean and standard deviation.
    pub(crate) fn normal(&mut self, mean: f64, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        mean + deviation * radius * (std::f64::consts::TAU * self.unit()).cos()
    }

    /// True with that probability.
    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// One of a list.
    pub(crate) fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a list index: non-negative and far below 2^53"
        )]
        let index = (self.unit() * list.len() as f64) as usize;
        &list[index.min(list.len() - 1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stream_is_repeatable_and_differs_from_its_neighbour() {
        let first = |seed, stream| Draw::of(seed, stream).unit();
        assert_eq!(first(7, 3).to_bits(), first(7, 3).to_bits());
        assert_ne!(first(7, 3).to_bits(), first(7, 4).to_bits());
    }

    #[test]
    fn normal_draws_have_their_mean_and_spread() {
        let mut draw = Draw::of(1, 1);
        let sample: Vec<f64> = (0..20_000).map(|_| draw.normal(5.0, 2.0)).collect();
        let count = 20_000.0;
        let mean = sample.iter().sum::<f64>() / count;
        let variance = sample.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count;
        // Four standard errors: 4·2/√20000 and 4·2·√(1/40000).
        assert!((mean - 5.0).abs() < 0.057, "{mean}");
        assert!((variance.sqrt() - 2.0).abs() < 0.04, "{variance}");
    }
}
