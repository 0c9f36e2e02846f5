//! A curve of pieces with linear curvature, on breakpoints whose spacing the fit may change.
//!
//! Symbols: arc length s in m, heading θ in rad, curvature κ in 1/m (left positive).
//! On a piece of length h: θ(u) = θ₀ + κ₀u + κ′u²/2; the place is the integral of (cos θ, sin θ),
//! by eight-point Gauss quadrature on panels that turn no more than 0.4 rad.
//! Source of the quadrature: NIST Digital Library of Mathematical Functions §3.5(v), table 3.5.3
//! lists nodes for eight points (from memory); checked below by powers of u.

/// A place on a curve with the direction there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stand {
    /// m.
    pub(super) x: f64,
    /// m.
    pub(super) y: f64,
    /// rad, from the x axis towards y.
    pub(super) heading: f64,
    /// 1/m, left positive.
    pub(super) curvature: f64,
}

/// A curve.
#[derive(Clone, Debug)]
pub(super) struct Trace {
    /// Rising arc lengths, m.
    pub(super) breakpoints: Vec<f64>,
    /// One for each breakpoint.
    pub(super) stands: Vec<Stand>,
}

impl Trace {
    /// The curve that starts at `start` with these curvatures at these breakpoints.
    pub(super) fn new(start: Stand, breakpoints: Vec<f64>, curvatures: &[f64]) -> Self {
        let mut stands = Vec::with_capacity(curvatures.len());
        let mut here = Stand { curvature: curvatures[0], ..start };
        stands.push(here);
        for (piece, step) in breakpoints.windows(2).enumerate() {
            let length = step[1] - step[0];
            let rate = (curvatures[piece + 1] - curvatures[piece]) / length;
            here = Stand { curvature: curvatures[piece + 1], ..walk(here, rate, length) };
            stands.push(here);
        }
        Self { breakpoints, stands }
    }

    /// The place at arc length `s`; beyond an end the curvature of that end goes on.
    pub(super) fn at(&self, s: f64) -> Stand {
        let last = self.breakpoints.len() - 1;
        if s <= self.breakpoints[0] {
            return walk(self.stands[0], 0.0, s - self.breakpoints[0]);
        }
        if s >= self.breakpoints[last] {
            return walk(self.stands[last], 0.0, s - self.breakpoints[last]);
        }
        let piece = self.breakpoints.partition_point(|&b| b <= s) - 1;
        let length = self.breakpoints[piece + 1] - self.breakpoints[piece];
        let rate = (self.stands[piece + 1].curvature - self.stands[piece].curvature) / length;
        walk(self.stands[piece], rate, s - self.breakpoints[piece])
    }

    /// The arc length where the curve passes square to (`x`, `y`), near `guess`, and how far to
    /// the left of the curve that point lies.
    pub(super) fn project(&self, x: f64, y: f64, guess: f64) -> (f64, f64) {
        let mut s = guess;
        for _ in 0..30 {
            let here = self.at(s);
            let (along, left) = here.to_local(x, y);
            // d(along)/ds = −1 + κ·left; the floor keeps a far point from reversing the step.
            let step = along / (1.0 - here.curvature * left).max(0.3);
            s += step;
            if step.abs() < 1e-12 {
                break;
            }
        }
        (s, self.at(s).to_local(x, y).1)
    }
}

impl Stand {
    /// How far ahead and how far to the left (`x`, `y`) lies, m.
    pub(super) fn to_local(self, x: f64, y: f64) -> (f64, f64) {
        let (sin, cos) = self.heading.sin_cos();
        let (dx, dy) = (x - self.x, y - self.y);
        (dx * cos + dy * sin, dy * cos - dx * sin)
    }
}

const NODES: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_361_98),
    (0.525_532_409_916_329_0, 0.313_706_645_877_887_29),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_47),
    (0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
];

/// Walks `length` along a piece whose curvature changes by `rate` per metre.
fn walk(from: Stand, rate: f64, length: f64) -> Stand {
    let turn = (from.curvature.abs() + (rate * length).abs()) * length.abs();
    let panels = (turn / 0.4).ceil().clamp(1.0, 10_000.0);
    let panel = length / panels;
    let mut here = from;
    let mut left = panels;
    while left > 0.5 {
        let heading =
            |u: f64| here.heading + here.curvature * u + rate * u * u / 2.0;
        let (mut x, mut y) = (0.0, 0.0);
        for (node, weight) in NODES {
            for place in [1.0 - node, 1.0 + node] {
                let (sin, cos) = heading(panel * place / 2.0).sin_cos();
                x += weight * cos;
                y += weight * sin;
            }
        }
        here = Stand {
            x: here.x + x * panel / 2.0,
            y: here.y + y * panel / 2.0,
            heading: heading(panel),
            curvature: here.curvature + rate * panel,
        };
        left -= 1.0;
    }
    here
}

#[cfg(test)]
mod tests {
    use super::*;

    const ORIGIN: Stand = Stand { x: 0.0, y: 0.0, heading: 0.0, curvature: 0.0 };

    #[test]
    fn the_quadrature_is_exact_for_powers_below_sixteen() {
        for power in (0..16).step_by(2) {
            let sum: f64 = NODES.iter().map(|(n, w)| 2.0 * w * n.powi(power)).sum();
            assert!((sum - 2.0 / (f64::from(power) + 1.0)).abs() < 1e-15, "{power}");
        }
    }

    #[test]
    fn a_clothoid_ends_where_the_fresnel_integrals_say() {
        // L = 0.6 m, R = 0.8 m. The integrals C and S by their power series (Abramowitz & Stegun
        // 7.3.11, 7.3.13): x = L Σ (−1)ⁿ τ²ⁿ/((2n)! (4n+1)), y = L Σ (−1)ⁿ τ²ⁿ⁺¹/((2n+1)! (4n+3)),
        // τ = L/2R = 0.375.
        let (length, radius) = (0.6_f64, 0.8);
        let tau: f64 = length / (2.0 * radius);
        let (mut x, mut y, mut term) = (0.0, 0.0, 1.0);
        for n in 0..12 {
            let m = f64::from(n);
            let sign = if n % 2 == 0 { 1.0 } else { -1.0 };
            x += sign * term / (4.0 * m + 1.0);
            term *= tau / (2.0 * m + 1.0);
            y += sign * term / (4.0 * m + 3.0);
            term *= tau / (2.0 * m + 2.0);
        }
        let end = Trace::new(ORIGIN, vec![0.0, length], &[0.0, 1.0 / radius]).at(length);
        assert!((end.x - length * x).abs() < 1e-15, "{}", end.x);
        assert!((end.y - length * y).abs() < 1e-15, "{}", end.y);
    }

    #[test]
    fn a_point_beside_a_circle_is_found_at_its_angle_and_distance() {
        let circle = Trace::new(ORIGIN, vec![0.0, 1.0], &[1.25, 1.25]);
        let (angle, radius): (f64, f64) = (0.7, 0.8 - 0.013);
        let (x, y) = (radius * angle.sin(), 0.8 - radius * angle.cos());
        let (s, left) = circle.project(x, y, 0.2);
        assert!((s - 0.8 * angle).abs() < 1e-12 && (left - 0.013).abs() < 1e-12);
    }
}
