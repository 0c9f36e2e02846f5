//! Ballast choice against the prototype, full enumeration and HiGHS.

#![allow(
    clippy::panic,
    reason = "an answer of the wrong kind has to stop a test"
)]

mod reading;

use gradeworthy_units::{Length, Mass};
use gradeworthy_workbench::mechanics::ballast::{
    BallastAnswer, BallastPlan, BallastTask, FittedWeights, Limits, NODE_LIMIT, Pocket, Point,
    Prices, Proof, Shortfall, Weights, choose_ballast,
};
use reading::{close, grams, json, list, mm, number};
use serde_json::Value;

struct Case {
    weight: Mass,
    centre: Point,
    pockets: Vec<Pocket>,
    fitted: Vec<FittedWeights>,
    stock: Vec<Weights>,
    limits: Limits,
    prices: Prices,
}

fn count(value: &Value) -> u32 {
    u32::try_from(value.as_u64().expect("whole")).expect("few")
}

fn weights(each: &Value, number: &Value) -> Weights {
    Weights {
        each: grams(each.as_f64().expect("a number")),
        count: count(number),
    }
}

fn point(along: f64, across: f64, up: f64) -> Point {
    Point {
        along: mm(along),
        across: mm(across),
        up: mm(up),
    }
}

fn pocket(row: &Value) -> Pocket {
    let at = |index: usize| row[index].as_f64().expect("a number");
    Pocket {
        at: point(at(0), at(1), at(2)),
        capacity: grams(at(3)),
        is_blocked: row[4].as_bool().unwrap_or(false),
    }
}

impl Case {
    fn read(value: &Value) -> Self {
        let at = |key: &str| number(value, &format!("/{key}"));
        let centre = |axis: usize| number(value, &format!("/centre_mm/{axis}"));
        let fitted = |row: &Value| FittedWeights {
            pocket: usize::try_from(row[0].as_u64().expect("whole")).expect("few"),
            weights: weights(&row[1], &row[2]),
        };
        Self {
            weight: grams(at("weight_g")),
            centre: point(centre(0), centre(1), centre(2)),
            pockets: list(value, "/pockets").iter().map(pocket).collect(),
            fitted: list(value, "/fitted").iter().map(fitted).collect(),
            stock: list(value, "/stock")
                .iter()
                .map(|row| weights(&row[0], &row[1]))
                .collect(),
            limits: Limits {
                target: grams(at("target_g")),
                tolerance: grams(at("tolerance_g")),
                along_max: mm(at("along_max_mm")),
                across_max: mm(at("across_max_mm")),
                height_max: mm(at("height_max_mm")),
            },
            prices: Prices {
                piece: grams(at("w_c_g")),
                height_millionths_per_mm: match at("w_z_per_mm") {
                    w if w < 5e-5 => 0,
                    w if w < 1.5e-4 => 100,
                    _ => 200,
                },
            },
        }
    }

