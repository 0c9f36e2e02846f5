//! The line against an independent prototype, closed forms, and its own refusals.

use gradeworthy_train::track::{
    Alignment, AlignmentError, CantPoint, GradeSegment, Origin, PlanSegment,
};

fn line(plan: Vec<PlanSegment>) -> Alignment {
    let length = plan.iter().map(|segment| segment.length).sum();
    Alignment::new(
        Origin::default(),
        plan,
        vec![GradeSegment::steady(length, 0.0)],
        vec![],
    )
    .expect("a sound line")
}

/// Source: `tests/vectors/b1_track.json`, an independent prototype.
#[test]
fn a_clothoid_ends_where_the_prototype_ends() {
    let text = include_str!("vectors/b1_track.json");
    let vectors: serde_json::Value = serde_json::from_str(text).expect("valid JSON");
    let case = &vectors["clothoid"];
    let number = |key: &str| case[key].as_f64().expect("a number");
    let length = number("L");
    let end = line(vec![PlanSegment::easement(length, 0.0, 1.0 / number("R"))])
        .pose(length)
        .expect("its own end");
    assert!((end.x - number("x")).abs() < 1e-15);
    assert!((end.y - number("y")).abs() < 1e-15);
    assert!((end.heading - number("theta")).abs() < 1e-15);
}

/// Closed form: a full circle closes.
#[test]
fn a_full_circle_closes() {
    let radius = 0.75;
    let around = std::f64::consts::TAU * radius;
    let end = line(vec![PlanSegment::arc(around, 1.0 / radius)])
        .pose(around)
        .expect("its end");
    assert!(end.x.abs() < 1e-15 && end.y.abs() < 1e-15);
}

/// Closed form: the rise over a parabolic vertical curve is its length times the mean grade.
#[test]
fn a_vertical_curve_rises_by_its_mean_grade() {
    let track = Alignment::new(
        Origin::default(),
        vec![PlanSegment::straight(2.0)],
        vec![
            GradeSegment::steady(0.7, 0.0),
            GradeSegment::vertical_curve(1.3, 0.0, 0.03),
        ],
        vec![
            CantPoint { s: 0.5, cant: 0.0 },
            CantPoint { s: 1.5, cant: 0.04 },
        ],
    )
    .expect("a sound line");
    let end = track.pose(2.0).expect("its end");
    assert!((end.height - 1.3 * 0.015).abs() < 1e-15);
    assert!((end.grade - 0.03).abs() < 1e-15);
    assert!((track.pose(1.0).expect("on it").cant - 0.02).abs() < 1e-15);
    assert!(
        (end.cant - 0.04).abs() < 1e-15,
        "cant stays beyond the last point"
    );
}

#[test]
fn a_line_that_cannot_be_is_refused_where_it_is_wrong() {
    let build = |plan: Vec<PlanSegment>, profile: Vec<GradeSegment>, cant: Vec<CantPoint>| {
        Alignment::new(Origin::default(), plan, profile, cant)
            .expect_err("unsound")
            .to_string()
    };
    assert_eq!(
        build(vec![], vec![GradeSegment::steady(1.0, 0.0)], vec![]),
        "the line has no plan segment: at least one is needed"
    );
    assert_eq!(
        build(
            vec![PlanSegment::straight(1.0), PlanSegment::arc(-1.0, 1.0)],
            vec![GradeSegment::steady(1.0, 0.0)],
            vec![]
        ),
        "plan segment 1: length is -1 m: it must be greater than zero"
    );
    assert_eq!(
        build(
            vec![PlanSegment::straight(1.0)],
            vec![GradeSegment::steady(1.0, f64::NAN)],
            vec![]
        ),
        "grade segment 0: grade at the start is NaN: a finite number is needed"
    );
    let gap = build(
        vec![PlanSegment::straight(2.0)],
        vec![GradeSegment::steady(1.5, 0.0)],
        vec![],
    );
    assert!(
        gap.starts_with("the plan is 2 m long and the profile 1.5 m"),
        "{gap}"
    );
    let backwards = Alignment::new(
        Origin::default(),
        vec![PlanSegment::straight(2.0)],
        vec![GradeSegment::steady(2.0, 0.0)],
        vec![
            CantPoint { s: 1.0, cant: 0.0 },
            CantPoint { s: 1.0, cant: 0.1 },
        ],
    );
    assert!(matches!(
        backwards,
        Err(AlignmentError::CantOutOfOrder { index: 1, .. })
    ));
}
