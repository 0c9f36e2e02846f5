//! Orders within blocks: every order of seven cars, the theorem, and blocks that keep together.

use gradeworthy_train::advice::{AdviceError, Change, Claim};
use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Class, Quantity as Q, Train, Vehicle};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::{Asked, ROUNDING, assert_keeps_its_word, check, hill, train};

fn permutations(items: &[Vehicle]) -> Vec<Vec<Vehicle>> {
    if items.len() <= 1 {
        return vec![items.to_vec()];
    }
    let mut all = Vec::new();
    for index in 0..items.len() {
        let mut rest = items.to_vec();
        let first = rest.remove(index);
        for mut order in permutations(&rest) {
            order.insert(0, first.clone());
            all.push(order);
        }
    }
    all
}

/// The greatest margin over all orders of the vehicles from `first` to `last`.
fn brute_force(asked: &Asked, first: usize, last: usize) -> f64 {
    let vehicles = asked.train.vehicles();
    let order = |inside: Vec<Vehicle>| {
        let mut order = vehicles[..first].to_vec();
        order.extend(inside);
        order.extend_from_slice(&vehicles[last + 1..]);
        order
    };
    asked.best_of(permutations(&vehicles[first..=last]).into_iter().map(order))
}

#[test]
fn the_best_of_all_orders_of_seven_cars_is_that_of_brute_force() {
    for seed in [11, 12] {
        let asked = Asked::new(train(9, &[0, 8], seed), hill(7.6), check(0.2));
        let block = 1..8;
        let advised = asked.adviser().orders(&[block]).expect("cars");
        assert_eq!(advised.claim, Claim::Best);
        let found = advised
            .best
            .first()
            .map_or(asked.margin(), |own| own.margin);
        let brute = brute_force(&asked, 1, 7);
        assert!(
            (brute - found).abs() < 1e-3 + ROUNDING,
            "{found}, brute force {brute}"
        );
        for advice in &advised.best {
            assert_keeps_its_word(advice, &asked.train, &asked.line, &asked.check);
        }
    }
}

/// A long arc on one grade.
fn arc() -> Alignment {
    Alignment::new(
        Origin::default(),
        vec![PlanSegment::arc(4.2, 1.0 / 0.75)],
        vec![GradeSegment::steady(4.2, 0.03)],
        vec![],
    )
    .expect("sound")
}

/// Cars of one shape that tip in before anything else, of weight and height by chance.
fn tall_train(cars: usize, seed: u64) -> Train {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    let same = [
        (Q::HalfTruckCentres, 0.05),
        (Q::PivotFront, 0.064),
        (Q::PivotRear, 0.064),
        (Q::TruckWheelbase, 0.0175),
        (Q::SwivelMoment, 0.0),
        (Q::CouplerStrength, 50.0),
    ];
    let engine = Vehicle::of_class("demo engine", Class::HoLocomotive)
        .measured(&same)
        .and_then(|own| {
            own.measured(&[
                (Q::AdhesionPull, 60.0),
                (Q::StallPull, 60.0),
                (Q::Weight, 200.0),
            ])
        })
        .expect("sound");
    let mut vehicles = vec![engine];
    vehicles.extend((0..cars).map(|number| {
        Vehicle::of_class(format!("demo {number}"), Class::HoCar)
            .measured(&same)
            .and_then(|own| {
                own.measured(&[
                    (Q::Weight, chance.random_range(0.3..1.6)),
                    (Q::RollingDrag, chance.random_range(0.01..0.3)),
                    // Low friction and a steep flange: tipping comes before climbing.
                    (Q::TreadFriction, 0.05),
                    (Q::FlangeAngle, 1.4),
                ])
            })
            .expect("sound")
    }));
    // A tail like the cars keeps the last of the block alike at both ends.
    vehicles.push(
        Vehicle::of_class("demo tail", Class::HoCar)
            .measured(&same)
            .expect("sound"),
    );
    Train::new(vehicles).expect("sound")
}

