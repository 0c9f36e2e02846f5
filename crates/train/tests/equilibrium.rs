//! Random trains on random lines: independent balance of each vehicle, mirrors, order, units.

mod stock;

use gradeworthy_train::margins::Mode;
use gradeworthy_train::statics::{Condition, CurveDragLaw};
use gradeworthy_train::sweep::{
    Check, Cores, Evaluation, SlackRule, Snapshot, first_head_place, snapshot, sweep,
};
use gradeworthy_train::track::{Alignment, CantPoint, GradeSegment, Origin, PlanSegment};
use gradeworthy_train::vehicle::{Numbers, Quantity as Q, Train, Vehicle};
use nalgebra::{Matrix3, Vector3};
use proptest::prelude::{ProptestConfig, Strategy, prop_assert, proptest};
use stock::{Shape, car, locomotive, with};

const G: f64 = 9.806_65;

/// What a random car is made of.
type Card = (f64, f64, f64, f64, f64);

fn cards() -> impl Strategy<Value = Vec<Card>> {
    let one = (
        0.03..0.1_f64,
        0.005..0.03_f64,
        0.5..2.5_f64,
        0.0..0.03_f64,
        -0.002..0.002_f64,
    );
    proptest::collection::vec(one, 4..14)
}

fn train_of(cards: &[Card], power: usize, mirrored: bool) -> Train {
    let side = if mirrored { -1.0 } else { 1.0 };
    let vehicles = cards
        .iter()
        .enumerate()
        .map(|(index, &(a, overhang, weight, drag, left))| {
            let shape = Shape {
                a,
                p: a + overhang,
                l: 0.008,
            };
            let powered = index == 0 || index == power % cards.len();
            let vehicle = if powered {
                with(
                    locomotive(shape, 4.0 * weight),
                    &[
                        (Q::SpeedSetting, 0.2 + 0.02 * weight),
                        (Q::SpeedSlope, 20.0),
                        (Q::AdhesionPull, 1.5),
                        (Q::StallPull, 3.0),
                        (Q::BrakePull, 1.5),
                    ],
                )
            } else {
                car(shape, weight)
            };
            with(
                vehicle,
                &[
                    (Q::RollingDrag, drag),
                    (Q::RollingDragPerSpeed, 0.01),
                    (Q::CurveDrag, 0.005),
                    (Q::FlangeFriction, 0.2),
                    (Q::SwivelMoment, 1e-4),
                    (Q::CgLeft, side * left),
                    (Q::CgForward, left),
                    (Q::CouplerSlack, 0.001),
                ],
            )
        });
    Train::new(vehicles.collect()).expect("a sound train")
}

fn line_of(curves: &[f64], grade: f64, mirrored: bool) -> Alignment {
    let side = if mirrored { -1.0 } else { 1.0 };
    let (mut plan, mut cant, mut s) = (vec![PlanSegment::straight(1.0)], vec![], 1.0);
    for (index, curve) in curves.iter().enumerate() {
        let curve = side * curve;
        plan.push(PlanSegment::easement(0.3, 0.0, curve));
        plan.push(PlanSegment::arc(0.9, curve));
        plan.push(PlanSegment::easement(0.3, curve, 0.0));
        cant.push(CantPoint {
            s: s + 0.3,
            cant: 0.02 * curve * if index % 2 == 0 { 0.0 } else { 1.0 },
        });
        cant.push(CantPoint {
            s: s + 1.5,
            cant: 0.0,
        });
        s += 1.5;
    }
    plan.push(PlanSegment::straight(2.0));
    let length = s + 2.0;
    let profile = vec![
        GradeSegment::steady(1.2, 0.0),
        GradeSegment::vertical_curve(0.8, 0.0, grade),
        GradeSegment::steady(length - 2.0, grade),
    ];
    Alignment::new(
        Origin {
            heading: side * 0.4,
            ..Origin::default()
        },
        plan,
        profile,
        cant,
    )
    .expect("a sound line")
}

fn check(condition: Condition, law: CurveDragLaw) -> Check {
    Check {
        law,
        ..Check::new(condition, 0.21)
    }
}

