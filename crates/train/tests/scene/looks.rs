//! How couplings stand at a moment, and a scene that somebody breaks off.

use std::ops::ControlFlow;

use gradeworthy_train::dynamics::{Config, StopReason};
use gradeworthy_train::placement::Slack;
use gradeworthy_train::scene::{Coupled, Doing, SceneError, Start, Usual, Who, play};

use crate::{change, line, on, played, scene, train};

/// The force is reckoned from the same stops by the integrator: what pushes is run in, what pulls is
/// stretched, and between the stops nothing bears.
#[test]
fn how_a_coupling_stands_agrees_with_the_force_in_it() {
    let lost = Doing::LosePower { lasting: Some(1.0) };
    let own = played(
        &scene(Start::Running, vec![change(1.0, Who::HeadEnd, lost)]),
        &train(20, 20, 20.0),
    );
    let samples = &own.solution.samples;
    let mut seen = [0; 3];
    for picture in 0..samples.len() {
        for (how, force) in own.coupled(picture).iter().zip(samples.forces(picture)) {
            let (agrees, slot) = match how {
                Coupled::RunIn => (*force <= 1e-9, 0),
                Coupled::Loose => (force.abs() <= 1e-9, 1),
                Coupled::Stretched => (*force >= -1e-9, 2),
                Coupled::Apart => (false, 0),
            };
            assert!(
                agrees,
                "{how:?} with {force} N at {} s",
                samples.time[picture]
            );
            seen[slot] += 1;
        }
    }
    assert!(seen.iter().all(|own| *own > 100), "{seen:?}");
}

#[test]
fn what_came_apart_is_apart_from_then_on() {
    let run = Doing::Run {
        speed: 1.0,
        over: 0.5,
    };
    let weak = train(20, 0, 0.9);
    let own = played(
        &scene(
            Start::Standing(Slack::Bunched),
            vec![change(0.5, Who::All, run)],
        ),
        &weak,
    );
    let parting = own.solution.partings.first().expect("it comes apart");
    for (picture, time) in own.solution.samples.time.iter().enumerate() {
        let is_apart = own.coupled(picture)[parting.behind] == Coupled::Apart;
        assert_eq!(is_apart, *time >= parting.time, "at {time} s");
    }
    assert_eq!(own.sample_near(-1.0), 0);
    assert_eq!(own.sample_near(1e9), own.solution.samples.len() - 1);
    let near = own.solution.samples.time[own.sample_near(1.234)];
    assert!((near - 1.234).abs() <= 0.01 + 1e-9, "{near}");
}

#[test]
fn a_scene_is_broken_off_where_its_watcher_says() {
    let mut watch = |done: f64, _: f64| {
        if done < 1.0 {
            ControlFlow::Continue(())
        } else {
            ControlFlow::Break(())
        }
    };
    let quiet = scene(Start::Running, vec![]);
    let (train, line) = (train(20, 20, 20.0), line());
    let own = play(&quiet, &train, &line, &Config::default(), &mut watch).expect("it plays");
    assert_eq!(own.solution.stop, StopReason::BrokenOff);
    assert!(
        (1.0..1.1).contains(&own.solution.end.time),
        "{}",
        own.solution.end.time
    );
}

/// The line ends at 40 m; at 0.2 m/s a train with its head at 39.5 m is there within three seconds.
#[test]
fn a_train_that_comes_to_the_end_of_the_line_is_told_of_up_to_there() {
    let mut quiet = scene(Start::Running, vec![]);
    quiet.head_at = 39.5;
    let own = played(&quiet, &train(12, 12, 20.0));
    assert_eq!(own.solution.stop, StopReason::OffTheLine { vehicle: 0 });
    assert!(own.solution.end.time < 3.0, "{}", own.solution.end.time);
    assert!(own.worst().is_some());
}

#[test]
fn every_usual_scene_is_played_and_one_for_helpers_asks_for_a_helper() {
    let (with, line) = (train(12, 12, 20.0), line());
    for own in Usual::ALL {
        let scene = own.scene(20.0);
        let played = play(&scene, &with, &line, &Config::default(), &mut on);
        let played = played.expect("it plays");
        assert!(played.worst().is_some(), "{own:?}");
    }
    let alone = train(12, 0, 20.0);
    let helper = Usual::Helper.scene(20.0);
    let refusal = play(&helper, &alone, &line, &Config::default(), &mut on);
    assert!(matches!(refusal, Err(SceneError::Nobody { .. })));
}
