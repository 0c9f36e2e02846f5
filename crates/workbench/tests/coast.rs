//! The coast-down fit against the trial program's vectors, SciPy, and repeated draws.

use gradeworthy_units::{Grade, Length, Time};
use gradeworthy_workbench::mechanics::coast::{
    BothDirections, CoastError, CoastFit, Gate, Run, Setup,
};
use rand::SeedableRng as _;
use rand_distr::{Distribution as _, Normal};
use serde_json::Value;

fn vectors() -> Value {
    let vectors: Value =
        serde_json::from_str(include_str!("vectors/a2_spin.json")).expect("the vectors are JSON");
    vectors["coast"].clone()
}

/// SciPy's answers, made by `oracles/bench_mechanics.py`.
fn oracle() -> Vec<Value> {
    let oracle: Value = serde_json::from_str(include_str!("../../../oracles/bench_mechanics.json"))
        .expect("the oracle's answers are JSON");
    oracle["coast"].as_array().expect("cases").clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .map(number)
        .collect()
}

fn near(found: f64, want: f64, within: f64) {
    assert!((found - want).abs() <= within, "{found} {want}");
}

fn seconds(seconds: f64) -> Time {
    Time::from_seconds(seconds).expect("finite")
}

fn run(grade: f64, positions_m: &[f64], times_s: &[Option<f64>]) -> Run {
    Run {
        grade: Grade::from_ratio(grade).expect("finite"),
        gates: positions_m
            .iter()
            .zip(times_s)
            .map(|(position_m, time_s)| Gate {
                position: Length::from_mm_rounded(position_m * 1e3).expect("finite"),
                time: time_s.map(seconds),
            })
            .collect(),
    }
}

/// Times in the vectors are `null` where the car stopped short of a gate.
fn times(value: &Value) -> Vec<Option<f64>> {
    value
        .as_array()
        .expect("times")
        .iter()
        .map(Value::as_f64)
        .collect()
}

fn setup(rotating_part: f64, timing_s: f64) -> Setup {
    Setup {
        rotating_part,
        timing: seconds(timing_s),
    }
}

fn trial_runs() -> (Vec<Run>, Setup) {
    let vectors = vectors();
    let runs = vectors["example"]["runs"]
        .as_array()
        .expect("runs")
        .iter()
        .map(|case| run(number(&case[2]), &numbers(&case[0]), &times(&case[1])))
        .collect();
    (
        runs,
        setup(number(&vectors["eps"]), number(&vectors["sig_t"])),
    )
}

#[test]
fn exact_times_give_back_the_exact_drag() {
    let vectors = vectors();
    let positions = numbers(&vectors["xg"]);
    let runs: Vec<_> = (0..2)
        .map(|index| {
            let times = times(&vectors["exact_times"][index]);
            run(number(&vectors["grades"][index]), &positions, &times)
        })
        .collect();
    // The first run stops after five of nine gates.
    assert_eq!(
        runs[0]
            .gates
            .iter()
            .filter(|gate| gate.time.is_some())
            .count(),
        5
    );
    let setup = setup(number(&vectors["eps"]), number(&vectors["sig_t"]));
    let fit = CoastFit::from_runs(&runs, setup).expect("two grades");
    near(fit.rolling.value.ratio(), number(&vectors["a"]), 1e-12);
    near(fit.viscous_s_per_m.value, number(&vectors["b"]), 1e-11);
    for (start, want) in fit.starts.iter().zip(numbers(&vectors["v0"])) {
        near(start.speed_m_s.value, want, 1e-11);
        near(start.clock.value.seconds(), 0.0, 1e-11);
    }
    assert!(fit.residuals.chi_square < 1e-12);
}

#[test]
fn the_trial_programs_runs_give_the_trial_programs_fit() {
    let (runs, setup) = trial_runs();
    let fit = CoastFit::from_runs(&runs, setup).expect("two grades");
    let example = &vectors()["example"];
    let (want, errors) = (numbers(&example["p"]), numbers(&example["se"]));
    // The trial program's minimiser, with a difference quotient for a Jacobian, stopped some 1e-6
    // standard errors short of the minimum.
    near(fit.rolling.value.ratio(), want[0], 1e-5 * errors[0]);
    near(fit.viscous_s_per_m.value, want[1], 1e-5 * errors[1]);
    near(fit.rolling.error.ratio(), errors[0], 1e-5 * errors[0]);
    near(fit.viscous_s_per_m.error, errors[1], 1e-5 * errors[1]);
    for (index, start) in fit.starts.iter().enumerate() {
        let (speed, clock) = (2 + index, 4 + index);
        near(start.speed_m_s.value, want[speed], 1e-5 * errors[speed]);
        near(
            start.clock.value.seconds(),
            want[clock],
            1e-5 * errors[clock],
        );
        near(start.speed_m_s.error, errors[speed], 1e-5 * errors[speed]);
        near(
            start.clock.error.seconds(),
            errors[clock],
            1e-5 * errors[clock],
        );
    }
    assert_eq!(fit.residuals.degrees_of_freedom, 8);
}

