//! Weight and balance: which weights from stock in which pockets, exactly.
//!
//! One plan serves weight, both balances and the height of the centre of gravity together
//! ([`crate::mechanics::ballast`]); a car that fails several gets one cure.

use gradeworthy_units::{Amount, Angle, Length, Mass};

use super::action::Piece;
use super::prescribe::Ward;
use super::tipping::{Tipping, choose};
use super::{Action, CureKind, Lack};
use crate::checks::{support, weight_target};
use crate::mechanics::balance::{TiltTest, tilt};
use crate::mechanics::ballast::{
    BallastAnswer, BallastPlan, BallastTask, Limits, NODE_LIMIT, Pocket, Point, Prices, Proof,
    Shortfall, Weights,
};
use crate::record::{Check, End, Measure, Place, Side};
use crate::rules::Limited;

pub(super) fn cure(ward: &mut Ward<'_>, check: Check) {
    if ward.has(CureKind::WeightMoved, Place::Car) {
        return;
    }
    let action = match prescribe(ward) {
        Ok(action) => action,
        Err(what) => Action::Lacking(Lack::Knowledge(what)),
    };
    ward.write(check, Place::Car, CureKind::WeightMoved, action);
}

/// Branches that one car may cost; a plan that is not proven best by then says so.
/// ASSUMED: a tenth of a second on one core at the worst; more only proves.
const NODES_PER_CAR: u64 = NODE_LIMIT / 50;

fn prescribe(ward: &Ward<'_>) -> Result<Action, &'static str> {
    let bench = ward.bench;
    let rules = bench
        .rules
        .ok_or("the rule book has no rules for the scale")?;
    let rule = rules
        .weight_rule(bench.class)
        .ok_or("the rule book has no weight rule")?;
    let target = weight_target(rule, bench.car).ok_or("the target weight is not known")?;
    let class = bench.class.filter(|class| !class.pockets.is_empty());
    let class = class.ok_or("the rule book names no pockets for this class of car")?;
    let weight = bench
        .latest
        .quantity::<Mass>(Measure::Weight, Place::Car)
        .ok_or("the car's weight is wanted")?
        .value;
    let pockets: Vec<Pocket> = class
        .pockets
        .iter()
        .map(|pocket| Pocket {
            at: Point {
                along: pocket.x,
                across: pocket.y,
                up: pocket.z,
            },
            capacity: pocket.holds,
            is_blocked: false,
        })
        .collect();
    let stock: Vec<Weights> = bench
        .shop
        .weights
        .iter()
        .map(|own| Weights {
            each: own.mass,
            count: own.count,
        })
        .collect();
    let tolerance = rule.over.map_or(rule.under, |over| over.min(rule.under));
    let room: Mass = pockets.iter().map(|pocket| pocket.capacity).sum();
    if weight + room < target - tolerance {
        let least = target - tolerance - weight;
        return Ok(Action::Lacking(Lack::Stock(format!(
            "room for {least} at the least, and the pockets of this class hold {room}"
        ))));
    }
    let limits = Limits {
        target,
        tolerance,
        ..balance_limits(ward, target)
    };
    let task = BallastTask {
        weight,
        centre: centre(ward, weight)?,
        pockets: &pockets,
        fitted: &[],
        stock: &stock,
        limits: within_caution(ward, limits, rule.caution),
        prices: Prices::default(),
        node_limit: NODES_PER_CAR,
    };
    let ask = |task: &BallastTask<'_>, bands| {
        let tipping = tipping(ward, bands);
        choose(task, tipping).map_err(|_| "weight and pockets cannot be used together")
    };
    // First a plan that is clear of every caution band, then one that is inside the limits.
    let answer = match ask(&task, Bands::Kept)? {
        plan @ BallastAnswer::Plan(..) => plan,
        _ => ask(&BallastTask { limits, ..task }, Bands::Used)?,
    };
    Ok(match answer {
        BallastAnswer::Plan(plan, _) if plan.changes.is_empty() => {
            Action::Do("weigh and balance again: nothing that stock holds would better it")
        }
        BallastAnswer::Plan(plan, proof) => weights(ward, &class.pockets, &plan, target, proof),
        BallastAnswer::Blocked { shortfalls, .. } => {
            Action::Lacking(Lack::Stock(what_is_needed(&shortfalls, target)))
        }
        BallastAnswer::Undecided { .. } => Action::Do(
            "no plan was found in the time allowed: fewer kinds of weight make it easier",
        ),
    })
}

