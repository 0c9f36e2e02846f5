//! Checks of a line against published limits: each rule found broken, kept, and just kept.

use gradeworthy_train::line::checks::{CarKind, Check, Finding, Limits, Outcome, check_line};
use gradeworthy_train::line::drawing::{PieceKind, explain, points};
use gradeworthy_train::line::{NamedSpan, lay, read_toml};
use gradeworthy_train::track::{Alignment, CantPoint, GradeSegment, Origin, PlanSegment};
use gradeworthy_units::Ratio;

pub(crate) fn line(
    plan: Vec<PlanSegment>,
    profile: Vec<GradeSegment>,
    cant: Vec<CantPoint>,
) -> Alignment {
    let length = plan.iter().map(|s| s.length).sum();
    let profile = if profile.is_empty() {
        vec![GradeSegment::steady(length, 0.0)]
    } else {
        profile
    };
    Alignment::new(Origin::default(), plan, profile, cant).expect("a line")
}

pub(crate) fn car(name: &str, length: f64) -> CarKind {
    CarKind {
        name: name.to_owned(),
        length,
        rigid_wheelbase: None,
        radius_min: None,
    }
}

pub(crate) fn ho() -> Limits {
    Limits {
        gauge: Some(0.0165),
        scale: Ratio::new(3048, 35),
        ..Limits::default()
    }
}

pub(crate) fn found(line: &Alignment, limits: &Limits, check: Check) -> Vec<Finding> {
    check_line(line, &[], limits)
        .into_iter()
        .filter(|f| f.check == check)
        .collect()
}

pub(crate) fn outcomes(line: &Alignment, limits: &Limits, check: Check) -> Vec<Outcome> {
    found(line, limits, check)
        .into_iter()
        .map(|f| f.outcome)
        .collect()
}

#[test]
fn a_rigid_wheelbase_needs_two_and_four_tenths_of_itself() {
    // [NEM-111]: angle of attack at most 12°, R = a/(2 sin 12°) = 2.405 a.
    for (wheelbase, radius, outcome) in [
        (0.100, 0.2405, Outcome::Within),
        (0.100, 0.2404, Outcome::Beyond),
        (0.0, 0.1, Outcome::Within),
    ] {
        let limits = Limits {
            cars: vec![CarKind {
                rigid_wheelbase: Some(wheelbase),
                ..car("rigid", 0.2)
            }],
            ..ho()
        };
        let line = line(vec![PlanSegment::arc(0.5, -1.0 / radius)], vec![], vec![]);
        assert_eq!(
            outcomes(&line, &limits, Check::RigidWheelbase),
            [outcome],
            "{wheelbase} {radius}"
        );
    }
}

#[test]
fn the_club_radius_is_held_where_the_curve_is_tighter_and_there_only() {
    let limits = Limits {
        radius_min: Some(0.75),
        ..ho()
    };
    let plan = vec![
        PlanSegment::straight(1.0),
        PlanSegment::easement(0.5, 0.0, 2.0),
        PlanSegment::arc(1.0, 2.0),
        PlanSegment::easement(0.5, 2.0, 0.0),
        PlanSegment::straight(1.0),
    ];
    let findings = found(&line(plan, vec![], vec![]), &limits, Check::Radius);
    let club = findings.iter().find(|f| f.limit.is_some()).expect("held");
    // Curvature passes 1/0.75 after 2/3 × 0.5 m of the easement.
    assert!(
        (club.from - (1.0 + 1.0 / 3.0)).abs() < 1e-6 && (club.to - (3.0 - 1.0 / 3.0)).abs() < 1e-6
    );
    assert_eq!((club.outcome, club.number), (Outcome::Beyond, 0.5));
    let exact = line_of_radius(0.75);
    assert!(
        found(&exact, &limits, Check::Radius)
            .iter()
            .all(|f| f.outcome != Outcome::Beyond)
    );
}

fn line_of_radius(radius: f64) -> Alignment {
    line(vec![PlanSegment::arc(1.0, 1.0 / radius)], vec![], vec![])
}

