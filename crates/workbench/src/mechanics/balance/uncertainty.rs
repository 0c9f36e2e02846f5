//! The law of propagation of uncertainty for independent inputs.
//!
//! `u² = Σ (∂f/∂x_i)² u_i²`, [JCGM-100 §5.1.2, eq. 10].

/// From pairs of sensitivity and standard uncertainty.
pub(super) fn propagate(parts: &[(f64, f64)]) -> f64 {
    parts
        .iter()
        .map(|(sensitivity, u)| (sensitivity * u).powi(2))
        .sum::<f64>()
        .sqrt()
}
