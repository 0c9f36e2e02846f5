//! Fast evaluation: the line cut into panels so short that a few powers replace sine and cosine.
//!
//! Each panel turns at most [`PANEL_TURN`] and lies inside one segment of each list, so within it
//! curvature, grade and cant are linear. Its start is taken from the exact pose; inside it
//! cos δ and sin δ are their Taylor polynomials to δ⁹ and the displacement is the arc's chord
//! (steady curvature) or a 4-point Gauss rule (clothoid).
//! Truncation is below 1e-16 of a radian and of the panel's length; the test holds the cursor to
//! 1e-13 m of the exact pose on a line of ten metres.

use super::alignment::Alignment;

/// Greatest turn of one panel, rad.
const PANEL_TURN: f64 = 0.1;

/// A place that is not on the line.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{s} m is off the line, which runs from 0 to {length} m")]
pub struct OffTheLine {
    /// The place asked for, m.
    pub s: f64,
    /// Length of the line, m.
    pub length: f64,
}

/// The track at one place, with its heading as a unit vector.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RailPoint {
    /// Plan coordinate, m.
    pub x: f64,
    /// Plan coordinate, m.
    pub y: f64,
    /// x component of the unit tangent.
    pub tangent_x: f64,
    /// y component of the unit tangent.
    pub tangent_y: f64,
    /// Curvature κ, 1/m, positive left.
    pub curvature: f64,
    /// Height of the rail top, m.
    pub height: f64,
    /// Grade G, rise over plan length.
    pub grade: f64,
    /// Cant angle φ, rad, positive rolled to the left.
    pub cant: f64,
}

impl RailPoint {
    /// The point `ds` metres on, for a step so short that only first order counts.
    #[inline]
    pub(crate) fn shifted(self, ds: f64) -> Self {
        let turn = self.curvature * ds;
        Self {
            x: self.x + self.tangent_x * ds,
            y: self.y + self.tangent_y * ds,
            tangent_x: self.tangent_x - turn * self.tangent_y,
            tangent_y: self.tangent_y + turn * self.tangent_x,
            height: self.height + self.grade * ds,
            ..self
        }
    }
}

/// A stretch of line in which every law is linear and the turn is small.
#[derive(Clone, Copy, Debug)]
pub(super) struct Panel {
    s: f64,
    start: RailPoint,
    curvature_rate: f64,
    grade_rate: f64,
    cant_rate: f64,
}

/// Cuts a line into panels.
pub(super) fn panels(line: &Alignment) -> Vec<Panel> {
    let joints = line.joints();
    let mut panels = Vec::new();
    for pair in joints.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let middle = 0.5 * (from + to);
        let (_, segment) = line.plan_segment_at(middle);
        let steepest = segment
            .curvature_start
            .abs()
            .max(segment.curvature_end.abs());
        let count = (steepest * (to - from) / PANEL_TURN).ceil().max(1.0);
        let step = (to - from) / count;
        let mut k = 0.0;
        while k < count {
            panels.extend(panel(line, from + k * step));
            k += 1.0;
        }
    }
    panels
}

/// The panel that starts at `s`; `None` only off the line, which no joint is.
fn panel(line: &Alignment, s: f64) -> Option<Panel> {
    let pose = line.pose(s).ok()?;
    let (tangent_y, tangent_x) = pose.heading.sin_cos();
    Some(Panel {
        s,
        start: RailPoint {
            x: pose.x,
            y: pose.y,
            tangent_x,
            tangent_y,
            curvature: pose.curvature,
            height: pose.height,
            grade: pose.grade,
            cant: pose.cant,
        },
        curvature_rate: line.plan_segment_at(s).1.curvature_rate(),
        grade_rate: line.grade_rate_at(s),
        cant_rate: line.cant_and_rate(s).1,
    })
}

/// An evaluator that remembers where it last stood.
#[derive(Clone, Debug)]
pub struct Cursor<'line> {
    panels: &'line [Panel],
    length: f64,
    at: usize,
}

impl<'line> Cursor<'line> {
    pub(super) fn new(panels: &'line [Panel], length: f64) -> Self {
        Self {
            panels,
            length,
            at: 0,
        }
    }

    /// Length of the line, m.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.length
    }

    /// The track at `s` metres along the line.
    ///
    /// # Errors
    /// [`OffTheLine`] when `s` is not between 0 and the length.
    #[inline]
    pub fn at(&mut self, s: f64) -> Result<RailPoint, OffTheLine> {
        if s >= 0.0 && s <= self.length {
            Ok(self.find(s).at(s))
        } else {
            Err(OffTheLine {
                s,
                length: self.length,
            })
        }
    }

    #[inline]
    fn find(&mut self, s: f64) -> &'line Panel {
        while self.at > 0 && self.panels[self.at].s > s {
            self.at -= 1;
        }
        while self.at + 1 < self.panels.len() && self.panels[self.at + 1].s <= s {
            self.at += 1;
        }
        &self.panels[self.at]
    }
}

