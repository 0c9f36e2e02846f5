//! Two make-ups compared trip by trip.

use gradeworthy_train::odds::{KEPT, Problem, usual};
use gradeworthy_train::odds::{
    Paired, Sharing, clopper_pearson, narrowing, narrowing_trips, paired,
};
use gradeworthy_train::vehicle::{Class, Train, Vehicle};

use crate::stock::near;
use crate::{Keyed, check, drag, hauled, named, on, run, straight};

/// The probability that the interval holds the true difference, summed over every outcome that 24 trips can
/// have, is never below what is stated. The mass of an outcome is that of the trinomial distribution,
/// n!/(a! b! c!) p^a q^b r^c, by way of logarithms of factorials.
#[test]
fn the_interval_of_the_difference_keeps_its_word() {
    const TRIPS: usize = 24;
    let log_factorial: Vec<f64> = (0..=TRIPS)
        .scan(0.0, |sum, k| {
            *sum += if k == 0 { 0.0 } else { (k as f64).ln() };
            Some(*sum)
        })
        .collect();
    let mut intervals = Vec::new();
    for first in 0..=TRIPS {
        for second in 0..=TRIPS - first {
            let own = Paired::of_counts(TRIPS, 0, (first, second), 0.9);
            intervals.push((first, second, own));
        }
    }
    let parts = [0.001, 0.02, 0.1, 0.25, 0.45];
    for (only_first, only_second) in parts.iter().flat_map(|a| parts.map(|b| (*a, b))) {
        let mut held = 0.0;
        for (first, second, own) in &intervals {
            let rest = TRIPS - first - second;
            let ways = log_factorial[TRIPS]
                - log_factorial[*first]
                - log_factorial[*second]
                - log_factorial[rest];
            let likely = *first as f64 * f64::ln(only_first)
                + *second as f64 * f64::ln(only_second)
                + rest as f64 * f64::ln(1.0 - only_first - only_second);
            let difference = only_second - only_first;
            if own.low <= difference && difference <= own.high {
                held += (ways + likely).exp();
            }
        }
        assert!(
            (0.9..=1.0 + 1e-9).contains(&held),
            "{held} at {only_first}, {only_second}"
        );
    }
}

/// The same cars in another order on a straight of one grade: no trip differs, and that is told far more
/// sharply than by two intervals that know nothing of each other.
#[test]
fn what_both_have_in_common_cancels() {
    let unknowns = [drag(Sharing::PerVehicle, 0.2), drag(Sharing::Shared, 0.1)];
    let train = hauled(0.7, 0.02);
    let moved = train.with_moved(3, 25).expect("moved");
    let first = run(&train, &unknowns, 300, 5);
    let second = run(&moved, &unknowns, 300, 5);
    let own = paired(&first, &second, 0.95).expect("whole");
    assert_eq!((own.first_only, own.second_only), (0, 0));
    assert_eq!(own.both, first.troubled());
    near(own.difference, 0.0, 1e-12, "the difference");
    let each = clopper_pearson(0, 300, 0.975).high;
    near(own.high, each, 1e-12, "the upper end");
    near(own.low, -each, 1e-12, "the lower end");
    let apart = first.probability(0.95);
    assert!(
        own.high - own.low < 0.5 * (apart.high - apart.low),
        "{own:?} against {apart:?}"
    );
}

#[test]
fn a_train_with_more_pull_is_better_and_trips_that_were_ended_are_not_compared() {
    let unknowns = [drag(Sharing::Shared, 0.15)];
    let sd = 30.0 * 1.112 * 0.02 * 0.15;
    let weak = run(&hauled(0.0, sd), &unknowns, 400, 3);
    let strong = run(&hauled(1.0, sd), &unknowns, 400, 3);
    let own = paired(&weak, &strong, 0.95).expect("whole");
    // Φ(−1) − Φ(0), by SciPy 1.17.1 as in the closed forms.
    let expected = 0.158_655_253_931_457_05 - 0.5;
    assert!(own.high < 0.0, "{own:?}");
    assert!((own.low..own.high).contains(&expected), "{own:?}");
    assert_eq!(own.second_only, 0, "{own:?}");
    let mut ended = strong.clone();
    ended.trips.truncate(399);
    assert_eq!(paired(&weak, &ended, 0.95), None);
}

/// A train of class defaults has more quantities that are drawn than are looked at in full.
#[test]
fn of_many_quantities_the_first_look_keeps_those_that_narrow_most() {
    let mut vehicles = vec![Vehicle::of_class("demo engine", Class::HoLocomotive)];
    vehicles.extend((0..4).map(named));
    vehicles.extend((4..8).map(|number| Vehicle::of_class(format!("demo {number}"), Class::HoCar)));
    let (train, line, unknowns) = (Train::new(vehicles).expect("a train"), straight(), usual());
    let problem = Problem {
        train: &train,
        line: &line,
        check: check(),
        unknowns: &unknowns,
        trips: 40,
    };
    let most = std::sync::atomic::AtomicUsize::new(0);
    let watch = |done: usize, total: usize| {
        assert_eq!(total, narrowing_trips(&problem));
        most.fetch_max(done, std::sync::atomic::Ordering::Relaxed);
        on(done, total)
    };
    let found = narrowing(&problem, &Keyed(3), &watch).expect("told");
    assert_eq!(found.len(), KEPT);
    assert_eq!(most.into_inner(), narrowing_trips(&problem));
    assert!(found.iter().all(|own| own.odds.trips.len() == 40));
    assert!(
        found
            .windows(2)
            .all(|pair| pair[0].narrower_by >= pair[1].narrower_by)
    );
    assert!(found[0].narrower_by > 0.0, "{:?}", found[0].quantity);
}
