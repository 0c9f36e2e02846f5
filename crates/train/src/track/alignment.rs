//! The line itself: three lists checked against each other, and the exact pose at any place.

use super::check::{AlignmentError, check_lists};
use super::cursor::{Cursor, OffTheLine, Panel, panels};
use super::integral::{displacement, turn};
use super::segment::{CantPoint, GradeSegment, PlanSegment};

/// Where the line starts and which way it points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Origin {
    /// Plan coordinate, m.
    pub x: f64,
    /// Plan coordinate, m; left of the x axis.
    pub y: f64,
    /// Heading, rad counter-clockwise from the x axis.
    pub heading: f64,
    /// Height of the rail top, m.
    pub height: f64,
}

/// The track at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Plan coordinate, m.
    pub x: f64,
    /// Plan coordinate, m.
    pub y: f64,
    /// Heading θ, rad, not reduced to one turn.
    pub heading: f64,
    /// Curvature κ, 1/m, positive left.
    pub curvature: f64,
    /// Height of the rail top, m.
    pub height: f64,
    /// Grade G, rise over plan length.
    pub grade: f64,
    /// Cant angle φ, rad, positive rolled to the left.
    pub cant: f64,
}

/// A line: plan, profile and cant over the same arc length, ready for fast evaluation.
///
/// # Example
/// ```
/// use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
/// let line = Alignment::new(
///     Origin::default(),
///     vec![PlanSegment::straight(2.0), PlanSegment::arc(1.0, 1.0 / 0.75)],
///     vec![GradeSegment::steady(3.0, 0.02)],
///     vec![],
/// )?;
/// assert!((line.pose(3.0)?.height - 0.06).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct Alignment {
    plan: Vec<PlanSegment>,
    profile: Vec<GradeSegment>,
    cant: Vec<CantPoint>,
    plan_starts: Vec<PlanStart>,
    profile_starts: Vec<ProfileStart>,
    panels: Vec<Panel>,
    length: f64,
}

/// The exact state at the start of a plan segment.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlanStart {
    pub(super) s: f64,
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) heading: f64,
}

/// The exact state at the start of a grade segment.
#[derive(Clone, Copy, Debug)]
pub(super) struct ProfileStart {
    pub(super) s: f64,
    pub(super) height: f64,
}

impl Alignment {
    /// A line from its three lists; an empty `cant` list means level track across.
    ///
    /// # Errors
    /// [`AlignmentError`] names the list, the entry and what is wrong with it.
    pub fn new(
        origin: Origin,
        plan: Vec<PlanSegment>,
        profile: Vec<GradeSegment>,
        cant: Vec<CantPoint>,
    ) -> Result<Self, AlignmentError> {
        let length = check_lists(&origin, &plan, &profile, &cant)?;
        let mut line = Self {
            plan_starts: plan_starts(&origin, &plan),
            profile_starts: profile_starts(&origin, &profile),
            plan,
            profile,
            cant,
            panels: Vec::new(),
            length,
        };
        line.panels = panels(&line);
        Ok(line)
    }

