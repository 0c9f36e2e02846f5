//! Quantiles and intervals beside SciPy's.
//!
//! Source: SciPy 1.17.1 by `oracles/odds_scipy.py`: `triang.ppf`, `norm.ppf`,
//! `binomtest(...).proportion_ci(method="exact")`.

use gradeworthy_train::odds::{Law, Spread, clopper_pearson};
use gradeworthy_train::vehicle::Sourced;

use crate::stock::{near, number};

fn values() -> serde_json::Value {
    serde_json::from_str(include_str!("scipy.json")).expect("valid JSON")
}

fn list(value: &serde_json::Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .map(number)
        .collect()
}

#[test]
fn ranges_and_measured_numbers_are_drawn_by_their_laws() {
    let all = values();
    let parts = list(&all["parts"]);
    let range = Spread::new(Law::Range).expect("a spread");
    for own in all["triangles"].as_array().expect("a list") {
        let at = |name: &str| number(&own[name]);
        let entry = Sourced::assumed(at("mode"), at("low"), at("high"));
        for (part, expected) in parts.iter().zip(list(&own["values"])) {
            let width = entry.high - entry.low;
            near(
                range.draw(&entry, *part),
                expected,
                1e-12 * width,
                "triangle",
            );
        }
    }
    let entry = Sourced::measured(2.0);
    let relative = Spread::new(Law::Relative(0.1)).expect("a spread");
    let absolute = Spread::new(Law::Absolute(0.5)).expect("a spread");
    for (part, normal) in parts.iter().zip(list(&all["normal"])) {
        // statrs gives eleven digits in the tails.
        near(
            relative.draw(&entry, *part),
            2.0 + 0.2 * normal,
            1e-9,
            "relative",
        );
        near(
            absolute.draw(&entry, *part),
            2.0 + 0.5 * normal,
            1e-9,
            "absolute",
        );
    }
}

#[test]
fn intervals_are_the_exact_ones() {
    for own in values()["intervals"].as_array().expect("a list") {
        let count =
            |name: &str| usize::try_from(own[name].as_u64().expect("a count")).expect("small");
        let confidence = number(&own["confidence"]);
        let found = clopper_pearson(count("happened"), count("tried"), confidence);
        let ends = list(&own["ends"]);
        near(found.low, ends[0], 1e-9, "low");
        near(found.high, ends[1], 1e-9, "high");
    }
}

/// The probability that the interval holds the true p, summed over every count that can happen, is
/// never below what is stated: the very thing for which Clopper and Pearson made it.
#[test]
fn the_interval_keeps_its_word_at_every_probability() {
    let trips = 120;
    for step in 1..40 {
        let p = f64::from(step) / 80.0;
        // P(k) by recurrence: P(k+1)/P(k) = (n−k)/(k+1) · p/(1−p).
        let mut mass = (1.0 - p).powi(trips);
        let mut held = 0.0;
        for k in 0..=trips {
            let count = usize::try_from(k).expect("small");
            let interval = clopper_pearson(count, 120, 0.9);
            if interval.low <= p && p <= interval.high {
                held += mass;
            }
            mass *= f64::from(trips - k) / f64::from(k + 1) * p / (1.0 - p);
        }
        assert!((0.9..=1.0 + 1e-12).contains(&held), "{held} at {p}");
    }
}