/// The three balances of one vehicle in plan, written in plan coordinates of the body and solved
/// for the front force and the two lateral rail forces; how far the snapshot is from them, N.
fn miss(train: &Train, seen: &Snapshot, law: CurveDragLaw, index: usize) -> f64 {
    let car: &Numbers = &train.numbers()[index];
    let at = &seen.stances[index];
    let (speed, pull) = (seen.balance.speed, seen.balance.pulls[index]);
    let rear = seen.balance.forces[index + 1];
    let bolsters = [car.half_truck_centres, -car.half_truck_centres];
    let mut known = Vector3::zeros();
    let mut put = |x: f64, fx: f64, fy: f64| known += Vector3::new(fx, fy, x * fy);
    for end in 0..2 {
        let psi = at.truck[end].angle();
        let share = 0.5 + [1.0, -1.0][end] * car.cg_forward / (2.0 * car.half_truck_centres);
        let slope = at.grade[end].atan();
        let curve = if law == CurveDragLaw::PerCurvature {
            car.curve_drag
        } else {
            0.0
        };
        let resist = car.weight
            * share
            * slope.cos()
            * (at.grade[end]
                + car.rolling_drag
                + car.rolling_drag_per_speed * speed
                + curve * at.curvature[end].abs());
        let along = 0.5 * pull - resist - seen.balance.extra_drag[index][end];
        put(bolsters[end], along * psi.cos(), along * psi.sin());
        let across = car.weight
            * share
            * (at.cant[end].angle().sin() - speed * speed * at.curvature[end] / G);
        put(bolsters[end], -across * psi.sin(), across * psi.cos());
    }
    let gamma = at.coupler[1].angle();
    put(-car.pivot_rear, -rear * gamma.cos(), rear * gamma.sin());
    let gamma = at.coupler[0].angle();
    let column = |x: f64, fx: f64, fy: f64| Vector3::new(fx, fy, x * fy);
    let psi = [at.truck[0].angle(), at.truck[1].angle()];
    let matrix = Matrix3::from_columns(&[
        column(car.pivot_front, gamma.cos(), gamma.sin()),
        column(bolsters[0], -psi[0].sin(), psi[0].cos()),
        column(bolsters[1], -psi[1].sin(), psi[1].cos()),
    ]);
    let solved = matrix
        .lu()
        .solve(&-known)
        .expect("three forces that are not parallel");
    let loads = &seen.truck_loads[index];
    (solved[0] - seen.balance.forces[index])
        .abs()
        .max((solved[1] + loads[0].side).abs())
        .max((solved[2] + loads[1].side).abs())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    /// Independent check: three equations per vehicle, solved densely.
    #[test]
    fn every_vehicle_is_in_equilibrium(
        cards in cards(), power in 1..14_usize,
        curves in proptest::collection::vec(-1.6..1.6_f64, 2..5), grade in -0.02..0.03_f64,
    ) {
        let (train, line) = (train_of(&cards, power, false), line_of(&curves, grade, false));
        let first = first_head_place(train.numbers(), &line).expect("it fits");
        for law in [CurveDragLaw::PerCurvature, CurveDragLaw::FlangeFriction, CurveDragLaw::TreadSlip] {
            let head = 0.5 * (first + line.length());
            let seen = snapshot(&train, &line, &check(Condition::Running, law), head).expect("it stands");
            let most = seen.balance.forces.iter().fold(1.0_f64, |most, force| most.max(force.abs()));
            for index in 0..train.vehicle_count() {
                let off = miss(&train, &seen, law, index);
                prop_assert!(off < 3e-13 * most, "{law:?} vehicle {index}: {off} of {most}");
            }
            if seen.balance.outcome == gradeworthy_train::statics::Outcome::Balanced {
                prop_assert!(seen.balance.forces[0].abs() < 1e-11 * most);
            }
        }
    }

    /// A mirrored line under mirrored cars gives the mirrored result.
    #[test]
    fn a_mirror_changes_nothing_but_signs(
        cards in cards(), power in 1..14_usize,
        curves in proptest::collection::vec(-1.6..1.6_f64, 2..4), grade in 0.0..0.03_f64,
    ) {
        let how = Check::new(Condition::Running, 0.31);
        let run = |mirrored| {
            sweep(&train_of(&cards, power, mirrored), &line_of(&curves, grade, mirrored), &how).expect("it fits")
        };
        let (plain, mirror) = (run(false), run(true));
        for (a, b) in plain.places.worst_use.iter().zip(&mirror.places.worst_use) {
            prop_assert!((a - b).abs() < 1e-9 * a.max(1.0), "{a} against {b}");
        }
        for vehicle in 0..plain.envelope.vehicle_count() {
            for mode in Mode::ALL {
                let ratio = |run: &gradeworthy_train::sweep::Sweep| {
                    run.envelope.peak(vehicle, mode).expect("in the train").used.ratio()
                };
                let (a, b) = (ratio(&plain), ratio(&mirror));
                prop_assert!((a - b).abs() < 1e-8 * a.max(1.0), "{mode:?}: {a} against {b}");
            }
        }
    }

    /// The fast margin is the sweep's; all cores give what one gives.
    #[test]
    fn kept_places_and_all_cores_give_the_same_margin(
        cards in cards(), power in 1..14_usize, to in 1..14_usize,
        curves in proptest::collection::vec(-1.6..1.6_f64, 2..4), grade in 0.0..0.03_f64,
    ) {
        let (train, line) = (train_of(&cards, power, false), line_of(&curves, grade, false));
        let how = Check { slack: SlackRule::AllStretched, ..Check::new(Condition::Running, 0.05) };
        let most = |train: &Train, how: &Check| {
            sweep(train, &line, how).expect("it fits").places.worst_use.iter().copied().fold(0.0, f64::max)
        };
        let mut kept = Evaluation::new(train.clone(), &line, &how).expect("it fits");
        prop_assert!((1.0 - kept.margin() - most(&train, &how)).abs() < 1e-9);
        prop_assert!(kept.margin_of_every(5) >= kept.margin() - 1e-9);
        prop_assert!((kept.margin_of_every(1) - kept.margin()).abs() < 1e-9);
        let all = most(&train, &Check { cores: Cores::All, ..how });
        prop_assert!((all - most(&train, &how)).abs() < 1e-9);
        let (from, to) = (power % cards.len(), to % cards.len());
        if kept.move_vehicle(from, to).is_ok() {
            let fresh = Evaluation::new(train.with_moved(from, to).expect("places"), &line, &how);
            if let Ok(fresh) = fresh {
                let (a, b) = (kept.margin(), fresh.margin());
                prop_assert!((a - b).abs() < 0.03 * (1.0 - b).abs().max(1.0), "{a} against {b}");
            }
        }
    }

    /// Identical cars in another order are the same train; so is the same train at another scale
    /// of mass, when everything that is a force goes with it.
    #[test]
    fn order_of_identical_cars_and_the_unit_of_force_change_nothing(
        weight in 0.6..2.0_f64, from in 1..9_usize, to in 1..9_usize, factor in 0.2..5.0_f64,
    ) {
        let shape = Shape { a: 0.05, p: 0.064, l: 0.008 };
        let build = |k: f64| {
            let mut vehicles = vec![with(locomotive(shape, 5.0 * k), &[
                (Q::SpeedSlope, 20.0 * k), (Q::AdhesionPull, 1.5 * k),
                (Q::StallPull, 3.0 * k), (Q::BrakePull, k), (Q::CouplerStrength, 6.0 * k),
            ])];
            let readings = [(Q::RollingDrag, 0.012), (Q::SwivelMoment, 1e-4 * k), (Q::CouplerStrength, 6.0 * k)];
            vehicles.extend((1..10).map(|_| with(car(shape, weight * k), &readings)));
            Train::new(vehicles).expect("a train")
        };
        let line = line_of(&[1.2, -1.0], 0.02, false);
        let how = Check::new(Condition::Running, 0.1);
        let plain = sweep(&build(1.0), &line, &how).expect("it fits");
        let moved = sweep(&build(1.0).with_moved(from, to).expect("places"), &line, &how).expect("it fits");
        prop_assert!(plain == moved);
        let scaled = sweep(&build(factor), &line, &how).expect("it fits");
        for (a, b) in plain.places.worst_use.iter().zip(&scaled.places.worst_use) {
            prop_assert!((a - b).abs() < 1e-9 * a.max(1.0));
        }
    }
}

/// A vehicle built from the same numbers typed in inches and ounces gives the same train.
#[test]
fn inches_and_ounces_change_nothing() {
    use gradeworthy_units::{Length, Mass};
    let metric = car(
        Shape {
            a: 0.0508,
            p: 0.0635,
            l: 0.008,
        },
        1.0,
    );
    let inches = |mils: i64| Length::from_thousandths(mils).metres();
    let typed: Vehicle = with(
        car(
            Shape {
                a: inches(2000),
                p: inches(2500),
                l: 0.008,
            },
            1.0,
        ),
        &[(Q::Weight, Mass::from_milliounces(4000).weight_newtons())],
    );
    let same = with(metric, &[(Q::Weight, 4.0 * 0.028_349_523_125 * G)]);
    let close = |q: Q| (typed.value(q) - same.value(q)).abs() < 1e-15;
    assert!(
        [Q::HalfTruckCentres, Q::PivotFront, Q::PivotRear, Q::Weight]
            .into_iter()
            .all(close)
    );
}
