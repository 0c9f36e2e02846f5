//! What a choice from stock costs: shims, and ballast against a general solver in the same run.
//!
//! The general solver is `good_lp` with microlp on the same mixed-integer programme.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use good_lp::{Expression, Solution, SolverModel, constraint, variable, variables};
use gradeworthy_units::{Length, Mass};
use gradeworthy_workbench::mechanics::ballast::{
    BallastAnswer, BallastTask, Limits, NODE_LIMIT, Pocket, Point, Prices, Proof, Weights,
    choose_ballast,
};
use gradeworthy_workbench::mechanics::ends::Ends;
use gradeworthy_workbench::mechanics::lever::{BoxMounting, Lever};
use gradeworthy_workbench::mechanics::shims::{
    CostWeights, ShimAnswer, ShimTask, Stock, Stores, choose_shims,
};

fn mm(hundredths: i64) -> Length {
    Length::from_hundredths_mm(hundredths)
}

fn shims(c: &mut Criterion) {
    let both = |length| Ends {
        a: length,
        b: length,
    };
    let stock = |thousandths: [i64; 5], count| {
        thousandths.map(|t| Stock {
            thickness: Length::from_thousandths(t),
            count,
        })
    };
    let mut group = c.benchmark_group("shims, 5 washers and 5 box shims");
    for (name, count, heights, ride) in [
        ("plenty", 20, (9_55, 10_20), (-25, 5)),
        ("scarce", 1, (9_40, 9_30), (-40, -50)),
        ("far off", 20, (9_20, 10_80), (-90, 60)),
        ("missing, nothing held", 0, (9_40, 10_30), (-40, 20)),
        ("missing, plenty held", 20, (6_50, 6_40), (-40, 20)),
    ] {
        let task = ShimTask {
            lever: Lever {
                truck_centres: mm(10_000),
                overhang: both(mm(20_00)),
            },
            heights: Ends {
                a: mm(heights.0),
                b: mm(heights.1),
            },
            ride: Ends {
                a: mm(ride.0),
                b: mm(ride.1),
            },
            target: Length::from_sixty_fourths(25),
            tolerance: mm(13),
            guard: Length::ZERO,
            fitted_washers: Ends { a: &[], b: &[] },
            fitted_box_shims: Ends { a: &[], b: &[] },
            box_mounting: both(Length::ZERO).map(|_| BoxMounting::ShimLowers),
        };
        let (washers, box_shims) = (
            stock([10, 15, 20, 25, 30], count),
            stock([5, 10, 15, 20, 25], count),
        );
        let stores = Stores {
            washers: &washers,
            box_shims: &box_shims,
            washers_max: 3,
            box_shims_max: 3,
            strip_step: Length::from_thousandths(5),
        };
        let answer = choose_shims(&task, &stores, CostWeights::default());
        let is_cured = matches!(answer, Ok(ShimAnswer::Cure(_)));
        let is_missing = matches!(answer, Ok(ShimAnswer::Missing { .. }));
        assert!(
            if name.starts_with("missing") {
                is_missing
            } else {
                is_cured
            },
            "{name}"
        );
        group.bench_function(name, |b| {
            b.iter(|| choose_shims(black_box(&task), &stores, CostWeights::default()));
        });
    }
    group.finish();
}

