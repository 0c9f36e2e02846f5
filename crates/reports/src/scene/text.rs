//! What came of a scene for a terminal.

use super::answer::Answer;
use super::words;
use crate::climb::words::{number, standing_of};
use crate::climb::{Consist, Line};
use crate::text::{Style, wrapped};

/// Everything a lead needs.
#[must_use]
pub fn answer(answer: &Answer, consist: &Consist, line: &Line, style: Style) -> String {
    let mut page = Page {
        text: String::new(),
        width: style.width,
    };
    page.hang("", &words::headline(answer, consist));
    page.hang("", standing_of(answer.margin()));
    page.gap();
    for said in words::hardest(answer, consist) {
        page.hang("", &said);
    }
    let partings = words::partings(answer, consist);
    if partings.is_empty() {
        page.hang("", words::holds(answer.margin()));
    }
    for said in &partings {
        page.hang("! ", said);
    }
    for part in &answer.parts {
        page.hang("", &words::ends(part, answer, consist, line));
    }
    if answer.spots.len() > 1 {
        page.text += "\nnext:\n";
        for (spot, margin) in &answer.spots[1..] {
            let lead = format!("  {}  ", number(spot.margin()));
            page.hang(&lead, &words::moment(spot, margin, consist));
        }
    }
    page.text += "\nwhat happens:\n";
    page.hang(
        "  ",
        &words::began(answer.scene.start, answer.scene.head_at),
    );
    for change in &answer.scene.changes {
        page.hang("  ", &words::done(change));
    }
    page.gap();
    page.hang("", &words::assumed(answer));
    page.gap();
    page.hang("", &foot(answer, consist, line));
    page.text
}

fn foot(answer: &Answer, consist: &Consist, line: &Line) -> String {
    let effort = answer.played.solution.effort;
    let apart = if answer.parts.len() > 1 {
        "; margins are those up to the moment at which it came apart"
    } else {
        ""
    };
    format!(
        "{}: {} cars and {} locomotives on {}; {}; {} steps, {} iterations; margins against models, \
         no promise{apart}",
        answer.scene.name,
        consist.car_count(),
        consist.members.len() - consist.car_count(),
        line.name,
        words::stop(answer, consist),
        effort.steps,
        effort.iterations,
    )
}

struct Page {
    text: String,
    width: usize,
}

impl Page {
    fn gap(&mut self) {
        self.text.push('\n');
    }

    fn hang(&mut self, lead: &str, said: &str) {
        let indent = lead.chars().count();
        let room = self.width.saturating_sub(indent.max(2)).max(24);
        for (index, row) in wrapped(said, room).into_iter().enumerate() {
            let own = if index == 0 {
                lead.to_owned()
            } else {
                " ".repeat(indent.max(2))
            };
            self.text += &format!("{own}{row}\n");
        }
    }
}
