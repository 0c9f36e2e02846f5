//! Balance: end to end from the weights on the trucks, side to side and height of the centre of
//! gravity from a tilt both ways or from a side scale.

use gradeworthy_units::{Angle, Force, Grade, Length, Mass};

use super::bench::Bench;
use super::latest::Read;
use crate::decision::combined;
use crate::mechanics::balance::{
    CentreOfGravity, SideScaleTest, Support, TiltTest, side_scale, tilt,
};
use crate::mechanics::input::Measured;
use crate::record::{Check, End, Measure, Place, Side};
use crate::rules::{BalanceMethod, Limited, ScaleRules};

pub(super) fn check(bench: &mut Bench<'_>) {
    end_balance(bench);
    let angle = |side| {
        bench
            .latest
            .quantity::<Angle>(Measure::TiltAngle, Place::Side(side))
    };
    if let (Some(left), Some(right)) = (angle(Side::Left), angle(Side::Right)) {
        tilted(bench, left, right);
    } else if bench.latest.any(Measure::TiltAngle) {
        bench.missing(
            Check::Balance,
            "a tilt to both sides is wanted; one alone tells no height",
        );
    } else if bench.latest.any(Measure::SideWeightTilted) {
        weighed_tilted(bench);
    }
}

/// Weight on the heavier end over the mean of both, less one: `|W_A − W_B|/(W_A + W_B)`.
fn end_balance(bench: &mut Bench<'_>) {
    let weight = |end| {
        bench
            .latest
            .quantity::<Mass>(Measure::EndWeight, Place::End(end))
    };
    let (a, b) = match (weight(End::A), weight(End::B)) {
        (Some(a), Some(b)) => (a, b),
        (None, None) => return,
        _ => return bench.missing(Check::Balance, "the weight on both ends is wanted"),
    };
    let sum = a.value + b.value;
    check_sum(bench, sum);
    let difference = (a.value - b.value).abs();
    let Ok(value) = Grade::from_ratio(difference.grams() / sum.grams()) else {
        return bench.unusable(Check::Balance, "the ends weigh nothing");
    };
    // d(|a − b|/(a + b)) is at most u_a/(a+b) and u_b/(a+b) near balance, [JCGM-100 §5.1.2].
    let share = |u: f64| u / sum.grams();
    let instrument = a
        .instrument
        .zip(b.instrument)
        .map(|(a, b)| share(combined(a, b)));
    let read = Read {
        value,
        instrument,
        resolution: share(combined(a.resolution, b.resolution)),
        stale: a.stale || b.stale,
    };
    bench.judge_limited(Limited::EndBalance, Measure::EndWeight, Place::Car, read);
}

/// The weights on the ends should add up to the car's.
///
/// ASSUMED: 3 % apart is a mistake in reading, less is the scale and the blocking; wider lets a slip
/// through, narrower cries wolf.
fn check_sum(bench: &mut Bench<'_>, sum: Mass) {
    let Some(weight) = bench.latest.quantity::<Mass>(Measure::Weight, Place::Car) else {
        return;
    };
    if (sum - weight.value).abs().grams() > 0.03 * weight.value.grams() {
        let why = format!(
            "the ends add up to {sum}, but the car weighs {}: weigh again",
            weight.value
        );
        bench.unusable(Check::Balance, why);
    }
}

