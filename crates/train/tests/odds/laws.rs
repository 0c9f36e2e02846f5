//! What chance must not change.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

use gradeworthy_train::odds::{Problem, Sharing, Unknown, narrowing, odds, usual};
use gradeworthy_train::sweep::{Check, Cores, Evaluation, sweep, train_margin};
use gradeworthy_train::track::PlanSegment;
use gradeworthy_train::vehicle::{Class, Quantity as Q, Sourced, Train, Vehicle};

use crate::stock::{line, near};
use crate::{Keyed, check, drag, hauled, on, run, straight};

/// A train of class defaults on a curve, so that every mode has something to say.
fn mixed() -> Train {
    let mut vehicles = vec![Vehicle::of_class("demo engine", Class::HoLocomotive)];
    vehicles
        .extend((0..12).map(|number| Vehicle::of_class(format!("demo {number}"), Class::HoCar)));
    Train::new(vehicles).expect("a train")
}

#[test]
fn with_nothing_unknown_every_trip_is_the_climb_of_the_cards() {
    let track = line(
        vec![
            PlanSegment::straight(3.0),
            PlanSegment::arc(4.0, 1.0 / 0.75),
        ],
        0.02,
    );
    let train = mixed();
    let problem = Problem {
        train: &train,
        line: &track,
        check: Check {
            slack: gradeworthy_train::sweep::SlackRule::AllStretched,
            ..check()
        },
        unknowns: &[],
        trips: 3,
    };
    let found = odds(&problem, &Keyed(1), &on).expect("odds");
    let kept = Evaluation::new(train.clone(), &track, &problem.check).expect("it stands");
    let climb = sweep(&train, &track, &problem.check).expect("a climb");
    let told = train_margin(&train, &track, &climb)
        .expect("told")
        .expect("a margin");
    for trip in &found.trips {
        near(
            trip.margin,
            kept.margin(),
            1e-12,
            "the margin of the places kept",
        );
        near(
            trip.margin,
            told.margin,
            1e-9,
            "the margin of a fresh climb",
        );
        assert_eq!(
            (trip.mode, trip.vehicle),
            (told.worst.mode, told.worst.vehicle)
        );
        near(trip.head_s, told.worst.head_s, 1e-9, "its place");
    }
}

#[test]
fn two_make_ups_of_the_same_cars_meet_the_same_chance() {
    let unknowns = [drag(Sharing::PerVehicle, 0.2), drag(Sharing::Shared, 0.1)];
    let train = hauled(0.7, 0.02);
    let moved = train.with_moved(3, 25).expect("moved");
    let (first, second) = (
        run(&train, &unknowns, 200, 5),
        run(&moved, &unknowns, 200, 5),
    );
    // On a straight of one grade the order of the cars changes nothing, so neither may chance.
    for (own, other) in first.trips.iter().zip(&second.trips) {
        near(own.margin, other.margin, 1e-9, "a trip");
    }
    assert_ne!(first.trips, run(&train, &unknowns, 200, 6).trips);
}

#[test]
fn the_trips_are_the_same_on_one_core_and_on_many() {
    let (train, line) = (hauled(0.7, 0.02), straight());
    let unknowns = [drag(Sharing::PerVehicle, 0.2)];
    let on_cores = |cores| {
        let problem = Problem {
            train: &train,
            line: &line,
            check: Check { cores, ..check() },
            unknowns: &unknowns,
            trips: 60,
        };
        let pool = rayon::ThreadPoolBuilder::new().num_threads(3).build();
        let trips = || odds(&problem, &Keyed(9), &on).expect("odds");
        pool.expect("a pool").install(trips)
    };
    assert_eq!(on_cores(Cores::One), on_cores(Cores::All));
}

#[test]
fn a_watcher_ends_it_and_keeps_what_was_done() {
    let (train, line) = (hauled(0.7, 0.02), straight());
    let problem = Problem {
        train: &train,
        line: &line,
        check: check(),
        unknowns: &[drag(Sharing::PerVehicle, 0.2)],
        trips: 5_000,
    };
    let told = AtomicUsize::new(0);
    let watch = |done: usize, total: usize| {
        assert_eq!(total, 5_000);
        told.fetch_max(done, Ordering::Relaxed);
        if done >= 20 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    };
    let found = odds(&problem, &Keyed(1), &watch).expect("odds");
    assert!(
        (20..1_000).contains(&found.trips.len()),
        "{}",
        found.trips.len()
    );
    assert_eq!(found.trips.len(), told.load(Ordering::Relaxed));
    assert_eq!(found.asked, 5_000);
}

#[test]
fn knowing_what_matters_narrows_most() {
    let (train, line) = (hauled(0.7, 0.02), straight());
    let weight = Unknown {
        quantity: Q::Weight,
        ..drag(Sharing::PerVehicle, 0.002)
    };
    let unknowns = [weight, drag(Sharing::Shared, 0.15)];
    let problem = Problem {
        train: &train,
        line: &line,
        check: check(),
        unknowns: &unknowns,
        trips: 300,
    };
    let found = narrowing(&problem, &Keyed(3), &on).expect("told");
    let order: Vec<_> = found
        .iter()
        .map(|own| (own.quantity, own.vehicles))
        .collect();
    assert_eq!(order[0], (Q::RollingDrag, 31));
    assert_eq!(order[1].0, Q::Weight);
    let drag = &found[0];
    assert!(drag.spread < 0.1 * drag.narrower_by, "{drag:?}");
}

#[test]
fn the_usual_unknowns_move_no_car_on_the_line_and_no_number_beyond_its_range() {
    let usual = usual();
    assert!(usual.iter().all(|own| !own.quantity.shapes_the_train()));
    let car = Vehicle::of_class("demo 1", Class::HoCar)
        .with(Q::Weight, Sourced::measured(1.1))
        .expect("sound");
    for unknown in usual.iter().filter(|own| own.moves(&car)) {
        let entry = car.entry(unknown.quantity);
        for uniform in [1e-9, 0.3, 1.0 - 1e-9] {
            let drawn = unknown.draw(&car, uniform);
            if entry.is_unmeasured() {
                let within = entry.low - 1e-12..=entry.high + 1e-12;
                assert!(within.contains(&drawn), "{unknown:?}: {drawn}");
            } else {
                assert!(drawn > 0.0, "{unknown:?}: {drawn}");
            }
        }
    }
}