    /// Length of the line, m of plan arc.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.length
    }

    /// The plan segments, as given.
    #[must_use]
    pub fn plan(&self) -> &[PlanSegment] {
        &self.plan
    }

    /// The grade segments, as given.
    #[must_use]
    pub fn profile(&self) -> &[GradeSegment] {
        &self.profile
    }

    /// The cant points, as given.
    #[must_use]
    pub fn cant(&self) -> &[CantPoint] {
        &self.cant
    }

    /// The exact pose at `s` metres along the line; at a joint, that of the segment ahead.
    ///
    /// # Errors
    /// [`OffTheLine`] when `s` is not between 0 and the length.
    pub fn pose(&self, s: f64) -> Result<Pose, OffTheLine> {
        if !(0.0..=self.length).contains(&s) {
            return Err(OffTheLine {
                s,
                length: self.length,
            });
        }
        let index = self
            .plan_starts
            .partition_point(|start| start.s <= s)
            .saturating_sub(1);
        let (start, segment) = (self.plan_starts[index], self.plan[index]);
        let (u, rate) = (s - start.s, segment.curvature_rate());
        let (along, left) = displacement(segment.curvature_start, rate, u);
        let (sin, cos) = start.heading.sin_cos();
        let (height, grade) = self.height_and_grade(s);
        Ok(Pose {
            x: start.x + cos * along - sin * left,
            y: start.y + sin * along + cos * left,
            heading: start.heading + turn(segment.curvature_start, rate, u),
            curvature: segment.curvature_start + rate * u,
            height,
            grade,
            cant: self.cant_and_rate(s).0,
        })
    }

    /// An evaluator that remembers where it last stood, for many places close together.
    #[must_use]
    pub fn cursor(&self) -> Cursor<'_> {
        Cursor::new(&self.panels, self.length)
    }

    pub(super) fn height_and_grade(&self, s: f64) -> (f64, f64) {
        let index = self
            .profile_starts
            .partition_point(|start| start.s <= s)
            .saturating_sub(1);
        let (start, segment) = (self.profile_starts[index], self.profile[index]);
        let (u, rate) = (s - start.s, grade_rate(&segment));
        (
            start.height + turn(segment.grade_start, rate, u),
            segment.grade_start + rate * u,
        )
    }

    pub(super) fn grade_rate_at(&self, s: f64) -> f64 {
        let index = self
            .profile_starts
            .partition_point(|start| start.s <= s)
            .saturating_sub(1);
        grade_rate(&self.profile[index])
    }

    pub(super) fn cant_and_rate(&self, s: f64) -> (f64, f64) {
        let after = self.cant.partition_point(|point| point.s <= s);
        match (
            after.checked_sub(1).map(|i| self.cant[i]),
            self.cant.get(after),
        ) {
            (None, None) => (0.0, 0.0),
            (None, Some(first)) => (first.cant, 0.0),
            (Some(last), None) => (last.cant, 0.0),
            (Some(a), Some(b)) => {
                let rate = (b.cant - a.cant) / (b.s - a.s);
                (a.cant + rate * (s - a.s), rate)
            }
        }
    }

    /// Every place where one of the three lists changes its law, in order, ends included.
    pub(super) fn joints(&self) -> Vec<f64> {
        let starts = self.plan_starts.iter().map(|start| start.s);
        let grades = self.profile_starts.iter().map(|start| start.s);
        let cants = self.cant.iter().map(|point| point.s);
        let mut joints: Vec<f64> = starts
            .chain(grades)
            .chain(cants)
            .chain([self.length])
            .collect();
        joints.retain(|s| (0.0..=self.length).contains(s));
        joints.sort_by(f64::total_cmp);
        joints.dedup();
        joints
    }

    pub(super) fn plan_segment_at(&self, s: f64) -> (PlanStart, PlanSegment) {
        let index = self
            .plan_starts
            .partition_point(|start| start.s <= s)
            .saturating_sub(1);
        (self.plan_starts[index], self.plan[index])
    }
}

fn grade_rate(segment: &GradeSegment) -> f64 {
    (segment.grade_end - segment.grade_start) / segment.length
}

fn plan_starts(origin: &Origin, plan: &[PlanSegment]) -> Vec<PlanStart> {
    let mut at = PlanStart {
        s: 0.0,
        x: origin.x,
        y: origin.y,
        heading: origin.heading,
    };
    plan.iter()
        .map(|segment| {
            let start = at;
            let (along, left) = displacement(
                segment.curvature_start,
                segment.curvature_rate(),
                segment.length,
            );
            let (sin, cos) = start.heading.sin_cos();
            let mean = 0.5 * (segment.curvature_start + segment.curvature_end);
            at = PlanStart {
                s: start.s + segment.length,
                x: start.x + cos * along - sin * left,
                y: start.y + sin * along + cos * left,
                heading: start.heading + mean * segment.length,
            };
            start
        })
        .collect()
}

fn profile_starts(origin: &Origin, profile: &[GradeSegment]) -> Vec<ProfileStart> {
    let mut at = ProfileStart {
        s: 0.0,
        height: origin.height,
    };
    profile
        .iter()
        .map(|segment| {
            let start = at;
            let mean = 0.5 * (segment.grade_start + segment.grade_end);
            at = ProfileStart {
                s: start.s + segment.length,
                height: start.height + mean * segment.length,
            };
            start
        })
        .collect()
}
