//! Droop: the strip that carries a sagging shank, from stock.

use gradeworthy_units::Length;

use super::prescribe::Ward;
use super::{Action, CureKind, Lack};
use crate::Verdict;
use crate::mechanics::droop::{BoxFit, StripCure, StripTask, strip_for};
use crate::record::{Check, End, Measure, Place};
use crate::rules::Limited;

pub(super) fn cure(ward: &mut Ward<'_>) {
    for end in End::BOTH {
        let place = Place::End(end);
        let bad = ward
            .inspection
            .lines_of(Check::Droop)
            .any(|line| line.place == place && line.verdict == Verdict::BadOrder);
        if bad {
            let action = match prescribe(ward, place) {
                Ok(action) => action,
                Err(what) => Action::Lacking(Lack::Knowledge(what)),
            };
            ward.write(Check::Droop, place, CureKind::BoxStripped, action);
        }
    }
}

fn prescribe(ward: &Ward<'_>, place: Place) -> Result<Action, &'static str> {
    let bench = ward.bench;
    let rules = bench
        .rules
        .ok_or("the rule book has no rules for the scale")?;
    let parts = &rules.parts;
    let held = parts
        .shank_held
        .ok_or("the rule book does not say how much of a shank is held")?;
    let mouth_to_face = parts
        .mouth_to_face
        .ok_or("the rule book does not say how far the face is from the box")?;
    let play_min = parts.shank_play_min.unwrap_or(Length::ZERO);
    let limit = bench
        .limit(Limited::Droop)
        .ok_or("the rule book sets no droop")?;
    let length = |amount: Option<gradeworthy_units::Amount>| {
        amount.and_then(|amount| Length::try_from(amount).ok())
    };
    let most = length(limit.upper).ok_or("the rule book sets no droop")?;
    let u = length(limit.uncertainty).unwrap_or(Length::ZERO);
    let guard = Length::from_mm_rounded(2.0 * bench.book.guard_factor * u.mm());
    let guard = guard
        .unwrap_or(Length::ZERO)
        .max(length(limit.caution).unwrap_or(Length::ZERO));
    let droop = bench
        .latest
        .quantity::<Length>(Measure::Droop, place)
        .ok_or("the droop itself is wanted, not the whole play")?;
    let fit = BoxFit::from_range(droop.value * 2, held, mouth_to_face)
        .map_err(|_| "the droop and the box's sizes do not go together")?;
    let thicknesses: Vec<Length> = bench
        .shop
        .strips
        .iter()
        .map(|strip| strip.thickness)
        .collect();
    let lay = |droop_max: Length| {
        let task = StripTask {
            droop_max,
            play_min,
            thicknesses: &thicknesses,
        };
        strip_for(&fit, &task).map_err(|_| "the droop and the box's sizes do not go together")
    };
    // First a strip that the instrument can tell from the limit, then one that is inside it.
    let inner = if most > guard {
        lay(most - guard)?
    } else {
        lay(most)?
    };
    let answer = match inner {
        StripCure::Missing { .. } => lay(most)?,
        found => found,
    };
    Ok(match answer {
        StripCure::Lay {
            thickness,
            cut_length,
            leaves,
            ..
        } => Action::Strip {
            thickness,
            cut: cut_length,
            expected: leaves.below_middle,
        },
        StripCure::NotNeeded(_) => Action::Do("read the droop again: the box's play explains less"),
        StripCure::Missing { from, to } if from <= to => Action::Lacking(Lack::Stock(format!(
            "strip from {:.4} in ({from}) to {:.4} in ({to}) thick",
            from.inches(),
            to.inches()
        ))),
        StripCure::Missing { .. } => Action::Lacking(Lack::Stock(
            "a new draft-gear box: no strip takes the droop and leaves the shank its play".into(),
        )),
    })
}
