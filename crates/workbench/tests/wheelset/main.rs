//! The wheelset kernel against the trial program's vectors, published windows, and itself.
#![expect(
    clippy::panic,
    reason = "the shared checks of a test fail by panicking"
)]

use gradeworthy_units::Length;
use gradeworthy_workbench::mechanics::wheelset::{
    BackToBack, Clearances, ConstraintKind, Cure, Evidence, FunctionalLimits, Judgement, Limits,
    Mobility, Move, Part, Reason, Side, Uncertainty, Wheel, Wheelset, WheelsetError,
};

mod random;
mod vectors;

use ConstraintKind as C;
use Side::{Left, Right};

fn mm(mm: f64) -> Length {
    Length::from_mm_rounded(mm).expect("finite")
}

fn thou(thousandths: i64) -> Length {
    Length::from_thousandths(thousandths)
}

fn wheel(flange: Length, tire: Length) -> Wheel {
    Wheel {
        flange_thickness: Some(flange),
        tire_width: Some(tire),
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

#[test]
fn trap_2_code_88_loses_tread_support_before_span() {
    // B between the two edges: the span still clears, the narrow tire already drops in.
    let wheel = code_88();
    let judgement = judge(&ho(), &wheelset(mm(14.40), wheel, wheel));
    assert!(margin(&judgement, C::Span).expect("judged") > Length::ZERO);
    for side in Side::BOTH {
        let tread = margin(&judgement, C::TreadSupport(side)).expect("judged");
        assert!(tread < Length::ZERO, "{side:?} {tread}");
    }
    let lower = judgement.window().lower.expect("an edge");
    assert!(matches!(lower.set_by, C::TreadSupport(_)), "{lower:?}");
    // The wider code 110 tire does not.
    let judgement = judge(&ho(), &wheelset(mm(14.40), code_110(), code_110()));
    assert!(judgement.holds());
}

#[test]
fn tread_support_takes_the_flange_of_one_wheel_and_the_tire_of_the_other() {
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
fn a_narrow_tire_a_wobble_and_a_moulded_set_are_named() {
    let narrow = judge(
        &ho(),
        &wheelset(mm(14.5), code_110(), wheel(thou(30), thou(70))),
    );
    let fault = narrow.fault().expect("the tread drops in");
    assert_eq!(
        (fault.part, fault.reason),
        (Part::Wheel(Right), Reason::TireTooNarrow)
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
