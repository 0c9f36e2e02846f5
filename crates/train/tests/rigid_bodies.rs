//! The train on a curve against rigid bodies in `MuJoCo`.
//!
//! Source: `tests/kept/mujoco_curve.json`, written by `oracles/train_on_curve_mujoco.py`, which holds
//! the versions, the inputs and the tolerances. The model there knows none of our formulas.

mod stock;

use gradeworthy_train::margins::Mode;
use gradeworthy_train::placement::{Placer, Stance};
use gradeworthy_train::statics::{Anchored, Condition, CurveDragLaw};
use gradeworthy_train::sweep::{Check, snapshot};
use gradeworthy_train::track::PlanSegment;
use gradeworthy_train::vehicle::{Numbers, Quantity as Q, Train, Vehicle};
use serde_json::Value;
use stock::{Shape, car, line, locomotive, number, with};

fn kept() -> Value {
    serde_json::from_str(include_str!("kept/mujoco_curve.json")).expect("valid JSON")
}

fn cars_of(case: &Value) -> Vec<Vehicle> {
    let one = |entry: &Value| {
        let shape = Shape {
            a: number(&entry["a"]),
            p: number(&entry["p"]),
            l: 0.008,
        };
        car(shape, number(&entry["weight"]))
    };
    case["cars"]
        .as_array()
        .expect("a list")
        .iter()
        .map(one)
        .collect()
}

#[test]
fn coupler_angles_forces_and_side_forces_agree_with_rigid_bodies() {
    let kept = kept();
    let tolerance = |key: &str| number(&kept["tolerance"][key]);
    let track = line(
        vec![PlanSegment::arc(1.5, 1.0 / number(&kept["radius_m"]))],
        0.0,
    );
    for name in ["equal", "unlike"] {
        let case = &kept[name];
        assert!(
            number(&case["rest_speed_max"]) < 1e-9,
            "{name} came to rest"
        );
        let numbers: Vec<Numbers> = cars_of(case).iter().map(Numbers::of).collect();
        let mut stances: Vec<Stance> = Vec::new();
        Placer::new(&track)
            .place(&numbers, &[], 1.4, &mut stances)
            .expect("it stands");
        let mut pulls = vec![0.0; numbers.len()];
        *pulls.last_mut().expect("cars") = -number(&case["drag_n"]);
        let found = Anchored {
            train: &numbers,
            stances: &stances,
            pulls: &pulls,
            condition: Condition::Running,
            law: CurveDragLaw::PerCurvature,
            speed: 0.0,
            rear_force: 0.0,
        }
        .solve();
        let near = |ours: f64, theirs: &Value, key: &str, index: usize| {
            let theirs = number(theirs);
            let allowed = tolerance(key);
            assert!(
                (ours - theirs).abs() < allowed,
                "{name} car {index} {key}: {ours}, {theirs}"
            );
        };
        for index in 0..numbers.len() {
            for end in 0..2 {
                let swing = stances[index].coupler[end].angle();
                near(
                    swing,
                    &case["coupler_rad"][index][end],
                    "coupler_rad",
                    index,
                );
                // The head is held at its front arm there and at its coupler here.
                if index > 0 {
                    let side = found.truck_loads[index][end].side;
                    near(side, &case["side_n"][index][end], "side_n", index);
                }
            }
            if index > 0 {
                near(
                    found.forces[index],
                    &case["front_force_n"][index],
                    "force_n",
                    index,
                );
            }
        }
    }
}

#[test]
fn the_tip_force_agrees_with_rigid_bodies() {
    let kept = kept();
    let middle = Shape {
        a: 0.050,
        p: 0.064,
        l: 0.008,
    };
    let heavy = car(middle, 11.12);
    let power = with(
        locomotive(middle, 11.12),
        &[
            (Q::SpeedSetting, 1e-4),
            (Q::SpeedSlope, 1e5),
            (Q::AdhesionPull, 9.0),
            (Q::StallPull, 9.0),
        ],
    );
    let tail = with(car(middle, 100.0), &[(Q::RollingDrag, 0.03)]);
    let train =
        Train::new(vec![power, heavy.clone(), car(middle, 1.112), heavy, tail]).expect("a train");
    let track = line(
        vec![PlanSegment::arc(1.5, 1.0 / number(&kept["radius_m"]))],
        0.0,
    );
    let seen =
        snapshot(&train, &track, &Check::new(Condition::Running, 0.1), 1.4).expect("it stands");
    let force = 0.5 * (seen.balance.forces[2] + seen.balance.forces[3]);
    let tip = force / seen.uses[2][Mode::Stringline as usize].ratio();
    let theirs = number(&kept["tip"]["tip_force_n"]);
    let allowed = number(&kept["tolerance"]["tip_force_relative"]);
    assert!(
        (tip / theirs - 1.0).abs() < allowed,
        "{tip} against {theirs}"
    );
}
