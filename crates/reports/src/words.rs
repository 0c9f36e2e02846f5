//! Sentences: amounts in the reader's units, judged lines, cures.
//!
//! Every sentence is built here once, so that the terminal, a page and a file say the same.

mod amounts;
mod cures;
mod places;

pub use amounts::{System, amount, signed};
pub use cures::{cure, cure_at, then};
pub use places::places;

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Line};
use gradeworthy_workbench::rules::Limited;

/// A judged line as one sentence:
/// `axle 2: span 14.224 mm, at least 14.376 mm; out by 0.152 mm`.
#[must_use]
pub fn line(line: &Line, system: System) -> String {
    line_at(line, &line.place.to_string(), system)
}

/// The same sentence for several places of which it is true.
#[must_use]
pub fn line_at(line: &Line, places: &str, system: System) -> String {
    let mut text = format!("{places}: {}", aspect(line.aspect));
    let Some(reading) = line.reading else {
        if line.verdict == Verdict::NotChecked {
            text += " was not read";
        }
        return text;
    };
    text += &format!(" {}{}", amount(reading, system), seen_as(line.aspect));
    if line.verdict == Verdict::NotChecked {
        return text + " could not be judged";
    }
    text += &limits(line, system);
    if let Some(margin) = line.margin {
        text += &margin_words(margin, system);
        if line.verdict == Verdict::Watch && margin.base() < 0.0 {
            text += ", less than the instrument can tell";
        }
    }
    // Where it is all but certain either way, the margin has said so.
    if let Some(conformity) = line.conformity.filter(|p| (0.005..0.9995).contains(p)) {
        text += &format!(", {} likely within", percent(conformity));
    }
    text
}

/// What a line is about. Whether it is the least or the greatest, its limit says.
pub(crate) fn aspect(aspect: Aspect) -> String {
    let name = aspect.to_string();
    match name.split_once(", ") {
        Some((what, "least" | "greatest")) => what.to_owned(),
        _ => name,
    }
}

/// What a computed amount would be seen as on the car.
fn seen_as(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Limited(Limited::Warp) => " under one wheel with the other three down",
        Aspect::Limited(Limited::BodyRoll) => " between the trucks, as a gap at the rail",
        Aspect::Limited(Limited::Pitch) => " under the high axle",
        Aspect::Limited(Limited::SwivelDrag) => " added to L/V",
        Aspect::Limited(Limited::TruckSwing) => " beyond what the tightest curve needs",
        _ => "",
    }
}

fn limits(line: &Line, system: System) -> String {
    match (line.lower, line.upper) {
        (Some(lower), Some(upper)) => {
            format!(", {} to {}", amount(lower, system), amount(upper, system))
        }
        (Some(lower), None) => format!(", at least {}", amount(lower, system)),
        (None, Some(upper)) => format!(", at most {}", amount(upper, system)),
        (None, None) => String::new(),
    }
}

fn margin_words(margin: Amount, system: System) -> String {
    if margin.base() < 0.0 {
        format!("; out by {}", amount(amounts::negated(margin), system))
    } else {
        format!("; margin {}", amount(margin, system))
    }
}

/// A probability in percent, never rounded up to certainty.
fn percent(probability: f64) -> String {
    if probability < 0.005 {
        "less than 1 %".to_owned()
    } else {
        format!("{:.0} %", (probability * 100.0).min(99.0))
    }
}
