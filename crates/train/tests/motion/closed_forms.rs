//! Closed forms; the numbers of `vectors/b4_closed_form.json` are those of an independent prototype.

use gradeworthy_train::dynamics::{Config, Laws, State, StopLaw, solve};
use serde_json::Value;

use crate::{car, linear, problem, standing, steady_pull};

fn vectors() -> Value {
    serde_json::from_str(include_str!("../vectors/b4_closed_form.json")).expect("valid JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Two cars meet at `v0`; what is left of their difference of speed.
fn restitution(laws: Laws, damping: f64) -> f64 {
    let one = problem(vec![car(0.1134, 0.0); 2], damping, 0.0, laws);
    let start = State::new(standing(2), vec![0.0, 0.05]);
    let moved = solve(&one, &start, 0.05, &Config::within(1e-9)).expect("it moves");
    (moved.end.speed[0] - moved.end.speed[1]) / 0.05
}

/// e = exp(−πζ/√(1−ζ²)): spring and damper that let go where the stop has its length again.
#[test]
fn two_cars_bounce_as_spring_and_damper_do() {
    let own = &vectors()["D1_restitution"];
    let at = |rounding| {
        let laws = Laws {
            rounding,
            ..linear(1e-3)
        };
        (restitution(laws, number(&own["c"])) - number(&own["e"])).abs()
    };
    // The corner of 20 µm on 100 µm of compression is not in the closed form; it costs 0.005.
    let (wide, fine) = (at(2e-5), at(2e-7));
    assert!(fine < 2e-4 && wide < 6e-3, "{fine} {wide}");
}

/// A stop that never pulls lets go where its force has gone:
/// e = exp(−(β/ω)(π − atan(2βω/(ω² − β²)))), β/ω = ζ/√(1−ζ²).
/// Source: [SCHWAGER-2007], from memory; derived again from x(t) = e^(−βt) sin ωt with x'' = 0.
#[test]
fn a_stop_that_never_pulls_gives_more_back() {
    let own = &vectors()["D1_restitution"];
    let damping = number(&own["c"]);
    let zeta = number(&own["zeta"]);
    let root = (1.0 - zeta * zeta).sqrt();
    let beta_over_omega = zeta / root;
    let angle = std::f64::consts::PI
        - (2.0 * beta_over_omega / (1.0 - beta_over_omega * beta_over_omega)).atan();
    let closed = (-beta_over_omega * angle).exp();
    let laws = |rounding| Laws {
        rounding,
        stop: StopLaw::OneSided,
        ..linear(1e-3)
    };
    let wide = (restitution(laws(2e-5), damping) - closed).abs();
    let fine = (restitution(laws(2e-7), damping) - closed).abs();
    assert!(fine < 2e-3 && fine < wide, "{fine} {wide} of {closed}");
}

#[test]
fn a_car_runs_out() {
    let own = &vectors()["D2_stop"];
    let one = problem(vec![car(0.1134, 0.012)], 0.0, 0.0, linear(1e-6));
    let start = State::new(vec![0.0], vec![number(&own["v0"])]);
    let moved = solve(&one, &start, 3.0, &Config::within(1e-10)).expect("it moves");
    // v²/2rg, and the last micrometre at creeping speed.
    assert!((moved.end.place[0] - number(&own["dist"])).abs() < 1e-7);
}

#[test]
fn friction_that_creeps_creeps_as_much_as_it_should() {
    let own = &vectors()["D3_stick"];
    let one = problem(
        vec![car(0.1134, 0.012)],
        0.0,
        0.01,
        linear(number(&own["eps"])),
    );
    let start = State::new(vec![0.0], vec![0.0]);
    let moved = solve(&one, &start, 1.0, &Config::default()).expect("it moves");
    assert!((moved.end.speed[0] / number(&own["v_creep"]) - 1.0).abs() < 1e-6);
}

#[test]
fn a_run_in_goes_through_the_train() {
    let own = &vectors()["D4_runin"];
    let damping = number(&own["c"]);
    let laws = linear(1e-3);
    // Ten run with all slack stretched, but touching no stop, into a head that does not yield.
    let mut bodies = vec![car(1e6, 0.0)];
    bodies.extend(vec![car(0.1134, 0.0); 10]);
    let one = problem(bodies, damping, 0.0, laws);
    let places: Vec<f64> = (0..11).map(|i| -(0.155 + 0.00058) * f64::from(i)).collect();
    let mut speeds = vec![number(&own["v"]); 11];
    speeds[0] = 0.0;
    let config = Config {
        sample: 1e-4,
        ..Config::within(1e-8)
    };
    let moved = solve(&one, &State::new(places, speeds), 0.2, &config).expect("it moves");
    let rigid = own["rigid_plastic"].as_array().expect("a list");
    let hits: Vec<f64> = (0..rigid.len())
        .map(|coupling| {
            let hit = |row: &usize| moved.samples.forces(*row)[coupling] < -1e-2;
            let row = (0..moved.samples.len())
                .find(hit)
                .expect("every coupling is hit");
            moved.samples.time[row]
        })
        .collect();
    for (hit, told) in hits.iter().zip(rigid) {
        // Bodies that stop dead would stop when the free 0.58 of 0.60 mm on either side is gone;
        // soft stops let the run-in fall behind by a few percent, and never get ahead.
        let dead = number(told) * (0.58 + 0.6) / 1.2;
        assert!((-2e-4..0.12 * dead).contains(&(hit - dead)), "{hit} {dead}");
    }
    // The run-in travels steadily.
    let gaps: Vec<f64> = hits.windows(2).map(|pair| pair[1] - pair[0]).collect();
    for gap in &gaps[3..] {
        assert!((gap - gaps[3]).abs() < 3e-4, "{gaps:?}");
    }
    // One car stopped dead by one stop would give v√(km); damper and neighbours add to it.
    let hardest = -moved.hardest_buff().expect("a coupling").1.buff;
    let rule = number(&own["rule_v_sqrt_km"]);
    assert!((rule..3.0 * rule).contains(&hardest), "{hardest} {rule}");
}

#[test]
fn a_steady_pull_is_shared_by_mass() {
    let own = &vectors()["D5_accel"];
    let wanted: Vec<f64> = own["F"]
        .as_array()
        .expect("a list")
        .iter()
        .map(number)
        .collect();
    let acceleration = number(&own["a"]);
    let pull = number(&own["F_loco"]);
    // F_k = (mass behind)(a + g (r + G)); the mass behind follows from the vector itself.
    let mass = wanted[19] / (acceleration + 9.80665 * 0.022);
    let head = (pull - wanted[0]) / (acceleration + 9.80665 * 0.022);
    let mut bodies = vec![car(head, 0.012)];
    bodies.extend(vec![car(mass, 0.012); 20]);
    let mut one = problem(bodies, 8.0, 0.01, linear(1e-3));
    one.drives = vec![steady_pull(0, pull)];
    let mut places = vec![0.0];
    for k in 0..20 {
        // Each coupling as far stretched as its force will ask, the corner's half width counted.
        places.push(places[k] - 0.155 - 0.0006 - wanted[k] / 8000.0);
    }
    let start = State::new(places, vec![0.05; 21]);
    let moved = solve(&one, &start, 6.0, &Config::within(1e-9)).expect("it moves");
    let last = moved.samples.len() - 1;
    for (got, wanted) in moved.samples.forces(last).iter().zip(&wanted) {
        // A nanometre of tolerance on 8 N/mm is 8 µN a step.
        assert!((got - wanted).abs() < 5e-5, "{got} {wanted}");
    }
}
