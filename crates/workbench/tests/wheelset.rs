//! The wheelset kernel against the prototype's vectors, published windows, and itself.
#![expect(
    clippy::panic,
    reason = "the shared checks of a test fail by panicking"
)]

use gradeworthy_units::Length;
use gradeworthy_workbench::mechanics::runout::{Amplitude, Runout};
use gradeworthy_workbench::mechanics::wheelset::{
    BackToBack, Clearances, ConstraintKind, Cure, Evidence, FunctionalLimits, Judgement, Limits,
    Mobility, Move, Part, Reason, Side, Uncertainty, Wheel, Wheelset, WheelsetError,
};
use rand::SeedableRng as _;
use rand_distr::{Distribution as _, Normal};
use serde_json::Value;

use ConstraintKind as C;
use Side::{Left, Right};

/// The complementary error function of the statistics crate is good to about 1e-11.
const ERFC_TOLERANCE: f64 = 1e-10;

fn vectors() -> Value {
    serde_json::from_str(include_str!("vectors/a1_gauge.json")).expect("the vectors are JSON")
}

fn mm(mm: f64) -> Length {
    Length::from_mm_rounded(mm).expect("finite")
}

fn thou(thousandths: i64) -> Length {
    Length::from_thousandths(thousandths)
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn wheel(flange: Length, tyre: Length) -> Wheel {
    Wheel {
        flange_thickness: Some(flange),
        tyre_width: Some(tyre),
        flange_depth: None,
    }
}

fn wheelset(back_to_back: Length, left: Wheel, right: Wheel) -> Wheelset {
    Wheelset {
        back_to_back: BackToBack::assume_true_running(back_to_back),
        left,
        right,
        offset: Some(Length::ZERO),
    }
}

/// HO, [NMRA-S-3.2] and [NMRA-S-4.2] old tables, as the vectors use them.
fn ho_limits() -> Limits {
    Limits {
        span_max: Some(thou(564)),
        gauge_min: Some(thou(649)),
        gauge_max: Some(thou(672)),
        check_gauge_max: Some(thou(605)),
        flangeway: Some(thou(50)),
        ..Limits::default()
    }
}

/// Engineering estimates, with the vectors.
fn clearances() -> Clearances {
    Clearances {
        span: Length::from_hundredths_mm(5),
        tread_support: Length::from_hundredths_mm(25),
        ..Clearances::default()
    }
}

fn ho() -> FunctionalLimits {
    FunctionalLimits::new(ho_limits(), clearances()).expect("the limits agree")
}

/// [NMRA-RP-25] code 110.
fn code_110() -> Wheel {
    wheel(thou(30), thou(110))
}

/// [NMRA-RP-25] code 88.
fn code_88() -> Wheel {
    wheel(thou(25), thou(88))
}

fn usual() -> Uncertainty {
    Uncertainty {
        back_to_back: mm(0.02),
        flange_thickness: mm(0.015),
        ..Uncertainty::default()
    }
}

fn judge(limits: &FunctionalLimits, wheelset: &Wheelset) -> Judgement {
    limits.judge(wheelset, &usual()).expect("possible readings")
}

fn margin(judgement: &Judgement, kind: C) -> Option<Length> {
    let mut constraints = judgement.constraints();
    let found = constraints.find(|constraint| constraint.kind == kind)?;
    Some(found.margin)
}

/// The prototype's names; its `tread1` has flange 1 at the rail and so holds up wheel 2.
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

/// Kinds that equal wheels satisfy by the same margin; the prototype and we break the tie apart.
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
fn six_wheelsets_agree_with_the_prototype_to_the_nanometre() {
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
        let tyre = mm(number(&case["N"]));
        let set = wheelset(
            mm(number(&case["B"])),
            wheel(mm(number(&case["T1"])), tyre),
            wheel(mm(number(&case["T2"])), tyre),
        );
        let limits = FunctionalLimits::new(limits, clearances()).expect("the limits agree");
        check_output(name, &judge(&limits, &set), &set, &case["out"]);
    }
}

