//! Whole climbs: the traps by name, the conditions, and what a margin says of itself.

mod stock;

use gradeworthy_train::margins::{Coupling, Mode};
use gradeworthy_train::statics::{Condition, CurveDragLaw, Outcome};
use gradeworthy_train::sweep::{
    Cause, Check, Evaluation, SlackRule, Snapshot, SweepError, snapshot, sweep, train_margin,
};
use gradeworthy_train::track::{Alignment, CantPoint, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Numbers, Provenance, Quantity as Q, Sourced, Train, Vehicle};
use stock::{
    LONG, MIDDLE, SHORT, Shape, balance, car, line, locomotive, look, near, number, power, vectors,
    with,
};

/// C5 and trap 10: with a steep speed law a 3 % error of speed saturates a helper.
/// Source: an independent prototype (K 400 N·s/m, 0.200 and 0.206 m/s, cap 1.25 N).
#[test]
fn trap_10_a_steep_speed_law_saturates_the_helper() {
    let car = with(car(MIDDLE, 1.112), &[(Q::RollingDrag, 0.01)]);
    let mut vehicles = vec![power(0.2, 400.0, 1.25)];
    vehicles.extend(vec![car.clone(); 30]);
    vehicles.push(power(0.206, 400.0, 1.25));
    vehicles.extend(vec![car; 30]);
    let train = Train::new(vehicles).expect("a train");
    let track = line(vec![PlanSegment::straight(12.0)], 0.02);
    let found = balance(&train, &track, Condition::Running, CurveDragLaw::default());
    near(found.speed, 0.197_122_2, 5e-8, "v");
    near(found.pulls[0], 1.151_12, 5e-6, "the head");
    near(found.pulls[31], 1.25, 1e-12, "the helper is at its limit");
}

/// Trap 9: the use of adhesion saturates at 1; pull required over available does not.
#[test]
fn trap_9_stalling_is_measured_by_required_over_available() {
    let heavy = with(car(MIDDLE, 1.112), &[(Q::RollingDrag, 0.02)]);
    let track = line(vec![PlanSegment::straight(12.0)], 0.03);
    let seen = |cars: usize| {
        let mut vehicles = vec![power(0.2, 20.0, 1.5)];
        vehicles.extend(vec![heavy.clone(); cars]);
        look(&Train::new(vehicles).expect("a train"), &track, 11.9)
    };
    let (some, many) = (seen(30), seen(60));
    let of = |s: &Snapshot, mode: Mode| s.uses[0][mode as usize].ratio();
    assert_eq!(
        (some.balance.outcome, many.balance.outcome),
        (Outcome::Stalls, Outcome::Stalls)
    );
    near(of(&some, Mode::Adhesion), 1.0, 1e-12, "saturated");
    near(of(&many, Mode::Adhesion), 1.0, 1e-12, "saturated");
    let weight = |cars: f64| (cars * 1.112 * 0.05 + 10.0 * 0.03) / 1.000_45 / 1.5;
    near(of(&some, Mode::Stall), weight(30.0), 1e-4, "30 cars");
    near(of(&many, Mode::Stall), weight(60.0), 1e-4, "60 cars");
}

/// C6 and trap 8: `F_tip` = W `g_c` cos ψ/(4 `h_c` sin γ) on level track; cant lowers it at a crawl.
/// Source: `tests/vectors/b23_quasistatic.json`; 3.43 N at 3° of cant is the prototype's
/// small-angle figure for cars of 0.15 m and `h_cg` of 24 mm, `W(g_c/2` cos φ − `h_cg` sin `φ)/h_c` · R/Λ.
#[test]
fn trap_8_cant_makes_stringlining_worse_at_a_crawl() {
    let case = &vectors("b23")["C6_tip_in"];
    let (radius, weight) = (number(&case["R"]), number(&case["W"]));
    let tip_force = |degrees: f64| {
        let track = Alignment::new(
            Origin::default(),
            vec![PlanSegment::arc(2.0, 1.0 / radius)],
            vec![GradeSegment::steady(2.0, 0.0)],
            vec![CantPoint {
                s: 0.0,
                cant: degrees.to_radians(),
            }],
        )
        .expect("a sound line");
        let own = with(car(MIDDLE, weight), &[(Q::CgHeight, 0.024)]);
        let mut vehicles = vec![power(1e-4, 1e5, 5.0)];
        vehicles.extend(vec![own; 8]);
        // The last one drags, so that the force in front of the car looked at is all pull.
        vehicles.push(with(car(MIDDLE, 100.0), &[(Q::RollingDrag, 0.02)]));
        let seen = look(&Train::new(vehicles).expect("a train"), &track, 1.99);
        let force = seen.balance.forces[4];
        force / seen.uses[4][Mode::Stringline as usize].ratio()
    };
    near(tip_force(0.0), number(&case["F_tip_closed"]), 1e-7, "level");
    let small_angle = |degrees: f64, coupled: f64| {
        let phi = degrees.to_radians();
        weight * (0.0089 * phi.cos() - 0.024 * phi.sin()) / 0.0099 * radius / coupled
    };
    near(small_angle(0.0, 0.15), 4.00, 0.005, "printed, level");
    near(small_angle(3.0, 0.15), 3.43, 0.005, "printed, 3°");
    near(tip_force(3.0), small_angle(3.0, 0.144), 2e-3 * 3.43, "3°");
    assert!(tip_force(3.0) < 0.9 * tip_force(0.0));
}

