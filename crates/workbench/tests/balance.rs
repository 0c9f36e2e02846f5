//! Droop, grade breaks and balance against the prototype's vectors and hand-worked cases.

mod reading;

use gradeworthy_units::{Angle, Force, Grade, Length};
use gradeworthy_workbench::mechanics::balance::{
    OverturningCurve, Rock, SideScaleTest, Support, TiltTest, convert_tipping_angle, end_balance,
    overturning_speed_metres_per_second, side_scale, tilt,
};
use gradeworthy_workbench::mechanics::droop::{
    BoxFit, BoxParts, CoupledEnd, Faces, MismatchTask, StripCure, StripTask, VerticalCurve,
    knuckle_overlap, mismatch_on_vertical_curve, strip_for,
};
use gradeworthy_workbench::mechanics::ends::Ends;
use gradeworthy_workbench::mechanics::input::Measured;
use proptest::prelude::*;
use reading::{close, grams, json, mm, number, radians};

#[test]
fn droop_and_overlap_agree_with_the_prototype() {
    let file = json("tests/vectors/a567.json");
    let at = |key: &str| mm(number(&file, &format!("/droop/{key}")));
    let parts = BoxParts {
        box_height: at("H"),
        shank_thickness: at("tau"),
    };
    let fit = BoxFit::from_parts(parts, at("b"), at("m")).expect("it goes in");
    let droop = fit.droop().expect("possible");
    assert_eq!(droop.below_middle, at("droop"));
    assert_eq!(droop.range, at("range"));
    assert_eq!(BoxFit::from_range(droop.range, at("b"), at("m")), Ok(fit));
    for (one, other, key) in [(3.6, 3.6, "f36"), (2.9, 2.9, "f29"), (3.6, 2.9, "mixed")] {
        // The vector's faces stand 0.8 mm apart in height.
        let faces = Faces {
            one: mm(one),
            other: mm(other),
        };
        let overlap = knuckle_overlap(faces, mm(0.8)).expect("possible");
        close(
            overlap.mm(),
            number(&file, &format!("/vcurve/overlap/{key}")),
            1e-9,
        );
    }
    let passed = knuckle_overlap(
        Faces {
            one: mm(2.0),
            other: mm(2.0),
        },
        mm(2.5),
    );
    assert_eq!(
        passed,
        Ok(-mm(0.5)),
        "the upper knuckle passes over the lower"
    );
}

#[test]
fn the_strip_cures_the_droop_or_the_range_that_would_is_named() {
    let fit = BoxFit {
        play: mm(0.3),
        held: mm(5.0),
        mouth_to_face: mm(5.0),
    };
    let task = StripTask {
        droop_max: mm(0.1),
        play_min: mm(0.1),
        thicknesses: &[mm(0.1), mm(0.25)],
    };
    // Droop is 1.5 times the play: 0.2333 mm of strip for the droop, at most 0.2 for the play.
    let StripCure::Missing { from, to } = strip_for(&fit, &task).expect("possible") else {
        panic!("0.25 mm leaves too little play");
    };
    close(from.mm(), 0.3 - 0.1 / 1.5, 1e-6);
    assert_eq!(to, mm(0.2));
}

fn pair(ahead: [f64; 2], behind: [f64; 2], length: f64, percent: f64) -> MismatchTask {
    let end = |[a, c]: [f64; 2]| CoupledEnd {
        truck_centres: mm(2.0 * a),
        face_from_middle: mm(c),
    };
    MismatchTask {
        ahead: end(ahead),
        behind: end(behind),
        curve: VerticalCurve {
            length: mm(length),
            grade_change: Grade::from_percent(percent).expect("finite"),
        },
    }
}

