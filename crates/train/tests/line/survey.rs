//! Surveys of lines whose truth is known: how near the fit comes, which readings it names, and what
//! it says that it cannot tell.

use gradeworthy_train::line::checks::{CarKind, Check, Limits, Outcome, check_line};
use gradeworthy_train::line::survey::{
    Estimate, HeightReading, Misfit, PlanFit, Standing, SurveyPoint, SurveyTerms, estimate_at,
    fit_levels, fit_points, fit_survey, fit_versines, lay_fit,
};
use gradeworthy_train::track::{Alignment, GradeSegment, PlanSegment};
use proptest::prelude::{prop, prop_assert, proptest};

use crate::known::{FREE, Noise, ORIGIN, club_line, points, pose, stations, sudden_line, versines};

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
    let aside = |m: &&Misfit| m.standing == Standing::SetAside;
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
