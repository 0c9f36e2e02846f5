//! What is wrong with a line before a train runs on it: findings with place, number, limit and
//! source.
//!
//! [`check_line`] runs every check that the given [`Limits`] make possible; a limit that is not
//! given is not guessed, and what it would have judged is then only stated.
//!
//! Validity: curvature, grade and cant are linear between the joints of the line, so that every
//! extreme lies at a joint and is found exactly. A loop is checked from end to end; what lies
//! across its joining point is not seen as one.
//!
//! Sources: [NEM-111], [NEM-113], [NEM-114]; the rule of one car length of vertical curve for each
//! percent is a forum quotation of 2014 (secondary); curve drag as a grade is in `grade`.

mod cant;
mod easement;
mod grade;
mod radius;
mod reverse;
mod vertical;
mod walk;

use gradeworthy_units::{Length, Ratio, Typed};

use super::design::LineDesign;
use super::laying::NamedSpan;
use super::survey::{Estimate, PlanFit, ProfileFit};
use crate::track::Alignment;

pub use grade::CurveRule;

/// A kind of car that the line has to take.
#[derive(Clone, Debug, PartialEq)]
pub struct CarKind {
    /// What the club calls it.
    pub name: String,
    /// Length over couplers, m.
    pub length: f64,
    /// Longest wheelbase that is held rigid, m.
    pub rigid_wheelbase: Option<f64>,
    /// The club's own smallest radius for it, m.
    pub radius_min: Option<f64>,
}

/// What the line is held against. What is `None` is not checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Track gauge G, m.
    pub gauge: Option<f64>,
    /// Distance between the middles of the rail heads, m, on which cant is a height.
    pub rail_spacing: Option<f64>,
    /// Scale, for curve rules by degree of curve.
    pub scale: Option<Ratio>,
    /// The cars that run here.
    pub cars: Vec<CarKind>,
    /// The club's own smallest radius, m.
    pub radius_min: Option<f64>,
    /// The club's own steepest grade, as a ratio.
    pub grade_max: Option<f64>,
    /// How curves count as grade.
    pub curve_rule: Option<CurveRule>,
    /// The twist of track that the stiffest car bears, as difference of cross level in m for
    /// each metre of track.
    pub twist_max: Option<f64>,
    /// Curvature below which track is taken for straight, 1/m.
    pub straight_below: f64,
    /// A jump of curvature below this is none, 1/m.
    pub curvature_jump_min: f64,
    /// A change of grade below this is none, as a ratio.
    pub grade_jump_min: f64,
}

impl Default for Limits {
    /// No limits; jumps and curves count from just above rounding, as for a designed line. For a
    /// surveyed one, set the last three from what the survey can tell apart.
    fn default() -> Self {
        Self {
            gauge: None,
            rail_spacing: None,
            scale: None,
            cars: Vec::new(),
            radius_min: None,
            grade_max: None,
            curve_rule: None,
            twist_max: None,
            straight_below: 1e-6,
            curvature_jump_min: 1e-6,
            grade_jump_min: 1e-9,
        }
    }
}

/// What was looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Check {
    /// Length of the line.
    Length,
    /// Smallest radius.
    Radius,
    /// Smallest radius for a rigid wheelbase, [NEM-111].
    RigidWheelbase,
    /// Straight track between opposite curves.
    ReverseCurve,
    /// A change of curvature without easement, [NEM-113].
    Easement,
    /// Length of a vertical curve.
    VerticalCurve,
    /// A sudden change of grade.
    GradeKink,
    /// Height of cant, [NEM-114].
    Cant,
    /// Cant with the inner rail high, or on straight track.
    CantSide,
    /// A cant ramp against its easement, [NEM-114].
    CantRamp,
    /// Twist of the track in a cant ramp.
    Twist,
    /// Steepest grade.
    Grade,
    /// Steepest grade with curves counted as grade.
    CompensatedGrade,
}

/// What a finding's numbers measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// m.
    Metres,
    /// 1/m.
    Curvature,
    /// Rise over run.
    Grade,
    /// Metres of cross level for each metre of track.
    Twist,
}

/// How a finding stands to its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Inside the limit, or on it.
    Within,
    /// Beyond the limit.
    Beyond,
    /// There is no limit to hold it against.
    Stated,
}

