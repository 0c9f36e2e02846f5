//! The friction-centre truck against an independent prototype and Heumann's minimum.

use gradeworthy_train::truck::{Truck, TruckForces};
use serde_json::Value;

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn four(value: &Value) -> [f64; 4] {
    [0, 1, 2, 3].map(|index| number(&value[index]))
}

fn truck_of(case: &Value) -> Truck {
    Truck {
        wheel_loads: four(&case["Q"]),
        friction: number(&case["mu"]),
        wheelbase: number(&case["w"]),
        contact_spacing: number(&case["gc"]),
        lateral_play: number(&case["sigma"]),
        curvature: number(&case["kappa"]),
        side_force: number(&case["S"]),
        moment: number(&case["M"]),
    }
}

fn vectors() -> Value {
    serde_json::from_str(include_str!("vectors/b23_quasistatic.json")).expect("valid JSON")
}

/// The free truck of the tables: W/8 a wheel, no force from the body.
fn free_truck(radius: f64, lateral_play: f64) -> Truck {
    Truck {
        wheel_loads: [0.139; 4],
        friction: 0.25,
        wheelbase: 0.0175,
        contact_spacing: 0.0178,
        lateral_play,
        curvature: 1.0 / radius,
        side_force: 0.0,
        moment: 0.0,
    }
}

/// Source: `tests/vectors/b3_truck_random.json`, an independent prototype.
#[test]
fn random_trucks_agree_with_the_prototype() {
    let vectors: Value =
        serde_json::from_str(include_str!("vectors/b3_truck_random.json")).expect("valid JSON");
    let cases = vectors["cases"].as_array().expect("a list");
    assert_eq!(cases.len(), 27);
    for (index, case) in cases.iter().enumerate() {
        let found = truck_of(case).forces();
        let close = |ours: f64, theirs: f64, what: &str| {
            assert!(
                (ours - theirs).abs() < 1e-10,
                "case {index} {what}: {ours} against {theirs}"
            );
        };
        close(found.leading, number(&case["Yl"]), "Y_l");
        close(found.trailing, number(&case["Yt"]), "Y_t");
        close(found.pole, number(&case["xp"]), "x_p");
        close(found.slip_drag, number(&case["drag"]), "drag");
        for (wheel, (ours, theirs)) in found.tread.iter().zip(four(&case["fy"])).enumerate() {
            close(*ours, theirs, &format!("F_y of wheel {wheel}"));
        }
    }
}

/// C12. Source: [HEUMANN] as an independent computation: with one flange touching, its force is
/// the least of Σ μ Q ρ/(w/2 − `x_p`) over the pole; here by golden section.
#[test]
fn a_free_truck_is_heumanns_minimum() {
    let found = free_truck(0.6, 3e-4).forces();
    let of_pole = |pole: f64| {
        let reach = |x: f64| ((x - pole).powi(2) + 0.0089_f64.powi(2)).sqrt();
        0.25 * 0.139 * 2.0 * (reach(0.00875) + reach(-0.00875)) / (0.00875 - pole)
    };
    let (mut low, mut high) = (-0.05, 0.0);
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    for _ in 0..100 {
        let (a, b) = (high - ratio * (high - low), low + ratio * (high - low));
        if of_pole(a) < of_pole(b) {
            high = b
        } else {
            low = a
        }
    }
    assert!((found.leading - of_pole(low)).abs() < 1e-12);
    assert!(
        (found.pole - low).abs() < 1e-7,
        "a minimum is flat: half the digits"
    );
    let case = &vectors()["C12_truck_free"];
    assert!((found.leading - number(&case["Y"])).abs() < 1e-12);
    assert!((found.pole - number(&case["xp"])).abs() < 1e-12);
    let per_weight = found.slip_drag / (4.0 * 0.139);
    assert!((per_weight - number(&case["drag_over_weight"])).abs() < 1e-12);
    let lateral = found.leading + found.tread[1];
    assert!((lateral / 0.139 - number(&case["LV_lead_outer"])).abs() < 1e-10);
}