/// Trap 11: one law of curve drag at a time; none contains another's part.
#[test]
fn trap_11_curve_drag_is_counted_once() {
    let own = with(
        car(MIDDLE, 1.112),
        &[
            (Q::CurveDrag, 0.008_128),
            (Q::FlangeFriction, 0.2),
            (Q::TreadFriction, 0.25),
        ],
    );
    // At a crawl: speed itself would press the flanges outwards.
    let train = Train::new(vec![power(1e-4, 1e5, 5.0), own.clone(), own]).expect("a train");
    let radius = 0.6;
    let track = line(vec![PlanSegment::arc(1.0, 1.0 / radius)], 0.0);
    let last = |law| balance(&train, &track, Condition::Running, law).forces[2];
    near(
        last(CurveDragLaw::PerCurvature) / 1.112,
        0.013_547,
        5e-5,
        "32/R alone",
    );
    // Trucks of level, unladen couplers: C12's free truck, 0.762 % of the weight.
    near(
        last(CurveDragLaw::TreadSlip) / 1.112,
        0.007_62,
        1e-4,
        "slip alone",
    );
    near(
        last(CurveDragLaw::FlangeFriction) / 1.112,
        0.0,
        1e-6,
        "no pull, no flange drag",
    );
}

/// C11: the zig-zag in buff, φ = Σ(σp/a)/ℓ and S' = F φ p/a.
/// Source: `tests/vectors/b23_quasistatic.json`.
#[test]
fn c11_play_lets_couplers_zig_zag_in_buff() {
    let case = &vectors("b23")["C11_zigzag"];
    let own = with(
        car(MIDDLE, 1.112),
        &[(Q::LateralPlay, number(&case["sigma"]))],
    );
    let numbers = Numbers::of(&own);
    let pair = Coupling::of(&numbers, &numbers);
    // The prototype counts one pivot's play: half of the pair's.
    let angle = pair.sideways_play / number(&case["link"]);
    near(angle, number(&case["phi"]), 1e-12, "φ");
    let side = number(&case["F"]) * angle * number(&case["p"]) / number(&case["a"]);
    near(side, number(&case["S_truck"]), 1e-12, "S'");
    // A pusher behind: all couplings in buff, and the jackknife use exceeds the plain climb.
    let mut vehicles = vec![own; 6];
    vehicles.push(power(0.2, 20.0, 5.0));
    let track = line(vec![PlanSegment::arc(2.0, 1.0 / 0.6)], 0.03);
    let seen = look(&Train::new(vehicles).expect("a train"), &track, 1.9);
    assert!(seen.balance.forces[3] < 0.0);
    let of = |mode: Mode| seen.uses[3][mode as usize].ratio();
    assert!(
        of(Mode::Jackknife) > of(Mode::WheelClimb),
        "{:?}",
        seen.uses[3]
    );
    assert!(of(Mode::Buckling) > 0.0 && of(Mode::Stringline) < 1e-300);
}

/// Starting asks for breakaway drag, holding for none; a train held on a hill hangs on its weight.
#[test]
fn starting_and_holding_ask_for_other_forces_than_running() {
    let drag = [(Q::RollingDrag, 0.01), (Q::BreakawayDrag, 0.03)];
    let mut vehicles = vec![power(0.2, 20.0, 5.0)];
    vehicles.extend(vec![with(car(MIDDLE, 1.0), &drag); 10]);
    let train = Train::new(vehicles).expect("a train");
    let track = line(vec![PlanSegment::straight(3.0)], 0.02);
    let cos = 1.0 / (1.0_f64 + 0.02 * 0.02).sqrt();
    for (condition, part) in [
        (Condition::Running, 0.03),
        (Condition::Starting, 0.05),
        (Condition::Held, 0.02),
    ] {
        let found = balance(&train, &track, condition, CurveDragLaw::default());
        near(
            found.forces[1],
            10.0 * part * cos,
            1e-12,
            "behind the locomotive",
        );
        assert_eq!(found.outcome, Outcome::Balanced);
        assert!(found.forces[0].abs() < 1e-12);
    }
    let down = line(vec![PlanSegment::straight(3.0)], -0.4);
    let runs = balance(&train, &down, Condition::Running, CurveDragLaw::default());
    assert_eq!(runs.outcome, Outcome::RunsAway);
}