/// The car's centre of gravity: end to end from the end weights, side to side and height from the
/// tilt. What was not read is taken in the middle, and the height at the limit of what the plan may
/// reach, so that a plan never rests on a guess that helps it.
fn centre(ward: &Ward<'_>, weight: Mass) -> Result<Point, &'static str> {
    let bench = ward.bench;
    let end = |end| {
        bench
            .latest
            .quantity::<Mass>(Measure::EndWeight, Place::End(end))
    };
    let half = bench.car.figures.truck_centres.map(Length::half);
    let along = match (end(End::A), end(End::B), half) {
        (Some(a), Some(b), Some(half)) => {
            let share = (a.value - b.value).grams() / weight.grams();
            Length::from_mm_rounded(half.mm() * share)
        }
        _ => None,
    };
    let tilted = tilted_centre(ward);
    let height = tilted
        .map(|(height, _)| height)
        .or_else(|| height_max(ward));
    Ok(Point {
        along: along.ok_or("the weight on both ends and the truck centres are wanted")?,
        across: tilted.map_or(Length::ZERO, |(_, across)| across),
        up: height.unwrap_or(Length::ZERO),
    })
}

fn tilted_centre(ward: &Ward<'_>) -> Option<(Length, Length)> {
    let bench = ward.bench;
    let angle = |side| {
        bench
            .latest
            .quantity::<Angle>(Measure::TiltAngle, Place::Side(side))
    };
    let test = TiltTest {
        support: support(bench.rules?)?,
        to_left: angle(Side::Left)?.value,
        to_right: angle(Side::Right)?.value,
        angle_uncertainty: Angle::ZERO,
        half_width_uncertainty: Length::ZERO,
        rock: None,
    };
    let centre = tilt(&test).ok()?;
    Some((centre.height.value, centre.to_left.value))
}

fn height_max(ward: &Ward<'_>) -> Option<Length> {
    let upper = ward.bench.limit(Limited::CgHeight)?.upper?;
    Length::try_from(upper).ok()
}

/// The rule book's balance limits as lengths; a limit that it does not set leaves half a metre,
/// which no car reaches.
fn balance_limits(ward: &Ward<'_>, target: Mass) -> Limits {
    let bench = ward.bench;
    let free = Length::from_hundredths_mm(50_000);
    let length = |limited: Limited| {
        let upper = bench.limit(limited).and_then(|limit| limit.upper);
        upper.and_then(|amount| Length::try_from(amount).ok())
    };
    let half = bench.car.figures.truck_centres.map_or(free, Length::half);
    let share = bench
        .limit(Limited::EndBalance)
        .and_then(|limit| limit.upper);
    // |W_A − W_B|/W ≤ r is |x| ≤ r·a, a half the truck centres.
    let along = share.and_then(|share| Length::from_mm_rounded(half.mm() * share.base()));
    Limits {
        target,
        tolerance: Mass::ZERO,
        along_max: along.unwrap_or(free),
        across_max: [length(Limited::SideBalance), across_max(ward, Bands::Used)]
            .into_iter()
            .flatten()
            .min()
            .unwrap_or(free),
        height_max: height_max(ward).unwrap_or(free),
    }
}

/// The limits drawn in by the rule book's caution bands, where that leaves anything.
fn within_caution(ward: &Ward<'_>, limits: Limits, caution: Mass) -> Limits {
    let bench = ward.bench;
    let band = |limited: Limited| bench.limit(limited).and_then(|limit| limit.caution);
    let draw_in = |most: Length, band: Length| if band < most { most - band } else { most };
    let half = bench
        .car
        .figures
        .truck_centres
        .map_or(Length::ZERO, Length::half);
    let along = band(Limited::EndBalance)
        .and_then(|share| Length::from_mm_rounded(half.mm() * share.base()))
        .unwrap_or(Length::ZERO);
    let height = band(Limited::CgHeight)
        .and_then(|band| Length::try_from(band).ok())
        .unwrap_or(Length::ZERO);
    Limits {
        tolerance: if caution < limits.tolerance {
            limits.tolerance - caution
        } else {
            limits.tolerance
        },
        along_max: draw_in(limits.along_max, along),
        across_max: across_max(ward, Bands::Kept)
            .map_or(limits.across_max, |most| most.min(limits.across_max)),
        height_max: draw_in(limits.height_max, height),
        ..limits
    }
}

/// Whether a plan keeps out of the caution bands or may use them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Bands {
    Kept,
    Used,
}

/// An angle limit of the rule book, drawn in by its caution band where the plan keeps out of it.
fn angle_limit(ward: &Ward<'_>, limited: Limited, bands: Bands) -> Option<Angle> {
    let limit = ward.bench.limit(limited)?;
    let angle = |amount: Option<Amount>| amount.and_then(|own| Angle::try_from(own).ok());
    let caution = match bands {
        Bands::Kept => angle(limit.caution).unwrap_or(Angle::ZERO),
        Bands::Used => Angle::ZERO,
    };
    match (angle(limit.lower), angle(limit.upper)) {
        (Some(lower), _) => Some(lower + caution),
        (None, Some(upper)) if caution < upper => Some(upper - caution),
        (None, upper) => upper,
    }
}

/// The tilt index as a limit on height and offset together.
fn tipping(ward: &Ward<'_>, bands: Bands) -> Option<Tipping> {
    let least = angle_limit(ward, Limited::TiltIndex, bands)?;
    Some(Tipping::new(support(ward.bench.rules?)?, least))
}

/// The tilt difference as an offset of the centre of gravity, (T2) of [`super::tipping`].
fn across_max(ward: &Ward<'_>, bands: Bands) -> Option<Length> {
    let half_width = ward.bench.rules?.balance_half_width?;
    let difference = angle_limit(ward, Limited::TiltDifference, bands)?;
    Length::from_mm_rounded(half_width.mm() * difference.radians().sin())
}

fn weights(
    ward: &Ward<'_>,
    pockets: &[crate::rules::Pocket],
    plan: &BallastPlan,
    target: Mass,
    proof: Proof,
) -> Action {
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