/// Trap 12: couplers stand further apart at the ends of a vertical curve than inside it.
#[test]
fn trap_12_the_ends_of_a_vertical_curve_are_worse_than_its_inside() {
    let of = |task| mismatch_on_vertical_curve(&task).expect("possible");
    // Equal cars: none inside, all of (c² − a²)/(2R) of one of them at the ends: R = 20 m.
    let equal = of(pair([95.0, 125.0], [95.0, 125.0], 600.0, 3.0));
    assert_eq!(equal.inside, Some(Length::ZERO));
    close(
        equal.worst.mm(),
        (125.0_f64.powi(2) - 95.0_f64.powi(2)) / 4e4,
        1e-6,
    );
    // Long ahead of short: .145 mm inside, by the prototype and by hand.
    let unlike = of(pair([95.0, 125.0], [35.0, 45.0], 600.0, 3.0));
    close(unlike.inside.expect("a curve").mm(), -0.145, 1e-6);
    close(unlike.worst.mm(), 0.165, 1e-6);
    close(unlike.worst_at.mm(), 0.0, 1e-6);
    let file = json("tests/vectors/a567.json");
    let off = |key: &str, radius_mm: f64| {
        let a = number(&file, &format!("/vcurve/{key}/0"));
        let c = number(&file, &format!("/vcurve/{key}/1"));
        (c * c - a * a) / (2.0 * radius_mm)
    };
    // The vector's offsets are those of (V1) at R = 3 m; 30 mm long at 1 % is that radius.
    let vector = of(pair([50.0, 70.0], [100.0, 140.0], 30.0, 1.0));
    close(
        vector.inside.expect("a curve").mm(),
        off("car2", 3e3) - off("car1", 3e3),
        1e-6,
    );
    close(off("car1", 3e3), number(&file, "/vcurve/off/0"), 1e-12);
}

#[test]
fn a_steady_grade_moves_no_coupler() {
    let level = mismatch_on_vertical_curve(&pair([95.0, 125.0], [35.0, 45.0], 600.0, 0.0));
    assert_eq!(level.expect("possible").worst, Length::ZERO);
}

#[test]
fn the_worst_mismatch_is_the_worst_of_a_fine_sweep() {
    for (ahead, behind, length) in [
        ([95.0, 125.0], [35.0, 45.0], 600.0),
        ([35.0, 45.0], [95.0, 125.0], 150.0),
        ([60.0, 80.0], [50.0, 90.0], 40.0),
        ([60.0, 80.0], [50.0, 90.0], 0.0),
    ] {
        let found = mismatch_on_vertical_curve(&pair(ahead, behind, length, -3.0));
        let swept = (-8_000..16_000)
            .map(|step| sweep(ahead, behind, length, -0.03, f64::from(step) * 0.05))
            .fold(0.0, f64::max);
        close(found.expect("possible").worst.mm(), swept, 2e-3);
    }
}

/// The mismatch at one place by plain interpolation.
fn sweep(ahead: [f64; 2], behind: [f64; 2], length: f64, grade: f64, s: f64) -> f64 {
    let track = |x: f64| {
        if x <= 0.0 {
            0.0
        } else if x < length {
            grade * x * x / (2.0 * length)
        } else {
            grade * (x - length / 2.0)
        }
    };
    let face = |[a, c]: [f64; 2], way: f64| {
        let (front, rear) = (track(s + way * c + a), track(s + way * c - a));
        (front + rear) / 2.0 - way * c * (front - rear) / (2.0 * a)
    };
    (face(ahead, 1.0) - face(behind, -1.0)).abs()
}

fn test_on(support: Support, left: f64, right: f64) -> TiltTest {
    TiltTest {
        support,
        to_left: radians(left),
        to_right: radians(right),
        angle_uncertainty: Angle::from_degrees(0.5).expect("finite"),
        half_width_uncertainty: mm(0.05),
        rock: None,
    }
}

