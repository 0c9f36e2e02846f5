//! Momentum, energy, order of convergence, effort, the same answer every time.

use std::ops::ControlFlow;

use gradeworthy_train::dynamics::{
    Config, Laws, Look, Problem, Setting, State, StopLaw, solve, solve_many, solve_watched,
};
use gradeworthy_train::sweep::Cores;

use crate::{car, linear, problem, standing, steady_pull};

/// Twelve cars that are pushed together at different speeds, without any drag.
fn colliding(damping: f64, stop: StopLaw) -> (Problem, State) {
    let laws = Laws {
        stop,
        ..linear(1e-3)
    };
    let bodies = (0..12)
        .map(|i| car(0.1 + 0.004 * f64::from(i), 0.0))
        .collect();
    let speeds = (0..12).map(|i| 0.02 * f64::from((i * 5) % 7)).collect();
    let one = problem(bodies, damping, 0.0, laws);
    (one, State::new(standing(12), speeds))
}

fn momentum(problem: &Problem, look: &Look<'_>) -> f64 {
    let each = problem.bodies.iter().zip(look.speed);
    each.map(|(body, speed)| body.mass * speed).sum()
}

/// Kinetic energy and that of the springs, the rounded corner being a cubic and then a parabola.
fn energy(problem: &Problem, look: &Look<'_>) -> f64 {
    let each = problem.bodies.iter().zip(look.speed);
    let moving: f64 = each.map(|(body, v)| 0.5 * body.mass * v * v).sum();
    let d = problem.laws.rounding;
    let stored = problem.links.iter().enumerate().map(|(k, link)| {
        let pulled = look.place[k] - look.place[k + 1] - link.spacing;
        let into = pulled.abs() - 0.5 * link.slack;
        if into <= -d {
            0.0
        } else if into < d {
            link.stiffness * (into + d).powi(3) / (12.0 * d)
        } else {
            link.stiffness * (0.5 * into * into + d * d / 6.0)
        }
    });
    moving + stored.sum::<f64>()
}

#[test]
fn momentum_stays() {
    for stop in [StopLaw::OneSided, StopLaw::Linear] {
        let (one, start) = colliding(8.0, stop);
        let mut seen = Vec::new();
        solve_watched(&one, &start, 1.0, &Config::default(), &mut |look| {
            seen.push(momentum(&one, look));
            ControlFlow::Continue(())
        })
        .expect("it moves");
        let worst = seen
            .iter()
            .map(|own| (own / seen[0] - 1.0).abs())
            .fold(0.0, f64::max);
        assert!(worst < 1e-11, "{worst}");
    }
}

#[test]
fn energy_is_only_lost_and_not_without_damping() {
    let follow = |damping: f64, stop: StopLaw, tolerance: f64| {
        let (one, start) = colliding(damping, stop);
        let mut seen = Vec::new();
        solve_watched(&one, &start, 0.6, &Config::within(tolerance), &mut |look| {
            seen.push(energy(&one, look));
            ControlFlow::Continue(())
        })
        .expect("it moves");
        seen
    };
    for stop in [StopLaw::OneSided, StopLaw::Linear] {
        let seen = follow(8.0, stop, 1e-8);
        let gains = seen.windows(2).map(|pair| pair[1] - pair[0]);
        let gained: f64 = gains.filter(|own| *own > 0.0).sum();
        assert!(gained < 1e-4 * seen[0], "{gained} of {}", seen[0]);
        assert!(seen[seen.len() - 1] < 0.9 * seen[0]);
    }
    let lost = |tolerance| {
        let seen = follow(0.0, StopLaw::OneSided, tolerance);
        (seen[seen.len() - 1] / seen[0] - 1.0).abs()
    };
    let (coarse, fine) = (lost(1e-6), lost(1e-8));
    assert!(fine < 0.1 * coarse && fine < 1e-3, "{coarse} {fine}");
}

/// On a run-in with a wide corner, where the law is smooth enough for it.
#[test]
fn half_the_step_leaves_a_quarter_of_the_error() {
    let laws = Laws {
        rounding: 2e-4,
        ..linear(1e-3)
    };
    let bodies = vec![car(0.1134, 0.0); 6];
    let one = problem(bodies, 8.0, 0.0, laws);
    let start = State::new(standing(6), vec![0.0, 0.0, 0.0, 0.05, 0.05, 0.05]);
    let at = |step: f64| {
        let moved = solve(&one, &start, 0.06, &Config::fixed(step)).expect("it moves");
        moved.end.speed
    };
    let truth = at(1e-6);
    let miss = |step: f64| {
        let own = at(step);
        let each = own.iter().zip(&truth);
        each.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    };
    let misses = [1e-4, 5e-5, 2.5e-5].map(miss);
    for pair in misses.windows(2) {
        let order = (pair[0] / pair[1]).log2();
        assert!((1.8..2.3).contains(&order), "{misses:?}");
    }
}

/// A setting that falls within a step would cost an order; steps end on it.
#[test]
fn settings_within_a_step_cost_no_order() {
    let laws = Laws {
        rounding: 2e-4,
        ..linear(1e-3)
    };
    let mut one = problem(vec![car(0.1134, 0.0); 6], 8.0, 0.0, laws);
    let mut drive = steady_pull(0, 0.9);
    let first = drive.settings[0];
    // 0.4 ms does not divide the 5 ms to the change.
    drive.settings.push(Setting {
        at: 0.005,
        pull: 0.2,
        ..first
    });
    one.drives = vec![drive];
    let stretched = (0..6).map(|i| -(0.155 + 0.0007) * f64::from(i)).collect();
    let start = State::new(stretched, vec![0.05; 6]);
    let at = |step: f64| {
        solve(&one, &start, 0.02, &Config::fixed(step))
            .expect("it moves")
            .end
    };
    let truth = at(1e-6).speed;
    let miss = |step: f64| {
        let own = at(step).speed;
        let each = own.iter().zip(&truth);
        each.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    };
    let (coarse, fine) = (miss(4e-4), miss(1e-4));
    assert!(coarse / fine > 11.0, "{coarse} {fine}");
}

#[test]
fn four_side_by_side_are_what_each_is_alone() {
    let copies: Vec<(Problem, State)> = [4.0, 8.0, 12.0, 16.0, 20.0, 24.0]
        .map(|damping| colliding(damping, StopLaw::OneSided))
        .to_vec();
    let config = Config::within(1e-9);
    let together = solve_many(&copies, 0.3, &config, Cores::All).expect("they move");
    let again = solve_many(&copies, 0.3, &config, Cores::One).expect("they move");
    assert_eq!(together, again);
    assert_eq!(together.len(), copies.len());
    for ((one, start), own) in copies.iter().zip(&together) {
        let alone = solve(one, start, 0.3, &config).expect("it moves");
        for (peak, buff) in alone.peaks.iter().zip(&own.buff) {
            assert!((peak.buff - buff).abs() < 2e-3, "{} {buff}", peak.buff);
        }
    }
}

#[test]
fn copies_that_are_built_otherwise_are_refused() {
    let (one, start) = colliding(8.0, StopLaw::OneSided);
    let mut other = one.clone();
    other.bodies.pop();
    other.links.pop();
    let shorter = State::new(standing(11), vec![0.0; 11]);
    let refused = solve_many(
        &[(one, start), (other, shorter)],
        0.1,
        &Config::default(),
        Cores::One,
    );
    let said = refused.expect_err("another train").to_string();
    assert_eq!(said, "vehicles of a copy: found 11, expected 12");
}
