//! Lever and shim choice against the prototype's problems, full enumeration and HiGHS.

#![allow(
    clippy::panic,
    reason = "an answer of the wrong kind has to stop a test"
)]

mod reading;

use gradeworthy_units::Length;
use gradeworthy_workbench::mechanics::ends::{End, Ends};
use gradeworthy_workbench::mechanics::lever::{
    Between, BoxMounting, Changes, Lever, LeverBetween, heights_after, heights_between,
};
use gradeworthy_workbench::mechanics::shims::{
    CostWeights, Place, ShimAnswer, ShimCure, ShimTask, Stacked, Stock, Stores, choose_shims,
};
use proptest::prelude::*;
use reading::{close, json, list, mm, number};
use serde_json::Value;

const NONE: Ends<&[Length]> = Ends { a: &[], b: &[] };
const BELOW: Ends<BoxMounting> = Ends {
    a: BoxMounting::ShimLowers,
    b: BoxMounting::ShimLowers,
};

fn plenty(thicknesses: &[Value]) -> Vec<Stock> {
    let of = |value: &Value| mm(value.as_f64().expect("a number"));
    let stock = |value| Stock {
        thickness: of(value),
        count: 100,
    };
    thicknesses.iter().map(stock).collect()
}

#[test]
fn every_problem_of_the_prototype_has_the_same_optimum() {
    let file = json("tests/vectors/a567.json");
    let washers = plenty(list(&file, "/shims/common/bol"));
    let box_shims = plenty(list(&file, "/shims/common/box"));
    let common = |key: &str| number(&file, &format!("/shims/common/{key}"));
    let both = |length| Ends {
        a: length,
        b: length,
    };
    let stores = Stores {
        washers: &washers,
        box_shims: &box_shims,
        washers_max: 3,
        box_shims_max: 3,
        strip_step: Length::from_thousandths(5),
    };
    let cases = list(&file, "/shims/cases");
    let first = (
        &file["shims"]["first"]["inp"],
        number(&file, "/shims/first/out/0"),
    );
    let cases = cases
        .iter()
        .map(|case| (&case["inp"], number(case, "/obj")));
    let mut count = 0;
    for (inputs, cost) in cases.chain([first]) {
        let at = |key: &str| mm(number(inputs, &format!("/{key}")));
        let task = ShimTask {
            lever: Lever {
                truck_centres: mm(2.0 * common("a")),
                overhang: both(mm(common("n"))),
            },
            heights: Ends {
                a: at("hA"),
                b: at("hB"),
            },
            ride: Ends {
                a: at("rideA"),
                b: at("rideB"),
            },
            target: mm(common("h0")),
            tolerance: mm(common("tol")),
            guard: Length::ZERO,
            fitted_washers: NONE,
            fitted_box_shims: NONE,
            box_mounting: BELOW,
        };
        let answer = choose_shims(&task, &stores, CostWeights::default()).expect("possible");
        let ShimAnswer::Cure(cure) = answer else {
            panic!("{answer:?}");
        };
        // Inputs are rounded to whole nanometres on the way in: four of half a nanometre each.
        close(cure.cost, cost, 3e-6);
        check(&task, &cure);
        count += 1;
    }
    assert_eq!(count, 41);
}

/// The cure's own numbers follow from (L1), and meet the task's limits.
fn check(task: &ShimTask<'_>, cure: &ShimCure) {
    let sum = |lengths: &[Length]| lengths.iter().copied().sum::<Length>();
    let change = |place: &Stacked| sum(&place.put_in) - sum(&place.taken_out);
    let lowered = |end: End| change(cure.box_shims.at(end)) * task.box_mounting.at(end).sign();
    let washers = Ends {
        a: change(&cure.washers.a),
        b: change(&cure.washers.b),
    };
    let changes = Changes {
        washers,
        lowered_in_box: Ends {
            a: lowered(End::A),
            b: lowered(End::B),
        },
    };
    let after = heights_after(&task.lever, task.heights, &changes).expect("possible");
    for end in [End::A, End::B] {
        let off = *after.at(end) - *cure.heights.at(end);
        assert!(off.nanometres().abs() <= 1);
        let allowed = task.tolerance - task.guard + Length::from_nanometres(1);
        assert!((*after.at(end) - task.target).abs() <= allowed, "{after:?}");
        assert_eq!(*cure.ride.at(end), *task.ride.at(end) + *washers.at(end));
    }
}

struct Case {
    washers: Vec<Stock>,
    boxes: Vec<Stock>,
    fitted: [Vec<Length>; 4],
    value: Value,
}

impl Case {
    fn read(value: &Value) -> Self {
        let nm = |value: &Value| Length::from_nanometres(value.as_i64().expect("whole"));
        let stock = |key: &str| {
            let item = |item: &Value| Stock {
                thickness: nm(&item[0]),
                count: u32::try_from(item[1].as_u64().expect("whole")).expect("few"),
            };
            list(value, key).iter().map(item).collect()
        };
        let fitted = ["washer_a", "washer_b", "box_a", "box_b"].map(|place| {
            list(value, &format!("/fitted_{place}"))
                .iter()
                .map(nm)
                .collect()
        });
        Self {
            washers: stock("/washer_stock"),
            boxes: stock("/box_stock"),
            fitted,
            value: value.clone(),
        }
    }

