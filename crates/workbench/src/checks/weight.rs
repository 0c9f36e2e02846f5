//! Weight against the target that the rule book's weight rule gives for this car.

use std::sync::Arc;

use gradeworthy_standards::car_weight::{BodyLength, LengthOverBuffers, nem_302, rp_20_1};
use gradeworthy_units::{Length, Mass};

use super::bench::{Bench, Ruling};
use super::inspection::{Aspect, Finding, Grounds};
use crate::decision::Judgeable;
use crate::record::{Car, Check, Measure, Place};
use crate::rules::{WeightKind, WeightRule};

pub(super) fn check(bench: &mut Bench<'_>) {
    let Some(read) = bench.latest.quantity::<Mass>(Measure::Weight, Place::Car) else {
        return;
    };
    let Some(rules) = bench.rules else { return };
    let Some(rule) = rules.weight_rule(bench.class) else {
        bench.findings.push(Finding::NoLimit {
            measure: Measure::Weight,
        });
        return;
    };
    let Some(laid) = bench.laid(Aspect::Weight) else {
        bench.missing(Check::Weight, what_is_missing(rule));
        let reading = Some(read.value.into());
        bench.not_judged(Check::Weight, Aspect::Weight, Place::Car, reading);
        return;
    };
    let ruling = Ruling {
        check: Check::Weight,
        aspect: Aspect::Weight,
        place: Place::Car,
        laid,
        grounds: Grounds {
            clause: None,
            authority: Some(Arc::clone(&rule.authority)),
        },
    };
    let usual = rule.uncertainty.map(Judgeable::number);
    bench.judge(ruling, read.value, read.uncertainty(usual), read.stale);
}

/// The weight that `rule` asks of `car`.
///
/// # Errors
/// `None` where the rule needs a length of the car that nobody entered, where the standard has no
/// row for its scale, or where the car is off the ends of the rule's table.
#[must_use]
pub fn target(rule: &WeightRule, car: &Car) -> Option<Mass> {
    let scaled = |mass: Mass, factor: f64| Mass::from_grams_rounded(mass.grams() * factor);
    match &rule.kind {
        WeightKind::Rp201 { factor } => {
            let body = BodyLength::new(car.figures.body_length?).ok()?;
            let (recommended, _) = rp_20_1(car.scale, body)?;
            scaled(recommended, *factor)
        }
        WeightKind::Nem302 { factor } => {
            let over_buffers = LengthOverBuffers::new(car.figures.length_over_couplers?).ok()?;
            scaled(nem_302(car.scale, over_buffers)?.min, *factor)
        }
        WeightKind::PerLength { start, added, per } => {
            let lengths = car.figures.body_length?.mm() / per.mm();
            Some(*start + scaled(*added, lengths)?)
        }
        WeightKind::Table(rows) => interpolated(rows, car.figures.body_length?),
        WeightKind::Fixed(mass) => Some(*mass),
    }
}

fn interpolated(rows: &[(Length, Mass)], body: Length) -> Option<Mass> {
    let above = rows.iter().position(|(length, _)| *length >= body)?;
    let (longer, heavier) = rows[above];
    if longer == body {
        return Some(heavier);
    }
    let (shorter, lighter) = *rows.get(above.checked_sub(1)?)?;
    let part = (body - shorter).mm() / (longer - shorter).mm();
    let grams = lighter.grams() + part * (heavier.grams() - lighter.grams());
    Mass::from_grams_rounded(grams)
}

fn what_is_missing(rule: &WeightRule) -> &'static str {
    match rule.kind {
        WeightKind::Rp201 { .. } | WeightKind::PerLength { .. } => {
            "the target needs the length of the body (couplers left out)"
        }
        WeightKind::Nem302 { .. } => "the target needs the length over buffers",
        WeightKind::Table(_) => {
            "the target needs a length of the body that the rule book's table covers"
        }
        WeightKind::Fixed(_) => "the rule book names no weight",
    }
}
