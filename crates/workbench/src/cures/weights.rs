//! Weight and balance: which weights from stock in which pockets, exactly.
//!
//! One plan serves weight, both balances and the height of the centre of gravity together
//! ([`crate::mechanics::ballast`]); a car that fails several gets one cure.

use gradeworthy_units::Mass;

use super::action::Piece;
use super::prescribe::Ward;
use super::tipping::{Sought, seek};
use super::weight_problem::{Bands, WeightProblem, tipping};
use super::{Action, CureKind, Lack};
use crate::mechanics::ballast::{BallastAnswer, BallastPlan, Proof, Shortfall, choose_ballast};
use crate::record::{Check, Place};

pub(super) fn cure(ward: &mut Ward<'_>, check: Check) {
    if ward.has(CureKind::WeightMoved, Place::Car) {
        return;
    }
    let action = match prescribe(ward) {
        Ok(action) => action,
        Err(lack) => Action::Lacking(lack),
    };
    ward.write(check, Place::Car, CureKind::WeightMoved, action);
}

fn prescribe(ward: &Ward<'_>) -> Result<Action, Lack> {
    let bench = ward.bench;
    let problem = WeightProblem::on(bench)?;
    let target = problem.limits.target;
    let unusable = |_| Lack::Knowledge("weight and pockets cannot be used together");
    let ask = |limits, bands| seek(&problem.task(limits), tipping(bench, bands)).map_err(unusable);
    // First a plan that is clear of every caution band, then one that is inside the limits.
    let sought = match ask(problem.clear, Bands::Kept)? {
        plan @ Sought::Plan(..) => plan,
        Sought::Nothing(_) => ask(problem.limits, Bands::Used)?,
    };
    Ok(match sought {
        Sought::Plan(plan, proof) => planned(ward, &plan, target, proof),
        Sought::Nothing(limits) => {
            let answer = choose_ballast(&problem.task(limits)).map_err(unusable)?;
            without_plan(&answer, target)
        }
    })
}

fn planned(ward: &Ward<'_>, plan: &BallastPlan, target: Mass, proof: Proof) -> Action {
    if plan.changes.is_empty() {
        return Action::Do("weigh and balance again: nothing that stock holds would better it");
    }
    weights(ward, plan, target, proof)
}

/// What to say where the search found no plan.
fn without_plan(answer: &BallastAnswer, target: Mass) -> Action {
    match answer {
        BallastAnswer::Blocked { shortfalls, .. } => {
            Action::Lacking(Lack::Stock(what_is_needed(shortfalls, target)))
        }
        BallastAnswer::Undecided { .. } | BallastAnswer::Plan(..) => Action::Do(
            "no plan was found in the time allowed: fewer kinds of weight make it easier",
        ),
    }
}

fn weights(ward: &Ward<'_>, plan: &BallastPlan, target: Mass, proof: Proof) -> Action {
    let pockets = ward.bench.class.map_or(&[][..], |class| &class.pockets);
    let kinds = &ward.bench.shop.weights;
    let name = |mass: Mass| {
        let own = kinds.iter().find(|kind| kind.mass == mass);
        own.map_or_else(|| format!("{mass}").into(), |kind| kind.name.clone())
    };
    let pieces = plan
        .changes
        .iter()
        .filter(|change| change.put_in > 0)
        .map(|change| Piece {
            weight: name(change.each),
            count: change.put_in,
            pocket: pockets[change.pocket].name.clone(),
        });
    Action::Weights {
        pieces: pieces.collect(),
        expected: plan.weight,
        target,
        centre: [plan.centre.along, plan.centre.across, plan.centre.up],
        gap: match proof {
            Proof::Optimal => Mass::ZERO,
            Proof::NodeLimit { gap, .. } => gap,
        },
    }
}

/// What would have to give, the weight first.
fn what_is_needed(shortfalls: &[Shortfall], target: Mass) -> String {
    let first = shortfalls.first();
    match first {
        Some(Shortfall::Weight(plan)) => format!(
            "more room or heavier weights: the nearest that can be had is {} of {target}",
            plan.weight
        ),
        Some(Shortfall::Along(plan)) => format!(
            "a pocket nearer the light end: the best end balance leaves the centre {:.1} off",
            plan.centre.along.abs()
        ),
        Some(Shortfall::Across(plan)) => format!(
            "a pocket on the light side: the best side balance leaves the centre {:.1} off",
            plan.centre.across.abs()
        ),
        Some(Shortfall::Height(plan)) => format!(
            "a lower pocket: the lowest centre of gravity that can be had is {:.1} above the rail",
            plan.centre.up
        ),
        Some(Shortfall::Capacity { more, .. }) => {
            let total: Mass = more.iter().map(|(_, mass)| *mass).sum();
            format!("{total} more room in the pockets")
        }
        Some(Shortfall::Stock { more, .. }) => {
            let each: Vec<_> = more
                .iter()
                .map(|kind| format!("{} × {}", kind.count, kind.each))
                .collect();
            format!("{} in stock", each.join(" and "))
        }
        None => "more than one thing to give: the weight to come off, or an exception".to_owned(),
    }
}
