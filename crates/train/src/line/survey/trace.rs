//! A curve of pieces with linear curvature, on breakpoints whose spacing the fit may change.
//!
//! Symbols: arc length s in m, heading θ in rad, curvature κ in 1/m (left positive).
//! [`crate::track::Alignment`] is the line once it is known; this is the curve while it still
//! moves, with points projected onto it and beyond its ends.

use crate::track::integral::{displacement, turn};

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
        debug_assert_eq!(breakpoints.len(), curvatures.len());
        let mut stands = Vec::with_capacity(curvatures.len());
        let mut here = Stand {
            curvature: curvatures[0],
            ..start
        };
        stands.push(here);
        for (piece, step) in breakpoints.windows(2).enumerate() {
            let length = step[1] - step[0];
            let rate = (curvatures[piece + 1] - curvatures[piece]) / length;
            here = Stand {
                curvature: curvatures[piece + 1],
                ..walk(here, rate, length)
            };
            stands.push(here);
        }
        Self {
            breakpoints,
            stands,
        }
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

    /// The same curve from `first` to `last`, which may lie a little inside or outside its ends,
    /// with arc lengths counted from there, and what was taken off every arc length.
    pub(super) fn trimmed(&self, first: f64, last: f64) -> (Self, f64) {
        let end = self.breakpoints.len() - 1;
        let inner = |k: usize, share: f64| {
            let (a, b) = (self.breakpoints[k], self.breakpoints[k + 1]);
            a + share * (b - a)
        };
        let first = first.min(inner(0, 0.5));
        let last = last.max(inner(end - 1, 0.5));
        let mut breakpoints: Vec<f64> = self.breakpoints.iter().map(|b| b - first).collect();
        (breakpoints[0], breakpoints[end]) = (0.0, last - first);
        let mut curvatures: Vec<f64> = self.stands.iter().map(|stand| stand.curvature).collect();
        curvatures[0] = self.at(first).curvature;
        curvatures[end] = self.at(last).curvature;
        (Self::new(self.at(first), breakpoints, &curvatures), first)
    }

    /// Whether every number is finite and no piece turns more than half round.
    pub(super) fn is_sane(&self) -> bool {
        self.stands
            .iter()
            .all(|stand| stand.x.is_finite() && stand.y.is_finite())
            && self
                .stands
                .windows(2)
                .zip(self.breakpoints.windows(2))
                .all(|(stands, s)| {
                    let turn = (stands[1].heading - stands[0].heading).abs();
                    let sharpest = stands[0].curvature.abs().max(stands[1].curvature.abs());
                    let most = std::f64::consts::PI;
                    turn < most && sharpest * (s[1] - s[0]) < most
                })
    }

    /// The arc length where the curve passes square to (`x`, `y`), near `guess`, and how far to
    /// the left of the curve that point lies.
    pub(super) fn project(&self, x: f64, y: f64, guess: f64) -> (f64, f64) {
        let last = self.breakpoints.len() - 1;
        let reach = (self.breakpoints[last] - self.breakpoints[0]) / 20.0;
        let (first, last) = (self.breakpoints[0] - reach, self.breakpoints[last] + reach);
        let mut s = guess.clamp(first, last);
        for _ in 0..30 {
            let here = self.at(s);
            let (along, left) = here.to_local(x, y);
            // d(along)/ds = −1 + κ·left; the floor keeps a far point from reversing the step.
            let step = along / (1.0 - here.curvature * left).max(0.3);
            s = (s + step).clamp(first, last);
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

/// Walks `length` along a piece whose curvature changes by `rate` per metre.
///
/// A piece that would turn more than a hundred times round is no track: its end is not a number.
fn walk(from: Stand, rate: f64, length: f64) -> Stand {
    let turns = (from.curvature.abs() + (rate * length).abs()) * length.abs();
    if turns.is_nan() || turns >= 100.0 * std::f64::consts::TAU {
        let none = f64::NAN;
        return Stand {
            x: none,
            y: none,
            heading: none,
            curvature: none,
        };
    }
    let (along, left) = displacement(from.curvature, rate, length);
    let (sin, cos) = from.heading.sin_cos();
    Stand {
        x: from.x + along * cos - left * sin,
        y: from.y + along * sin + left * cos,
        heading: from.heading + turn(from.curvature, rate, length),
        curvature: from.curvature + rate * length,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ORIGIN: Stand = Stand {
        x: 0.0,
        y: 0.0,
        heading: 0.0,
        curvature: 0.0,
    };

    #[test]
    fn a_point_beside_a_circle_is_found_at_its_angle_and_distance() {
        let circle = Trace::new(ORIGIN, vec![0.0, 1.0], &[1.25, 1.25]);
        let (angle, radius): (f64, f64) = (0.7, 0.8 - 0.013);
        let (x, y) = (radius * angle.sin(), 0.8 - radius * angle.cos());
        let (s, left) = circle.project(x, y, 0.2);
        assert!((s - 0.8 * angle).abs() < 1e-12 && (left - 0.013).abs() < 1e-12);
    }
}
