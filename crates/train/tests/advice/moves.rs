//! Fewest moves, longest train, more power.

use gradeworthy_train::advice::{
    Adviser, Change, End, Go, MakeUp, Reached, StopReason, middle_of_the_train,
};
use gradeworthy_train::vehicle::{Train, Vehicle};

use super::{Asked, assert_keeps_its_word, check, engine, hill, margin, train};

#[test]
fn one_move_is_found_if_there_is_one_and_is_not_if_there_is_none() {
    let asked = Asked::new(train(14, &[0, 9], 31), hill(8.0), check(0.2));
    let vehicles = asked.train.vehicles();
    // Brute force: every car, and the helper, everywhere behind the head.
    let mut orders = Vec::new();
    for from in 1..vehicles.len() {
        for to in 1..vehicles.len() {
            let mut order = vehicles.to_vec();
            let own = order.remove(from);
            order.insert(to, own);
            orders.push(order);
        }
    }
    let best = asked.best_of(orders.into_iter());
    assert!(best > asked.margin());
    let adviser = asked.adviser();
    let found = adviser.fewest_moves(best - 1e-6, 1);
    assert_eq!(found.reached, Reached::Fewest);
    let advice = found.advice.expect("it is there");
    assert_eq!(advice.changes.len(), 1);
    assert_keeps_its_word(&advice, &asked.train, &asked.line, &asked.check);

    let as_it_is = adviser.fewest_moves(asked.margin(), 1);
    assert_eq!(as_it_is.reached, Reached::AsItIs);
    let beyond = adviser.fewest_moves(0.999, 1);
    assert_eq!(beyond.reached, Reached::NotReached);
}

#[test]
fn two_moves_are_the_fewest_where_no_single_one_is_enough() {
    let asked = Asked::new(train(10, &[0], 33), hill(7.8), check(0.2));
    let adviser = asked.adviser();
    // What single moves and single cars set out can reach, by halving.
    let (mut reached, mut not) = (asked.margin(), 1.0);
    for _ in 0..12 {
        let middle = 0.5 * (reached + not);
        if adviser.fewest_moves(middle, 1).reached == Reached::NotReached {
            not = middle;
        } else {
            reached = middle;
        }
    }
    let found = adviser.fewest_moves(not, 2);
    if found.reached == Reached::Fewest {
        let advice = found.advice.expect("it is there");
        assert_eq!(advice.changes.len(), 2);
        assert!(advice.margin >= not);
        assert_keeps_its_word(&advice, &asked.train, &asked.line, &asked.check);
    } else {
        assert_eq!(found.reached, Reached::NotReached);
    }
}

#[test]
fn the_longest_train_climbs_and_one_car_more_does_not() {
    let asked = Asked::new(train(22, &[0], 41), hill(9.0), check(0.2));
    let adviser = asked.adviser();
    for from in [End::Head, End::Rear] {
        let line = 0.5 * (asked.margin() + 1.0);
        let longest = adviser.longest(line, from);
        let cars = longest.cars_that_climb.expect("some climb");
        let advice = longest.advice.expect("not all of them");
        assert_eq!(advice.changes.len(), 21 - cars);
        assert!(advice.margin >= line);
        assert_keeps_its_word(&advice, &asked.train, &asked.line, &asked.check);
        // One car fewer set out, the one that would be the last to go.
        let less: Vec<Change> = match from {
            End::Head => advice.changes[1..].to_vec(),
            End::Rear => advice.changes[..advice.changes.len() - 1].to_vec(),
        };
        let longer = Change::apply_all(&less, &MakeUp::of(&asked.train)).expect("can be made");
        let longer = margin(&longer.train().expect("a train"), &asked.line, &asked.check);
        assert!(longer.expect("it stands") < line);
    }
    assert_eq!(
        adviser.longest(asked.margin(), End::Head).cars_that_climb,
        Some(21)
    );
}

#[test]
fn the_power_needed_is_the_least_count_and_is_cut_in_where_it_says() {
    let mut vehicles = train(26, &[0], 51).vehicles().to_vec();
    vehicles.push(super::car(99, &mut rand::SeedableRng::seed_from_u64(1)));
    let asked = Asked::new(Train::new(vehicles).expect("sound"), hill(9.5), check(0.25));
    let roster: Vec<Vehicle> = (0..3).map(|number| engine(100 + number)).collect();
    let adviser = asked.adviser();
    let line = asked.margin() + 0.02;
    let power = adviser.more_power(&roster, line);
    assert_eq!(power.needed, Some(1), "{:?}", power.advice);
    let advice = power.advice.expect("it is there");
    let makeup = MakeUp::of(&asked.train).with_roster(&roster);
    let after = Change::apply_all(&advice.changes, &makeup).expect("can be made");
    let after = after.train().expect("a train");
    let fresh = margin(&after, &asked.line, &asked.check).expect("it stands");
    assert!((fresh - advice.margin).abs() < super::ROUNDING && fresh >= line);
    assert_eq!(adviser.more_power(&roster, asked.margin()).needed, Some(0));
    assert_eq!(adviser.more_power(&roster, 0.9999).needed, None);
}

#[test]
fn every_long_search_can_be_stopped() {
    let asked = Asked::new(train(18, &[0, 9], 71), hill(8.5), check(0.25));
    let adviser = Adviser::new(&asked.train, &asked.line, &asked.swept, &|_| Go::Stop);
    let adviser = adviser.expect("it was swept");
    let line = 0.5 * (asked.margin() + 1.0);
    let cure = middle_of_the_train(&asked.train);
    let stops = [
        adviser.fewest_moves(line, 2).stop,
        adviser.longest(line, End::Head).stop,
        adviser.more_power(&[engine(100)], line).stop,
        adviser.repairs(&cure, 1).stop,
        adviser.measurements(2).expect("it stands").stop,
        adviser.orders(&adviser.runs_of_cars()).expect("cars").stop,
    ];
    assert_eq!(stops, [StopReason::Watcher; 6]);
    assert_eq!(adviser.longest(line, End::Head).cars_that_climb, None);
    assert_eq!(adviser.more_power(&[engine(100)], line).needed, None);
}
