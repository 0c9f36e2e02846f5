//! The choice of weights for one car as a problem in numbers: where its weight is, where it may be,
//! and what there is to move it.

use gradeworthy_units::{Amount, Angle, Length, Mass};

use super::Lack;
use super::tipping::Tipping;
use crate::checks::{Bench, support, weight_target};
use crate::mechanics::balance::{TiltTest, tilt};
use crate::mechanics::ballast::{BallastTask, Limits, NODE_LIMIT, Pocket, Point, Prices, Weights};
use crate::record::{End, Measure, Place, Record, Side};
use crate::rules::{ClassRules, Limited, RuleBook};
use crate::shop::Shop;

/// Branches that one car may cost; a plan that is not proven best by then says so.
/// ASSUMED: a tenth of a second on one core at the worst; more only proves.
const NODES_PER_CAR: u64 = NODE_LIMIT / 50;

/// What [`super::prescribe`] searches for a car that is out of weight or balance.
#[derive(Clone, Debug, PartialEq)]
pub struct WeightProblem {
    /// Weight of the car as it is.
    pub weight: Mass,
    /// Its centre of gravity.
    pub centre: Point,
    /// The pockets of its class, in the order of the rule book.
    pub pockets: Vec<Pocket>,
    /// What the shop holds.
    pub stock: Vec<Weights>,
    /// What the rule book allows, but for the slanting line of a least tilt angle.
    pub limits: Limits,
    /// The same, clear of every caution band.
    pub clear: Limits,
}

impl WeightProblem {
    /// The problem of the car of `record`.
    ///
    /// # Errors
    /// What is lacking: something that was not read or is not in the rule book, or room.
    pub fn of(record: &Record, book: &RuleBook, shop: &Shop) -> Result<Self, Lack> {
        Self::on(&Bench::new(record, book, shop))
    }

    pub(super) fn on(bench: &Bench<'_>) -> Result<Self, Lack> {
        let rules = bench
            .rules
            .ok_or(Lack::Knowledge("the rule book has no rules for the scale"))?;
        let rule = rules
            .weight_rule(bench.class)
            .ok_or(Lack::Knowledge("the rule book has no weight rule"))?;
        let target = weight_target(rule, bench.car)
            .ok_or(Lack::Knowledge("the target weight is not known"))?;
        let class = bench.class.filter(|class| !class.pockets.is_empty());
        let class = class.ok_or(Lack::Knowledge(
            "the rule book names no pockets for this class of car",
        ))?;
        let weight = bench
            .latest
            .quantity::<Mass>(Measure::Weight, Place::Car)
            .ok_or(Lack::Knowledge("the car's weight is wanted"))?
            .value;
        let pocket = |pocket: &crate::rules::Pocket| Pocket {
            at: Point {
                along: pocket.x,
                across: pocket.y,
                up: pocket.z,
            },
            capacity: pocket.holds,
            is_blocked: false,
        };
        let weights = |own: &crate::shop::Weight| Weights {
            each: own.mass,
            count: own.count,
        };
        let limits = Limits {
            target,
            tolerance: rule.over.map_or(rule.under, |over| over.min(rule.under)),
            ..balance_limits(bench, target)
        };
        check_room(class, weight, limits)?;
        Ok(Self {
            weight,
            centre: centre(bench, weight).map_err(Lack::Knowledge)?,
            pockets: class.pockets.iter().map(pocket).collect(),
            stock: bench.shop.weights.iter().map(weights).collect(),
            limits,
            clear: within_caution(bench, limits, rule.caution),
        })
    }

    /// The problem under `limits`.
    #[must_use]
    pub fn task(&self, limits: Limits) -> BallastTask<'_> {
        BallastTask {
            weight: self.weight,
            centre: self.centre,
            pockets: &self.pockets,
            fitted: &[],
            stock: &self.stock,
            limits,
            prices: Prices::default(),
            node_limit: NODES_PER_CAR,
        }
    }
}

/// Whether the pockets hold enough to bring the car to weight at all.
fn check_room(class: &ClassRules, weight: Mass, limits: Limits) -> Result<(), Lack> {
    let room: Mass = class.pockets.iter().map(|pocket| pocket.holds).sum();
    let least = limits.target - limits.tolerance - weight;
    if room < least {
        return Err(Lack::Stock(format!(
            "room for {least} at the least, and the pockets of this class hold {room}"
        )));
    }
    Ok(())
}

/// The car's centre of gravity: end to end from the end weights, side to side and height from the
/// tilt. What was not read is taken in the middle, and the height at the limit of what the plan may
/// reach, so that a plan never rests on a guess that helps it.
fn centre(bench: &Bench<'_>, weight: Mass) -> Result<Point, &'static str> {
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
    let tilted = tilted_centre(bench);
    let height = tilted
        .map(|(height, _)| height)
        .or_else(|| height_max(bench));
    Ok(Point {
        along: along.ok_or("the weight on both ends and the truck centres are wanted")?,
        across: tilted.map_or(Length::ZERO, |(_, across)| across),
        up: height.unwrap_or(Length::ZERO),
    })
}

fn tilted_centre(bench: &Bench<'_>) -> Option<(Length, Length)> {
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

fn height_max(bench: &Bench<'_>) -> Option<Length> {
    let upper = bench.limit(Limited::CgHeight)?.upper?;
    Length::try_from(upper).ok()
}

/// The rule book's balance limits as lengths; a limit that it does not set leaves half a metre,
/// which no car reaches.
fn balance_limits(bench: &Bench<'_>, target: Mass) -> Limits {
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
        across_max: [length(Limited::SideBalance), across_max(bench, Bands::Used)]
            .into_iter()
            .flatten()
            .min()
            .unwrap_or(free),
        height_max: height_max(bench).unwrap_or(free),
    }
}

/// The limits drawn in by the rule book's caution bands, where that leaves anything.
fn within_caution(bench: &Bench<'_>, limits: Limits, caution: Mass) -> Limits {
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
        across_max: across_max(bench, Bands::Kept)
            .map_or(limits.across_max, |most| most.min(limits.across_max)),
        height_max: draw_in(limits.height_max, height),
        ..limits
    }
}

/// Whether a plan keeps out of the caution bands or may use them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bands {
    Kept,
    Used,
}

/// An angle limit of the rule book, drawn in by its caution band where the plan keeps out of it.
fn angle_limit(bench: &Bench<'_>, limited: Limited, bands: Bands) -> Option<Angle> {
    let limit = bench.limit(limited)?;
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
pub(super) fn tipping(bench: &Bench<'_>, bands: Bands) -> Option<Tipping> {
    let least = angle_limit(bench, Limited::TiltIndex, bands)?;
    Some(Tipping::new(support(bench.rules?)?, least))
}

/// The tilt difference as an offset of the centre of gravity, (T2) of [`super::tipping`].
fn across_max(bench: &Bench<'_>, bands: Bands) -> Option<Length> {
    let half_width = bench.rules?.balance_half_width?;
    let difference = angle_limit(bench, Limited::TiltDifference, bands)?;
    Length::from_mm_rounded(half_width.mm() * difference.radians().sin())
}