impl Panel {
    #[inline]
    fn at(&self, s: f64) -> RailPoint {
        let u = s - self.s;
        let start = &self.start;
        let (sin, cos) = sin_cos(u * (start.curvature + 0.5 * self.curvature_rate * u));
        let (along, left) = self.displacement(u);
        RailPoint {
            x: start.x + start.tangent_x * along - start.tangent_y * left,
            y: start.y + start.tangent_y * along + start.tangent_x * left,
            tangent_x: start.tangent_x * cos - start.tangent_y * sin,
            tangent_y: start.tangent_y * cos + start.tangent_x * sin,
            curvature: start.curvature + self.curvature_rate * u,
            height: start.height + u * (start.grade + 0.5 * self.grade_rate * u),
            grade: start.grade + self.grade_rate * u,
            cant: start.cant + self.cant_rate * u,
        }
    }

    #[inline]
    fn displacement(&self, u: f64) -> (f64, f64) {
        if self.curvature_rate == 0.0 {
            let half = 0.5 * self.start.curvature * u;
            let (sin, cos) = sin_cos(half);
            let chord = u * sinc(half);
            return (chord * cos, chord * sin);
        }
        let (mut along, mut left) = (0.0, 0.0);
        for (node, weight) in GAUSS_4 {
            let v = u * node;
            let (sin, cos) = sin_cos(v * (self.start.curvature + 0.5 * self.curvature_rate * v));
            along += weight * cos;
            left += weight * sin;
        }
        (u * along, u * left)
    }
}

/// Nodes and weights of the 4-point Gauss-Legendre rule on [0, 1].
/// Written from memory; the agreement with the exact pose proves them.
const GAUSS_4: [(f64, f64); 4] = [
    (0.069_431_844_202_973_71, 0.173_927_422_568_726_92),
    (0.330_009_478_207_571_9, 0.326_072_577_431_273_1),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_1),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_92),
];

/// Sine and cosine of an angle of at most [`PANEL_TURN`].
#[inline]
fn sin_cos(t: f64) -> (f64, f64) {
    let q = t * t;
    let cos = 1.0 - q * (0.5 - q * (1.0 / 24.0 - q * (1.0 / 720.0 - q * (1.0 / 40_320.0))));
    (t * sinc_of_square(q), cos)
}

#[inline]
fn sinc(t: f64) -> f64 {
    sinc_of_square(t * t)
}

#[inline]
fn sinc_of_square(q: f64) -> f64 {
    1.0 - q * (1.0 / 6.0 - q * (1.0 / 120.0 - q * (1.0 / 5040.0 - q * (1.0 / 362_880.0))))
}

#[cfg(test)]
mod tests {
    use super::super::{CantPoint, GradeSegment, Origin, PlanSegment};
    use super::*;

    fn winding_line() -> Alignment {
        Alignment::new(
            Origin {
                x: 0.3,
                y: -0.2,
                heading: 1.0,
                height: 0.9,
            },
            vec![
                PlanSegment::straight(1.0),
                PlanSegment::easement(0.5, 0.0, 1.0 / 0.6),
                PlanSegment::arc(2.5, 1.0 / 0.6),
                PlanSegment::easement(1.0, 1.0 / 0.6, -1.0 / 0.5),
                PlanSegment::arc(4.0, -2.0),
                PlanSegment::straight(1.0),
            ],
            vec![
                GradeSegment::steady(3.3, 0.02),
                GradeSegment::vertical_curve(0.6, 0.02, -0.01),
                GradeSegment::steady(6.1, -0.01),
            ],
            vec![
                CantPoint { s: 1.0, cant: 0.0 },
                CantPoint { s: 1.5, cant: 0.05 },
            ],
        )
        .expect("a sound line")
    }

    #[test]
    fn the_cursor_stands_where_the_exact_pose_does() {
        let line = winding_line();
        let mut cursor = line.cursor();
        for k in 0..=10_000 {
            let s = line.length() * f64::from((k * 7919) % 10_001) / 10_000.0;
            let (fast, exact) = (cursor.at(s).expect("on it"), line.pose(s).expect("on it"));
            let (sin, cos) = exact.heading.sin_cos();
            let miss = [
                fast.x - exact.x,
                fast.y - exact.y,
                fast.tangent_x - cos,
                fast.tangent_y - sin,
                fast.curvature - exact.curvature,
                fast.height - exact.height,
                fast.grade - exact.grade,
                fast.cant - exact.cant,
            ];
            assert!(miss.iter().all(|m| m.abs() < 1e-13), "at {s}: {miss:?}");
        }
    }

    #[test]
    fn off_the_line_is_refused_with_the_place_and_the_length() {
        let line = winding_line();
        let refusal = line.cursor().at(10.5).expect_err("beyond the end");
        assert_eq!(
            refusal.to_string(),
            "10.5 m is off the line, which runs from 0 to 10 m"
        );
        assert!(line.cursor().at(f64::NAN).is_err());
        assert!(line.pose(-0.1).is_err());
    }
}
