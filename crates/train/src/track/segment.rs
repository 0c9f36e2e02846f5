//! The three lists a line is written in.

/// A stretch of plan whose curvature runs linearly: a straight, an arc, or a clothoid easement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanSegment {
    /// Plan arc length, m; greater than zero.
    pub length: f64,
    /// Curvature at the start, 1/m; positive turns left.
    pub curvature_start: f64,
    /// Curvature at the end, 1/m.
    pub curvature_end: f64,
}

impl PlanSegment {
    /// Straight track of `length` metres.
    #[must_use]
    pub const fn straight(length: f64) -> Self {
        Self {
            length,
            curvature_start: 0.0,
            curvature_end: 0.0,
        }
    }

    /// An arc of `length` metres and steady `curvature` (1/m, positive left).
    #[must_use]
    pub const fn arc(length: f64, curvature: f64) -> Self {
        Self {
            length,
            curvature_start: curvature,
            curvature_end: curvature,
        }
    }

    /// A clothoid easement of `length` metres from one curvature (1/m) to another.
    #[must_use]
    pub const fn easement(length: f64, curvature_start: f64, curvature_end: f64) -> Self {
        Self {
            length,
            curvature_start,
            curvature_end,
        }
    }

    /// Rate of change of curvature κ', 1/m².
    pub(crate) fn curvature_rate(&self) -> f64 {
        (self.curvature_end - self.curvature_start) / self.length
    }
}

/// A stretch of profile whose grade runs linearly: a steady grade or a parabolic vertical curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GradeSegment {
    /// Plan arc length, m; greater than zero.
    pub length: f64,
    /// Grade at the start, rise over plan length; positive uphill.
    pub grade_start: f64,
    /// Grade at the end, rise over plan length.
    pub grade_end: f64,
}

impl GradeSegment {
    /// A steady `grade` (rise over plan length) of `length` metres.
    #[must_use]
    pub const fn steady(length: f64, grade: f64) -> Self {
        Self {
            length,
            grade_start: grade,
            grade_end: grade,
        }
    }

    /// A parabolic vertical curve of `length` metres from one grade to another.
    #[must_use]
    pub const fn vertical_curve(length: f64, grade_start: f64, grade_end: f64) -> Self {
        Self {
            length,
            grade_start,
            grade_end,
        }
    }
}

/// The cant at one place; between two points it runs linearly, beyond the last it stays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CantPoint {
    /// Plan arc length from the start of the line, m.
    pub s: f64,
    /// Cant angle, rad; positive is rolled to the left (right rail high).
    pub cant: f64,
}
