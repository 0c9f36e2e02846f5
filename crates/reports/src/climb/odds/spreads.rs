//! What is drawn in every trip and how far it may lie from the card, as a list to be read and doubted.

use gradeworthy_train::odds::{Entries, Law, Sharing, Unknown, usual};
use gradeworthy_train::vehicle::{Provenance, Sourced};
use serde::Serialize;

use crate::climb::join::Consist;
use crate::climb::words;

/// One thing that is drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpreadTold {
    /// Its name.
    pub quantity: &'static str,
    /// Whether one draw serves the whole train.
    pub shared: bool,
    /// How many vehicles it moves.
    pub vehicles: usize,
    /// Whether it was measured on them; its spread is assumed all the same.
    pub measured: bool,
    /// How far it may lie, and on whose word.
    pub said: String,
}

/// Everything that is drawn for this train, what all share first.
#[must_use]
pub fn spreads(consist: &Consist) -> Vec<SpreadTold> {
    let mut told: Vec<_> = usual().iter().filter_map(|own| one(own, consist)).collect();
    told.sort_by_key(|own| !own.shared);
    told
}

fn one(unknown: &Unknown, consist: &Consist) -> Option<SpreadTold> {
    let vehicles = consist.train.vehicles().iter();
    let moved = vehicles.filter(|own| unknown.moves(own));
    let entries: Vec<Sourced> = moved.map(|own| own.entry(unknown.quantity)).collect();
    if entries.is_empty() {
        return None;
    }
    Some(SpreadTold {
        quantity: words::quantity(unknown.quantity).0,
        shared: unknown.sharing == Sharing::Shared,
        vehicles: entries.len(),
        measured: unknown.entries == Entries::Measured,
        said: said(unknown, &entries),
    })
}

fn said(unknown: &Unknown, entries: &[Sourced]) -> String {
    let unit = unknown.quantity.unit();
    match unknown.spread.law() {
        Law::Relative(part) => format!(
            "measured; a standard uncertainty of {} % of the reading is assumed",
            amount(100.0 * part)
        ),
        Law::Absolute(own) if unit == "m" => format!(
            "measured; a standard uncertainty of {} mm is assumed",
            amount(1e3 * own)
        ),
        Law::Absolute(own) => format!(
            "measured; a standard uncertainty of {} {unit} is assumed",
            amount(own)
        ),
        Law::Range => {
            let low = entries
                .iter()
                .map(|own| own.low)
                .fold(f64::INFINITY, f64::min);
            let high = entries
                .iter()
                .map(|own| own.high)
                .fold(f64::NEG_INFINITY, f64::max);
            let is_usual = |own: &Sourced| own.provenance == Provenance::ClassDefault;
            let known = if entries.iter().all(is_usual) {
                "usual for its class, assumed"
            } else {
                "assumed"
            };
            let (factor, unit) = if unit == "m" {
                (1e3, "mm")
            } else {
                (1.0, unit)
            };
            let range = format!(
                "{} to {} {unit}",
                amount(factor * low),
                amount(factor * high)
            );
            format!("not measured; {}, {known}", range.trim_end())
        }
    }
}

/// Three figures at the most.
fn amount(value: f64) -> String {
    let text = match value.abs() {
        own if own >= 100.0 => format!("{value:.0}"),
        own if own >= 10.0 => format!("{value:.1}"),
        own if own >= 1.0 || own == 0.0 => format!("{value:.2}"),
        own if own >= 0.1 => format!("{value:.3}"),
        _ => format!("{value:.4}"),
    };
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    };
    text.replace('-', "−")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_has_three_figures_and_no_idle_zeros() {
        for (value, expected) in [
            (0.05, "0.05"),
            (8.0, "8"),
            (0.3, "0.3"),
            (123.4, "123"),
            (-1.236, "−1.24"),
            (0.0, "0"),
        ] {
            assert_eq!(amount(value), expected);
        }
    }
}
