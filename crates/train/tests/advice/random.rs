//! No advice makes a train worse, whatever the train.

use gradeworthy_train::advice::Coupled;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::{Asked, assert_keeps_its_word, check, hill, train};

/// A thousand trains of 8 to 14 cars.
const TRAINS: u64 = 1000;

#[test]
fn advice_never_makes_the_margin_worse_and_keeps_its_word() {
    let line = hill(7.6);
    let mut chance = ChaCha8Rng::seed_from_u64(7);
    let mut advised_count = 0;
    for seed in 0..TRAINS {
        let cars = chance.random_range(8..=14);
        let helper = chance.random_range(1..=cars);
        let asked = Asked::new(
            train(cars + 2, &[0, helper], seed),
            line.clone(),
            check(0.25),
        );
        let adviser = asked.adviser();
        let helpers = adviser.helpers(Coupled::OneByOne);
        let cuts = adviser.cuts(&helpers, 1).expect("it is there").advised;
        let orders = if seed % 10 == 0 {
            adviser.orders(&adviser.runs_of_cars()).expect("cars").best
        } else {
            Vec::new()
        };
        for advice in cuts.best.iter().chain(&orders) {
            assert!(advice.gain > 0.0 && advice.margin > asked.margin());
            assert_keeps_its_word(advice, &asked.train, &asked.line, &asked.check);
            advised_count += 1;
        }
    }
    assert!(
        advised_count > 300,
        "only {advised_count} of 1000 random trains had a better cut"
    );
}
