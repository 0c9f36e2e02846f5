//! `climb --odds`: many trips drawn from how well each number is known, perhaps of two trains that meet the
//! same evenings.

use std::ops::ControlFlow;

use anyhow::anyhow;
use gradeworthy_reports::climb::odds::{self as report, OddsReport, beside};
use gradeworthy_reports::climb::{Consist, Line, OddsAnswer, OddsAsked, answer_odds};
use gradeworthy_reports::text::wrapped;
use gradeworthy_train::sweep::{Check, Cores};

use super::super::terminal;

/// How the odds are asked for.
pub(super) struct Asked {
    pub(super) check: Check,
    pub(super) trips: usize,
    pub(super) seed: u64,
    pub(super) narrow: bool,
}

/// A train on its line.
pub(super) struct Side {
    pub(super) name: String,
    pub(super) consist: Consist,
    pub(super) line: Line,
}

/// The odds, and what a terminal and a program are told of them.
pub(super) struct Told {
    pub(super) text: String,
    pub(super) json: String,
}

/// Draws the trips.
pub(super) fn tell(
    asked: &Asked,
    first: &Side,
    second: Option<&Side>,
    width: usize,
) -> anyhow::Result<Told> {
    let answer = draw(asked, first, asked.narrow)?;
    let other = second.map(|own| draw(asked, own, false).map(|answer| (own, answer)));
    let other = other.transpose()?;
    let compared = other
        .as_ref()
        .and_then(|(own, other)| beside((&first.name, &answer), (&own.name, other)));
    let mut said = report::sentences(&answer, &first.consist);
    if let Some(compared) = &compared {
        // After the headline: it was asked for, and it is told before what the first train dies of.
        said.splice(1..1, compared.sentences());
    }
    let mut text = String::new();
    for (index, sentence) in said.iter().enumerate() {
        let indent = if index == 0 { 0 } else { 2 };
        for row in wrapped(sentence, width.saturating_sub(indent).max(24)) {
            text += &format!("{}{row}\n", " ".repeat(indent));
        }
    }
    let report = OddsReport::new(&answer, &first.consist, compared.as_ref());
    Ok(Told {
        text,
        json: serde_json::to_string_pretty(&report)? + "\n",
    })
}

fn draw(asked: &Asked, side: &Side, narrow: bool) -> anyhow::Result<OddsAnswer> {
    let bar = terminal::progress("drawing trips");
    let answer = answer_odds(
        &side.consist,
        &side.line,
        OddsAsked {
            check: Check {
                cores: Cores::All,
                ..asked.check
            },
            trips: asked.trips,
            seed: asked.seed,
            narrow,
        },
        &|done, total| {
            bar.set_length(u64::try_from(total).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
            ControlFlow::Continue(())
        },
    );
    bar.finish_and_clear();
    answer.map_err(|error| anyhow!(error))
}
