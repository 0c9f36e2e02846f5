//! The line itself: three lists checked against each other, and the exact pose at any place.

use super::cursor::{Cursor, OffTheLine, Panel, panels};
use super::integral::{displacement, turn};
use super::segment::{CantPoint, GradeSegment, PlanSegment};

/// Greatest difference between plan length and profile length, m.
///
/// ASSUMED: a micrometre, far below what a survey can tell and far above rounding; the profile is
/// carried on at its last grade over such a gap, which moves the height by less than 1 µm.
const LENGTH_AGREEMENT: f64 = 1e-6;

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

/// Which of the three lists of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layer {
    /// The plan segments.
    Plan,
    /// The grade segments.
    Profile,
    /// The cant points.
    Cant,
}

impl std::fmt::Display for Layer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Plan => "plan segment",
            Self::Profile => "grade segment",
            Self::Cant => "cant point",
        })
    }
}

/// A line that cannot be built as written. Indices count from 0.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum AlignmentError {
    /// A list without which there is no line is empty.
    #[error("the line has no {layer}: at least one is needed")]
    Empty {
        /// The empty list.
        layer: Layer,
    },
    /// A number that is not finite.
    #[error("{layer} {index}: {quantity} is {value}: a finite number is needed")]
    NotFinite {
        /// The list.
        layer: Layer,
        /// Position in the list.
        index: usize,
        /// What the number was meant to be.
        quantity: &'static str,
        /// The number found.
        value: f64,
    },
    /// A segment of no length or less.
    #[error("{layer} {index}: length is {length} m: it must be greater than zero")]
    NoLength {
        /// The list.
        layer: Layer,
        /// Position in the list.
        index: usize,
        /// Length found, m.
        length: f64,
    },
    /// Plan and profile end at different places.
    #[error(
        "the plan is {plan_m} m long and the profile {profile_m} m: both must cover the same track; \
         lengthen or shorten the last segment of one of them"
    )]
    LengthsDiffer {
        /// Sum of the plan segments, m.
        plan_m: f64,
        /// Sum of the grade segments, m.
        profile_m: f64,
    },
    /// Cant points that do not go forward, or lie off the line.
    #[error(
        "cant point {index} stands at {s} m: points must grow along the line and lie between 0 and {length} m"
    )]
    CantOutOfOrder {
        /// Position in the list.
        index: usize,
        /// Its place, m.
        s: f64,
        /// Length of the line, m.
        length: f64,
    },
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
        check_origin(&origin)?;
        check_plan(&plan)?;
        check_profile(&profile)?;
        let plan_m: f64 = plan.iter().map(|segment| segment.length).sum();
        let profile_m: f64 = profile.iter().map(|segment| segment.length).sum();
        if (profile_m - plan_m).abs() > LENGTH_AGREEMENT {
            return Err(AlignmentError::LengthsDiffer { plan_m, profile_m });
        }
        check_cant(&cant, plan_m)?;
        let mut line = Self {
            plan_starts: plan_starts(&origin, &plan),
            profile_starts: profile_starts(&origin, &profile),
            plan,
            profile,
            cant,
            panels: Vec::new(),
            length: plan_m,
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

fn finite(
    layer: Layer,
    index: usize,
    quantity: &'static str,
    value: f64,
) -> Result<(), AlignmentError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(AlignmentError::NotFinite {
            layer,
            index,
            quantity,
            value,
        })
    }
}

fn check_origin(origin: &Origin) -> Result<(), AlignmentError> {
    finite(Layer::Plan, 0, "x of the origin", origin.x)?;
    finite(Layer::Plan, 0, "y of the origin", origin.y)?;
    finite(Layer::Plan, 0, "heading of the origin", origin.heading)?;
    finite(Layer::Profile, 0, "height of the origin", origin.height)
}

fn check_length(layer: Layer, index: usize, length: f64) -> Result<(), AlignmentError> {
    finite(layer, index, "length", length)?;
    if length > 0.0 {
        Ok(())
    } else {
        Err(AlignmentError::NoLength {
            layer,
            index,
            length,
        })
    }
}

fn check_plan(plan: &[PlanSegment]) -> Result<(), AlignmentError> {
    for (index, segment) in plan.iter().enumerate() {
        check_length(Layer::Plan, index, segment.length)?;
        finite(
            Layer::Plan,
            index,
            "curvature at the start",
            segment.curvature_start,
        )?;
        finite(
            Layer::Plan,
            index,
            "curvature at the end",
            segment.curvature_end,
        )?;
    }
    if plan.is_empty() {
        Err(AlignmentError::Empty { layer: Layer::Plan })
    } else {
        Ok(())
    }
}

fn check_profile(profile: &[GradeSegment]) -> Result<(), AlignmentError> {
    for (index, segment) in profile.iter().enumerate() {
        check_length(Layer::Profile, index, segment.length)?;
        finite(
            Layer::Profile,
            index,
            "grade at the start",
            segment.grade_start,
        )?;
        finite(Layer::Profile, index, "grade at the end", segment.grade_end)?;
    }
    if profile.is_empty() {
        Err(AlignmentError::Empty {
            layer: Layer::Profile,
        })
    } else {
        Ok(())
    }
}

fn check_cant(cant: &[CantPoint], length: f64) -> Result<(), AlignmentError> {
    let mut before = f64::NEG_INFINITY;
    for (index, point) in cant.iter().enumerate() {
        finite(Layer::Cant, index, "place", point.s)?;
        finite(Layer::Cant, index, "cant", point.cant)?;
        if point.s <= before || point.s < 0.0 || point.s > length + LENGTH_AGREEMENT {
            return Err(AlignmentError::CantOutOfOrder {
                index,
                s: point.s,
                length,
            });
        }
        before = point.s;
    }
    Ok(())
}