    fn task(&self) -> BallastTask<'_> {
        BallastTask {
            weight: self.weight,
            centre: self.centre,
            pockets: &self.pockets,
            fitted: &self.fitted,
            stock: &self.stock,
            limits: self.limits,
            prices: self.prices,
            node_limit: NODE_LIMIT,
        }
    }

    fn answer(&self) -> BallastAnswer {
        choose_ballast(&self.task()).expect("possible")
    }

    /// The same car with A and B, left and right exchanged.
    fn mirrored(&self) -> BallastAnswer {
        let turn = |at: Point| Point {
            along: -at.along,
            across: -at.across,
            ..at
        };
        let pockets: Vec<_> = self
            .pockets
            .iter()
            .map(|pocket| Pocket {
                at: turn(pocket.at),
                ..*pocket
            })
            .collect();
        let task = BallastTask {
            centre: turn(self.centre),
            pockets: &pockets,
            ..self.task()
        };
        choose_ballast(&task).expect("possible")
    }

    /// The plan's own figures follow from its changes, and which limits they miss.
    fn missed(&self, plan: &BallastPlan) -> Vec<&'static str> {
        let mut grams = self.weight.grams();
        let at = |point: Point| [point.along.mm(), point.across.mm(), point.up.mm()];
        let mut moments = at(self.centre).map(|mm| mm * grams);
        let mut held: Vec<f64> = vec![0.0; self.pockets.len()];
        for fitted in &self.fitted {
            held[fitted.pocket] += fitted.weights.each.grams() * f64::from(fitted.weights.count);
        }
        for change in &plan.changes {
            let pieces = f64::from(change.put_in) - f64::from(change.taken_out);
            let mass = change.each.grams() * pieces;
            grams += mass;
            held[change.pocket] += mass;
            for (moment, mm) in moments.iter_mut().zip(at(self.pockets[change.pocket].at)) {
                *moment += mass * mm;
            }
        }
        close(plan.weight.grams(), grams, 1e-9);
        for (found, moment) in at(plan.centre).into_iter().zip(moments) {
            close(found, moment / grams, 1e-6);
        }
        let Limits {
            target,
            tolerance,
            along_max,
            across_max,
            height_max,
        } = self.limits;
        let slack = 1e-6;
        let over = |limit: Length, mm: f64| mm > limit.mm() + slack;
        let full =
            self.pockets.iter().zip(&held).any(|(pocket, held)| {
                !pocket.is_blocked && *held > pocket.capacity.grams() + slack
            });
        [
            (
                "weight",
                (grams - target.grams()).abs() > tolerance.grams() + slack,
            ),
            ("along", over(along_max, (moments[0] / grams).abs())),
            ("across", over(across_max, (moments[1] / grams).abs())),
            ("height", over(height_max, moments[2] / grams)),
            ("capacity", full),
        ]
        .into_iter()
        .filter(|(_, missed)| *missed)
        .map(|(what, _)| what)
        .collect()
    }
}

#[test]
fn the_prototypes_car_gets_the_same_ballast() {
    let file = json("tests/vectors/a567.json");
    let at = |key: &str| number(&file, &format!("/ballast/{key}"));
    let case = Case {
        weight: grams(at("base/0")),
        centre: point(at("base/1"), at("base/2"), at("base/3")),
        pockets: list(&file, "/ballast/pockets").iter().map(pocket).collect(),
        fitted: Vec::new(),
        stock: list(&file, "/ballast/pieces")
            .iter()
            .map(|row| weights(&row[0], &row[1]))
            .collect(),
        limits: Limits {
            target: grams(at("Wt")),
            tolerance: grams(at("tolW")),
            along_max: mm(at("ex")),
            across_max: mm(at("ey")),
            height_max: mm(at("zmax")),
        },
        // The prototype's price: .06 for .03 g and three pieces.
        prices: Prices {
            piece: grams(0.01),
            height_millionths_per_mm: 0,
        },
    };
    let BallastAnswer::Plan(plan, Proof::Optimal) = case.answer() else {
        panic!("there is a plan");
    };
    close(plan.cost.grams(), at("brute"), 1e-9);
    close(plan.weight.grams(), at("out/W"), 1e-9);
    assert_eq!(plan.pieces_handled, 3);
    assert_eq!(case.missed(&plan), [""; 0]);
}

/// Source of the costs: full enumeration and HiGHS through SciPy, `oracles/ballast_milp.py`.
#[test]
fn two_hundred_random_cars_agree_with_enumeration_and_highs() {
    let file = json("oracles/ballast_milp.json");
    let (mut planned, mut blocked) = (0, 0);
    for value in list(&file, "/cases") {
        let case = Case::read(value);
        match (case.answer(), value["cost_highs"].as_f64()) {
            (BallastAnswer::Plan(plan, Proof::Optimal), Some(cost)) => {
                planned += 1;
                close(plan.cost.grams(), cost, 1e-6);
                if let Some(brute) = value["cost_brute"].as_f64() {
                    close(plan.cost.grams(), brute, 1e-9);
                }
                assert_eq!(case.missed(&plan), [""; 0]);
                let BallastAnswer::Plan(mirrored, Proof::Optimal) = case.mirrored() else {
                    panic!("mirrored, there is no plan");
                };
                assert_eq!(mirrored.cost, plan.cost);
            }
            (BallastAnswer::Blocked { shortfalls, .. }, None) => {
                blocked += 1;
                assert!(value["cost_brute"].is_null() || value["cost_brute"] == "too many");
                for shortfall in shortfalls {
                    let (plan, only) = match &shortfall {
                        Shortfall::Weight(plan) => (plan, Some("weight")),
                        Shortfall::Along(plan) => (plan, Some("along")),
                        Shortfall::Across(plan) => (plan, Some("across")),
                        Shortfall::Height(plan) => (plan, Some("height")),
                        Shortfall::Capacity { plan, more } => {
                            assert!(!more.is_empty());
                            (plan, Some("capacity"))
                        }
                        Shortfall::Stock { plan, more } => {
                            assert!(!more.is_empty());
                            (plan, None)
                        }
                    };
                    assert_eq!(case.missed(plan), only.into_iter().collect::<Vec<_>>());
                }
            }
            (answer, cost) => panic!("{answer:?} against {cost:?}"),
        }
    }
    assert!(
        planned > 60 && blocked > 20,
        "{planned} planned, {blocked} blocked"
    );
}

