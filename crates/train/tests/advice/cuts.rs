//! Helpers: every cut, every pair, every triple.

use std::sync::atomic::{AtomicUsize, Ordering};

use gradeworthy_train::advice::{AdviceError, Adviser, Claim, Coupled, Go, Helper, StopReason};
use gradeworthy_train::vehicle::Vehicle;

use super::{Asked, ROUNDING, assert_keeps_its_word, check, hill, train};

/// Every train with the vehicles at `power` cut in behind the first vehicle or later.
fn all_cuts(asked: &Asked, power: &[usize]) -> Vec<Vec<Vehicle>> {
    let vehicles = asked.train.vehicles();
    let rest: Vec<Vehicle> = (0..vehicles.len())
        .filter(|place| !power.contains(place))
        .map(|place| vehicles[place].clone())
        .collect();
    power.iter().fold(vec![rest], |orders, own| {
        let cut_in = |order: &Vec<Vehicle>| {
            let each = 1..=order.len();
            each.map(|at| {
                let mut longer = order.clone();
                longer.insert(at, vehicles[*own].clone());
                longer
            })
            .collect::<Vec<_>>()
        };
        orders.iter().flat_map(cut_in).collect()
    })
}

#[track_caller]
fn assert_best(asked: &Asked, power: &[usize], tolerance: f64) {
    let adviser = asked.adviser().with_tolerance(tolerance);
    let helpers: Vec<Helper> = power
        .iter()
        .map(|place| Helper {
            vehicles: *place..place + 1,
        })
        .collect();
    let cuts = adviser.cuts(&helpers, 1).expect("they are there");
    assert_eq!(cuts.advised.claim, Claim::Best);
    assert_eq!(cuts.advised.stop, StopReason::Settled);
    let brute = asked.best_of(all_cuts(asked, power).into_iter());
    let best = cuts.advised.best.first();
    let found = best.map_or(asked.margin(), |own| own.margin);
    assert!(
        found <= brute + ROUNDING && found >= brute - tolerance - ROUNDING,
        "advice {found}, brute force {brute}, as it is {}",
        asked.margin()
    );
    if let Some(advice) = best {
        assert!(advice.gain > tolerance);
        assert_keeps_its_word(advice, &asked.train, &asked.line, &asked.check);
    }
    let bounds = cuts.compared.iter().filter_map(|own| own.at_most);
    assert!(bounds.fold(f64::NEG_INFINITY, f64::max) >= brute - tolerance - ROUNDING);
}

#[test]
fn the_best_of_all_cuts_of_a_forty_car_train_is_that_of_brute_force() {
    let asked = Asked::new(train(42, &[0, 41], 1), hill(11.0), check(0.1));
    assert_best(&asked, &[41], 0.0);
    assert_best(&asked, &[41], 1e-3);
}

#[test]
fn the_best_of_all_pairs_of_a_forty_car_train_is_that_of_brute_force() {
    // The two helpers differ in name alone, so that each pair stands twice in the brute force.
    let asked = Asked::new(train(43, &[0, 41, 42], 2), hill(11.0), check(0.4));
    assert_best(&asked, &[41, 42], 1e-3);
}

#[test]
fn the_best_of_all_triples_of_a_short_train_is_that_of_brute_force() {
    let asked = Asked::new(train(12, &[0, 9, 10, 11], 3), hill(8.0), check(0.2));
    assert_best(&asked, &[9, 10, 11], 1e-3);
}

#[test]
fn helpers_are_those_behind_the_head_end_or_each_by_itself() {
    let asked = Asked::new(train(10, &[0, 1, 5, 6, 9], 4), hill(9.0), check(0.5));
    let places = |coupled| {
        let helpers = asked.adviser().helpers(coupled);
        helpers
            .into_iter()
            .map(|own| own.vehicles)
            .collect::<Vec<_>>()
    };
    assert_eq!(places(Coupled::AsTheyAre), [5..7, 9..10]);
    assert_eq!(places(Coupled::OneByOne), [1..2, 5..6, 6..7, 9..10]);
    let adviser = asked.adviser();
    let refused = adviser.cuts(&[Helper { vehicles: 2..4 }], 1);
    assert!(matches!(
        refused,
        Err(AdviceError::NotThere {
            first: 2,
            last: 3,
            ..
        })
    ));
    assert_eq!(
        adviser.cuts(&[], 1).unwrap_err(),
        AdviceError::Helpers { count: 0 }
    );
}

#[test]
fn several_helpers_coupled_together_are_moved_together() {
    let asked = Asked::new(train(16, &[0, 14, 15], 5), hill(9.0), check(0.1));
    let adviser = asked.adviser();
    let helpers = adviser.helpers(Coupled::AsTheyAre);
    let cuts = adviser.cuts(&helpers, 3).expect("they are there");
    assert!(!cuts.advised.best.is_empty());
    for advice in &cuts.advised.best {
        assert_keeps_its_word(advice, &asked.train, &asked.line, &asked.check);
    }
    let margins: Vec<f64> = cuts.advised.best.iter().map(|own| own.margin).collect();
    assert!(margins.is_sorted_by(|a, b| a >= b));
}

#[test]
fn a_watcher_stops_the_search_and_is_told_how_far_it_came() {
    let asked = Asked::new(train(42, &[0, 41], 1), hill(11.0), check(0.1));
    let told = AtomicUsize::new(0);
    let watcher = |progress: gradeworthy_train::advice::Progress| {
        assert!(progress.done <= progress.total && progress.total == 41);
        match told.fetch_add(1, Ordering::Relaxed) {
            0..3 => Go::On,
            _ => Go::Stop,
        }
    };
    let adviser = Adviser::new(&asked.train, &asked.line, &asked.swept, &watcher).expect("swept");
    let helpers = adviser.helpers(Coupled::AsTheyAre);
    let cuts = adviser.cuts(&helpers, 1).expect("they are there");
    assert_eq!(cuts.advised.stop, StopReason::Watcher);
    assert_eq!(cuts.advised.claim, Claim::Found);
    assert_eq!(told.load(Ordering::Relaxed), 4);
}
