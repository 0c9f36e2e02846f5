//! An inspection for a terminal: wide or narrow, the verdict always a word, colour only on top.

use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, Inspection, Line};
use gradeworthy_workbench::cures::Cure;
use gradeworthy_workbench::record::{Car, Check};

use crate::words::{self, System};

/// How to lay text out.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// Columns to fill.
    pub width: usize,
    /// Whether to colour the verdicts.
    pub colour: bool,
    /// Units.
    pub system: System,
    /// Whether to show what is fit, line by line, too.
    pub everything: bool,
}

/// One car: heading, what is not fit with its cures, and what is in one line.
#[must_use]
pub fn car(car: &Car, inspection: &Inspection, cures: &[Cure], style: Style) -> String {
    let mut page = Page {
        text: String::new(),
        style,
    };
    page.heading(car, inspection.verdict);
    for check in Check::ALL {
        page.check(inspection, cures, check);
    }
    page.rest(inspection);
    for finding in &inspection.findings {
        if !matches!(finding, Finding::Assumed { .. }) || style.everything {
            page.hang("  note: ", &finding.to_string());
        }
    }
    page.text
}

struct Page {
    text: String,
    style: Style,
}

impl Page {
    fn heading(&mut self, car: &Car, verdict: Verdict) {
        let mut left = car.mark.to_string();
        if let Some(description) = &car.description {
            left += &format!("  {description}");
        }
        left += &format!(", {}", car.scale);
        let word = verdict.word().to_uppercase();
        let room = self.style.width.saturating_sub(word.len() + 2);
        let pad = room.saturating_sub(left.chars().count());
        self.text += &left;
        self.text += &" ".repeat(pad.max(2));
        self.text += &self.painted(verdict, &word);
        self.text.push('\n');
    }

    fn check(&mut self, inspection: &Inspection, cures: &[Cure], check: Check) {
        let verdict = inspection.of(check);
        let shown = |own: Verdict| self.style.everything || !matches!(own, Verdict::Fit);
        let lines: Vec<_> = inspection
            .lines_of(check)
            .filter(|line| shown(line.verdict))
            .collect();
        if lines.is_empty() {
            return;
        }
        let word = self.painted(verdict, verdict.word());
        self.text += &format!("  {:<15} {word}\n", check.name());
        let stale = lines
            .iter()
            .filter(|line| line.verdict == Verdict::Stale)
            .count();
        for group in alike(&lines) {
            match group[0].verdict {
                Verdict::Stale if !self.style.everything => {}
                Verdict::BadOrder => self.lines("    ✗ ", &group),
                Verdict::Watch => self.lines("    ~ ", &group),
                Verdict::Fit => self.lines("    ✓ ", &group),
                Verdict::NotChecked | Verdict::Stale => self.lines("    ? ", &group),
            }
        }
        if stale > 0 {
            let say = format!("{stale} reading(s) from before the last work on it: read again");
            self.hang("    ? ", &say);
        }
        let own: Vec<_> = cures.iter().filter(|cure| cure.check == check).collect();
        for (index, cure) in own.iter().enumerate() {
            self.hang("    → ", &words::cure(cure, self.style.system));
            // What follows is the same for every cure of a kind: it is said once, after the last.
            if own[index + 1..].iter().any(|later| later.kind == cure.kind) {
                continue;
            }
            if let Some(then) = words::then(cure) {
                self.hang("      ", &then);
            }
            if let Some(caution) = &cure.caution {
                self.hang("      caution: ", caution);
            }
        }
    }

    /// Judged lines that say the same of several places, and for what is not fit on whose word.
    fn lines(&mut self, mark: &str, group: &[&Line]) {
        let places: Vec<_> = group.iter().map(|line| line.place.to_string()).collect();
        let line = group[0];
        let mut said = words::line_at(line, &places.join(", "), self.style.system);
        if line.verdict != Verdict::Fit && line.margin.is_some() {
            said += &format!(" [{}]", line.grounds);
        }
        self.hang(mark, &said);
    }

    fn rest(&mut self, inspection: &Inspection) {
        for verdict in [Verdict::Fit, Verdict::NotChecked] {
            let names: Vec<_> = Check::ALL
                .into_iter()
                .filter(|check| inspection.of(*check) == verdict)
                .map(Check::name)
                .collect();
            if !names.is_empty() {
                self.hang(&format!("  {}: ", verdict.word()), &names.join(", "));
            }
        }
    }

    /// A paragraph that hangs under its first words.
    fn hang(&mut self, first: &str, text: &str) {
        let indent = first.chars().count();
        let room = self.style.width.saturating_sub(indent).max(24);
        for (index, line) in wrapped(text, room).into_iter().enumerate() {
            if index == 0 {
                self.text += first;
            } else {
                self.text += &" ".repeat(indent);
            }
            self.text += &line;
            self.text.push('\n');
        }
    }

    fn painted(&self, verdict: Verdict, word: &str) -> String {
        paint(verdict, word, self.style.colour)
    }
}

/// Lines that differ in nothing but their place, together, in the order of the first of each.
fn alike<'a>(lines: &[&'a Line]) -> Vec<Vec<&'a Line>> {
    let mut groups: Vec<Vec<&Line>> = Vec::new();
    for line in lines {
        let same = |other: &Line| {
            (line.aspect.to_string(), line.verdict) == (other.aspect.to_string(), other.verdict)
                && (line.reading, line.lower, line.upper)
                    == (other.reading, other.lower, other.upper)
        };
        match groups.iter_mut().find(|group| same(group[0])) {
            Some(group) => group.push(line),
            None => groups.push(vec![line]),
        }
    }
    groups
}

/// A word in its verdict's colour, where colour is wanted.
#[must_use]
pub fn paint(verdict: Verdict, word: &str, colour: bool) -> String {
    if !colour {
        return word.to_owned();
    }
    // SGR codes of ECMA-48: green, yellow, red, bold.
    let code = match verdict {
        Verdict::Fit => "32",
        Verdict::Watch => "33",
        Verdict::BadOrder => "1;31",
        Verdict::NotChecked | Verdict::Stale => "1;33",
    };
    format!("\u{1b}[{code}m{word}\u{1b}[0m")
}

/// Words in lines of at most `room` characters; a longer word stands alone.
#[must_use]
pub fn wrapped(text: &str, room: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let word_length = word.chars().count();
        if length > 0 && length + 1 + word_length > room {
            lines.push(std::mem::take(&mut line));
            length = 0;
        }
        if length > 0 {
            line.push(' ');
            length += 1;
        }
        line += word;
        length += word_length;
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_room_unless_a_word_is() {
        let text = "move both wheels outward by a little and read the gauge again in two places";
        for room in [24, 40, 80] {
            assert!(
                wrapped(text, room)
                    .iter()
                    .all(|line| line.chars().count() <= room)
            );
        }
        assert_eq!(wrapped(text, 24).join(" "), text);
        assert_eq!(wrapped("", 24), [""]);
    }

    #[test]
    fn colour_never_stands_alone() {
        assert_eq!(paint(Verdict::BadOrder, "bad order", false), "bad order");
        assert!(paint(Verdict::BadOrder, "bad order", true).contains("bad order"));
    }
}
