//! Sentences: amounts in the reader's units, judged lines, cures.
//!
//! Every sentence is built here once, so that the terminal, a page and a file say the same.

mod amounts;
mod cures;

pub use amounts::{System, amount, signed};
pub use cures::{cure, then};

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Line;

/// A judged line as one sentence: `axle 2, span: 14.224 mm, at least 14.376 mm; short by 0.152 mm`.
#[must_use]
pub fn line(line: &Line, system: System) -> String {
    line_at(line, &line.place.to_string(), system)
}

/// The same sentence for several places of which it is true.
#[must_use]
pub fn line_at(line: &Line, places: &str, system: System) -> String {
    let mut text = format!("{places}: {}", line.aspect);
    let Some(reading) = line.reading else {
        if line.verdict == Verdict::NotChecked {
            text += " was not read";
        }
        return text;
    };
    text += &format!(" {}", amount(reading, system));
    if line.verdict == Verdict::NotChecked {
        return text + " could not be judged";
    }
    text += &limits(line, system);
    if let Some(margin) = line.margin {
        text += &margin_words(margin, system);
    }
    if let Some(conformity) = line.conformity.filter(|p| *p < 0.9995) {
        text += &format!(", {} likely within", percent(conformity));
    }
    text
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
