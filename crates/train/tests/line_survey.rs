//! Surveys of lines whose truth is known: how near the fit comes, and how often its stated
//! interval holds the truth.
//!
//! The truth is laid by `track::Alignment`, whose clothoids are tested against the Fresnel series
//! elsewhere; the readings get seeded normal noise.

use gradeworthy_train::line::checks::{CarKind, Check, Limits, Outcome, check_line};
use gradeworthy_train::line::survey::{
    Estimate, GradeReading, HeightReading, PlanFit, ProfileFit, Resolution, Standing, SurveyPoint,
    SurveyTerms, Versine, estimate_at, fit_levels, fit_points, fit_survey, fit_versines, lay_fit,
};
use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment, Pose};
use proptest::prelude::{prop, prop_assert, proptest};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};

const ORIGIN: Origin = Origin {
    x: 0.3,
    y: -0.2,
    heading: 0.4,
    height: 1.0,
};
const FREE: SurveyTerms = SurveyTerms {
    reading_uncertainty: None,
    breakpoint_spacing: None,
};

/// Tangent, easement, 0.9 m curve to the left, easement, tangent, then 1.2 m to the right; the
/// profile goes from level through a vertical curve to 2 % and back to 0.5 %.
fn club_line() -> Alignment {
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
fn sudden_line() -> Alignment {
    let plan = vec![
        PlanSegment::straight(2.0),
        PlanSegment::arc(3.0, 1.0 / 0.9),
        PlanSegment::straight(1.5),
        PlanSegment::arc(2.5, -1.0 / 1.2),
        PlanSegment::straight(3.0),
    ];
    Alignment::new(ORIGIN, plan, vec![GradeSegment::steady(12.0, 0.02)], vec![]).expect("agrees")
}

struct Noise(ChaCha8Rng, Normal<f64>);

impl Noise {
    fn new(seed: u64, sigma: f64) -> Self {
        Self(
            ChaCha8Rng::seed_from_u64(seed),
            Normal::new(0.0, sigma).expect("not negative"),
        )
    }

    fn draw(&mut self) -> f64 {
        self.1.sample(&mut self.0)
    }
}

fn stations(from: f64, to: f64, spacing: f64) -> Vec<f64> {
    let count = ((to - from) / spacing).round();
    let mut stations = vec![];
    while f64::from(u32::try_from(stations.len()).expect("few")) <= count {
        let k = f64::from(u32::try_from(stations.len()).expect("few"));
        stations.push(from + (to - from) * k / count);
    }
    stations
}

fn pose(line: &Alignment, s: f64) -> Pose {
    line.pose(s.clamp(0.0, line.length())).expect("on the line")
}

fn points(line: &Alignment, spacing: f64, noise: &mut Noise) -> Vec<SurveyPoint> {
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
fn lay_chord(line: &Alignment, s: f64, chord: f64) -> Versine {
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

fn versines(line: &Alignment, spacing: f64, chord: f64, noise: &mut Noise) -> Vec<Versine> {
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

/// Share of the stated 95 % intervals that hold the truth, over 30 surveys, and whether the
/// surveys call themselves sparse.
fn coverage(
    truth: impl Fn(f64) -> f64,
    survey: impl Fn(u64) -> (Vec<Estimate>, Resolution),
) -> (f64, bool) {
    let (mut held, mut stated, mut sparse) = (0.0, 0.0, 0);
    for (estimates, resolution) in (0..30).map(survey) {
        sparse += i32::from(resolution.is_sparse());
        for estimate in estimates {
            let (low, high) = estimate.interval_95();
            held += if (low..=high).contains(&truth(estimate.s)) {
                1.0
            } else {
                0.0
            };
            stated += 1.0;
        }
    }
    (held / stated, sparse > 7)
}

/// Where a survey is not sparse the interval must hold at its rate; where it is, it says so.
fn check_coverage(name: &str, (found, sparse): (f64, bool)) {
    let wanted = if sparse { 0.70..=1.00 } else { 0.90..=0.99 };
    assert!(wanted.contains(&found), "{name}: {found}, sparse: {sparse}");
}

fn of_plan(fit: PlanFit) -> (Vec<Estimate>, Resolution) {
    (fit.curvature, fit.resolution)
}

#[test]
fn the_interval_of_curvature_from_points_holds_at_its_rate() {
    for (name, line) in [("eased", club_line()), ("sudden", sudden_line())] {
        for (spacing, sigma) in [(0.05, 0.0005), (0.1, 0.0005), (0.1, 0.002), (0.2, 0.001)] {
            for reading_uncertainty in [None, Some(sigma)] {
                let terms = SurveyTerms {
                    reading_uncertainty,
                    ..FREE
                };
                let found = coverage(
                    |s| pose(&line, s).curvature,
                    |seed| {
                        let points = points(&line, spacing, &mut Noise::new(seed, sigma));
                        of_plan(fit_points(&points, terms).expect("settles"))
                    },
                );
                check_coverage(
                    &format!("{name} {spacing} {sigma} {reading_uncertainty:?}"),
                    found,
                );
            }
        }
    }
}

#[test]
fn the_interval_of_curvature_from_versines_holds_at_its_rate() {
    for (name, line) in [("eased", club_line()), ("sudden", sudden_line())] {
        for (spacing, chord, sigma) in
            [(0.05, 0.2, 0.0002), (0.1, 0.2, 0.0003), (0.15, 0.3, 0.0005)]
        {
            let found = coverage(
                |s| pose(&line, s).curvature,
                |seed| {
                    let read = versines(&line, spacing, chord, &mut Noise::new(seed, sigma));
                    of_plan(fit_versines(&read, FREE).expect("fits"))
                },
            );
            check_coverage(&format!("{name} {spacing} {chord} {sigma}"), found);
        }
    }
}

#[test]
fn the_interval_of_grade_holds_at_its_rate() {
    let line = club_line();
    let grade = |s: f64| pose(&line, s).grade;
    let of_profile = |fit: ProfileFit| (fit.grade, fit.resolution);
    for (spacing, sigma) in [(0.1, 0.0002), (0.25, 0.0005), (0.25, 0.0001)] {
        let heights = |seed: u64| {
            let mut noise = Noise::new(seed, sigma);
            let read = |s: f64| HeightReading {
                s,
                height: pose(&line, s).height + noise.draw(),
            };
            stations(0.0, 12.0, spacing)
                .into_iter()
                .map(read)
                .collect::<Vec<_>>()
        };
        let fit = |seed| of_profile(fit_levels(&heights(seed), &[], FREE).expect("fits"));
        check_coverage(&format!("heights {spacing} {sigma}"), coverage(grade, fit));
        let grades = |seed: u64| {
            let (mut noise, base) = (Noise::new(seed, sigma), 0.3);
            let rise =
                |s: f64| pose(&line, s + base / 2.0).height - pose(&line, s - base / 2.0).height;
            let read = |s: f64| GradeReading {
                s,
                base,
                grade: (rise(s) + noise.draw()) / base,
            };
            stations(0.15, 11.85, spacing)
                .into_iter()
                .map(read)
                .collect::<Vec<_>>()
        };
        let fit = |seed| of_profile(fit_levels(&[], &grades(seed), FREE).expect("fits"));
        check_coverage(&format!("grades {spacing} {sigma}"), coverage(grade, fit));
    }
}

fn worst(estimates: &[Estimate], truth: impl Fn(f64) -> f64) -> f64 {
    estimates
        .iter()
        .map(|e| (e.value - truth(e.s)).abs())
        .fold(0.0, f64::max)
}

#[test]
fn without_noise_a_circle_and_a_tangent_come_back_exactly() {
    for curvature in [0.0, 1.0 / 0.6, -1.0 / 0.6] {
        let line = Alignment::new(
            ORIGIN,
            vec![PlanSegment::arc(3.0, curvature)],
            vec![GradeSegment::steady(3.0, 0.025)],
            vec![],
        )
        .expect("a line");
        let mut none = Noise::new(1, 0.0);
        let (plan, profile) = fit_survey(&points(&line, 0.1, &mut none), FREE, FREE).expect("fits");
        let found = worst(&plan.curvature, |_| curvature);
        assert!(found < 1e-6, "{curvature} {found}");
        assert!((plan.length() - 3.0).abs() < 1e-7, "{}", plan.length());
        assert!((plan.origin.heading - ORIGIN.heading).abs() < 1e-7);
        let profile = profile.expect("heights were given");
        assert!(worst(&profile.grade, |_| 0.025) < 1e-8);
        let read = versines(&line, 0.1, 0.2, &mut none);
        let versines = fit_versines(&read, FREE).expect("fits");
        assert!(
            worst(&versines.curvature, |_| curvature) < 1e-8,
            "{curvature}"
        );
    }
}

#[test]
fn without_noise_a_line_comes_back_within_its_breakpoints() {
    // Between breakpoints h apart curvature is linear, so a corner where κ′ jumps by J is missed by
    // at most about J h/4, and everything else by less: here J = 1.11/0.5 m⁻².
    let (line, spacing) = (club_line(), 0.05);
    let corner = 1.0 / 0.9 / 0.5 * spacing;
    let points = points(&line, spacing, &mut Noise::new(1, 0.0));
    let (plan, profile) = fit_survey(&points, FREE, FREE).expect("fits");
    let found = worst(&plan.curvature, |s| pose(&line, s).curvature);
    assert!(found < corner / 2.0, "{found} {corner}");
    let laid = lay_fit(&plan, profile.as_ref()).expect("a line");
    for s in stations(0.0, laid.length(), 0.37) {
        let (found, truth) = (pose(&laid, s), pose(&line, s));
        assert!(
            (found.x - truth.x).hypot(found.y - truth.y) < 2e-5,
            "{s}: {found:?} {truth:?}"
        );
        assert!((found.height - truth.height).abs() < 2e-5, "{s}");
    }
}

#[test]
fn a_point_that_is_off_is_named_with_how_far() {
    let line = club_line();
    let mut points = points(&line, 0.1, &mut Noise::new(5, 0.0003));
    let there = pose(&line, 3.6);
    points[36].x -= 0.0021 * there.heading.sin();
    points[36].y += 0.0021 * there.heading.cos();
    points[80].y += 0.012;
    let fit = fit_points(&points, FREE).expect("settles");
    let aside: Vec<_> = fit
        .misfits
        .iter()
        .filter(|m| m.standing == Standing::SetAside)
        .collect();
    let numbers: Vec<_> = aside.iter().map(|m| m.number).collect();
    assert_eq!(numbers, [37, 81]);
    assert!(
        (aside[0].off_by - 0.0021).abs() < 3.0 * 0.0003 * 1.5,
        "{:?}",
        aside[0]
    );
    assert!(
        (0.0002..0.0004).contains(&fit.reading_uncertainty),
        "{}",
        fit.reading_uncertainty
    );
    let found = worst(&fit.curvature[3..120], |s| pose(&line, s).curvature);
    assert!(found < 0.25, "{found}");
}

#[test]
fn a_sudden_curve_is_not_taken_for_bad_points() {
    for seed in 0..10 {
        let points = points(&sudden_line(), 0.15, &mut Noise::new(seed, 0.0003));
        let fit = fit_points(&points, FREE).expect("settles");
        let aside = fit
            .misfits
            .iter()
            .filter(|m| m.standing == Standing::SetAside)
            .count();
        assert_eq!(aside, 0, "seed {seed}");
    }
}

#[test]
fn a_sudden_change_looks_as_long_as_the_resolution_says() {
    let line = sudden_line();
    let (mut sum, mut stated, surveys) = (vec![0.0; 241], 0.0, 30);
    for seed in 0..surveys {
        let points = points(&line, 0.05, &mut Noise::new(seed, 0.0005));
        let terms = SurveyTerms {
            reading_uncertainty: Some(0.0005),
            ..FREE
        };
        let fit = fit_points(&points, terms).expect("settles");
        stated += fit.resolution.shortest_transition;
        let at = |k: usize| estimate_at(&fit.curvature, 1.4 + 0.005 * k as f64).expect("some");
        (0..241).for_each(|k| sum[k] += at(k).value * 0.9);
    }
    let n = 30.0;
    let passes = |level: f64| sum.iter().position(|&k| k / n > level).expect("it rises") as f64;
    let rise = 0.005 * (passes(0.9) - passes(0.1)) / 0.8;
    let stated = stated / n;
    assert!(
        (rise / stated - 1.0).abs() < 0.25,
        "looks {rise} m long, stated {stated} m"
    );
}

#[test]
fn the_radius_of_a_whole_arc_is_known_better_than_at_one_place() {
    let line = club_line();
    let (mut held, surveys) = (0, 100);
    for seed in 0..surveys {
        let points = points(&line, 0.1, &mut Noise::new(seed, 0.0005));
        let fit = fit_points(&points, FREE).expect("settles");
        let arc = fit.mean_between(2.8, 4.7).expect("an arc");
        let middle = estimate_at(&fit.curvature, 3.7).expect("a place");
        assert!(arc.standard_uncertainty < middle.standard_uncertainty / 3.0);
        let (low, high) = arc.radius_95();
        held += u32::from((low..=high).contains(&0.9));
    }
    assert!((85..=100).contains(&held), "{held}");
}

#[test]
fn a_ring_turns_once_round() {
    let ring = Alignment::new(
        ORIGIN,
        vec![PlanSegment::arc(std::f64::consts::TAU * 0.8, 1.0 / 0.8)],
        vec![GradeSegment::steady(std::f64::consts::TAU * 0.8, 0.0)],
        vec![],
    )
    .expect("a line");
    let fit = fit_points(&points(&ring, 0.1, &mut Noise::new(2, 0.0005)), FREE).expect("settles");
    let whole = fit.mean_between(0.0, 9.0).expect("all of it");
    let turn = whole.value * fit.length();
    let uncertainty = whole.standard_uncertainty * fit.length();
    assert!(
        (turn - std::f64::consts::TAU).abs() < 3.0 * uncertainty,
        "{turn} ± {uncertainty}"
    );
    let (radius, _) = whole.radius().expect("a circle");
    assert!((radius - 0.8).abs() < 0.002, "{radius}");
}

#[test]
fn a_bad_height_and_a_bad_versine_are_named_too() {
    let line = club_line();
    let mut noise = Noise::new(9, 0.0002);
    let read = |s: f64| HeightReading {
        s,
        height: pose(&line, s).height + noise.draw(),
    };
    let mut heights: Vec<_> = stations(0.0, 12.0, 0.1).into_iter().map(read).collect();
    heights[50].height += 0.003;
    let fit = fit_levels(&heights, &[], FREE).expect("fits");
    let aside = |m: &&gradeworthy_train::line::survey::Misfit| m.standing == Standing::SetAside;
    let named: Vec<_> = fit.misfits.iter().filter(aside).collect();
    assert_eq!(named.len(), 1);
    assert_eq!(named[0].number, 51);
    assert!((named[0].off_by - 0.003).abs() < 0.0008, "{:?}", named[0]);
    let mut versines = versines(&line, 0.05, 0.2, &mut Noise::new(9, 0.0002));
    versines[70].mid_ordinate -= 0.003;
    let fit = fit_versines(&versines, FREE).expect("fits");
    let named: Vec<_> = fit.misfits.iter().filter(aside).map(|m| m.number).collect();
    assert_eq!(named, [71]);
}

#[test]
fn a_surveyed_line_is_checked_by_what_the_survey_can_tell() {
    let truth = club_line();
    for seed in 0..10 {
        let points = points(&truth, 0.1, &mut Noise::new(seed, 0.0005));
        let (plan, profile) = fit_survey(&points, FREE, FREE).expect("settles");
        let line = lay_fit(&plan, profile.as_ref()).expect("a line");
        let long = CarKind {
            name: "long".to_owned(),
            length: 0.3,
            rigid_wheelbase: None,
            radius_min: None,
        };
        let limits = Limits {
            cars: vec![long],
            ..Limits::default()
        }
        .for_survey(&plan, profile.as_ref());
        let findings = check_line(&line, &[], &limits);
        let reverse: Vec<_> = findings
            .iter()
            .filter(|f| f.check == Check::ReverseCurve)
            .collect();
        // The tangent is 1.5 m; both of its ends are known to about one transition length.
        let reach = 2.0 * plan.resolution.shortest_transition;
        assert_eq!(reverse.len(), 1, "seed {seed}");
        assert!(
            (reverse[0].number - 1.5).abs() < reach,
            "seed {seed}: {}",
            reverse[0].number
        );
        assert_eq!(reverse[0].outcome, Outcome::Within);
        let of = |check| findings.iter().filter(move |f| f.check == check);
        let climb = of(Check::Grade).map(|f| f.number).fold(0.0, f64::max);
        assert!((climb - 0.02).abs() < 0.004, "{climb}");
        // One sag of 2 % from 3 m to 4 m, one summit of 1.5 % from 8 m to 9 m.
        let vertical: Vec<_> = of(Check::VerticalCurve).map(|f| (f.from, f.to)).collect();
        assert_eq!(vertical.len(), 2, "seed {seed}: {vertical:?}");
        assert!(vertical[0].0 > 2.0 && vertical[0].1 < 5.0, "{vertical:?}");
        assert!(vertical[1].0 > 7.0 && vertical[1].1 < 10.0, "{vertical:?}");
    }
}

fn survey_of(seed: u64) -> Vec<SurveyPoint> {
    points(&club_line(), 0.15, &mut Noise::new(seed, 0.0005))
}

fn curvatures(points: &[SurveyPoint]) -> PlanFit {
    fit_points(points, FREE).expect("settles")
}

proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(12))]

    #[test]
    fn a_mirrored_survey_gives_the_mirrored_line(seed in 0_u64..1000) {
        let points = survey_of(seed);
        let mirrored: Vec<_> = points.iter().map(|p| SurveyPoint { y: -p.y, ..*p }).collect();
        let (one, other) = (curvatures(&points), curvatures(&mirrored));
        for (a, b) in one.curvature.iter().zip(&other.curvature) {
            prop_assert!((a.value + b.value).abs() < 1e-6, "{a:?} {b:?}");
            prop_assert!((a.standard_uncertainty - b.standard_uncertainty).abs() < 1e-6);
        }
    }

    #[test]
    fn a_line_ten_times_larger_has_a_tenth_of_the_curvature(seed in 0_u64..1000) {
        let points = survey_of(seed);
        let large: Vec<_> =
            points.iter().map(|p| SurveyPoint { x: 10.0 * p.x, y: 10.0 * p.y, ..*p }).collect();
        let (one, other) = (curvatures(&points), curvatures(&large));
        for (a, b) in one.curvature.iter().zip(&other.curvature) {
            prop_assert!((a.value - 10.0 * b.value).abs() < 1e-4, "{a:?} {b:?}");
        }
    }

    #[test]
    fn any_points_give_a_fit_or_an_error(
        raw in prop::collection::vec((-1e3_f64..1e3, -1e3_f64..1e3), 0..20)
    ) {
        let points: Vec<_> =
            raw.iter().map(|&(x, y)| SurveyPoint { x, y, height: None }).collect();
        if let Ok(fit) = fit_points(&points, FREE) {
            prop_assert!(fit.curvature.iter().all(|e| e.value.is_finite()));
        }
    }
}