fn tilted(bench: &mut Bench<'_>, left: Read<Angle>, right: Read<Angle>) {
    let stale = left.stale || right.stale;
    let lower = if left.value <= right.value {
        left
    } else {
        right
    };
    // Which of the two is the lower one, takes both to tell.
    let lower = Read { stale, ..lower };
    bench.judge_limited(Limited::TiltIndex, Measure::TiltAngle, Place::Car, lower);
    let difference = Read {
        value: (left.value - right.value).abs(),
        instrument: left
            .instrument
            .zip(right.instrument)
            .map(|(a, b)| combined(a, b)),
        resolution: combined(left.resolution, right.resolution),
        stale,
    };
    bench.judge_limited(
        Limited::TiltDifference,
        Measure::TiltAngle,
        Place::Car,
        difference,
    );
    let Some(support) = bench.rules.and_then(support) else {
        let what = "the rule book does not say what the car stands on while it is tilted";
        return bench.missing(Check::Balance, what);
    };
    let usual = bench
        .limit(Limited::TiltIndex)
        .and_then(|limit| limit.uncertainty);
    let usual = usual
        .and_then(|amount| Angle::try_from(amount).ok())
        .map(Angle::radians);
    // One figure serves both angles: that of the one read less well.
    let u = [left.uncertainty(usual), right.uncertainty(usual)]
        .into_iter()
        .flatten()
        .reduce(f64::max)
        .and_then(|u| Angle::from_radians(u).ok());
    let test = TiltTest {
        support,
        to_left: left.value,
        to_right: right.value,
        angle_uncertainty: u.unwrap_or(Angle::ZERO),
        half_width_uncertainty: Length::ZERO,
        rock: None,
    };
    match tilt(&test) {
        Ok(centre) => judge_centre(bench, &centre, u.is_some(), stale),
        Err(error) => bench.unusable(Check::Balance, error),
    }
}

/// What a car of this scale stands on while it is tilted, as far as the rule book says.
pub(crate) fn support(rules: &ScaleRules) -> Option<Support> {
    let half_width = rules.balance_half_width?;
    match rules.balance_method? {
        BalanceMethod::Rail => Some(Support::Rails { half_width }),
        BalanceMethod::Plate => Some(Support::Plate {
            half_width,
            flange_depth: rules.parts.flange_depth?,
        }),
    }
}

fn judge_centre(bench: &mut Bench<'_>, centre: &CentreOfGravity, known: bool, stale: bool) {
    let read = |measured: &Measured<Length>| Read {
        value: measured.value.abs(),
        instrument: known.then(|| measured.standard_uncertainty.mm()),
        resolution: 0.0,
        stale,
    };
    let (height, aside) = (read(&centre.height), read(&centre.to_left));
    bench.judge_limited(Limited::CgHeight, Measure::TiltAngle, Place::Car, height);
    if bench.limit(Limited::SideBalance).is_some() {
        bench.judge_limited(Limited::SideBalance, Measure::TiltAngle, Place::Car, aside);
    }
}

fn weighed_tilted(bench: &mut Bench<'_>) {
    let Some(spacing) = bench.rules.and_then(|rules| rules.rail_contact_spacing) else {
        return bench.missing(Check::Balance, "the rule book gives no contact spacing");
    };
    let angle = bench
        .latest
        .quantity::<Angle>(Measure::TableAngle, Place::Car);
    let weight = bench.latest.quantity::<Mass>(Measure::Weight, Place::Car);
    let (Some(angle), Some(weight)) = (angle, weight) else {
        return bench.missing(
            Check::Balance,
            "the side scale needs table angle and car weight",
        );
    };
    for side in Side::BOTH {
        let place = Place::Side(side);
        let read = |measure| bench.latest.quantity::<Mass>(measure, place);
        let (Some(level), Some(tilted)) = (
            read(Measure::SideWeightLevel),
            read(Measure::SideWeightTilted),
        ) else {
            continue;
        };
        let force = |mass: Mass| Force::from_newtons(mass.weight_newtons()).unwrap_or(Force::ZERO);
        let u_grams = tilted.uncertainty(None).unwrap_or(tilted.resolution);
        let u_force = force(Mass::from_grams_rounded(u_grams).unwrap_or(Mass::ZERO));
        let u_angle = Angle::from_radians(angle.uncertainty(None).unwrap_or(angle.resolution));
        let test = SideScaleTest {
            contact_spacing: spacing,
            weight: Measured {
                value: force(weight.value),
                standard_uncertainty: u_force,
            },
            tilt: Measured {
                value: angle.value,
                standard_uncertainty: u_angle.unwrap_or(Angle::ZERO),
            },
            level_reading: force(level.value),
            tilted_reading: force(tilted.value),
            reading_uncertainty: u_force,
        };
        let stale = level.stale || tilted.stale || angle.stale || weight.stale;
        match side_scale(&test) {
            Ok(result) => {
                let centre = CentreOfGravity {
                    height: result.height,
                    to_left: result.towards_scale,
                };
                return judge_centre(bench, &centre, true, stale);
            }
            Err(error) => bench.unusable(Check::Balance, error),
        }
    }
}
