//! Friction that holds, couplings that come apart, ends of the line.

use gradeworthy_train::dynamics::{
    Config, Drive, Laws, Problem, Setting, State, StopReason, solve,
};

use crate::{car, problem, standing, steady_pull};

#[test]
fn a_car_stands_on_a_grade_below_its_drag_for_ever() {
    let one = problem(vec![car(0.1134, 0.015)], 0.0, 0.01, Laws::default());
    let config = Config::default();
    let minute = solve(&one, &State::new(vec![0.0], vec![0.0]), 60.0, &config).expect("it stands");
    let hour = solve(&one, &minute.end, 3600.0, &config).expect("it stands");
    // Friction gives G·0.8 mm and then no more.
    assert!(
        (minute.end.place[0] + 0.01 * 8e-4).abs() < 1e-7,
        "{:?}",
        minute.end
    );
    assert!((hour.end.place[0] - minute.end.place[0]).abs() < 1e-9);
}

#[test]
fn a_car_rolls_off_on_a_grade_above_its_drag() {
    let one = problem(vec![car(0.1134, 0.015)], 0.0, 0.02, Laws::default());
    // What friction gives before it slides is given already.
    let start = State {
        held: vec![-0.015 * one.bodies[0].weight],
        ..State::new(vec![0.0], vec![0.0])
    };
    let moved = solve(&one, &start, 1.0, &Config::default()).expect("it moves");
    let closed = -0.5 * 9.80665 * (0.02 - 0.015);
    assert!(
        (moved.end.place[0] - closed).abs() < 1e-5,
        "{:?}",
        moved.end
    );
}

/// Source: none needed; a locked wheel holds until it slides, on either side.
#[test]
fn a_locomotive_that_is_locked_holds_its_train() {
    let mut bodies = vec![car(0.5, 0.015)];
    bodies.extend(vec![car(0.1134, 0.015); 10]);
    let held = |hold: f64| {
        let mut one = problem(bodies.clone(), 8.0, 0.03, Laws::default());
        let setting = Setting {
            at: 0.0,
            speed: 0.0,
            pull: 0.0,
            hold: 0.0,
            drag_forward: hold,
            drag_backward: hold,
        };
        one.drives = vec![Drive {
            vehicle: 0,
            slope: 50.0,
            settings: vec![setting],
        }];
        let start = State::new(standing(11), vec![0.0; 11]);
        solve(&one, &start, 5.0, &Config::default())
            .expect("it moves")
            .end
    };
    // The train needs (0.5 + 1.134)·g·(0.03 − 0.015) = 0.240 N.
    assert!(held(0.5).speed.iter().all(|v| v.abs() < 1e-4));
    assert!(held(0.1).speed.iter().all(|v| *v < -0.1));
}

#[test]
fn a_coupling_comes_apart_at_its_strength_and_the_rear_rolls_back() {
    let mut bodies = vec![car(0.5, 0.015)];
    bodies.extend(vec![car(0.1134, 0.015); 10]);
    let mut one = problem(bodies, 8.0, 0.03, Laws::default());
    one.drives = vec![steady_pull(0, 1.2)];
    one.links[4].strength = 0.35;
    let start = State::new(standing(11), vec![0.0; 11]);
    let moved = solve(&one, &start, 2.0, &Config::default()).expect("it moves");
    let [parting] = moved.partings.as_slice() else {
        panic!("{:?}", moved.partings);
    };
    assert_eq!(parting.behind, 4);
    assert!((parting.force / 0.35 - 1.0).abs() <= 1e-3, "{parting:?}");
    assert!(moved.end.parted[4] && moved.end.parted.iter().filter(|own| **own).count() == 1);
    assert!(
        moved.end.speed[4] > 0.1 && moved.end.speed[5] < -0.05,
        "{:?}",
        moved.end.speed
    );
    // What has come apart never pulls again.
    let last = moved.samples.len() - 1;
    assert!(moved.samples.forces(last)[4] <= 0.0);
}

#[test]
fn a_train_that_has_stopped_ends_the_motion_where_asked() {
    let one = problem(vec![car(0.1134, 0.015); 3], 8.0, 0.0, Laws::default());
    let config = Config {
        stop_at_rest: true,
        ..Config::default()
    };
    let start = State::new(standing(3), vec![0.1, 0.05, 0.1]);
    let moved = solve(&one, &start, 60.0, &config).expect("it moves");
    assert_eq!(moved.stop, StopReason::AtRest);
    assert!(moved.end.time < 5.0, "{}", moved.end.time);
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    let mut one = problem(vec![car(0.1134, 0.015); 2], 8.0, 0.0, Laws::default());
    let start = State::new(standing(2), vec![0.0; 2]);
    let said = |one: &Problem, start: &State, end: f64, config: &Config| {
        let refused = solve(one, start, end, config).expect_err("refused");
        refused.to_string()
    };
    let config = Config::default();
    one.links[0].slack = 1e-6;
    assert_eq!(
        said(&one, &start, 1.0, &config),
        "slack 0 is 0.000001: it must be at least twice the rounding of the stops"
    );
    one.links[0].slack = 0.0012;
    assert_eq!(
        said(&one, &start, -1.0, &config),
        "time of the end is -1: it must be finite and after the start"
    );
    assert_eq!(
        said(&one, &State::new(vec![0.0], vec![0.0; 2]), 1.0, &config),
        "places: found 1, expected 2"
    );
    one.bodies[1].mass = f64::NAN;
    assert_eq!(
        said(&one, &start, 1.0, &config),
        "mass 1 is NaN: it must be finite and more than zero"
    );
}