#[test]
fn unequal_flanges_off_centre_agree_with_the_prototype() {
    let case = &vectors()["unequal"];
    let tyre = mm(number(&case["N"]));
    let set = Wheelset {
        offset: Some(mm(number(&case["e"]))),
        ..wheelset(
            mm(number(&case["B"])),
            wheel(mm(number(&case["T1"])), tyre),
            wheel(mm(number(&case["T2"])), tyre),
        )
    };
    check_output("unequal", &judge(&ho(), &set), &set, &case["out"]);
}

#[test]
fn three_readings_agree_with_the_prototype() {
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

#[test]
fn w17_the_greatest_ho_back_to_back_of_nem_311_1() {
    // [NEM-311.1] (1996): an NMRA S-4 wheelset with RP-25 wheels reaches B = 14.64 mm,
    // from K 15.40 and T 0.76 mm.
    let limits = Limits {
        check_gauge_max: Some(mm(15.40)),
        ..Limits::default()
    };
    let limits = FunctionalLimits::new(limits, Clearances::default()).expect("one limit");
    let wheel = wheel(mm(0.76), mm(2.79));
    let judgement = judge(&limits, &wheelset(mm(14.5), wheel, wheel));
    assert_eq!(judgement.window().upper.expect("K max").at, mm(14.64));
    assert_eq!(judgement.window().lower, None);
}

#[test]
fn windows_of_rp_25_wheels_in_s_4_2_limits() {
    // B min and K max from [NMRA-S-4.2], T from [NMRA-RP-25]; thousandths of an inch.
    // The window is K max − T down to B min, by the definition K = B + T.
    for (name, check_gauge_max, back_to_back_min, flange, upper, width) in [
        ("HO code 110", 605, 566, 30, 575, 9),
        ("HO code 88", 605, 566, 25, 580, 14),
        ("N code 72", 323, 297, 20, 303, 6),
        ("N code 54", 323, 297, 14, 309, 12),
        ("TT code 79", 437, 407, 23, 414, 7),
        ("S code 110", 839, 800, 30, 809, 9),
        ("O code 175", 1179, 1118, 48, 1131, 13),
    ] {
        let limits = Limits {
            check_gauge_max: Some(thou(check_gauge_max)),
            back_to_back_min: Some(thou(back_to_back_min)),
            ..Limits::default()
        };
        let limits = FunctionalLimits::new(limits, Clearances::default()).expect("agree");
        let wheel = wheel(thou(flange), thou(200));
        let judgement = judge(&limits, &wheelset(thou(upper), wheel, wheel));
        assert_eq!(
            judgement.window().upper.expect("upper").at,
            thou(upper),
            "{name}"
        );
        assert_eq!(judgement.window().width(), Some(thou(width)), "{name}");
        // At the limit is inside.
        assert!(judgement.holds(), "{name}");
    }
}

#[test]
fn one_nanometre_outside_is_outside() {
    let wheel = code_110();
    let upper = thou(575);
    assert!(judge(&ho(), &wheelset(upper, wheel, wheel)).holds());
    let beyond = upper + Length::from_nanometres(1);
    assert!(!judge(&ho(), &wheelset(beyond, wheel, wheel)).holds());
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
    // Prototype: bound .921790878, Monte Carlo .9370; B = 14.5415, T = .762, u = .03 and .02 mm.
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

#[test]
fn trap_2_code_88_loses_tread_support_before_span() {
    // B between the two edges: the span still clears, the narrow tyre already drops in.
    let wheel = code_88();
    let judgement = judge(&ho(), &wheelset(mm(14.40), wheel, wheel));
    assert!(margin(&judgement, C::Span).expect("judged") > Length::ZERO);
    for side in Side::BOTH {
        let tread = margin(&judgement, C::TreadSupport(side)).expect("judged");
        assert!(tread < Length::ZERO, "{side:?} {tread}");
    }
    let lower = judgement.window().lower.expect("an edge");
    assert!(matches!(lower.set_by, C::TreadSupport(_)), "{lower:?}");
    // The wider code 110 tyre does not.
    let judgement = judge(&ho(), &wheelset(mm(14.40), code_110(), code_110()));
    assert!(judgement.holds());
}

#[test]
fn tread_support_takes_the_flange_of_one_wheel_and_the_tyre_of_the_other() {
    let judgement = judge(&ho(), &wheelset(mm(14.48), code_110(), code_88()));
    let need = thou(672) + mm(0.25);
    assert_eq!(
        margin(&judgement, C::TreadSupport(Right)),
        Some(mm(14.48) + thou(30) + thou(88) - need)
    );
    assert_eq!(
        margin(&judgement, C::TreadSupport(Left)),
        Some(mm(14.48) + thou(25) + thou(110) - need)
    );
}

#[test]
fn a_thin_flange_is_opened_and_not_kept_at_the_standard_back_to_back() {
    let limits = Limits {
        check_gauge_min: Some(thou(592)),
        ..ho_limits()
    };
    let limits = FunctionalLimits::new(limits, clearances()).expect("agree");
    let thin = wheel(thou(20), thou(110));
    let set = wheelset(thou(570), thin, thin);
    let Cure::Move(cure) = judge(&limits, &set).cure(Mobility::Only(Right)) else {
        panic!("a thin flange can be moved")
    };
    assert_eq!(cure.change, mm(0.2159));
    assert_eq!(
        (cure.left_outward, cure.right_outward),
        (Length::ZERO, cure.change)
    );
    assert_eq!(cure.offset_after, Some(mm(0.107_95)));
}

#[test]
fn a_flange_too_thick_for_span_and_check_gauge_is_named() {
    // T = .042 in: the window would be 14.376 down to 14.300 mm.
    let thick = wheel(thou(42), thou(110));
    let both = judge(&ho(), &wheelset(mm(14.4), thick, thick));
    let Cure::Replace(fault) = both.cure(Mobility::Both) else {
        panic!("no window")
    };
    assert_eq!(
        (fault.part, fault.reason),
        (Part::BothWheels, Reason::FlangeTooThick)
    );
    assert_eq!(fault.by, mm(0.0754));
    let one = judge(&ho(), &wheelset(mm(14.4), code_110(), thick));
    let fault = one.fault().expect("no window");
    assert_eq!(
        (fault.part, fault.reason),
        (Part::Wheel(Right), Reason::FlangeTooThick)
    );
    assert_eq!(
        fault.evidence,
        Evidence::Window {
            lower: C::Span,
            upper: C::CheckGaugeMax(Right)
        }
    );
}

#[test]
fn a_narrow_tyre_a_wobble_and_a_moulded_set_are_named() {
    let narrow = judge(
        &ho(),
        &wheelset(mm(14.5), code_110(), wheel(thou(30), thou(70))),
    );
    let fault = narrow.fault().expect("the tread drops in");
    assert_eq!(
        (fault.part, fault.reason),
        (Part::Wheel(Right), Reason::TyreTooNarrow)
    );
    let mut set = wheelset(mm(14.5), code_110(), code_110());
    set.back_to_back = BackToBack {
        low: mm(14.38),
        high: mm(14.62),
    };
    let fault = judge(&ho(), &set)
        .fault()
        .expect("wobbles across the window");
    assert_eq!((fault.part, fault.reason), (Part::Wheelset, Reason::Wobble));
    assert_eq!(fault.by, mm(0.24) - mm(0.2294));
    let moulded = judge(&ho(), &wheelset(mm(14.2), code_110(), code_110()));
    let Cure::Replace(fault) = moulded.cure(Mobility::OnePiece) else {
        panic!("it cannot be moved")
    };
    assert_eq!(
        (fault.part, fault.reason),
        (Part::Wheelset, Reason::OnePiece)
    );
}

#[test]
fn what_was_not_measured_is_said_and_no_move_is_guessed() {
    let limits = Limits {
        back_to_back_min: Some(thou(566)),
        ..ho_limits()
    };
    let limits = FunctionalLimits::new(limits, clearances()).expect("agree");
    let bare = Wheel::default();
    let judgement = judge(&limits, &wheelset(thou(560), bare, bare));
    assert!(!judgement.holds());
    assert!(
        judgement
            .not_measured()
            .any(|kind| kind == C::CheckGaugeMax(Left))
    );
    assert_eq!(judgement.constraints().count(), 2);
    assert!(matches!(
        judgement.cure(Mobility::Both),
        Cure::MeasureFirst(_)
    ));
}

#[test]
fn impossible_readings_and_contradicting_limits_are_refused() {
    let try_judge = |set: &Wheelset| ho().judge(set, &usual()).expect_err("impossible");
    let good = wheelset(mm(14.48), code_110(), code_110());
    let zero = Wheelset {
        back_to_back: BackToBack::assume_true_running(Length::ZERO),
        ..good
    };
    assert!(matches!(
        try_judge(&zero),
        WheelsetError::NotPositive { .. }
    ));
    let metres = Wheelset {
        back_to_back: BackToBack::assume_true_running(mm(14_480.0)),
        ..good
    };
    assert!(matches!(try_judge(&metres), WheelsetError::TooLong { .. }));
    let exchanged = BackToBack {
        low: mm(14.5),
        high: mm(14.4),
    };
    let exchanged = Wheelset {
        back_to_back: exchanged,
        ..good
    };
    assert!(matches!(
        try_judge(&exchanged),
        WheelsetError::LowAboveHigh { .. }
    ));
    let no_tread = Wheelset {
        left: wheel(thou(110), thou(30)),
        ..good
    };
    assert!(matches!(
        try_judge(&no_tread),
        WheelsetError::NoTread { .. }
    ));
    let contradiction = Limits {
        back_to_back_max: Some(mm(14.30)),
        ..ho_limits()
    };
    let error = FunctionalLimits::new(contradiction, clearances()).expect_err("S above B");
    assert_eq!(
        error.to_string(),
        "no wheelset can meet both: span max and clearance asks for 14.376 mm or more, \
         B max for 14.300 mm or less; correct the limits or the clearances"
    );
}

mod random {
    use super::*;
    use proptest::prelude::*;

    /// Limits of HO with everything printed that any standard prints.
    fn full_limits() -> impl Strategy<Value = FunctionalLimits> {
        (any::<[bool; 6]>(), 588_i64..594).prop_map(|(printed, check_gauge_min)| {
            let maybe = |index: usize, limit| printed[index].then_some(limit);
            let limits = Limits {
                check_gauge_min: maybe(0, thou(check_gauge_min)),
                back_to_back_min: maybe(1, thou(566)),
                back_to_back_max: maybe(2, mm(14.7)),
                flange_thickness_max: maybe(3, mm(0.9)),
                flange_depth_max: maybe(4, mm(0.711_2)),
                tyre_width_min: maybe(5, thou(80)),
                ..ho_limits()
            };
            FunctionalLimits::new(limits, clearances()).expect("agree")
        })
    }

    fn any_wheel() -> impl Strategy<Value = Wheel> {
        (
            300_000_i64..1_100_000,
            1_700_000_i64..3_000_000,
            300_000_i64..900_000,
        )
            .prop_map(|(flange, tyre, depth)| Wheel {
                flange_thickness: Some(Length::from_nanometres(flange)),
                tyre_width: Some(Length::from_nanometres(tyre)),
                flange_depth: Some(Length::from_nanometres(depth)),
            })
    }

    fn any_wheelset() -> impl Strategy<Value = Wheelset> {
        let nm = |range: std::ops::Range<i64>| range.prop_map(Length::from_nanometres);
        (
            nm(13_900_000..15_200_000),
            nm(0..200_000),
            any_wheel(),
            any_wheel(),
            nm(-300_000..300_000),
        )
            .prop_map(|(low, spread, left, right, offset)| Wheelset {
                back_to_back: BackToBack {
                    low,
                    high: low + spread,
                },
                left,
                right,
                offset: Some(offset),
            })
    }

    fn after(set: &Wheelset, cure: &Move) -> Wheelset {
        // Rebuilt from the two moves, not from ΔB.
        let change = cure.left_outward + cure.right_outward;
        Wheelset {
            back_to_back: BackToBack {
                low: set.back_to_back.low + change,
                high: set.back_to_back.high + change,
            },
            offset: cure.offset_after,
            ..*set
        }
    }

    /// Tries every B on a 5 µm raster with the definitions of the table written out once more.
    fn some_back_to_back_does(limits: &FunctionalLimits, set: &Wheelset) -> bool {
        let (l, c) = (limits.limits(), limits.clearances());
        let spread = set.back_to_back.spread();
        let reading = |length: Option<Length>| length.expect("measured");
        let (t1, t2) = (
            reading(set.left.flange_thickness),
            reading(set.right.flange_thickness),
        );
        let (n1, n2) = (reading(set.left.tyre_width), reading(set.right.tyre_width));
        let (d1, d2) = (
            reading(set.left.flange_depth),
            reading(set.right.flange_depth),
        );
        let over = |limit: Option<Length>, value: Length| limit.is_none_or(|limit| value <= limit);
        let under = |limit: Option<Length>, value: Length| limit.is_none_or(|limit| value >= limit);
        let parts = over(l.flange_thickness_max, t1.max(t2))
            && over(l.flange_depth_max, d1.max(d2))
            && under(l.tyre_width_min, n1.min(n2))
            && over(l.flangeway, t1.max(t2) + c.flangeway);
        parts
            && (13_500_000..15_600_000).step_by(5_000).any(|nm| {
                let low = Length::from_nanometres(nm);
                let high = low + spread;
                under(l.span_max, low - c.span)
                    && under(l.back_to_back_min, low)
                    && over(l.back_to_back_max, high)
                    && under(l.gauge_max, t1 + low + n2 - c.tread_support)
                    && under(l.gauge_max, t2 + low + n1 - c.tread_support)
                    && under(l.check_gauge_min, low + t1.min(t2))
                    && over(l.check_gauge_max, high + t1.max(t2))
                    && over(l.gauge_min, high + t1 + t2 + c.gauge)
            })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(10_000))]

        #[test]
        fn the_advised_move_makes_every_limit_hold_and_the_advised_part_cures(
            limits in full_limits(),
            set in any_wheelset(),
            mobility in prop_oneof![
                Just(Mobility::Both), Just(Mobility::Only(Left)), Just(Mobility::Only(Right))
            ],
        ) {
            let good = Wheel { flange_depth: Some(thou(25)), ..code_110() };
            let mut set = set;
            // Each part is replaced once at the most: wobble, then one wheel, then the other.
            for _ in 0..4 {
                let judgement = judge(&limits, &set);
                match judgement.cure(mobility) {
                    Cure::NoneNeeded => {
                        prop_assert!(some_back_to_back_does(&limits, &set)
                            || judgement.window().width() < Some(
                                set.back_to_back.spread() + Length::from_nanometres(5_000)));
                        return Ok(());
                    }
                    Cure::Move(cure) => {
                        let moved = after(&set, &cure);
                        prop_assert!(judge(&limits, &moved).holds(), "{:?}", cure);
                        prop_assert_eq!(cure.change, cure.left_outward + cure.right_outward);
                        if mobility == Mobility::Both {
                            let left_over = cure.offset_after.expect("known").abs();
                            prop_assert!(left_over <= Length::from_nanometres(1));
                        }
                        return Ok(());
                    }
                    Cure::MeasureFirst(kind) => prop_assert!(false, "all was measured: {}", kind),
                    Cure::Replace(fault) => {
                        prop_assert!(!some_back_to_back_does(&limits, &set), "{:?}", fault);
                        prop_assert!(fault.by > Length::ZERO);
                        match fault.part {
                            Part::Wheel(Left) => set.left = good,
                            Part::Wheel(Right) => set.right = good,
                            Part::BothWheels => (set.left, set.right) = (good, good),
                            Part::Wheelset => {
                                set.back_to_back = BackToBack::assume_true_running(
                                    set.back_to_back.mean());
                            }
                        }
                    }
                }
            }
            prop_assert!(false, "still not cured: {:?}", judge(&limits, &set).fault());
        }

        #[test]
        fn seen_from_the_other_end_the_judgement_is_the_same(
            limits in full_limits(), set in any_wheelset(),
        ) {
            let turned = Wheelset {
                left: set.right,
                right: set.left,
                offset: set.offset.map(|offset| -offset),
                ..set
            };
            let (one, other) = (judge(&limits, &set), judge(&limits, &turned));
            prop_assert_eq!(one.holds(), other.holds());
            prop_assert_eq!(one.window().width(), other.window().width());
            prop_assert!((one.conformity_at_least() - other.conformity_at_least()).abs() < 1e-12);
            for constraint in one.constraints() {
                let mirrored = margin(&other, constraint.kind.mirrored());
                prop_assert_eq!(Some(constraint.margin), mirrored);
            }
        }
    }
}