#[test]
fn centre_of_gravity_agrees_with_the_prototype() {
    let file = json("tests/vectors/a567.json");
    let at = |key: &str| number(&file, &format!("/cg/{key}"));
    let rails = Support::Rails {
        half_width: mm(at("gc") / 2.0),
    };
    let found = tilt(&test_on(rails, at("thL"), at("thR"))).expect("possible");
    close(found.height.value.mm(), at("h"), 1e-6);
    close(found.to_left.value.mm(), at("y"), 1e-6);

    let newtons = |n: f64| Force::from_newtons(n).expect("finite");
    let exact = |force| Measured {
        value: force,
        standard_uncertainty: Force::ZERO,
    };
    let scale = SideScaleTest {
        contact_spacing: mm(at("gc")),
        weight: exact(newtons(at("scale/W"))),
        tilt: Measured {
            value: radians(at("scale/th")),
            standard_uncertainty: Angle::ZERO,
        },
        level_reading: newtons(at("scale/Q0")),
        tilted_reading: newtons(at("scale/Qt")),
        reading_uncertainty: newtons(1e-3),
    };
    let found = side_scale(&scale).expect("possible");
    close(found.height.value.mm(), at("scale/h"), 1e-6);
    close(found.towards_scale.value.mm(), at("y"), 1e-6);
    // The prototype takes Q_0 at full weight, √2 for √(1 + cos²θ): 0.8 % more.
    let ratio = ((1.0 + at("scale/th").cos().powi(2)) / 2.0).sqrt();
    close(
        found.height.standard_uncertainty.mm(),
        ratio * at("scale/u_h_1mN"),
        1e-6,
    );

    let weight = |key: &str| grams(at(key) * 1e3 / 9.806_65);
    let ends = Ends {
        a: weight("xcg/WA"),
        b: weight("xcg/WB"),
    };
    let balance = end_balance(ends, mm(2.0 * at("xcg/a")), grams(0.1)).expect("possible");
    close(balance.along.value.mm(), at("xcg/x"), 1e-6);
    close(balance.fraction, at("xcg/x") / at("xcg/a"), 1e-9);
}

#[test]
fn overturning_speed_agrees_with_the_prototype() {
    let file = json("tests/vectors/a567.json");
    let at = |key: &str| number(&file, &format!("/overturn/{key}"));
    let speed = |degrees| {
        let curve = OverturningCurve {
            radius: mm(1e3 * at("R")),
            cant: Angle::from_degrees(degrees).expect("finite"),
            contact_spacing: mm(1e3 * at("gc")),
            height: mm(1e3 * at("h")),
            towards_inside: Length::ZERO,
        };
        overturning_speed_metres_per_second(&curve).expect("possible")
    };
    close(speed(0.0).expect("it tips"), at("v0"), 1e-9);
    close(speed(3.0).expect("it tips"), at("v_cant3"), 1e-9);
    assert_eq!(speed(75.0), None, "so steep a cant tips it inwards only");
}

/// Figures by hand: half width 8.25 mm at 30° is a height of 8.25/tan 30° = 14.289 mm.
#[test]
fn the_same_car_shows_a_smaller_angle_on_a_plate() {
    let rails = Support::Rails {
        half_width: mm(8.25),
    };
    let plate = Support::Plate {
        half_width: mm(7.7),
        flange_depth: mm(0.64),
    };
    let thirty = Angle::from_degrees(30.0).expect("finite");
    let on_plate = convert_tipping_angle(thirty, rails, plate).expect("possible");
    close(
        on_plate.degrees(),
        (7.7_f64 / (14.289_419 + 0.64)).atan().to_degrees(),
        1e-6,
    );
    let back = convert_tipping_angle(on_plate, plate, rails).expect("possible");
    close(back.degrees(), 30.0, 1e-9);
    // Either way the height of the centre of gravity over the rail is the same.
    let height = |support, angle: Angle| {
        let test = test_on(support, angle.radians(), angle.radians());
        tilt(&test).expect("possible").height.value.mm()
    };
    close(height(rails, thirty), height(plate, on_plate), 1e-6);
}

