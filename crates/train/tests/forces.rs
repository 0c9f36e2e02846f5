//! Coupler and truck forces against closed forms and an independent prototype (cases C1 to C12).

mod stock;

use gradeworthy_standards::wheel_climb::nadal;
use gradeworthy_train::placement::{Placer, Stance};
use gradeworthy_train::statics::{Anchored, AnchoredForces, Condition, CurveDragLaw};
use gradeworthy_train::track::{Alignment, PlanSegment};
use gradeworthy_train::vehicle::{Numbers, Quantity as Q, Vehicle};
use stock::{LONG, MIDDLE, SHORT, car, line, number, vectors, with};

struct Held {
    numbers: Vec<Numbers>,
    stances: Vec<Stance>,
}

fn held(track: &Alignment, cars: &[Vehicle]) -> Held {
    let numbers: Vec<Numbers> = cars.iter().map(Numbers::of).collect();
    let mut stances = Vec::new();
    Placer::new(track)
        .place(&numbers, &[], track.length(), &mut stances)
        .expect("it stands");
    Held { numbers, stances }
}

impl Held {
    /// `tail_force` is what the prototype puts behind the last vehicle, counted per metre that its
    /// trucks run; along the body that is 1/cos ψ more.
    fn solve(&self, law: CurveDragLaw, speed: f64, tail_force: f64) -> AnchoredForces {
        let swing = self.stances.last().expect("a train").truck[1];
        Anchored {
            train: &self.numbers,
            stances: &self.stances,
            pulls: &[],
            condition: Condition::Running,
            law,
            speed,
            rear_force: tail_force / swing.cos,
        }
        .solve()
    }
}

fn near(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!(
        (found - wanted).abs() <= tolerance,
        "{what}: {found} against {wanted}"
    );
}

/// C1, closed form `F_k` = k R. Source: `tests/vectors/b23_quasistatic.json`.
#[test]
fn c1_on_a_straight_grade_forces_add_up_car_by_car() {
    let case = &vectors("b23")["C1_uniform_grade"];
    let one = with(
        car(MIDDLE, number(&case["W"])),
        &[(Q::RollingDrag, number(&case["r"]))],
    );
    let track = line(vec![PlanSegment::straight(12.0)], number(&case["g"]));
    let found = held(&track, &vec![one; 60]).solve(CurveDragLaw::PerCurvature, 0.0, 0.0);
    for k in 0..3 {
        let link = case["idx"][k].as_u64().expect("an index");
        let link = usize::try_from(link).expect("small");
        near(
            found.forces[link + 1],
            number(&case["F_link"][k]),
            1e-12,
            "F_link",
        );
    }
}

/// C2 (closed form with η) and C3 (discrete capstan). Source: `tests/vectors/b23_quasistatic.json`.
#[test]
fn c2_and_c3_on_a_curved_grade_angles_and_flange_drag_come_in() {
    let all = vectors("b23");
    let case = &all["C2_grade_curve"];
    let weight = number(&all["C1_uniform_grade"]["W"]);
    let curvature = 1.0 / number(&case["R"]);
    let track = line(vec![PlanSegment::arc(12.0, curvature)], number(&case["g"]));
    let drag = [
        (Q::RollingDrag, number(&case["r"])),
        (Q::CurveDrag, number(&case["cfac"])),
    ];
    let cars = vec![with(car(MIDDLE, weight), &drag); 60];
    let found = held(&track, &cars).solve(CurveDragLaw::PerCurvature, 0.0, 0.0);
    near(found.forces[1], number(&case["F_link0"]), 1e-12, "C2");
    // C3 of the prototype keeps the curve drag of C2 and adds the flange: as rolling drag here,
    // since one law holds at a time.
    let rolling = number(&case["r"]) + number(&case["cfac"]) * curvature;
    let flange = &all["C3_capstan"];
    let drag = [
        (Q::RollingDrag, rolling),
        (Q::FlangeFriction, number(&flange["muf"])),
    ];
    let cars = vec![with(car(MIDDLE, weight), &drag); 60];
    let found = held(&track, &cars).solve(CurveDragLaw::FlangeFriction, 0.0, 0.0);
    near(found.forces[1], number(&flange["num"]), 1e-6, "C3");
    let closed = number(&flange["F_discrete"]);
    near(found.forces[1], closed, 1e-4 * closed, "C3 closed form");
}