/// Source: `tests/vectors/b23_quasistatic.json`, an independent prototype.
#[test]
fn the_tables_of_radius_and_of_side_force_agree() {
    let all = vectors();
    for row in all["truck_table"]["rows"].as_array().expect("rows") {
        let found = free_truck(number(&row[0]), number(&row[1])).forces();
        assert!((found.leading / 0.139 - number(&row[2])).abs() < 1e-10);
        assert!((found.trailing / 0.139 - number(&row[3])).abs() < 1e-10);
        assert!((found.pole * 1e3 - number(&row[4])).abs() < 1e-9);
        assert!((found.slip_drag / 0.556 * 100.0 - number(&row[5])).abs() < 1e-10);
    }
    for row in all["truck_S"]["rows"].as_array().expect("rows") {
        let truck = Truck {
            side_force: number(&row[0]),
            ..free_truck(0.6, 3e-4)
        };
        let found = truck.forces();
        assert!((found.leading - number(&row[1])).abs() < 1e-10);
        assert!((found.trailing - number(&row[2])).abs() < 1e-10);
        assert!((found.pole * 1e3 - number(&row[3])).abs() < 1e-8);
    }
}

/// Checks a solution from first principles, wheel by wheel; returns a fault.
fn fault(truck: &Truck, found: &TruckForces) -> Option<String> {
    let half = 0.5 * truck.wheelbase;
    let y = 0.5 * truck.contact_spacing;
    let places = [(half, y), (half, -y), (-half, y), (-half, -y)];
    let sign = if truck.curvature < 0.0 { -1.0 } else { 1.0 };
    let (mut lateral, mut yaw) = (truck.side_force, truck.moment);
    lateral += found.leading + found.trailing;
    yaw += (found.leading - found.trailing) * half;
    for ((x, y), load) in places.into_iter().zip(truck.wheel_loads) {
        let velocity = (-sign * y, sign * (x - found.pole));
        let speed = velocity.0.hypot(velocity.1);
        let force = (
            -truck.friction * load * velocity.0 / speed,
            -truck.friction * load * velocity.1 / speed,
        );
        lateral += force.1;
        yaw += x * force.1 - y * force.0;
    }
    let scale: f64 = truck.wheel_loads.iter().sum::<f64>() + truck.side_force.abs();
    let moment_scale = scale * truck.wheelbase + truck.moment.abs();
    if lateral.abs() > 1e-13 * scale {
        return Some(format!("lateral residual {lateral}"));
    }
    // A freed flange is written as zero, which leaves the pole's rounding in the yaw balance.
    if yaw.abs() > 1e-12 * moment_scale {
        return Some(format!("yaw residual {yaw}"));
    }
    let offset = found.pole * truck.curvature.abs() * truck.wheelbase * sign;
    let play = 2.0 * truck.lateral_play;
    let touches = |force: f64| if force > 0.0 { -1.0 } else { 1.0 };
    let wanted = match (found.leading != 0.0, found.trailing != 0.0) {
        (true, true) => {
            let gap = 0.5 * play * (touches(found.leading) - touches(found.trailing));
            (offset - gap).abs() < 1e-12
        }
        (true, false) => (0.0..=play * (1.0 + 1e-9)).contains(&(offset * touches(found.leading))),
        (false, true) => (0.0..=play * (1.0 + 1e-9)).contains(&(-offset * touches(found.trailing))),
        (false, false) => true,
    };
    (!wanted).then(|| {
        format!(
            "flanges {} {} do not fit {offset}",
            found.leading, found.trailing
        )
    })
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig {
        failure_persistence: None,
        ..proptest::prelude::ProptestConfig::with_cases(20_000)
    })]

    /// Independent check: velocities about the pole, forces opposite to them, balance, contact.
    #[test]
    fn any_truck_is_in_equilibrium_and_its_flanges_touch_where_they_push(
        left in 0.05..0.7_f64, right in 0.05..0.7_f64, rear in 0.6..1.6_f64,
        friction in 0.05..0.5_f64, wheelbase in 0.009..0.03_f64,
        lateral_play in 1e-4..6e-4_f64, curvature in -3.0..3.0_f64,
        side_force in -1.0..1.0_f64, moment in -2e-3..2e-3_f64,
    ) {
        // Straight track has no sliding; it is a case of its own.
        proptest::prop_assume!(curvature.abs() > 1e-3);
        let truck = Truck {
            wheel_loads: [left, right, left * rear, right * rear], friction, wheelbase,
            contact_spacing: 0.0178, lateral_play, curvature, side_force, moment,
        };
        let found = truck.forces();
        proptest::prop_assert_eq!(fault(&truck, &found), None);
    }
}
