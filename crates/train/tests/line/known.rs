//! Lines whose truth is known, and readings taken on them with seeded normal noise.
//!
//! The truth is laid by `track::Alignment`, whose clothoids are tested against the Fresnel series
//! elsewhere.

use gradeworthy_train::line::survey::{SurveyPoint, SurveyTerms, Versine};
use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment, Pose};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};

pub(crate) const ORIGIN: Origin = Origin {
    x: 0.3,
    y: -0.2,
    heading: 0.4,
    height: 1.0,
};
pub(crate) const FREE: SurveyTerms = SurveyTerms {
    reading_uncertainty: None,
    breakpoint_spacing: None,
};

/// Tangent, easement, 0.9 m curve to the left, easement, tangent, then 1.2 m to the right; the
/// profile goes from level through a vertical curve to 2 % and back to 0.5 %.
pub(crate) fn club_line() -> Alignment {
    let (left, right) = (1.0 / 0.9, -1.0 / 1.2);
    let plan = vec![
        PlanSegment::straight(2.0),
        PlanSegment::easement(0.5, 0.0, left),
        PlanSegment::arc(2.5, left),
        PlanSegment::easement(0.5, left, 0.0),
        PlanSegment::straight(1.5),
        PlanSegment::easement(0.4, 0.0, right),
        PlanSegment::arc(2.2, right),
        PlanSegment::easement(0.4, right, 0.0),
        PlanSegment::straight(2.0),
    ];
    let profile = vec![
        GradeSegment::steady(3.0, 0.0),
        GradeSegment::vertical_curve(1.0, 0.0, 0.02),
        GradeSegment::steady(4.0, 0.02),
        GradeSegment::vertical_curve(1.0, 0.02, 0.005),
        GradeSegment::steady(3.0, 0.005),
    ];
    Alignment::new(ORIGIN, plan, profile, vec![]).expect("the lists agree")
}

/// The same without any easement, as sectional track is laid.
pub(crate) fn sudden_line() -> Alignment {
    let plan = vec![
        PlanSegment::straight(2.0),
        PlanSegment::arc(3.0, 1.0 / 0.9),
        PlanSegment::straight(1.5),
        PlanSegment::arc(2.5, -1.0 / 1.2),
        PlanSegment::straight(3.0),
    ];
    Alignment::new(ORIGIN, plan, vec![GradeSegment::steady(12.0, 0.02)], vec![]).expect("agrees")
}

pub(crate) struct Noise(ChaCha8Rng, Normal<f64>);

impl Noise {
    pub(crate) fn new(seed: u64, sigma: f64) -> Self {
        Self(
            ChaCha8Rng::seed_from_u64(seed),
            Normal::new(0.0, sigma).expect("not negative"),
        )
    }

    pub(crate) fn draw(&mut self) -> f64 {
        self.1.sample(&mut self.0)
    }
}

pub(crate) fn stations(from: f64, to: f64, spacing: f64) -> Vec<f64> {
    let count = ((to - from) / spacing).round();
    let mut stations = vec![];
    while f64::from(u32::try_from(stations.len()).expect("few")) <= count {
        let k = f64::from(u32::try_from(stations.len()).expect("few"));
        stations.push(from + (to - from) * k / count);
    }
    stations
}

pub(crate) fn pose(line: &Alignment, s: f64) -> Pose {
    line.pose(s.clamp(0.0, line.length())).expect("on the line")
}

pub(crate) fn points(line: &Alignment, spacing: f64, noise: &mut Noise) -> Vec<SurveyPoint> {
    let mut point = |s: f64| {
        let p = pose(line, s);
        let height = Some(p.height + noise.draw());
        SurveyPoint {
            x: p.x + noise.draw(),
            y: p.y + noise.draw(),
            height,
        }
    };
    stations(0.0, line.length(), spacing)
        .into_iter()
        .map(&mut point)
        .collect()
}

/// A chord as it is laid: both ends on the track, `half` of arc to either side, and the rule at
/// its middle; the arc is found by bisection.
pub(crate) fn lay_chord(line: &Alignment, s: f64, chord: f64) -> Versine {
    let ends = |half: f64| (pose(line, s - half), pose(line, s + half));
    let (mut low, mut high) = (chord / 2.0, chord);
    for _ in 0..50 {
        let half = f64::midpoint(low, high);
        let (a, b) = ends(half);
        if (b.x - a.x).hypot(b.y - a.y) < chord {
            low = half
        } else {
            high = half
        }
    }
    let (a, b) = ends(low);
    let (x, y) = (f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y));
    let (sin, cos) = (b.y - a.y).atan2(b.x - a.x).sin_cos();
    let mut touched = s;
    let local = |s: f64| {
        let p = pose(line, s);
        (
            (p.x - x) * cos + (p.y - y) * sin,
            (p.y - y) * cos - (p.x - x) * sin,
        )
    };
    for _ in 0..30 {
        touched -= local(touched).0;
    }
    Versine {
        s: touched,
        chord,
        mid_ordinate: -local(touched).1,
    }
}

pub(crate) fn versines(
    line: &Alignment,
    spacing: f64,
    chord: f64,
    noise: &mut Noise,
) -> Vec<Versine> {
    let reach = chord * 0.6;
    let laid = stations(reach, line.length() - reach, spacing);
    let read = |s: f64| {
        let exact = lay_chord(line, s, chord);
        Versine {
            mid_ordinate: exact.mid_ordinate + noise.draw(),
            ..exact
        }
    };
    laid.into_iter().map(read).collect()
}
