//! Nadal's limit.

/// Nadal's limit of L/V for a wheel about to climb: (tan δ − μ)/(1 + μ tan δ).
///
/// `flange_angle` δ in rad, `friction` μ. Exact at large angles of attack, conservative at small
/// ones. Sources: \[NADAL\] as named in [CFR-238-C]; its limits, [JRC2011-56064].
#[must_use]
pub fn nadal_limit(flange_angle: f64, friction: f64) -> f64 {
    let slope = flange_angle.tan();
    (slope - friction) / (1.0 + friction * slope)
}