fn curve_line() -> Alignment {
    line(
        vec![
            PlanSegment::straight(4.0),
            PlanSegment::easement(0.4, 0.0, 1.0 / 0.75),
            PlanSegment::arc(1.6, 1.0 / 0.75),
            PlanSegment::easement(0.4, 1.0 / 0.75, 0.0),
            PlanSegment::straight(2.0),
        ],
        0.02,
    )
}

fn common(extra: &Vehicle) -> Train {
    let plain = with(car(MIDDLE, 1.112), &[(Q::RollingDrag, 0.015)]);
    let mut vehicles = vec![with(
        locomotive(MIDDLE, 6.0),
        &[
            (Q::AdhesionPull, 1.6),
            (Q::StallPull, 3.0),
            (Q::SpeedSlope, 20.0),
            (Q::SpeedSetting, 0.2),
            (Q::CouplerStrength, 20.0),
        ],
    )];
    vehicles.extend(vec![plain.clone(); 3]);
    vehicles.push(extra.clone());
    vehicles.extend(vec![plain; 18]);
    Train::new(vehicles).expect("a train")
}

/// What a margin says: the car, the place, the numbers, the cause.
#[test]
fn a_margin_names_the_car_the_place_and_the_cause() {
    let track = curve_line();
    let how = Check::new(Condition::Running, 0.05);
    let margin_of = |extra: Vehicle| {
        let train = common(&extra);
        let swept = sweep(&train, &track, &how).expect("it fits");
        train_margin(&train, &track, &swept)
            .expect("it stands")
            .expect("places")
    };
    let long = margin_of(with(car(LONG, 1.6), &[(Q::RollingDrag, 0.015)]));
    assert_eq!(long.cause, Cause::UnlikeNeighbours, "{long:?}");
    assert!((3..=5).contains(&long.worst.vehicle));
    assert!(
        (4.0..6.6).contains(&long.worst.bolster_s[0]),
        "on the curve: {:?}",
        long.worst
    );
    near(long.margin, 1.0 - long.worst.used.ratio(), 1e-15, "margin");
    let low = margin_of(with(
        car(MIDDLE, 1.112),
        &[
            (Q::RollingDrag, 0.015),
            (Q::CouplerHeightFront, 0.0078),
            (Q::CouplerHeightRear, 0.0078),
        ],
    ));
    assert_eq!(
        (low.worst.mode, low.cause),
        (Mode::Bypass, Cause::CouplerHeights),
        "{low:?}"
    );
    near(low.worst.used.demand, 0.0021, 1e-4, "the step, m");
    let light = margin_of(with(car(MIDDLE, 0.12), &[(Q::RollingDrag, 0.015)]));
    assert_eq!(light.worst.vehicle, 4, "{light:?}");
    assert_eq!(light.cause, Cause::LightCar, "{light:?}");
}

/// What a margin leans on: only unmeasured numbers, each really moved over its range.
#[test]
fn a_margin_leans_on_the_unmeasured_number_that_moves_it_most() {
    let track = curve_line();
    let train = common(&with(car(LONG, 1.6), &[(Q::RollingDrag, 0.015)]));
    let how = Check::new(Condition::Running, 0.05);
    let swept = sweep(&train, &track, &how).expect("it fits");
    let found = train_margin(&train, &track, &swept)
        .expect("it stands")
        .expect("places");
    let first = found.leans.first().expect("much is assumed");
    assert!(
        found
            .leans
            .windows(2)
            .all(|pair| pair[0].change >= pair[1].change)
    );
    assert_ne!(first.provenance, Provenance::Measured);
    // Measured numbers are never among them: all weights and drags of the stock are.
    assert!(
        found
            .leans
            .iter()
            .all(|lean| !matches!(lean.quantity, Q::Weight | Q::RollingDrag))
    );
    // Re-evaluated by hand: the same number set on every card gives the margin that was promised.
    let moved = |value: f64| {
        let vehicles = train.vehicles().iter().map(|vehicle| {
            let entry = vehicle.entry(first.quantity);
            if entry.provenance == Provenance::Measured {
                return vehicle.clone();
            }
            vehicle
                .clone()
                .with(first.quantity, Sourced::measured(value))
                .expect("sound")
        });
        let train = Train::new(vehicles.collect()).expect("a train");
        snapshot(&train, &track, &how, found.worst.head_s)
            .expect("it stands")
            .margin()
    };
    let entry = train.vehicles()[1].entry(first.quantity);
    near(
        moved(entry.low),
        first.margin_low.expect("it stands"),
        1e-12,
        "low end",
    );
    near(
        moved(entry.high),
        first.margin_high.expect("it stands"),
        1e-12,
        "high end",
    );
}