    fn nm(&self, key: &str) -> Length {
        Length::from_nanometres(self.value[key].as_i64().expect("whole"))
    }

    fn task(&self) -> ShimTask<'_> {
        let nm = |key: &str| self.nm(key);
        let [washers_a, washers_b, boxes_a, boxes_b] = &self.fitted;
        let mounting = |key: &str| {
            if self.value[key] == 1 {
                BoxMounting::ShimLowers
            } else {
                BoxMounting::ShimRaises
            }
        };
        ShimTask {
            lever: Lever {
                truck_centres: nm("centres_nm"),
                overhang: Ends {
                    a: nm("overhang_a_nm"),
                    b: nm("overhang_b_nm"),
                },
            },
            heights: Ends {
                a: nm("height_a_nm"),
                b: nm("height_b_nm"),
            },
            ride: Ends {
                a: nm("ride_a_nm"),
                b: nm("ride_b_nm"),
            },
            target: nm("target_nm"),
            tolerance: nm("tolerance_nm"),
            guard: nm("guard_nm"),
            fitted_washers: Ends {
                a: washers_a,
                b: washers_b,
            },
            fitted_box_shims: Ends {
                a: boxes_a,
                b: boxes_b,
            },
            box_mounting: Ends {
                a: mounting("sign_a"),
                b: mounting("sign_b"),
            },
        }
    }

    fn stores(&self) -> Stores<'_> {
        Stores {
            washers: &self.washers,
            box_shims: &self.boxes,
            washers_max: 3,
            box_shims_max: 3,
            strip_step: Length::from_thousandths(5),
        }
    }

    fn answer(&self) -> ShimAnswer {
        choose_shims(&self.task(), &self.stores(), CostWeights::default()).expect("possible")
    }

    /// The same car turned end for end.
    fn turned(&self) -> ShimAnswer {
        let task = self.task();
        let turned = ShimTask {
            lever: Lever {
                overhang: task.lever.overhang.swapped(),
                ..task.lever
            },
            heights: task.heights.swapped(),
            ride: task.ride.swapped(),
            fitted_washers: task.fitted_washers.swapped(),
            fitted_box_shims: task.fitted_box_shims.swapped(),
            box_mounting: task.box_mounting.swapped(),
            ..task
        };
        choose_shims(&turned, &self.stores(), CostWeights::default()).expect("possible")
    }

    /// The shop's stock with what was missing bought.
    fn after_buying(&self, wanted: &[(Place, Length)]) -> ShimAnswer {
        let mut washers = self.washers.clone();
        let mut boxes = self.boxes.clone();
        for (place, thickness) in wanted {
            let bought = Stock {
                thickness: *thickness,
                count: 1,
            };
            match place {
                Place::Bolster(_) => washers.push(bought),
                Place::CouplerBox(_) => boxes.push(bought),
            }
        }
        let stores = Stores {
            washers: &washers,
            box_shims: &boxes,
            ..self.stores()
        };
        choose_shims(&self.task(), &stores, CostWeights::default()).expect("possible")
    }
}

/// Source of the costs: full enumeration and HiGHS through SciPy, `oracles/shims_milp.py`.
#[test]
fn two_hundred_random_problems_agree_with_enumeration_and_highs() {
    let file = json("oracles/shims_milp.json");
    let mut cured = 0;
    for value in list(&file, "/cases") {
        let case = Case::read(value);
        match (case.answer(), value["cost_brute"].as_f64()) {
            (ShimAnswer::Cure(cure), Some(cost)) => {
                cured += 1;
                close(cure.cost, cost, 1e-9);
                // HiGHS lets a constraint slip by 1e-6, its default: it gains that much at a limit.
                close(cure.cost, number(value, "/cost_highs"), 3e-6);
                check(&case.task(), &cure);
                let ShimAnswer::Cure(turned) = case.turned() else {
                    panic!("turned round, it cannot be cured");
                };
                close(turned.cost, cure.cost, 1e-12);
            }
            (ShimAnswer::Missing { wanted, with_them }, None) => {
                assert!(value["cost_highs"].is_null());
                check(&case.task(), &with_them);
                let ShimAnswer::Cure(cure) = case.after_buying(&wanted) else {
                    panic!("what was missing does not cure it: {wanted:?}");
                };
                assert!(cure.cost <= with_them.cost + 1e-12);
            }
            (ShimAnswer::NoStripWouldDo { .. }, None) => assert!(value["cost_highs"].is_null()),
            (answer, cost) => panic!("{answer:?} against {cost:?}"),
        }
    }
    assert!(cured > 50 && cured < 195, "{cured} of 200 tell little");
}

