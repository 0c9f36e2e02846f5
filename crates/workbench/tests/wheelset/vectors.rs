//! The trial program's wheelsets, its runout, and its odds against drawn ones.

use gradeworthy_workbench::mechanics::runout::{Amplitude, Runout};
use rand::SeedableRng as _;
use rand_distr::{Distribution as _, Normal};
use serde_json::Value;

use crate::*;

/// The complementary error function of the statistics crate is good to about 1e-11.
const ERFC_TOLERANCE: f64 = 1e-10;

fn vectors() -> Value {
    serde_json::from_str(include_str!("../vectors/a1_gauge.json")).expect("the vectors are JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// The trial program's names; its `tread1` has flange 1 at the rail and so holds up wheel 2.
fn kind(name: &str) -> C {
    match name {
        "span" => C::Span,
        "tread1" => C::TreadSupport(Right),
        "tread2" => C::TreadSupport(Left),
        "check_min1" => C::CheckGaugeMin(Left),
        "check_min2" => C::CheckGaugeMin(Right),
        "check_max1" => C::CheckGaugeMax(Left),
        "check_max2" => C::CheckGaugeMax(Right),
        "gauge" => C::Gauge,
        other => panic!("unknown constraint {other}"),
    }
}

/// Kinds that equal wheels satisfy by the same margin; the trial program and we break the tie apart.
fn same_up_to_side(one: C, other: C) -> bool {
    one == other || one == other.mirrored()
}

fn check_output(name: &str, judgement: &Judgement, wheelset: &Wheelset, out: &Value) {
    let nanometre = Length::from_nanometres(1);
    let near = |found: Length, key: &Value| {
        let want = mm(number(key));
        assert!(
            (found - want).abs() <= nanometre,
            "{name}: {found:.6} {want:.6}"
        );
    };
    let (lower, upper) = (
        judgement.window().lower.expect("a lower edge"),
        judgement.window().upper.expect("an upper edge"),
    );
    near(lower.at, &out["window"][0]);
    near(upper.at, &out["window"][1]);
    let named = |key: &str| kind(out[key].as_str().expect("a name"));
    assert!(same_up_to_side(lower.set_by, named("bind_lo")), "{name}");
    assert!(same_up_to_side(upper.set_by, named("bind_hi")), "{name}");
    assert_eq!(
        judgement.fault().is_none(),
        out["feasible"] == true,
        "{name}"
    );
    assert_eq!(judgement.holds(), out["ok"] == true, "{name}");
    let binding = judgement.binding().expect("constraints");
    assert!(same_up_to_side(binding.kind, named("binding")), "{name}");
    near(binding.margin, &out["margin"]);
    for (key, value) in out["margins"].as_object().expect("margins") {
        near(margin(judgement, kind(key)).expect("judged"), value);
    }
    let p_lower = number(&out["p_conform_lower"]);
    assert!(
        (judgement.conformity_at_least() - p_lower).abs() < ERFC_TOLERANCE,
        "{name}"
    );
    let zero = Length::ZERO;
    let (change, left, right, offset) = match judgement.cure(Mobility::Both) {
        Cure::Move(cure) => {
            near(cure.target, &out["target"]);
            let Move {
                change,
                left_outward,
                right_outward,
                ..
            } = cure;
            (change, left_outward, right_outward, cure.offset_after)
        }
        Cure::NoneNeeded => (zero, zero, zero, wheelset.offset),
        other => panic!("{name}: {other:?}"),
    };
    near(change, &out["dB"]);
    near(left, &out["dL"]);
    near(right, &out["dR"]);
    near(offset.expect("known"), &out["e_after"]);
}

#[test]
fn six_wheelsets_agree_with_the_trial_program_to_the_nanometre() {
    for case in vectors()["cases"].as_array().expect("cases") {
        let name = case["name"].as_str().expect("a name");
        let limit = |key: &str| case["std"][key].as_f64().map(mm);
        let limits = Limits {
            span_max: limit("Smax"),
            gauge_min: limit("Gmin"),
            gauge_max: limit("Gmax"),
            check_gauge_min: limit("Kmin"),
            check_gauge_max: limit("Kmax"),
            flangeway: limit("Fmax"),
            ..Limits::default()
        };
        let tire = mm(number(&case["N"]));
        let set = wheelset(
            mm(number(&case["B"])),
            wheel(mm(number(&case["T1"])), tire),
            wheel(mm(number(&case["T2"])), tire),
        );
        let limits = FunctionalLimits::new(limits, clearances()).expect("the limits agree");
        check_output(name, &judge(&limits, &set), &set, &case["out"]);
    }
}

#[test]
fn unequal_flanges_off_centre_agree_with_the_trial_program() {
    let case = &vectors()["unequal"];
    let tire = mm(number(&case["N"]));
    let set = Wheelset {
        offset: Some(mm(number(&case["e"]))),
        ..wheelset(
            mm(number(&case["B"])),
            wheel(mm(number(&case["T1"])), tire),
            wheel(mm(number(&case["T2"])), tire),
        )
    };
    check_output("unequal", &judge(&ho(), &set), &set, &case["out"]);
}

#[test]
fn three_readings_agree_with_the_trial_program() {
    let case = &vectors()["runout"];
    let readings: Vec<_> = case["Bk"]
        .as_array()
        .expect("readings")
        .iter()
        .map(|reading| mm(number(reading)))
        .collect();
    let runout = Runout::from_readings(&readings).expect("three readings");
    assert_eq!(runout.mean, mm(number(&case["mean"])));
    let Amplitude::FirstHarmonic {
        amplitude,
        greatest_at,
        misfit,
    } = runout.amplitude
    else {
        panic!("three readings give a harmonic")
    };
    assert_eq!(amplitude, mm(number(&case["amp"])));
    assert!((greatest_at.radians() - number(&case["phase_rad"])).abs() < 1e-12);
    assert_eq!(misfit, Length::ZERO);
    let back_to_back = runout.back_to_back;
    assert!(back_to_back.high - runout.mean - amplitude <= Length::from_nanometres(1));
    assert!(back_to_back.low <= runout.mean - amplitude);
}

/// The probability that a wheelset read as `read` truly holds, by drawing true values round it.
fn drawn_conformity(limits: &FunctionalLimits, read: &Wheelset, uncertainty: &Uncertainty) -> f64 {
    const DRAWS: u32 = 200_000;
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(110);
    let error = |u: Length| Normal::new(0.0, u.mm()).expect("positive");
    let (of_b, of_t) = (
        error(uncertainty.back_to_back),
        error(uncertainty.flange_thickness),
    );
    let mut holding = 0_u32;
    for _ in 0..DRAWS {
        let mut truth = *read;
        let b = read.back_to_back.low + mm(of_b.sample(&mut rng));
        truth.back_to_back = BackToBack::assume_true_running(b);
        for wheel in [&mut truth.left, &mut truth.right] {
            wheel.flange_thickness = wheel
                .flange_thickness
                .map(|t| t + mm(of_t.sample(&mut rng)));
        }
        holding += u32::from(limits.judge(&truth, uncertainty).expect("possible").holds());
    }
    f64::from(holding) / f64::from(DRAWS)
}

#[test]
fn trap_1_each_wheel_keeps_its_own_limit() {
    // Trial program: bound .921790878, Monte Carlo .9370; B = 14.5415, T = .762, u = .03 and .02 mm.
    let case = &vectors()["mc"];
    let wheel = code_110();
    let set = wheelset(mm(number(&case["B"])), wheel, wheel);
    let uncertainty = Uncertainty {
        back_to_back: mm(number(&case["uB"])),
        flange_thickness: mm(number(&case["uT"])),
        ..Uncertainty::default()
    };
    let judgement = ho().judge(&set, &uncertainty).expect("possible");
    let bound = judgement.conformity_at_least();
    assert!(
        (bound - number(&case["p_lower"])).abs() < ERFC_TOLERANCE,
        "{bound}"
    );
    let drawn = drawn_conformity(&ho(), &set, &uncertainty);
    // Three standard deviations of 200 000 draws are .0016.
    assert!((drawn - number(&case["p_mc"])).abs() < 0.002, "{drawn}");
    assert!(bound <= drawn);
    // Folded into the thicker flange there is one check constraint instead of two, and what
    // remains is no lower bound: it lies above what was drawn.
    let check = 0.5
        * statrs::function::erf::erfc(
            margin(&judgement, C::CheckGaugeMax(Left))
                .expect("judged")
                .mm()
                / 0.03_f64.hypot(0.02)
                / std::f64::consts::SQRT_2,
        );
    let folded = bound + check;
    assert!(folded > drawn + 0.01, "{folded} {drawn}");
}