#[test]
fn opposite_curves_are_measured_against_the_longest_car() {
    for (tangent, outcome, eased) in [
        (0.29, Outcome::Beyond, false),
        (0.30, Outcome::Within, false),
        (0.0, Outcome::Beyond, true),
    ] {
        let mut plan = vec![PlanSegment::arc(1.0, 1.0)];
        if eased {
            plan.push(PlanSegment::easement(0.6, 1.0, -1.0));
        } else {
            plan.push(PlanSegment::straight(tangent));
        }
        plan.push(PlanSegment::arc(1.0, -1.0));
        let limits = Limits {
            cars: vec![car("short", 0.15), car("long", 0.3)],
            ..ho()
        };
        let findings = found(&line(plan, vec![], vec![]), &limits, Check::ReverseCurve);
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].outcome, outcome, "{tangent}");
        assert!(
            (findings[0].number - tangent).abs() < 1e-5,
            "{}",
            findings[0].number
        );
        assert_eq!(findings[0].about.contains("[NEM-113]"), eased);
    }
    let same_way = vec![
        PlanSegment::arc(1.0, 1.0),
        PlanSegment::straight(0.01),
        PlanSegment::arc(1.0, 1.0),
    ];
    assert_eq!(
        outcomes(&line(same_way, vec![], vec![]), &ho(), Check::ReverseCurve),
        []
    );
}

#[test]
fn an_easement_may_be_left_out_above_sixty_gauges() {
    // [NEM-113]: R > 60 G; H0 990 mm.
    for (radius, outcome) in [
        (0.989, Outcome::Beyond),
        (0.990, Outcome::Within),
        (1.2, Outcome::Within),
    ] {
        let plan = vec![
            PlanSegment::straight(1.0),
            PlanSegment::arc(1.0, 1.0 / radius),
        ];
        assert_eq!(
            outcomes(&line(plan, vec![], vec![]), &ho(), Check::Easement),
            [outcome],
            "{radius}"
        );
    }
    let eased = vec![
        PlanSegment::straight(1.0),
        PlanSegment::easement(0.3, 0.0, 2.0),
        PlanSegment::arc(1.0, 2.0),
    ];
    assert_eq!(
        outcomes(&line(eased, vec![], vec![]), &ho(), Check::Easement),
        []
    );
}

#[test]
fn findings_carry_the_places_they_touch() {
    let places = [
        NamedSpan {
            name: "Deep cut".to_owned(),
            from: 0.9,
            to: 1.5,
        },
        NamedSpan {
            name: "Far end".to_owned(),
            from: 1.8,
            to: 1.9,
        },
    ];
    let plan = vec![PlanSegment::straight(1.0), PlanSegment::arc(1.0, 2.0)];
    let findings = check_line(&line(plan, vec![], vec![]), &places, &ho());
    let jump = findings
        .iter()
        .find(|f| f.check == Check::Easement)
        .expect("a jump");
    assert_eq!(
        (jump.from, jump.places.as_slice()),
        (1.0, ["Deep cut".to_owned()].as_slice())
    );
}

#[test]
fn a_designed_line_goes_from_file_to_findings_to_drawing() {
    let design = read_toml(
        "[line]\nname = 'Invented branch'\ngauge = '16.5 mm'\nscale = '1:87.1'\n\
         [[plan]]\nshape = 'tangent'\nlength = '1 m'\n\
         [[plan]]\nshape = 'arc'\nturn = 'right'\nradius = '30 in'\nangle = '90 deg'\n\
         [[profile]]\nshape = 'grade'\ngrade = '2 %'\nlength = 'rest'\n",
    )
    .expect("reads");
    let laid = lay(&design).expect("a line");
    let limits = Limits::for_design(&design);
    assert_eq!(limits.gauge, Some(0.0165));
    assert_eq!(
        outcomes(&laid.alignment, &limits, Check::Easement),
        [Outcome::Beyond]
    );
    let rows = explain(&laid.alignment);
    let kinds: Vec<_> = rows.iter().map(|row| row.kind).collect();
    assert_eq!(
        kinds,
        [PieceKind::Tangent, PieceKind::Arc, PieceKind::Grade]
    );
    assert!((rows[1].total + std::f64::consts::FRAC_PI_2).abs() < 1e-12);
    let drawn = points(&laid.alignment, 0.05);
    assert!(
        drawn
            .windows(2)
            .all(|pair| pair[1].s - pair[0].s <= 0.05 + 1e-9)
    );
    assert!(drawn.iter().any(|point| (point.s - 1.0).abs() < 1e-12));
    let end = drawn.last().expect("points").pose;
    assert!(
        (end.x - (1.0 + 0.762)).abs() < 1e-9 && (end.y + 0.762).abs() < 1e-9,
        "{end:?}"
    );
    assert_eq!(points(&laid.alignment, 0.0).len(), 3);
}