#[test]
fn weights_that_are_wanting_make_the_car_whole() {
    let file = json("oracles/ballast_milp.json");
    let mut cured = 0;
    for value in list(&file, "/cases") {
        let mut case = Case::read(value);
        let BallastAnswer::Blocked { shortfalls, .. } = case.answer() else {
            continue;
        };
        for shortfall in shortfalls {
            match shortfall {
                Shortfall::Stock { more, .. } => {
                    let before = case.stock.len();
                    case.stock.extend(more);
                    assert!(matches!(case.answer(), BallastAnswer::Plan(..)));
                    case.stock.truncate(before);
                }
                Shortfall::Capacity { more, .. } => {
                    let before = case.pockets.clone();
                    for (pocket, mass) in more {
                        let capacity = &mut case.pockets[pocket].capacity;
                        *capacity += mass;
                    }
                    assert!(matches!(case.answer(), BallastAnswer::Plan(..)));
                    case.pockets = before;
                }
                Shortfall::Weight(_)
                | Shortfall::Along(_)
                | Shortfall::Across(_)
                | Shortfall::Height(_) => continue,
            }
            cured += 1;
        }
    }
    assert!(cured > 10, "{cured} tell little");
}

#[test]
fn a_search_cut_short_says_so() {
    let file = json("oracles/ballast_milp.json");
    let (mut gaps, mut undecided) = (0, 0);
    for value in list(&file, "/cases") {
        let Some(cost) = value["cost_highs"].as_f64() else {
            continue;
        };
        let case = Case::read(value);
        for node_limit in [1, 60, 200, 600] {
            let task = BallastTask {
                node_limit,
                ..case.task()
            };
            match choose_ballast(&task).expect("possible") {
                BallastAnswer::Plan(plan, Proof::NodeLimit { cost_at_least, gap }) => {
                    gaps += 1;
                    assert_eq!(plan.cost - cost_at_least, gap);
                    assert!(plan.cost.grams() >= cost - 1e-9);
                    assert!(cost_at_least.grams() <= cost + 1e-9);
                }
                BallastAnswer::Undecided { cost_at_least } => {
                    undecided += 1;
                    assert!(cost_at_least.grams() <= cost + 1e-9);
                }
                BallastAnswer::Plan(plan, Proof::Optimal) => {
                    close(plan.cost.grams(), cost, 1e-6);
                }
                blocked @ BallastAnswer::Blocked { .. } => panic!("{blocked:?}"),
            }
        }
    }
    assert!(gaps > 0 && undecided > 0);
}

#[test]
fn bad_input_says_what_is_wrong() {
    let file = json("oracles/ballast_milp.json");
    let case = Case::read(&list(&file, "/cases")[0]);
    let nothing = Weights {
        each: Mass::ZERO,
        count: 1,
    };
    let task = BallastTask {
        stock: &[nothing],
        ..case.task()
    };
    assert_eq!(
        choose_ballast(&task).map_err(|error| error.to_string()),
        Err("the mass of a weight is 0.000 g: it has to be above zero".into())
    );
    let astray = FittedWeights {
        pocket: 99,
        weights: case.stock[0],
    };
    let task = BallastTask {
        fitted: &[astray],
        ..case.task()
    };
    assert!(choose_ballast(&task).is_err());
}