/// One thing about the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What was looked at.
    pub check: Check,
    /// How it stands.
    pub outcome: Outcome,
    /// Where it starts, m.
    pub from: f64,
    /// Where it ends, m.
    pub to: f64,
    /// The named places that it touches.
    pub places: Vec<String>,
    /// The number found.
    pub number: f64,
    /// The limit, where there is one.
    pub limit: Option<f64>,
    /// What both measure.
    pub measure: Measure,
    /// The limit's source.
    pub source: &'static str,
    /// The car that the limit is for, or what else bears on it.
    pub about: String,
}

/// Everything that can be said of a line under these limits, in order along the line.
#[must_use]
pub fn check_line(line: &Alignment, places: &[NamedSpan], limits: &Limits) -> Vec<Finding> {
    let mut findings = vec![Finding::stated(
        Check::Length,
        (0.0, line.length()),
        line.length(),
        Measure::Metres,
    )];
    radius::check(line, limits, &mut findings);
    reverse::check(line, limits, &mut findings);
    easement::check(line, limits, &mut findings);
    vertical::check(line, limits, &mut findings);
    cant::check(line, limits, &mut findings);
    grade::check(line, limits, &mut findings);
    for finding in &mut findings {
        let touches = |place: &&NamedSpan| place.from <= finding.to && place.to >= finding.from;
        finding.places = places
            .iter()
            .filter(touches)
            .map(|place| place.name.clone())
            .collect();
    }
    findings.sort_by(|a, b| a.from.total_cmp(&b.from));
    findings
}

/// A limit with its side.
#[derive(Clone, Copy)]
enum Bound {
    AtLeast(f64),
    AtMost(f64),
}

/// Differences of one part in 10⁹ are rounding: a radius typed as the limit is on it.
const ROUNDING: f64 = 1e-9;

impl Finding {
    fn stated(check: Check, (from, to): (f64, f64), number: f64, measure: Measure) -> Self {
        Self {
            check,
            outcome: Outcome::Stated,
            from,
            to,
            places: Vec::new(),
            number,
            limit: None,
            measure,
            source: "",
            about: String::new(),
        }
    }

    fn against(self, bound: Bound, source: &'static str) -> Self {
        let (limit, beyond) = match bound {
            Bound::AtLeast(limit) => (limit, self.number < limit * (1.0 - ROUNDING)),
            Bound::AtMost(limit) => (limit, self.number > limit * (1.0 + ROUNDING)),
        };
        let outcome = if beyond {
            Outcome::Beyond
        } else {
            Outcome::Within
        };
        Self {
            outcome,
            limit: Some(limit),
            source,
            ..self
        }
    }

    fn about(self, about: impl Into<String>) -> Self {
        Self {
            about: about.into(),
            ..self
        }
    }
}

impl Limits {
    /// No limits but what the design itself states: gauge, rail spacing and scale.
    #[must_use]
    pub fn for_design(design: &LineDesign) -> Self {
        let metres = |typed: &Option<Typed>| {
            let length = Length::try_from(typed.as_ref()?.amount).ok()?;
            Some(length.metres())
        };
        Self {
            gauge: metres(&design.gauge),
            rail_spacing: metres(&design.rail_spacing),
            scale: design.scale,
            ..Self::default()
        }
    }

    /// The same limits for a surveyed line: what the survey cannot tell from straight track is
    /// taken for straight, what it cannot tell from a steady grade for steady, and no jump of
    /// curvature is looked for, since a survey shows none.
    ///
    /// A sudden change of a surveyed line looks as long as its resolution says, and is therefore
    /// not reported as a missing easement.
    #[must_use]
    pub fn for_survey(self, plan: &PlanFit, profile: Option<&ProfileFit>) -> Self {
        let grade = profile.map_or(self.grade_jump_min, |profile| widest_95(&profile.grade));
        Self {
            straight_below: widest_95(&plan.curvature),
            grade_jump_min: grade,
            ..self
        }
    }

    fn longest_car(&self) -> Option<&CarKind> {
        self.cars
            .iter()
            .max_by(|a, b| a.length.total_cmp(&b.length))
    }
}

/// The widest half of a 95 % interval, leaving out the ends, which are known least and do not
/// speak for the line between them.
fn widest_95(estimates: &[Estimate]) -> f64 {
    let half = |estimate: &Estimate| {
        let (low, high) = estimate.interval_95();
        (high - low) / 2.0
    };
    let inner = estimates.len().saturating_sub(4).max(1);
    estimates
        .iter()
        .skip(2)
        .take(inner)
        .map(half)
        .fold(0.0, f64::max)
}
