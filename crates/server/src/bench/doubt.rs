//! What is questioned before it is entered: a reading that no car of its scale can have, and one far
//! outside the fleet's. Neither is refused: whoever means it says so, and it is entered as typed.
//!
//! Far outside is beyond the outer fences: below Q₁ − 3 (Q₃ − Q₁) or above Q₃ + 3 (Q₃ − Q₁), with Q₁ and
//! Q₃ the quartiles of the latest readings of the same thing at the same place on cars of the same
//! scale and type. Source: [TUKEY-1977 §2], outer fences, 'far out'.
//! ASSUMED: 20 cars at the least, because quartiles of fewer move with every car; no question where
//! the quartiles are equal, because then any other reading would be far out.

use gradeworthy_reports::words::{System, amount};
use gradeworthy_store::{ClassFilter, Error, PlacedReading, Snapshot, Spread};
use gradeworthy_units::{Amount, Typed};
use gradeworthy_workbench::record::{Measure, Place, Value, plausible};

use super::InHand;

/// Fewest cars whose spread is asked.
const CARS_LEAST: usize = 20;
/// Interquartile ranges from a quartile to its outer fence.
const OUTER: f64 = 3.0;

/// The fleet's readings of one thing at one place, for cars like this one.
pub(crate) fn fleet(
    snapshot: &Snapshot<'_>,
    hand: &InHand,
    measure: Measure,
    place: Place,
) -> Result<Option<Spread>, Error> {
    let car = &hand.own.record.car;
    let class = ClassFilter {
        scale: car.scale,
        car_type: car.car_type.clone(),
    };
    snapshot.spread(measure, place, &class)
}

/// The question that a reading raises, if it does.
pub(super) fn question(
    snapshot: &Snapshot<'_>,
    hand: &InHand,
    (measure, place): (Measure, Place),
    typed: &Typed,
) -> Result<Option<String>, Error> {
    let scale = hand.own.record.car.scale;
    let slip = scale
        .gauge()
        .and_then(|gauge| plausible::check(measure, typed.amount, gauge).err());
    let why = match slip {
        Some(slip) => Some(slip.to_string()),
        None => {
            fleet(snapshot, hand, measure, place)?.and_then(|spread| far_out(&spread, typed.amount))
        }
    };
    let Some(why) = why else {
        return Ok(None);
    };
    let last = snapshot.previous_reading(hand.row.car, measure, place, None)?;
    Ok(Some(format!(
        "really {}? {}{why}",
        as_typed(typed),
        last.as_ref().and_then(last_words).unwrap_or_default()
    )))
}

/// A reading as it was typed, with its unit.
pub(super) fn as_typed(typed: &Typed) -> String {
    if typed.unit_was_typed {
        typed.text.to_string()
    } else {
        format!("{} {}", typed.text, typed.unit.symbol())
    }
}

fn last_words(last: &PlacedReading) -> Option<String> {
    match &last.entry.value {
        Value::Quantity(typed) => Some(format!("The last was {}. ", as_typed(typed))),
        Value::Answer(_) => None,
    }
}

fn far_out(spread: &Spread, found: Amount) -> Option<String> {
    if spread.count() < CARS_LEAST || spread.dimension != found.dimension() {
        return None;
    }
    let (low, high) = fences(spread.quantile(0.25)?, spread.quantile(0.75)?)?;
    if (low..=high).contains(&found.base()) {
        return None;
    }
    let words = |base| {
        let amount_of = Amount::from_base_rounded(spread.dimension, base)?;
        Some(amount(amount_of, System::Both))
    };
    let cars = spread.count();
    Some(match (words(low), words(high)) {
        (Some(low), Some(high)) => format!(
            "it is far outside the {cars} cars of its kind: three times the middle half beyond the \
             quartiles is {low} to {high}"
        ),
        _ => format!("it is far outside the {cars} cars of its kind"),
    })
}

/// The outer fences of these quartiles; `None` where they are equal.
fn fences(lower: f64, upper: f64) -> Option<(f64, f64)> {
    let range = upper - lower;
    (range > 0.0).then_some((lower - OUTER * range, upper + OUTER * range))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the definition, [TUKEY-1977 §2]; a worked case by hand: quartiles 10 and 14.
    #[test]
    fn the_outer_fences_stand_three_middle_halves_beyond_the_quartiles() {
        assert_eq!(fences(10.0, 14.0), Some((-2.0, 26.0)));
        assert_eq!(fences(10.0, 10.0), None);
    }
}