/// The prototype's car, and one with more of everything.
fn ballast_tasks() -> [(&'static str, Vec<Pocket>, Vec<Weights>, i64); 2] {
    let pocket = |x: i64, y: i64, z: i64, grams: i64| Pocket {
        at: Point {
            along: mm(100 * x),
            across: mm(100 * y),
            up: mm(100 * z),
        },
        capacity: Mass::from_milligrams(1000 * grams),
        is_blocked: false,
    };
    let weights = |milligrams, count| Weights {
        each: Mass::from_milligrams(milligrams),
        count,
    };
    let four = vec![
        pocket(40, 0, 14, 25),
        pocket(-40, 0, 14, 25),
        pocket(0, 5, 13, 20),
        pocket(0, -5, 13, 20),
    ];
    let mut eight = four.clone();
    eight.extend([
        pocket(60, 4, 16, 15),
        pocket(60, -4, 16, 15),
        pocket(-60, 4, 16, 15),
        pocket(-60, -4, 16, 15),
    ]);
    let three = vec![weights(7_090, 6), weights(3_540, 6), weights(14_170, 2)];
    let five = vec![
        weights(7_090, 8),
        weights(3_540, 8),
        weights(14_170, 4),
        weights(5_000, 6),
        weights(1_770, 8),
    ];
    [
        ("4 pockets, 3 kinds", four, three, 113_400),
        ("8 pockets, 5 kinds", eight, five, 135_000),
    ]
}

fn ballast(c: &mut Criterion) {
    for (name, pockets, stock, target) in ballast_tasks() {
        let task = BallastTask {
            weight: Mass::from_milligrams(78_000),
            centre: Point {
                along: mm(3_00),
                across: mm(40),
                up: mm(22_00),
            },
            pockets: &pockets,
            fitted: &[],
            stock: &stock,
            limits: Limits {
                target: Mass::from_milligrams(target),
                tolerance: Mass::from_milligrams(2_000),
                along_max: mm(1_00),
                across_max: mm(30),
                height_max: mm(19_50),
            },
            prices: Prices {
                piece: Mass::from_milligrams(10),
                height_millionths_per_mm: 0,
            },
            node_limit: NODE_LIMIT,
        };
        let answer = choose_ballast(&task);
        assert!(
            matches!(answer, Ok(BallastAnswer::Plan(_, Proof::Optimal))),
            "{answer:?}"
        );
        let mut group = c.benchmark_group(format!("ballast, {name}"));
        group.sample_size(20);
        group.bench_function("own search", |b| {
            b.iter(|| choose_ballast(black_box(&task)))
        });
        // On the larger car the general solver had not done its twenty samples after eight minutes.
        if pockets.len() == 4 {
            group.bench_function("good_lp with microlp", |b| {
                b.iter(|| by_microlp(black_box(&task)));
            });
        }
        group.finish();
    }
}

/// The least cost in grams, by a general solver.
fn by_microlp(task: &BallastTask<'_>) -> Option<f64> {
    let mut vars = variables!();
    let off = vars.add(variable().min(0.0));
    let counts: Vec<Vec<_>> = task
        .stock
        .iter()
        .map(|weights| {
            let one = || variable().integer().min(0.0).max(f64::from(weights.count));
            task.pockets.iter().map(|_| vars.add(one())).collect()
        })
        .collect();
    let grams = |kind: usize| task.stock[kind].each.grams();
    let sum = |of: &dyn Fn(usize, usize) -> f64| -> Expression {
        let cells = counts.iter().enumerate().flat_map(|(kind, row)| {
            row.iter()
                .enumerate()
                .map(move |(pocket, count)| (kind, pocket, *count))
        });
        cells
            .map(|(kind, pocket, count)| of(kind, pocket) * count)
            .sum()
    };
    let added = sum(&|kind, _| grams(kind));
    let pieces = sum(&|_, _| 1.0);
    let missing = (task.limits.target - task.weight).grams();
    let tolerance = task.limits.tolerance.grams();
    let mut model = vars
        .minimise(off + task.prices.piece.grams() * pieces)
        .using(good_lp::microlp)
        .with(constraint!(off >= added.clone() - missing))
        .with(constraint!(off >= missing - added.clone()))
        .with(constraint!(off <= tolerance));
    let at = |point: Point| [point.along.mm(), point.across.mm(), point.up.mm()];
    let weight = task.weight.grams();
    let limits = [
        task.limits.along_max,
        task.limits.across_max,
        task.limits.height_max,
    ];
    for (axis, limit) in limits.into_iter().enumerate() {
        for sign in if axis == 2 {
            &[1.0][..]
        } else {
            &[1.0, -1.0][..]
        } {
            let beyond = |mm: f64| sign * mm - limit.mm();
            let moment =
                sum(&|kind, pocket| grams(kind) * beyond(at(task.pockets[pocket].at)[axis]));
            model = model.with(constraint!(
                moment <= -weight * beyond(at(task.centre)[axis])
            ));
        }
    }
    for (index, pocket) in task.pockets.iter().enumerate() {
        let held = sum(&|kind, other| if other == index { grams(kind) } else { 0.0 });
        model = model.with(constraint!(held <= pocket.capacity.grams()));
    }
    for (index, weights) in task.stock.iter().enumerate() {
        let used = sum(&|kind, _| if kind == index { 1.0 } else { 0.0 });
        model = model.with(constraint!(used <= f64::from(weights.count)));
    }
    let solution = model.solve().ok()?;
    Some(solution.value(off) + task.prices.piece.grams() * solution.eval(sum(&|_, _| 1.0)))
}

criterion_group!(benches, shims, ballast);
criterion_main!(benches);
