//! Ranks and many comparisons at once, against SciPy; and a bad lot that shows.

use gradeworthy_fleet::{FALSE_DISCOVERIES, Lot, Method, SMALL, adjusted, compare, rank_test};
use gradeworthy_units::{Amount, Length};
use gradeworthy_workbench::record::{Measure, Place, Record, Value};
use serde_json::Value as Json;

use super::given::{book_text, facts, fleet, records};

/// Made by `oracles/rank_tests.py` with SciPy.
const ORACLE: &str = include_str!("../../../../oracles/rank_tests.json");

fn numbers(json: &Json) -> Vec<f64> {
    let list = json.as_array().expect("a list");
    list.iter()
        .map(|own| own.as_f64().expect("a number"))
        .collect()
}

#[test]
fn ranks_are_tested_as_scipy_tests_them() {
    let oracle: Json = serde_json::from_str(ORACLE).expect("JSON");
    let cases = oracle["rank_tests"].as_array().expect("cases");
    let mut methods = [0, 0];
    for case in cases {
        let (first, second) = (numbers(&case["first"]), numbers(&case["second"]));
        let found = rank_test(&first, &second).expect("two groups");
        let (u, p) = (case["u"].as_f64(), case["p"].as_f64());
        let (u, p) = (u.expect("a number"), p.expect("a number"));
        assert!((found.u - u).abs() < 1e-9, "{} {u}", found.u);
        // Both sides lose a few bits in the normal tail and in the count of ways.
        assert!((found.p - p).abs() < 1e-9 * p.max(1e-3), "{} {p}", found.p);
        methods[usize::from(found.method == Method::Exact)] += 1;
    }
    assert!(methods[0] >= 5 && methods[1] >= 5, "{methods:?}");
    assert_eq!(rank_test(&[], &[1.0]), None);
    assert_eq!(rank_test(&[f64::NAN], &[1.0]), None);
}

#[test]
fn many_probabilities_are_adjusted_as_scipy_adjusts_them() {
    let oracle: Json = serde_json::from_str(ORACLE).expect("JSON");
    for family in oracle["families"].as_array().expect("families") {
        let found = adjusted(&numbers(&family["p"]));
        for (own, expected) in found.iter().zip(numbers(&family["by"])) {
            assert!((own - expected).abs() < 1e-12, "{own} {expected}");
        }
    }
}

fn wheelsets(lot: &str) -> Lot {
    Lot {
        part: "wheelset",
        description: "33-in, metal".into(),
        lot: Some(lot.into()),
    }
}

/// The cars of lot A7 with their backs closer together than they were read.
fn narrowed(mut records: Vec<Record>) -> Vec<Record> {
    for (index, record) in records.iter_mut().enumerate() {
        let own = facts(index, record);
        if !own
            .parts
            .iter()
            .any(|part| part.lot.as_deref() == Some("A7"))
        {
            continue;
        }
        for entry in &mut record.entries {
            if let (Measure::BackToBack, Value::Quantity(typed)) = (entry.measure, &mut entry.value)
                && let Amount::Length(length) = typed.amount
            {
                typed.amount = (length - Length::from_hundredths_mm(8)).into();
            }
        }
    }
    records
}

#[test]
fn a_narrow_lot_is_found_and_nothing_else_is() {
    let records = narrowed(records(13, 320));
    let fleet = fleet(&records, &book_text());
    let rows: Vec<_> = (0..records.len()).collect();
    let lots = fleet.lots(&rows);
    assert_eq!(lots[&wheelsets("A7")], 40);
    let found = compare(&fleet, &rows, &wheelsets("A7"));
    assert_eq!(found[0].measure, Measure::BackToBack);
    assert!(found[0].adjusted.expect("tested") < FALSE_DISCOVERIES);
    let shift = found[0].lot_median - found[0].rest_median;
    assert!((-0.12..-0.04).contains(&shift), "{shift} mm");
    let real =
        |own: &&gradeworthy_fleet::Compared| own.adjusted.is_some_and(|p| p < FALSE_DISCOVERIES);
    assert_eq!(found.iter().filter(real).count(), 1, "{found:?}");
    let other = compare(&fleet, &rows, &wheelsets("B2"));
    assert_eq!(other.iter().filter(real).count(), 0, "{other:?}");
}

#[test]
fn of_few_cars_nothing_is_told() {
    let records = records(13, 24);
    let fleet = fleet(&records, &book_text());
    let rows: Vec<_> = (0..records.len()).collect();
    let found = compare(&fleet, &rows, &wheelsets("A7"));
    assert!(!found.is_empty());
    assert!(
        found
            .iter()
            .all(|own| own.lot_cars < SMALL && own.test.is_none())
    );
}

#[test]
fn a_part_on_one_axle_is_judged_by_that_axle() {
    let records = records(13, 60);
    let mut fleet = fleet(&records, &book_text());
    for (index, record) in records.iter().enumerate() {
        let mut own = facts(index, record);
        for part in &mut own.parts {
            part.place = Place::Axle(2);
        }
        fleet.put(own, record).expect("of its kinds");
    }
    let rows: Vec<_> = (0..records.len()).collect();
    let found = compare(&fleet, &rows, &wheelsets("A7"));
    let wobble = found
        .iter()
        .find(|own| own.measure == Measure::Wobble)
        .expect("read");
    let mut by_hand: Vec<f64> = rows
        .iter()
        .filter(|row| *row % 8 == 0)
        .filter_map(|row| fleet.amount(*row, Measure::Wobble, Place::Axle(2)))
        .map(Amount::base)
        .collect();
    by_hand.sort_by(f64::total_cmp);
    let middle = by_hand.len() / 2;
    let median = if by_hand.len() % 2 == 1 {
        by_hand[middle]
    } else {
        f64::midpoint(by_hand[middle - 1], by_hand[middle])
    };
    assert!((wobble.lot_median - median).abs() < 1e-12);
}
