//! Nothing half done is kept, and the pure crates ask nobody for the time.
//!
//! Both rules look at code and comments apart, so that a string about a rule does not break it.

use super::scan::Line;
use super::{Complaint, Rule, arrows};

/// Macros and attributes that mark something as half done.
const UNFINISHED: &[(&str, &str)] = &[
    ("todo!", "finish it, or leave the feature out"),
    ("unimplemented!", "finish it, or leave the feature out"),
    (
        "dbg!",
        "take it away; a message for the user goes through the program's own output",
    ),
    (
        "#[ignore",
        "a test that does not run proves nothing; make it pass or take it away",
    ),
    (
        ",ignore",
        "a test that does not run proves nothing; make it pass or take it away",
    ),
];

/// Words after the colon that a note needs before it counts as an explanation.
const NOTE_WORDS_MIN: usize = 4;

/// What the pure crates may not reach for; the caller hands it in instead.
const OUTSIDE: &[&str] = &[
    "SystemTime::now",
    "Instant::now",
    "Zoned::now",
    "Timestamp::now",
    "std::env",
    "std::fs",
    "std::io",
    "std::net",
    "std::process",
];

/// Half-done code, tests that do not run, and notes that explain nothing.
pub(super) fn unfinished(path: &str, lines: &[Line]) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    let mut complain = |line: &Line, what: String| {
        let (rule, file) = (Rule::Unfinished, path.to_owned());
        complaints.push(Complaint {
            rule,
            file,
            line: line.number,
            what,
        });
    };
    for line in lines {
        let code: String = line.code.split_whitespace().collect();
        for (mark, cure) in UNFINISHED {
            if holds(&code, mark) {
                complain(line, format!("`{mark}`: {cure}"));
            }
        }
        if let Some(mark) = unexplained(&line.comment) {
            complain(
                line,
                format!("{mark} without an explanation; write '{mark}: what and why'"),
            );
        }
    }
    complaints
}

/// Reaching outside from a pure crate, tests excepted.
pub(super) fn purity(path: &str, lines: &[Line]) -> Vec<Complaint> {
    let in_pure_crate = arrows::PURE
        .iter()
        .any(|room| path.starts_with(&format!("crates/{room}/src/")));
    if !in_pure_crate || path.ends_with("/tests.rs") {
        return Vec::new();
    }
    lines[..tests_begin(lines)]
        .iter()
        .filter_map(|line| {
            let reached = OUTSIDE
                .iter()
                .find(|outside| reaches(&line.code, outside))?;
            Some(Complaint {
                rule: Rule::Purity,
                file: path.to_owned(),
                line: line.number,
                what: format!("`{reached}` in a pure crate; take the value as an argument"),
            })
        })
        .collect()
}

/// Where the block of tests begins, which in our files is the last thing.
fn tests_begin(lines: &[Line]) -> usize {
    let opens = |pair: &[Line]| {
        let module = pair[1].code.trim();
        pair[0].code.trim() == "#[cfg(test)]" && module.starts_with("mod ") && module.ends_with('{')
    };
    lines.windows(2).position(opens).unwrap_or(lines.len())
}

/// Named in full, or out of a braced `use std::{…}`.
fn reaches(code: &str, outside: &str) -> bool {
    let braced = || {
        let module = outside.strip_prefix("std::")?;
        let names = code.split_once("std::{")?.1;
        names
            .split(|c: char| !(c.is_alphanumeric() || c == '_'))
            .find(|name| *name == module)
    };
    holds(code, outside) || braced().is_some()
}

/// `mark` stands in `code` as a whole word, as far as its ends are letters.
fn holds(code: &str, mark: &str) -> bool {
    let word = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(mark).any(|(at, _)| {
        let before = code[..at].chars().next_back().is_some_and(word);
        let after = code[at + mark.len()..].chars().next().is_some_and(word);
        let bounded_before = !mark.starts_with(word) || !before;
        let bounded_after = !mark.ends_with(word) || !after;
        bounded_before && bounded_after
    })
}

/// The mark of a note in a comment that does not say what is to be done and why.
fn unexplained(comment: &str) -> Option<&'static str> {
    ["TODO", "FIXME", "XXX"].into_iter().find(|mark| {
        let explained = |after: &str| {
            after.strip_prefix(':').is_some_and(|note| {
                note.split_whitespace()
                    .filter(|word| word.contains(char::is_alphabetic))
                    .count()
                    >= NOTE_WORDS_MIN
            })
        };
        let after = comment.split_once(mark).map(|(_, after)| after);
        holds(comment, mark) && !after.is_some_and(explained)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tidy::scan;

    fn half_done(source: &str) -> usize {
        unfinished("a.rs", &scan::lines(source)).len()
    }

    fn impure(path: &str, source: &str) -> Vec<usize> {
        purity(path, &scan::lines(source))
            .into_iter()
            .map(|c| c.line)
            .collect()
    }

    #[test]
    fn finished_code_passes() {
        for good in [
            "//! A note on todo! and dbg! in a comment is no code.",
            "let s = \"todo!() dbg!(x) #[ignore]\";",
            "let ignored = row.ignore();",
            "my_dbg!(x);",
            "// TODO: read the 2010 sheet, whose TT row is not held.",
        ] {
            assert_eq!(half_done(good), 0, "{good}");
        }
    }

    #[test]
    fn half_done_code_does_not() {
        for bad in [
            "todo!()",
            "core::todo!(\"later\")",
            "unimplemented!()",
            "let x = dbg!(y);",
            "#[ignore]",
            "#[ignore = \"slow\"]",
            "#[ ignore ]",
            "#[cfg_attr(windows, ignore)]",
            "// TODO",
            "// TODO #12",
            "// TODO: later",
            "/* FIXME */",
        ] {
            assert_eq!(half_done(bad), 1, "{bad}");
        }
    }

    #[test]
    fn pure_crates_reach_for_nothing() {
        let source = "//! x\nuse std::fmt;\nlet t = Zoned::now();\nuse std::{fmt, fs};\n";
        assert_eq!(impure("crates/train/src/a.rs", source), [3, 4]);
        assert_eq!(impure("crates/store/src/a.rs", source), [0; 0]);
        assert_eq!(impure("crates/train/tests/a.rs", source), [0; 0]);
        assert_eq!(
            impure("crates/units/src/a.rs", "use std::envelope;\n"),
            [0; 0]
        );
    }

    #[test]
    fn tests_inside_a_pure_crate_may_read_files() {
        let source = "//! x\n#[cfg(test)]\nmod tests {\n    use std::fs;\n}\n";
        assert_eq!(impure("crates/standards/src/a.rs", source), [0; 0]);
        assert_eq!(
            impure("crates/standards/src/tests.rs", "use std::fs;\n"),
            [0; 0]
        );
        let not_the_last = "//! x\n#[cfg(test)]\nmod tests;\nuse std::fs;\n";
        assert_eq!(impure("crates/standards/src/a.rs", not_the_last), [4]);
    }
}