/// C7: side force F sin γ / cos ψ between equal cars. Source: `tests/vectors/b23_quasistatic.json`.
#[test]
fn c7_equal_cars_on_a_circle_push_inwards() {
    let case = &vectors("b23")["C7_truck_lateral"];
    let track = line(vec![PlanSegment::arc(2.0, 1.0 / number(&case["R"]))], 0.0);
    let found = held(&track, &vec![car(MIDDLE, 1.112); 7]).solve(
        CurveDragLaw::PerCurvature,
        0.0,
        number(&case["F"]),
    );
    near(found.forces[3], number(&case["Fnum"]), 1e-12, "F");
    near(
        found.truck_loads[3][0].side,
        number(&case["num"][0]),
        1e-12,
        "S front",
    );
    near(
        found.truck_loads[3][1].side,
        number(&case["num"][1]),
        1e-12,
        "S rear",
    );
}

/// C8 and trap 7: a long car between short ones. Source: `tests/vectors/b23_quasistatic.json`.
#[test]
fn trap_7_unlike_neighbours_multiply_and_turn_the_side_force() {
    let case = &vectors("b23")["C8_unlike"];
    let (long, short) = (
        car(LONG, number(&case["long"]["W"])),
        car(SHORT, number(&case["short"]["W"])),
    );
    let track = line(vec![PlanSegment::arc(2.0, 1.0 / number(&case["R"]))], 0.0);
    let cars = [short.clone(), short.clone(), long, short.clone(), short];
    let found = held(&track, &cars).solve(CurveDragLaw::PerCurvature, 0.0, number(&case["F_rear"]));
    for vehicle in 0..4 {
        // The prototype lists from the rear, which is vehicle 4 here; rows are front, rear.
        let row = &case["S"][vehicle];
        let own = found.truck_loads[4 - vehicle];
        let mut sides = [own[0].side, own[1].side];
        let mut wanted = [number(&row[0]), number(&row[1])];
        sides.sort_by(f64::total_cmp);
        wanted.sort_by(f64::total_cmp);
        near(sides[0], wanted[0], 1e-10, "S");
        near(sides[1], wanted[1], 1e-10, "S");
    }
    let long = found.truck_loads[2][0].side;
    let short = found.truck_loads[1][1].side;
    assert!(
        long > 4.0 * 0.24 && short < 0.0,
        "the short car is pushed outwards: {short}"
    );
}

/// C9 and C12's neighbour: side force of cant and speed. Source: the formula itself.
#[test]
fn c9_cant_and_speed_push_sideways() {
    use gradeworthy_train::track::{CantPoint, GradeSegment, Origin};
    let case = &vectors("b23")["C9_cant"];
    let (speed, radius) = (number(&case["v"]), number(&case["R"]));
    let track = Alignment::new(
        Origin::default(),
        vec![PlanSegment::arc(1.0, 1.0 / radius)],
        vec![GradeSegment::steady(1.0, 0.0)],
        vec![CantPoint {
            s: 0.0,
            cant: number(&case["phi"]),
        }],
    )
    .expect("a sound line");
    let weight = 1.112;
    let found = held(&track, &[car(MIDDLE, weight)]).solve(CurveDragLaw::PerCurvature, speed, 0.0);
    let wanted = number(&case["Y_over_W"]);
    near(
        found.truck_loads[0][0].cant_side / weight,
        wanted,
        1e-7,
        "Y/W, printed g of 9.80665",
    );
}

/// Source: the table of Nadal's limit, derived from the formula named in [CFR-238-C]; and the
/// prototype's three values.
#[test]
fn nadals_limit_is_the_printed_table() {
    let table: [(f64, [f64; 7]); 9] = [
        (55.0, [1.162, 0.955, 0.790, 0.654, 0.541, 0.446, 0.176]),
        (60.0, [1.391, 1.138, 0.942, 0.787, 0.660, 0.555, 0.268]),
        (63.0, [1.557, 1.266, 1.046, 0.875, 0.738, 0.626, 0.325]),
        (65.0, [1.683, 1.361, 1.122, 0.939, 0.794, 0.675, 0.364]),
        (68.0, [1.904, 1.522, 1.248, 1.043, 0.883, 0.755, 0.424]),
        (70.0, [2.077, 1.644, 1.342, 1.118, 0.947, 0.811, 0.466]),
        (72.0, [2.277, 1.781, 1.444, 1.200, 1.015, 0.870, 0.510]),
        (75.0, [2.645, 2.022, 1.619, 1.337, 1.128, 0.967, 0.577]),
        (80.0, [3.555, 2.564, 1.988, 1.613, 1.348, 1.152, 0.700]),
    ];
    let frictions = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 1.0];
    for (degrees, row) in table {
        for (friction, printed) in frictions.into_iter().zip(row) {
            near(
                nadal(degrees, friction).expect("in its domain"),
                printed,
                0.0005,
                "Nadal",
            );
        }
    }
    near(
        nadal(70.0, 0.25).expect("in its domain"),
        1.4805,
        5e-5,
        "70/.25",
    );
    near(
        nadal(60.0, 0.25).expect("in its domain"),
        1.0342,
        5e-5,
        "60/.25",
    );
}