/// Effect on, effect off: what a twist in the track and an S-curve between long cars do.
#[test]
fn twist_and_coupler_swing_are_measured_where_they_happen() {
    let twisted = Alignment::new(
        Origin::default(),
        vec![PlanSegment::straight(4.0)],
        vec![GradeSegment::steady(4.0, 0.0)],
        vec![
            CantPoint { s: 2.0, cant: 0.0 },
            CantPoint { s: 2.4, cant: 0.04 },
        ],
    )
    .expect("a sound line");
    let train = Train::new(vec![
        power(0.2, 20.0, 5.0),
        car(MIDDLE, 1.0),
        car(SHORT, 1.0),
    ])
    .expect("a train");
    let seen = look(&train, &twisted, 2.5);
    // 0.1 m of truck centres in a run of 0.1 rad/m over 17.8 mm; sin φ for φ costs 3e-4.
    near(
        seen.uses[1][Mode::Twist as usize].demand,
        0.1 * 0.1 * 0.0178,
        1e-6,
        "twist",
    );
    near(
        seen.uses[0][Mode::Twist as usize].demand,
        0.0,
        1.2e-4,
        "half of it past the end",
    );
    let flat = line(vec![PlanSegment::straight(4.0)], 0.0);
    let seen = look(&train, &flat, 2.5);
    near(
        seen.uses[1][Mode::Twist as usize].demand,
        0.0,
        1e-15,
        "no twist",
    );
}

#[test]
fn a_climb_that_cannot_be_checked_is_refused_with_numbers() {
    let train = common(&car(LONG, 1.0));
    let short = line(vec![PlanSegment::straight(1.0)], 0.0);
    let how = Check::new(Condition::Running, 0.1);
    let refusal = sweep(&train, &short, &how).expect_err("too long");
    assert!(
        matches!(refusal, SweepError::TrainTooLong { .. }),
        "{refusal}"
    );
    assert!(
        refusal.to_string().contains("the line 1.000 m"),
        "{refusal}"
    );
    let none = sweep(&train, &curve_line(), &Check::new(Condition::Running, 0.0));
    assert!(matches!(none, Err(SweepError::NoStep { .. })));
    let tight = line(
        vec![
            PlanSegment::straight(4.5),
            PlanSegment::arc(0.3, 1.0 / 0.04),
        ],
        0.0,
    );
    let refusal = sweep(&train, &tight, &how).expect_err("too tight");
    assert!(
        refusal.to_string().starts_with("with the head at"),
        "{refusal}"
    );
    let shape = Shape {
        a: 0.05,
        p: 0.064,
        l: 0.0,
    };
    assert!(Train::new(vec![locomotive(shape, 1.0), car(shape, 1.0)]).is_err());
    assert!(Train::new(vec![car(MIDDLE, 1.0)]).is_err() && Train::new(vec![]).is_err());
}

/// A trial that cannot stand leaves the evaluation as it was; one that only changes power keeps all
/// places and agrees with a fresh sweep.
#[test]
fn trials_on_kept_places_agree_with_fresh_sweeps_and_failed_ones_leave_no_trace() {
    let track = curve_line();
    let train = common(&car(MIDDLE, 1.0));
    let how = Check {
        slack: SlackRule::AllStretched,
        ..Check::new(Condition::Running, 0.05)
    };
    let mut kept = Evaluation::new(train.clone(), &track, &how).expect("it fits");
    let before = kept.sweep();
    assert!(
        kept.replace(22, car(LONG, 1.0)).is_err(),
        "too long for the first place"
    );
    assert!(kept.replace(99, car(MIDDLE, 1.0)).is_err() && kept.move_vehicle(0, 99).is_err());
    let after = kept.sweep();
    for (a, b) in before.places.worst_use.iter().zip(&after.places.worst_use) {
        near(*a, *b, 1e-9, "as it was");
    }
    let weaker = with(
        train.vehicles()[0].clone(),
        &[(Q::AdhesionPull, 1.2), (Q::SpeedSetting, 0.15)],
    );
    kept.replace(0, weaker).expect("the same shape");
    let fresh = sweep(kept.train(), &track, &how).expect("it fits");
    for (a, b) in kept
        .sweep()
        .places
        .worst_use
        .iter()
        .zip(&fresh.places.worst_use)
    {
        near(*a, *b, 1e-9, "as fresh");
    }
}