#[test]
fn no_smaller_set_of_strip_would_do() {
    let file = json("oracles/shims_milp.json");
    let mut tried = 0;
    for value in list(&file, "/cases") {
        let case = Case::read(value);
        let ShimAnswer::Missing { wanted, .. } = case.answer() else {
            continue;
        };
        if wanted.len() < 2 {
            continue;
        }
        tried += 1;
        // One piece of any thickness in either kind of place does not cure it.
        for step in 1..=80 {
            let thickness = Length::from_thousandths(5) * step;
            for place in [Place::Bolster(End::A), Place::CouplerBox(End::A)] {
                let answer = case.after_buying(&[(place, thickness)]);
                assert!(
                    !matches!(answer, ShimAnswer::Cure(_)),
                    "{thickness} in {place:?}"
                );
            }
        }
    }
    assert!(tried > 0, "no case wants two pieces");
}

#[test]
fn a_guard_that_eats_the_tolerance_is_refused() {
    let file = json("oracles/shims_milp.json");
    let case = Case::read(&list(&file, "/cases")[0]);
    let task = ShimTask {
        guard: mm(0.4),
        tolerance: mm(0.25),
        ..case.task()
    };
    let refused = choose_shims(&task, &case.stores(), CostWeights::default());
    assert_eq!(
        refused.map_err(|error| error.to_string()),
        Err(
            "a guard of 0.400 mm leaves nothing of a tolerance of 0.250 mm: read more finely"
                .into()
        )
    );
}

#[test]
fn strip_too_coarse_for_the_tolerance_is_said() {
    let file = json("oracles/shims_milp.json");
    let case = Case::read(&list(&file, "/cases")[0]);
    let task = ShimTask {
        tolerance: Length::from_nanometres(10),
        guard: Length::ZERO,
        fitted_washers: NONE,
        fitted_box_shims: NONE,
        ..case.task()
    };
    let stores = Stores {
        washers: &[],
        box_shims: &[],
        ..case.stores()
    };
    let answer = choose_shims(&task, &stores, CostWeights::default()).expect("possible");
    let ShimAnswer::NoStripWouldDo { allowed, .. } = answer else {
        panic!("{answer:?}");
    };
    assert_eq!(allowed, Length::from_nanometres(20));
}

#[test]
fn at_the_very_limit_is_within_it() {
    let both = |length| Ends {
        a: length,
        b: length,
    };
    let task = |off_nm: i64| ShimTask {
        lever: Lever {
            truck_centres: mm(100.0),
            overhang: both(mm(20.0)),
        },
        heights: both(Length::from_nanometres(9_921_875 + off_nm)),
        ride: both(Length::ZERO),
        target: Length::from_sixty_fourths(25),
        tolerance: mm(0.25),
        guard: Length::ZERO,
        fitted_washers: NONE,
        fitted_box_shims: NONE,
        box_mounting: BELOW,
    };
    let stores = Stores {
        washers: &[],
        box_shims: &[],
        washers_max: 3,
        box_shims_max: 3,
        strip_step: Length::from_thousandths(5),
    };
    let answer = |off_nm| choose_shims(&task(off_nm), &stores, CostWeights::default());
    assert!(matches!(answer(250_000), Ok(ShimAnswer::Cure(cure)) if cure.pieces_handled == 0));
    let Ok(ShimAnswer::Missing { wanted, .. }) = answer(250_001) else {
        panic!("one nanometre too high");
    };
    assert_eq!(wanted.len(), 2, "both ends are high: a shim in each box");
}

proptest! {
    #[test]
    fn bounds_hold_for_every_reading_within_its_error(
        h in 8.0..11.0, a in 40.0..180.0, n in 0.0..40.0, t in 0.0..1.0, far in 0.0..1.0,
        s in -0.5..0.5, share in proptest::array::uniform6(-1.0..1.0),
    ) {
        let around = |value: f64, error: f64| Between::around(mm(value), mm(error));
        let both = |between| Ends { a: between, b: between };
        let parts = LeverBetween {
            heights: both(around(h, 0.05)),
            truck_centres: around(a, 0.5),
            overhang: both(around(n + 1.0, 0.5)),
            washers: Ends { a: around(t, 0.01), b: around(far, 0.01) },
            lowered_in_box: both(around(s, 0.01)),
        };
        let bounds = heights_between(&parts).expect("possible");
        let [h, a, n, t, far, s] = [
            h + 0.05 * share[0], a + 0.5 * share[1], n + 1.0 + 0.5 * share[2],
            t + 0.01 * share[3], far + 0.01 * share[4], s + 0.01 * share[5],
        ];
        let after = h + t * (1.0 + n / a) - far * n / a - s;
        prop_assert!(after >= bounds.a.low.mm() - 3e-6 && after <= bounds.a.high.mm() + 3e-6);
        prop_assert!((bounds.a.high - bounds.a.low).mm() < 0.3);
    }
}
