//! Resistance and power sums against published figures, and load sharing in closed form.

mod stock;

use gradeworthy_train::statics::{Condition, CurveDragLaw, Outcome};
use gradeworthy_train::track::PlanSegment;
use gradeworthy_train::vehicle::{Quantity as Q, Train, Vehicle};
use stock::{MIDDLE, balance, car, line, locomotive, near, number, power, vectors, with};

/// W6 and W9: the 32/R rule in percent of the weight, R in inches.
/// Source: the rule as quoted in a hobby forum (secondary).
#[test]
fn w6_and_w9_the_32_over_r_rule() {
    let radii = [28.0, 32.0, 36.0, 40.0, 50.0, 60.0, 100.0, 200.0];
    let printed = [1.14, 1.00, 0.89, 0.80, 0.64, 0.53, 0.32, 0.16];
    let percent = |radius_in: f64, grade: f64| {
        let one = with(car(MIDDLE, 1.0), &[(Q::CurveDrag, 0.32 * 0.0254)]);
        let train = Train::new(vec![power(0.2, 10.0, 1.0), one]).expect("a train");
        let track = line(
            vec![PlanSegment::arc(1.0, 1.0 / (radius_in * 0.0254))],
            grade,
        );
        // Per weight; the angles at the one coupling and cos G are below the printed digits.
        100.0
            * balance(
                &train,
                &track,
                Condition::Running,
                CurveDragLaw::PerCurvature,
            )
            .forces[1]
    };
    for (radius, wanted) in radii.into_iter().zip(printed) {
        near(percent(radius, 0.0), wanted, 0.005 + 0.003 * wanted, "W6");
    }
    near(percent(24.0, 0.04), 5.33, 0.005 + 0.003 * 5.33, "W9");
}

/// W7 and W8: cars behind 4 oz of pull, 4-oz cars, 2 % rolling drag and the 32/R rule.
/// Source: a hobby forum quotation (secondary). Found here as pull over the force of one car.
#[test]
fn w7_and_w8_cars_behind_a_pull() {
    let table = [
        (0.0, 50.0, 25.0),
        (28.0, 31.8, 19.4),
        (32.0, 33.3, 20.0),
        (36.0, 34.6, 20.5),
        (40.0, 35.7, 20.8),
        (50.0, 37.9, 21.6),
        (60.0, 39.5, 22.1),
    ];
    let cars = |radius_in: f64, grade: f64| {
        let drag = [(Q::RollingDrag, 0.02), (Q::CurveDrag, 0.32 * 0.0254)];
        let one = with(car(MIDDLE, 1.0), &drag);
        let train = Train::new(vec![power(0.2, 10.0, 1.0), one]).expect("a train");
        let plan = if radius_in > 0.0 {
            PlanSegment::arc(1.0, 1.0 / (radius_in * 0.0254))
        } else {
            PlanSegment::straight(1.0)
        };
        let forces = balance(
            &train,
            &line(vec![plan], grade),
            Condition::Running,
            CurveDragLaw::default(),
        );
        1.0 / forces.forces[1]
    };
    for (radius, level, climbing) in table {
        near(cars(radius, 0.0), level, 0.05 + 0.003 * level, "W7");
        near(cars(radius, 0.02), climbing, 0.05 + 0.003 * climbing, "W8");
    }
}

/// W14: two engines take a train up 1.9 %; one of them manages 0.92 %.
/// Source: [WEBB §204]: 106,000 lb on drivers, adhesion 9/40, engine 107 tons, 6 lb/ton.
/// Pounds serve as newtons: every figure is a ratio. Radii and car shapes do not enter.
#[test]
fn w14_the_pusher_grade_of_a_handbook() {
    let effort = 106_000.0 * 9.0 / 40.0;
    let ton = 2000.0;
    let engine = || {
        with(
            locomotive(MIDDLE, 107.0 * ton),
            &[
                (Q::AdhesionPull, effort),
                (Q::StallPull, 2.0 * effort),
                (Q::SpeedSlope, 1e9),
                (Q::RollingDrag, 6.0 / ton),
            ],
        )
    };
    let use_on = |engines: usize, cars_tons: f64, grade: f64| {
        let mut vehicles: Vec<Vehicle> = (0..engines).map(|_| engine()).collect();
        vehicles.push(with(
            car(MIDDLE, cars_tons * ton),
            &[(Q::RollingDrag, 6.0 / ton)],
        ));
        let train = Train::new(vehicles).expect("a train");
        let track = line(vec![PlanSegment::straight(1.0)], grade);
        balance(&train, &track, Condition::Running, CurveDragLaw::default()).stall_use()
    };
    // The handbook neglects cos G, which is 0.02 % here.
    let cars_tons = 1084.1 - 2.0 * 107.0;
    near(
        use_on(2, cars_tons, 0.019),
        1.0,
        5e-4,
        "two engines on 1.9 %",
    );
    near(
        use_on(1, cars_tons, 0.009_205),
        1.0,
        5e-4,
        "one engine on 0.92 %",
    );
}

/// C4: load sharing of a head and a mid-train locomotive.
/// Source: `tests/vectors/b23_quasistatic.json`; closed form v = (`ΣKv_set` − R)/ΣK.
#[test]
fn c4_a_helper_shares_the_load_by_its_own_law() {
    let case = &vectors("b23")["C4_load_share"];
    let car = with(car(MIDDLE, 1.112), &[(Q::RollingDrag, 0.01)]);
    let slope = number(&case["k"]);
    let loco = |k: usize| power(number(&case["vset"][k]), slope, 50.0);
    let mut vehicles = vec![loco(0)];
    vehicles.extend(vec![car.clone(); 30]);
    vehicles.push(loco(1));
    vehicles.extend(vec![car; 30]);
    let train = Train::new(vehicles).expect("a train");
    let track = line(vec![PlanSegment::straight(12.0)], 0.02);
    let found = balance(&train, &track, Condition::Running, CurveDragLaw::default());
    assert_eq!(found.outcome, Outcome::Balanced);
    near(found.speed, number(&case["v"]), 1e-12, "v");
    near(
        found.pulls[0],
        number(&case["TE"][0]),
        1e-11,
        "TE of the head",
    );
    near(
        found.pulls[31],
        number(&case["TE"][1]),
        1e-11,
        "TE of the helper",
    );
    near(
        found.forces[1],
        number(&case["F_behind_head"]),
        1e-11,
        "behind the head",
    );
    near(
        found.forces[31],
        number(&case["F_ahead_helper"]),
        1e-11,
        "ahead of the helper",
    );
    near(
        found.forces[32],
        number(&case["F_behind_helper"]),
        1e-11,
        "behind the helper",
    );
}
