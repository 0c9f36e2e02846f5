//! The trace of a climb says the same as its envelope and its columns, sorted by place.

mod stock;

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{
    Check, Cores, SweepError, passage, sweep, sweep_traced, sweep_watched,
};
use gradeworthy_train::track::{Alignment, PlanSegment};
use gradeworthy_train::vehicle::Train;
use stock::{MIDDLE, car, line, near, power};

fn climb() -> (Train, Alignment) {
    let mut vehicles = vec![power(0.2, 50.0, 2.0)];
    vehicles.extend((0..12).map(|_| car(MIDDLE, 1.0)));
    vehicles.push(power(0.21, 50.0, 2.0));
    let plan = vec![
        PlanSegment::straight(4.0),
        PlanSegment::arc(3.0, 1.0 / 0.7),
        PlanSegment::straight(3.0),
    ];
    (Train::new(vehicles).expect("a train"), line(plan, 0.02))
}

#[test]
fn the_worst_of_the_trace_is_the_worst_of_the_climb() {
    let (train, track) = climb();
    let check = Check::new(Condition::Running, 0.02);
    let told = AtomicUsize::new(0);
    let watch = |done: usize, _| {
        told.fetch_max(done, Ordering::Relaxed);
    };
    let (swept, trace) = sweep_traced(&train, &track, &check, 0.1, &watch).expect("it climbs");
    assert_eq!(swept, sweep(&train, &track, &check).expect("it climbs"));
    assert_eq!(told.load(Ordering::Relaxed), swept.places.len());
    assert_eq!(trace.rows().len(), 100);
    let most = |of: &dyn Fn(usize) -> f64, count| (0..count).map(of).fold(0.0, f64::max);
    let count = swept.places.len();
    let rows = trace.rows();
    let worst = most(&|row| swept.places.worst_use[row], count);
    near(most(&|row| rows[row].used.ratio(), 100), worst, 0.0, "use");
    let draft = most(&|row| swept.places.greatest_draft[row], count);
    near(most(&|row| rows[row].draft, 100), draft, 0.0, "draft");
    let buff = most(&|row| swept.places.greatest_buff[row], count);
    near(most(&|row| rows[row].buff, 100), buff, 0.0, "buff");
}

#[test]
fn cores_change_no_piece() {
    let (train, track) = climb();
    let one = Check::new(Condition::Running, 0.02);
    let all = Check {
        cores: Cores::All,
        ..one
    };
    let trace = |check| {
        sweep_traced(&train, &track, check, 0.1, &|_, _| ())
            .expect("climbs")
            .1
    };
    for (a, b) in trace(&one).rows().iter().zip(trace(&all).rows()) {
        near(a.used.ratio(), b.used.ratio(), 1e-9, "use");
        near(a.draft, b.draft, 1e-9, "draft");
        assert_eq!((a.vehicle, a.mode, a.passed), (b.vehicle, b.mode, b.passed));
    }
}

#[test]
fn the_worst_of_the_passage_is_that_of_the_columns_place_by_place() {
    let (train, track) = climb();
    let check = Check::new(Condition::Running, 0.02);
    let swept = sweep(&train, &track, &check).expect("it climbs");
    let passed = passage(&train, &track, &check, 10_000, &|_, _| {
        ControlFlow::Continue(())
    })
    .expect("it climbs");
    assert_eq!(passed.head_s, swept.places.head_s);
    for (row, uses) in passed.worst_use.chunks(passed.vehicle_count).enumerate() {
        let worst = uses.iter().copied().fold(0.0, f32::max);
        assert!((f64::from(worst) - swept.places.worst_use[row]).abs() < 1e-6);
    }
    for (row, forces) in passed.force_n.chunks(passed.vehicle_count).enumerate() {
        let draft = forces[1..].iter().copied().fold(0.0, f32::max);
        assert!((f64::from(draft) - swept.places.greatest_draft[row]).abs() < 1e-5);
    }
    assert!(passed.behind_m[0].abs() <= 0.0);
    assert!(passed.behind_m[..passed.vehicle_count].is_sorted());
}

#[test]
fn a_passage_has_no_more_places_than_asked_and_ends_when_told() {
    let (train, track) = climb();
    let check = Check::new(Condition::Running, 0.001);
    let go = |_, _| ControlFlow::Continue(());
    let passed = passage(&train, &track, &check, 100, &go).expect("it climbs");
    assert!(
        (99..=100).contains(&passed.head_s.len()),
        "{}",
        passed.head_s.len()
    );
    let stop = |_, _| ControlFlow::Break(());
    let stopped = passage(&train, &track, &check, 1000, &stop);
    assert_eq!(stopped, Err(SweepError::Stopped));
    let stopped = sweep_watched(&train, &track, &check, 0.1, &stop).map(|_| ());
    assert_eq!(stopped, Err(SweepError::Stopped));
}
