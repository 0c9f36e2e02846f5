//! Which limit stands in the way, and what would be needed of it.

use super::model::{Found, Model};
use super::search::{Relaxed, best_plan};
use super::{BallastAnswer, Shortfall};

/// Relaxes one limit after the other.
pub(super) fn what_blocks(model: &Model, node_limit: u64) -> BallastAnswer {
    let mut shortfalls = Vec::new();
    let mut is_proven = true;
    for relaxed in [
        Relaxed::Weight,
        Relaxed::Moment(0),
        Relaxed::Moment(1),
        Relaxed::Moment(2),
        Relaxed::Capacity,
        Relaxed::Stock,
    ] {
        let outcome = best_plan(model, relaxed, node_limit);
        is_proven &= outcome.is_finished;
        if let Some(found) = outcome.found {
            shortfalls.extend(shortfall(model, relaxed, &found));
        }
    }
    BallastAnswer::Blocked {
        shortfalls,
        is_proven,
    }
}

fn shortfall(model: &Model, relaxed: Relaxed, found: &Found) -> Option<Shortfall> {
    let plan = model.plan(found);
    match relaxed {
        Relaxed::Nothing => None,
        Relaxed::Weight => Some(Shortfall::Weight(plan)),
        Relaxed::Moment(0) => Some(Shortfall::Along(plan)),
        Relaxed::Moment(1) => Some(Shortfall::Across(plan)),
        Relaxed::Moment(_) => Some(Shortfall::Height(plan)),
        Relaxed::Capacity => Some(Shortfall::Capacity {
            plan,
            more: model.overfull(found),
        }),
        Relaxed::Stock => Some(Shortfall::Stock {
            plan,
            more: model.wanting(found),
        }),
    }
}
