//! Conformance probabilities against SciPy's normal distribution on a grid of readings, limits and
//! uncertainties (`oracles/conformance_probability.py`, versions in the JSON beside it).

use gradeworthy_units::Time;
use gradeworthy_workbench::decision::{Tolerance, conformance_probability};
use serde_json::Value;

#[test]
fn conformance_probabilities_agree_with_scipy() {
    let text = include_str!("../../../oracles/conformance_probability.json");
    let oracle: Value = serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}"));
    let tolerance = oracle["tolerance"].as_f64().expect("a number");
    let cases = oracle["cases"].as_array().expect("a list");
    assert_eq!(cases.len(), 6 * 4 * 15);
    // A time is a plain float of seconds: no rounding to nanometres comes between.
    let time = |value: &Value| {
        value
            .as_f64()
            .map(|s| Time::from_seconds(s).expect("finite"))
    };
    for case in cases {
        let limits = Tolerance {
            lower: time(&case["lower"]),
            upper: time(&case["upper"]),
        };
        let reading = time(&case["y"]).expect("a reading");
        let u = case["u"].as_f64().expect("a number");
        let found = conformance_probability(reading, limits, u);
        let expected = case["p"].as_f64().expect("a number");
        assert!(
            (found - expected).abs() <= tolerance,
            "{case}: found {found}"
        );
    }
}
