//! An inspection for a terminal: wide or narrow, the verdict always a word, colour only on top.

use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, Inspection, Line};
use gradeworthy_workbench::cures::{Action, Cure};
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
        let told = matches!(finding, Finding::Excused { .. });
        if !told && (!matches!(finding, Finding::Assumed { .. }) || style.everything) {
            page.hang("  note: ", &finding.to_string());
        }
    }
    page.text
}

const READ_AGAIN: &str = "read before the last work on the car: read again";

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
        if lines.is_empty() || self.is_told_in_one_line(inspection, check) {
            return;
        }
        let word = self.painted(verdict, verdict.word());
        self.text += &format!("  {:<15} {word}\n", check.name());
        for group in alike(&lines) {
            match group[0].verdict {
                Verdict::Stale if !self.style.everything => {}
                Verdict::BadOrder => self.lines("    ✗ ", &group),
                Verdict::Watch => self.lines("    ~ ", &group),
                Verdict::Fit => self.lines("    ✓ ", &group),
                Verdict::NotChecked | Verdict::Stale => self.lines("    ? ", &group),
            }
        }
        self.stale(inspection, check);
        for finding in &inspection.findings {
            if let Finding::Excused {
                tag,
                check: own,
                note,
            } = finding
                && *own == check
            {
                self.hang("    ~ ", &format!("excused as '{tag}': {note}"));
            }
        }
        self.cures(cures, check);
    }

    /// Whether a check is nothing but stale, which one line says of all such checks.
    fn is_told_in_one_line(&self, inspection: &Inspection, check: Check) -> bool {
        let mut lines = inspection.lines_of(check);
        !self.style.everything && lines.all(|line| line.verdict == Verdict::Stale)
    }

    /// What of a check has to be read again.
    fn stale(&mut self, inspection: &Inspection, check: Check) {
        let is_stale = |line: &&Line| line.verdict == Verdict::Stale;
        let mut names: Vec<String> = Vec::new();
        for line in inspection.lines_of(check).filter(is_stale) {
            let name = words::aspect(line.aspect);
            if !names.contains(&name) {
                names.push(name);
            }
        }
        if names.is_empty() {
            return;
        }
        let names = names.join(", ");
        self.hang("    ? ", &format!("{names}: {READ_AGAIN}"));
    }

    fn cures(&mut self, cures: &[Cure], check: Check) {
        let own: Vec<_> = cures.iter().filter(|cure| cure.check == check).collect();
        let serves_both = |cure: &Cure| matches!(cure.action, Action::Weights { .. });
        if check == Check::Balance && own.is_empty() && cures.iter().any(serves_both) {
            self.hang("    → ", "the weights above put the balance right as well");
        }
        let mut groups: Vec<Vec<&Cure>> = Vec::new();
        for cure in own {
            match groups
                .iter_mut()
                .find(|group| group[0].action == cure.action)
            {
                Some(group) => group.push(cure),
                None => groups.push(vec![cure]),
            }
        }
        for (index, group) in groups.iter().enumerate() {
            let cure = group[0];
            let places: Vec<_> = group.iter().map(|cure| cure.place).collect();
            let what = words::cure_at(cure, &words::places(&places), self.style.system);
            self.hang("    → ", &what);
            // What follows is the same for every cure of a kind: it is said once, after the last.
            let mut later = groups[index + 1..].iter().map(|group| group[0]);
            if later.any(|later| later.kind == cure.kind) {
                continue;
            }
            let Some(then) = words::then(cure) else {
                continue;
            };
            self.hang("      ", &then);
            if let Some(caution) = &cure.caution {
                self.hang("      caution: ", caution);
            }
        }
    }

    /// Judged lines that say the same of several places, and for what is not fit on whose word.
    fn lines(&mut self, mark: &str, group: &[&Line]) {
        let places: Vec<_> = group.iter().map(|line| line.place).collect();
        let line = group[0];
        let mut said = words::line_at(line, &words::places(&places), self.style.system);
        if line.verdict != Verdict::Fit && line.margin.is_some() {
            said += &format!(" [{}]", line.grounds);
        }
        self.hang(mark, &said);
    }

    fn rest(&mut self, inspection: &Inspection) {
        for verdict in [Verdict::Stale, Verdict::Fit, Verdict::NotChecked] {
            let names: Vec<_> = Check::ALL
                .into_iter()
                .filter(|check| inspection.of(*check) == verdict)
                .filter(|check| {
                    verdict != Verdict::Stale || self.is_told_in_one_line(inspection, *check)
                })
                .map(Check::name)
                .collect();
            if names.is_empty() {
                continue;
            }
            let mut said = names.join(", ");
            if verdict == Verdict::Stale {
                said += &format!("; {READ_AGAIN}");
            }
            self.hang(&format!("  {}: ", verdict.word()), &said);
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
#[must_use]
pub fn alike<'a>(lines: &[&'a Line]) -> Vec<Vec<&'a Line>> {
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

/// The words of a text, a number and its unit as one: what no line may part.
#[must_use]
pub fn unbroken(text: &str) -> Vec<String> {
    let mut chunks: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match chunks.last_mut() {
            Some(chunk) if belongs(chunk, word) => {
                chunk.push(' ');
                *chunk += word;
            }
            _ => chunks.push(word.to_owned()),
        }
    }
    chunks
}

/// Words in lines of at most `room` characters; a longer word stands alone, and no number is
/// parted from its unit.
#[must_use]
pub fn wrapped(text: &str, room: usize) -> Vec<String> {
    let chunks = unbroken(text);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for chunk in &chunks {
        let chunk_length = chunk.chars().count();
        if length > 0 && length + 1 + chunk_length > room {
            lines.push(std::mem::take(&mut line));
            length = 0;
        }
        if length > 0 {
            line.push(' ');
            length += 1;
        }
        line += chunk;
        length += chunk_length;
    }
    lines.push(line);
    lines
}

/// Whether `word` is the unit of the number that `before` ends in.
fn belongs(before: &str, word: &str) -> bool {
    let unit = word.trim_end_matches([',', ';', ':', '.', ')', ']']);
    before.ends_with(|last: char| last.is_ascii_digit())
        && matches!(unit, "mm" | "in" | "g" | "oz" | "%" | "s" | "gf" | "×")
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
        assert_eq!(
            wrapped("out by 2.82 % (1 in)", 11),
            ["out by", "2.82 %", "(1 in)"]
        );
    }

    #[test]
    fn colour_never_stands_alone() {
        assert_eq!(paint(Verdict::BadOrder, "bad order", false), "bad order");
        assert!(paint(Verdict::BadOrder, "bad order", true).contains("bad order"));
    }
}
