//! Student's factor for an interval of given probability.

use statrs::distribution::{ContinuousCDF as _, StudentsT};

/// The t for which a Student variable of so many `degrees` of freedom lies within ±t with
/// probability `level`; `None` unless `degrees` is positive and `level` strictly between 0 and 1.
pub(super) fn two_sided_factor(degrees: f64, level: f64) -> Option<f64> {
    if !(level > 0.0 && level < 1.0) {
        return None;
    }
    let law = StudentsT::new(0.0, 1.0, degrees).ok()?;
    Some(law.inverse_cdf(0.5 + level / 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_agree_with_scipy() {
        // scipy.stats.t.ppf, by oracles/bench_mechanics.py.
        let oracle: serde_json::Value =
            serde_json::from_str(include_str!("../../../../oracles/bench_mechanics.json"))
                .expect("the oracle's answers are JSON");
        for row in oracle["students_t"].as_array().expect("rows") {
            let degrees = row["degrees"].as_f64().expect("a number");
            for pair in row["quantile"].as_array().expect("pairs") {
                let (p, want) = (pair[0].as_f64().expect("p"), pair[1].as_f64().expect("t"));
                let found = two_sided_factor(degrees, 2.0 * p - 1.0).expect("in range");
                assert!(
                    (found / want - 1.0).abs() < 1e-9,
                    "{degrees} {p}: {found} {want}"
                );
            }
        }
        assert_eq!(two_sided_factor(6.0, 1.0), None);
        assert_eq!(two_sided_factor(0.0, 0.9), None);
    }
}