#[test]
fn the_theorem_gives_the_use_of_the_best_order_and_is_claimed_only_where_it_holds() {
    let mut claimed = 0;
    for seed in 0..6 {
        let asked = Asked::new(tall_train(10, seed), arc(), check(0.2));
        let block = 2..10;
        let advised = asked.adviser().orders(&[block]).expect("cars");
        if advised.claim != Claim::Theorem {
            continue;
        }
        claimed += 1;
        let found = advised
            .best
            .first()
            .map_or(asked.margin(), |own| own.margin);
        // Against every exchange of two and move of one from the order found, not all 8! orders.
        let makeup = gradeworthy_train::advice::MakeUp::of(&asked.train);
        let changes = advised.best.first().map_or(&[][..], |own| &own.changes);
        let after = Change::apply_all(changes, &makeup)
            .map(|own| own.train())
            .expect("ok");
        let order = after.expect("a train").vehicles().to_vec();
        let mut others = Vec::new();
        for one in 2..10 {
            for other in 2..10 {
                let mut swapped = order.clone();
                swapped.swap(one, other);
                others.push(swapped);
                let mut moved = order.clone();
                let own = moved.remove(one);
                moved.insert(other, own);
                others.push(moved);
            }
        }
        let brute = asked.best_of(others.into_iter());
        assert!(
            brute <= found + 1e-3 + ROUNDING,
            "theorem {found}, another {brute}"
        );
    }
    assert!(claimed >= 3, "the theorem was claimed {claimed} times of 6");
}

/// Calls `look` with every order of the items from `from` on.
fn each_order(items: &mut [usize], from: usize, look: &mut dyn FnMut(&[usize])) {
    if from + 1 >= items.len() {
        return look(items);
    }
    for other in from..items.len() {
        items.swap(from, other);
        each_order(items, from + 1, look);
        items.swap(from, other);
    }
}

#[test]
fn no_order_of_eight_cars_is_better_than_that_of_the_theorem() {
    // On steady track every place is like every other: two of them are enough.
    let asked = Asked::new(tall_train(10, 1), arc(), check(1.2));
    let block = 2..10;
    let advised = asked.adviser().orders(&[block]).expect("cars");
    assert_eq!(advised.claim, Claim::Theorem);
    let best = advised.best.first();
    let found = best.map_or(asked.margin(), |own| own.margin);
    let vehicles = asked.train.vehicles();
    let mut items: Vec<usize> = (2..10).collect();
    let (mut brute, mut count) = (f64::NEG_INFINITY, 0);
    each_order(&mut items, 0, &mut |order| {
        let mut own = vehicles[..2].to_vec();
        own.extend(order.iter().map(|place| vehicles[*place].clone()));
        own.extend_from_slice(&vehicles[10..]);
        brute = brute.max(asked.best_of(std::iter::once(own)));
        count += 1;
    });
    assert_eq!(count, 40_320);
    assert!(
        (brute - found).abs() < 1e-3 + ROUNDING,
        "theorem {found}, brute force {brute}, as it was {}",
        asked.margin()
    );
}

#[test]
fn blocks_keep_together() {
    let asked = Asked::new(train(24, &[0, 12], 21), hill(8.5), check(0.2));
    let adviser = asked.adviser();
    assert_eq!(adviser.runs_of_cars(), [1..12, 13..24]);
    let advised = adviser.orders(&[1..6, 6..12, 13..24]).expect("cars");
    assert_eq!(advised.claim, Claim::Found);
    let advice = advised
        .best
        .first()
        .expect("a random order can be bettered");
    assert!(advice.gain > 0.0);
    assert_keeps_its_word(advice, &asked.train, &asked.line, &asked.check);
    for change in &advice.changes {
        let Change::Reorder { vehicles } = change else {
            panic!("an order is a reorder: {change:?}");
        };
        assert!([5, 6, 11].contains(&vehicles.len()));
    }
    let across = 11..14;
    let refused = adviser.orders(&[across]);
    assert!(matches!(refused, Err(AdviceError::NotThere { .. })));
}
