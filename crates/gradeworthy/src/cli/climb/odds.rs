//! `climb --odds`: many trips drawn from how well each number is known.

use std::ops::ControlFlow;

use anyhow::anyhow;
use gradeworthy_reports::climb::odds::{self as report, OddsReport};
use gradeworthy_reports::climb::{Consist, Line, OddsAsked, answer_odds};
use gradeworthy_reports::text::wrapped;
use gradeworthy_train::sweep::Check;

use super::super::terminal;

/// How the odds are asked for.
pub(super) struct Asked {
    pub(super) check: Check,
    pub(super) trips: usize,
    pub(super) seed: u64,
    pub(super) narrow: bool,
}

/// The odds, and what a terminal and a program are told of them.
pub(super) struct Told {
    pub(super) text: String,
    pub(super) json: String,
}

/// Draws the trips.
pub(super) fn tell(
    asked: &Asked,
    consist: &Consist,
    line: &Line,
    width: usize,
) -> anyhow::Result<Told> {
    let bar = terminal::progress("drawing trips");
    let answer = answer_odds(
        consist,
        line,
        OddsAsked {
            check: asked.check,
            trips: asked.trips,
            seed: asked.seed,
            narrow: asked.narrow,
        },
        &|done, total| {
            bar.set_length(u64::try_from(total).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
            ControlFlow::Continue(())
        },
    );
    bar.finish_and_clear();
    let answer = answer.map_err(|error| anyhow!(error))?;
    let mut text = String::new();
    for (index, sentence) in report::sentences(&answer, consist).iter().enumerate() {
        let indent = if index == 0 { 0 } else { 2 };
        for row in wrapped(sentence, width.saturating_sub(indent).max(24)) {
            text += &format!("{}{row}\n", " ".repeat(indent));
        }
    }
    Ok(Told {
        text,
        json: serde_json::to_string_pretty(&OddsReport::new(&answer, consist))? + "\n",
    })
}
