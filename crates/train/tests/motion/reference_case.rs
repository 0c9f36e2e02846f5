//! The case of 80 cars and 3 locomotives against SUNDIALS CVODE.
//!
//! `kept/motion_p80_mn.csv` is kept by `oracles/motion_oracles.py`: coupler forces in millinewtons
//! at every 100 ms by CVODE (band, relative tolerance 1e-11), Debian's SUNDIALS 6.4.1, 2026-11-25.
//! `vectors/b4_case_p80.json` holds the case and the peaks that another run of CVODE found on its
//! own grid of times.

use gradeworthy_train::dynamics::{Config, Effort, Solution, solve};

use crate::longitudinal::{Case, read};

fn case() -> Case {
    read(include_str!("../vectors/b4_case_p80.json")).expect("a case")
}

fn truth() -> Vec<Vec<f64>> {
    let row = |line: &str| -> Vec<f64> {
        let cells = line.split(',');
        cells
            .map(|own| own.parse::<f64>().expect("a number") / 1e3)
            .collect()
    };
    include_str!("../kept/motion_p80_mn.csv")
        .lines()
        .map(row)
        .collect()
}

fn moved(tolerance: f64) -> Solution {
    let Case {
        problem,
        start,
        end,
    } = case();
    let config = Config {
        sample: 0.01,
        ..Config::within(tolerance)
    };
    solve(&problem, &start, end, &config).expect("it moves")
}

/// rms of the difference over rms.
fn error(moved: &Solution) -> f64 {
    let (mut miss, mut whole) = (0.0, 0.0);
    for (index, row) in truth().iter().enumerate() {
        for (got, wanted) in moved.samples.forces(10 * index).iter().zip(row) {
            miss += (got - wanted).powi(2);
            whole += wanted.powi(2);
        }
    }
    (miss / whole).sqrt()
}

#[test]
fn the_default_tolerance_is_within_1_2_percent_and_the_tight_one_within_0_3() {
    let by_default = error(&moved(Config::TOLERANCE));
    let tight = error(&moved(Config::TOLERANCE_TIGHT));
    assert!(by_default < 0.012, "{by_default}");
    assert!(tight < 0.003, "{tight}");
    assert!(tight < 0.5 * by_default);
}

#[test]
fn peaks_are_those_of_the_reference() {
    let moved = moved(Config::TOLERANCE_TIGHT);
    let greatest = moved.samples.force.iter().copied().fold(0.0, f64::max);
    let least = moved.samples.force.iter().copied().fold(0.0, f64::min);
    // The reference saw its peaks at steady intervals; at every 10 ms a little more is seen.
    assert!((greatest - 2.689).abs() < 0.005, "{greatest}");
    assert!((least + 4.103).abs() < 0.005, "{least}");
    // At the ends of all steps more is seen still, and never less.
    let (_, draft) = moved.hardest_draft().expect("a coupling");
    let (_, buff) = moved.hardest_buff().expect("a coupling");
    assert!(draft.draft >= greatest - 1e-6 && draft.draft < greatest + 0.02);
    assert!(buff.buff <= least + 1e-6 && buff.buff > least - 0.02);
}

/// A change here is a change of speed or of care: look at it, then set the numbers anew.
#[test]
fn effort_is_what_it_was() {
    let by_default = moved(Config::TOLERANCE).effort;
    let tight = moved(Config::TOLERANCE_TIGHT).effort;
    let close = |own: Effort, steps: usize, iterations: usize| {
        let near = |a: usize, b: usize| a.abs_diff(b) * 50 <= b;
        assert!(
            near(own.steps, steps) && near(own.iterations, iterations),
            "{own:?}"
        );
    };
    close(by_default, 5766, 14602);
    close(tight, 12022, 29356);
}

#[test]
fn the_same_is_found_every_time() {
    let (one, other) = (moved(Config::TOLERANCE), moved(Config::TOLERANCE));
    assert_eq!(one, other);
}