#[test]
fn rock_that_is_not_blocked_is_taken_out_again() {
    // A car of h 20, y 1 on half width 8.9, whose body rocks 2° about 6 mm: its angles by (B6).
    let (h, y, beta, delta, h_r) = (20.0, 1.0, 8.9, 2.0_f64.to_radians(), 6.0);
    let shift = (h - h_r) * delta;
    let angle = |arm: f64| ((arm - shift) / h).atan();
    let rails = Support::Rails {
        half_width: mm(beta),
    };
    let rock = Some(Rock {
        angle: radians(delta),
        height: mm(h_r),
    });
    let test = TiltTest {
        rock,
        ..test_on(rails, angle(beta - y), angle(beta + y))
    };
    let found = tilt(&test).expect("possible");
    close(found.height.value.mm(), h, 1e-6);
    close(found.to_left.value.mm(), y, 1e-6);
    let blind = tilt(&TiltTest { rock: None, ..test }).expect("possible");
    assert!(
        blind.height.value.mm() > h,
        "without it the car seems top-heavier"
    );
}

/// Uncertainties against central differences of the results themselves.
#[test]
fn tilt_uncertainty_is_that_of_the_formula() {
    let u_rad = 0.5_f64.to_radians();
    let at = |beta: f64, left: f64, right: f64| {
        let rock = Some(Rock {
            angle: radians(0.02),
            height: mm(6.0),
        });
        let support = Support::Rails {
            half_width: mm(beta),
        };
        let found = tilt(&TiltTest {
            rock,
            ..test_on(support, left, right)
        })
        .expect("possible");
        [found.height, found.to_left]
    };
    let d = 1e-3;
    let difference = |plus: [Measured<Length>; 2], minus: [Measured<Length>; 2], u: f64| {
        [0, 1].map(|i| (plus[i].value - minus[i].value).mm() / (2.0 * d) * u)
    };
    let parts = [
        difference(at(8.9 + d, 0.3, 0.4), at(8.9 - d, 0.3, 0.4), 0.05),
        difference(at(8.9, 0.3 + d, 0.4), at(8.9, 0.3 - d, 0.4), u_rad),
        difference(at(8.9, 0.3, 0.4 + d), at(8.9, 0.3, 0.4 - d), u_rad),
    ];
    for (i, found) in at(8.9, 0.3, 0.4).into_iter().enumerate() {
        let u = parts
            .iter()
            .map(|part| part[i] * part[i])
            .sum::<f64>()
            .sqrt();
        close(
            found.standard_uncertainty.mm(),
            u,
            1e-4 * u.max(1e-2) + 1e-5,
        );
    }
}

proptest! {
    #[test]
    fn a_strip_that_is_laid_meets_its_own_limits(
        play in 1_i64..800_000, held in 2.0..8.0, reach in 0.0..8.0, limit in 1_i64..400_000,
        play_min in 0_i64..100_000,
    ) {
        let nm = Length::from_nanometres;
        let strips = [5, 10, 15, 20].map(Length::from_thousandths);
        let fit = BoxFit { play: nm(play), held: mm(held), mouth_to_face: mm(reach) };
        let task = StripTask { droop_max: nm(limit), play_min: nm(play_min), thicknesses: &strips };
        match strip_for(&fit, &task).expect("possible") {
            StripCure::NotNeeded(droop) => prop_assert!(droop.below_middle <= task.droop_max),
            StripCure::Lay { thickness, leaves, .. } => {
                prop_assert!(leaves.below_middle <= task.droop_max);
                prop_assert!(fit.play - thickness >= task.play_min);
            }
            StripCure::Missing { from, to } => {
                let margin = nm(1);
                prop_assert!(strips.iter().all(|s| *s <= from + margin || *s > to));
            }
        }
    }

    #[test]
    fn a_mirrored_car_has_a_mirrored_centre_of_gravity(left in 0.1..1.0, right in 0.1..1.0) {
        let rails = Support::Rails { half_width: mm(8.9) };
        let one = tilt(&test_on(rails, left, right)).expect("possible");
        let other = tilt(&test_on(rails, right, left)).expect("possible");
        prop_assert_eq!(one.height.value, other.height.value);
        close(one.to_left.value.mm(), -other.to_left.value.mm(), 1e-6);
        close(
            one.to_left.standard_uncertainty.mm(),
            other.to_left.standard_uncertainty.mm(),
            1e-6,
        );
    }
}