fn oracle_runs(case: &Value) -> Vec<Run> {
    case["runs"]
        .as_array()
        .expect("runs")
        .iter()
        .map(|data| {
            run(
                number(&data["grade"]),
                &numbers(&data["position_m"]),
                &times(&data["time_s"]),
            )
        })
        .collect()
}

#[test]
fn three_sets_of_runs_agree_with_scipys_least_squares() {
    for case in oracle() {
        let runs = oracle_runs(&case);
        let setup = setup(number(&case["rotating_part"]), number(&case["timing_s"]));
        let fit = CoastFit::from_runs(&runs, setup).expect("grades apart");
        let (want, errors) = (numbers(&case["fit"]), numbers(&case["standard_errors"]));
        // A hundred-thousandth of a standard error between two minimisers; errors to six digits.
        near(fit.rolling.value.ratio(), want[0], 1e-5 * errors[0]);
        near(fit.viscous_s_per_m.value, want[1], 1e-5 * errors[1]);
        near(fit.rolling.error.ratio(), errors[0], 1e-6 * errors[0]);
        near(fit.viscous_s_per_m.error, errors[1], 1e-6 * errors[1]);
        for (index, start) in fit.starts.iter().enumerate() {
            let clock = 2 + runs.len() + index;
            near(
                start.speed_m_s.value,
                want[2 + index],
                1e-5 * errors[2 + index],
            );
            near(
                start.speed_m_s.error,
                errors[2 + index],
                1e-6 * errors[2 + index],
            );
            near(
                start.clock.error.seconds(),
                errors[clock],
                1e-6 * errors[clock],
            );
            // The oracle counts from zero of its clock, the kernel from the first gate's time.
            let first_s = runs[index].gates[0].time.expect("passed").seconds();
            near(
                start.clock.value.seconds() + first_s,
                want[clock],
                1e-5 * errors[clock],
            );
        }
        let residuals = fit.residuals;
        near(residuals.chi_square, number(&case["chi_square"]), 1e-7);
        near(
            residuals.tail_probability,
            number(&case["tail_probability"]),
            1e-8,
        );
        assert_eq!(
            Some(residuals.degrees_of_freedom as u64),
            case["degrees"].as_u64()
        );
    }
}

#[test]
fn trap_4_the_first_gates_clock_is_noisy_too() {
    // Errors that take the start times as known are up to a third smaller; ours must be the others.
    for case in oracle() {
        let setup = setup(number(&case["rotating_part"]), number(&case["timing_s"]));
        let fit = CoastFit::from_runs(&oracle_runs(&case), setup).expect("grades apart");
        let honest = numbers(&case["standard_errors"]);
        let trapped = numbers(&case["standard_errors_with_start_times_taken_as_known"]);
        for (found, honest, trapped) in [
            (fit.rolling.error.ratio(), honest[0], trapped[0]),
            (fit.viscous_s_per_m.error, honest[1], trapped[1]),
        ] {
            near(found, honest, 1e-6 * honest);
            assert!(found > 1.05 * trapped, "{found} {trapped}");
        }
    }
    // And the claimed errors are those that repetition shows.
    let (claimed, drawn) = repeated(400);
    for (claimed, drawn) in claimed.iter().zip(&drawn) {
        // Three standard deviations of a standard deviation from 400 draws are 11 %.
        near(drawn / claimed, 1.0, 0.11);
    }
}

/// Exact times of the trial program's two runs, with noise on every gate, fitted again and again.
/// Returns the mean claimed errors of a and b, and the standard deviations that the draws show.
fn repeated(draws: u32) -> ([f64; 2], [f64; 2]) {
    let vectors = vectors();
    let positions = numbers(&vectors["xg"]);
    let timing_s = number(&vectors["sig_t"]);
    let noise = Normal::new(0.0, timing_s).expect("positive");
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(4);
    let (mut sum, mut squares, mut claimed) = ([0.0; 2], [0.0; 2], [0.0; 2]);
    for _ in 0..draws {
        let runs: Vec<_> = (0..2)
            .map(|index| {
                let times: Vec<_> = times(&vectors["exact_times"][index])
                    .into_iter()
                    .map(|time| time.map(|time| time + noise.sample(&mut rng)))
                    .collect();
                run(number(&vectors["grades"][index]), &positions, &times)
            })
            .collect();
        let setup = setup(number(&vectors["eps"]), timing_s);
        let fit = CoastFit::from_runs(&runs, setup).expect("two grades");
        let found = [fit.rolling.value.ratio(), fit.viscous_s_per_m.value];
        let errors = [fit.rolling.error.ratio(), fit.viscous_s_per_m.error];
        for which in 0..2 {
            sum[which] += found[which];
            squares[which] += found[which] * found[which];
            claimed[which] += errors[which] / f64::from(draws);
        }
    }
    let count = f64::from(draws);
    let deviation =
        |which: usize| ((squares[which] - sum[which] * sum[which] / count) / (count - 1.0)).sqrt();
    (claimed, [deviation(0), deviation(1)])
}

