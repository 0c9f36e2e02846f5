//! Ten thousand random wheelsets: following the advice cures every one of them.

use crate::*;
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
            tire_width_min: maybe(5, thou(80)),
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
        .prop_map(|(flange, tire, depth)| Wheel {
            flange_thickness: Some(Length::from_nanometres(flange)),
            tire_width: Some(Length::from_nanometres(tire)),
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
    let (n1, n2) = (reading(set.left.tire_width), reading(set.right.tire_width));
    let (d1, d2) = (
        reading(set.left.flange_depth),
        reading(set.right.flange_depth),
    );
    let over = |limit: Option<Length>, value: Length| limit.is_none_or(|limit| value <= limit);
    let under = |limit: Option<Length>, value: Length| limit.is_none_or(|limit| value >= limit);
    let parts = over(l.flange_thickness_max, t1.max(t2))
        && over(l.flange_depth_max, d1.max(d2))
        && under(l.tire_width_min, n1.min(n2))
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