#[test]
fn a_level_error_moves_rolling_drag_by_itself_and_both_directions_cancel_it() {
    let (runs, setup) = trial_runs();
    let with_level_error = |error: f64| {
        let runs: Vec<_> = runs
            .iter()
            .map(|run| Run {
                grade: run.grade + Grade::from_ratio(error).expect("finite"),
                ..run.clone()
            })
            .collect();
        CoastFit::from_runs(&runs, setup).expect("two grades")
    };
    let true_level = with_level_error(0.0);
    let (first, turned) = (with_level_error(-0.001), with_level_error(0.001));
    let shift = turned.rolling.value.ratio() - true_level.rolling.value.ratio();
    // Exactly .001 but for cos θ of a 2 % grade, 2e-4 of it.
    near(shift, 0.001, 1e-6);
    let both = BothDirections::from_fits(&first, &turned).expect("finite");
    near(
        both.rolling.value.ratio(),
        true_level.rolling.value.ratio(),
        1e-8,
    );
    near(both.level_error.value.ratio(), 0.001, 1e-6);
    assert!(both.rolling.error < true_level.rolling.error);
}

#[test]
fn runs_that_tell_nothing_are_refused_and_say_why() {
    let (runs, setup) = trial_runs();
    let fit = |runs: &[Run]| CoastFit::from_runs(runs, setup);
    let one_grade = [runs[1].clone(), runs[1].clone()];
    assert_eq!(
        fit(&one_grade).expect_err("one grade").to_string(),
        "the grades of the runs differ by 0.000 %; two grades 0.5 % apart or more are needed \
         to tell rolling drag from drag that grows with speed"
    );
    assert!(matches!(fit(&[]), Err(CoastError::OneGrade { .. })));
    let mut short = runs.clone();
    short[0].gates.truncate(2);
    assert_eq!(
        fit(&short),
        Err(CoastError::TooFewGates {
            run: 0,
            found: 2,
            needed: 3
        })
    );
    let mut bare = runs.clone();
    for run in &mut bare {
        run.gates.truncate(3);
    }
    assert_eq!(
        fit(&bare),
        Err(CoastError::TooFewTimes {
            found: 6,
            unknowns: 6
        })
    );
    let mut backwards = runs.clone();
    backwards[1].gates[4].time = backwards[1].gates[2].time;
    assert!(matches!(
        fit(&backwards),
        Err(CoastError::TimesNotIncreasing {
            run: 1,
            gate: 4,
            ..
        })
    ));
    let mut disorder = runs.clone();
    disorder[1].gates.swap(3, 4);
    assert!(matches!(
        fit(&disorder),
        Err(CoastError::PositionsNotIncreasing {
            run: 1,
            gate: 4,
            ..
        })
    ));
    let no_timing = Setup {
        timing: Time::ZERO,
        ..setup
    };
    assert!(matches!(
        CoastFit::from_runs(&runs, no_timing),
        Err(CoastError::OutOfRange { .. })
    ));
    // The two grades exchanged: no drag explains that.
    let mut exchanged = runs.clone();
    (exchanged[0].grade, exchanged[1].grade) = (runs[1].grade, runs[0].grade);
    let misfit = fit(&exchanged);
    let poor = misfit
        .as_ref()
        .is_ok_and(|fit| fit.residuals.tail_probability < 1e-6);
    assert!(
        poor || matches!(misfit, Err(CoastError::NotConverged { .. })),
        "{misfit:?}"
    );
}

#[test]
fn a_gate_that_did_not_fire_is_left_out_and_an_understated_clock_shows() {
    let (runs, setup) = trial_runs();
    let whole = CoastFit::from_runs(&runs, setup).expect("two grades");
    let mut missing = runs.clone();
    missing[1].gates[3].time = None;
    let fit = CoastFit::from_runs(&missing, setup).expect("two grades");
    assert_eq!(fit.residuals.degrees_of_freedom, 7);
    let moved = (fit.rolling.value - whole.rolling.value).abs();
    assert!(moved < fit.rolling.error);
    // σ_t claimed five times better than it is.
    let boast = Setup {
        timing: seconds(0.0004),
        ..setup
    };
    let fit = CoastFit::from_runs(&runs, boast).expect("two grades");
    assert!(fit.residuals.tail_probability < 1e-6);
    assert!(whole.residuals.tail_probability > 0.05);
}
