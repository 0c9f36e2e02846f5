//! How a file opens, how long it and its lines are, and that its spaces are plain.

use super::{Complaint, Rule};

/// Characters in a line of Rust. The formatter breaks code at 100; this catches what it cannot.
const LINE_MAX: usize = 110;

/// The same where lines are markup: an element with its attributes is read as one thing, and no
/// formatter breaks it.
const MARKUP_LINE_MAX: usize = 132;
/// Lines in a file of source.
const FILE_MAX: usize = 600;

/// Parts of paths whose files may be longer than [`FILE_MAX`], and why: the one list of exemptions.
const LONG_FILES: &[(&str, &str)] = &[
    ("/tests/", "a table of cases is read by searching"),
    ("/tests.rs", "the same, kept beside its module"),
    ("/benches/", "a bench is read by searching"),
    ("/tables/", "a published table is not split to suit us"),
];

/// Runs the rules of this file over one file of the tree.
pub(super) fn check(path: &str, text: &str) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    if path.ends_with(".rs") {
        complaints.extend(opening(path, text));
        complaints.extend(long_lines(path, text));
    }
    if [".rs", ".sql", ".css", ".js", ".ts", ".html", ".typ", ".py"]
        .iter()
        .any(|e| path.ends_with(e))
    {
        complaints.extend(file_length(path, text));
    }
    complaints.extend(plain_spaces(path, text));
    complaints
}

fn opening(path: &str, text: &str) -> Option<Complaint> {
    let first = text.lines().next().unwrap_or_default();
    let says = first
        .strip_prefix("//!")
        .is_some_and(|rest| !rest.trim().is_empty());
    (!says).then(|| Complaint {
        rule: Rule::Opening,
        file: path.to_owned(),
        line: 1,
        what: "opens without `//!`; say in one sentence what this file decides".to_owned(),
    })
}

fn file_length(path: &str, text: &str) -> Option<Complaint> {
    let count = text.lines().count();
    let rooted = format!("/{path}");
    let exempt = LONG_FILES
        .iter()
        .any(|(part, _reason)| rooted.contains(part));
    (count > FILE_MAX && !exempt).then(|| Complaint {
        rule: Rule::FileLength,
        file: path.to_owned(),
        line: 0,
        what: format!(
            "{count} lines, at most {FILE_MAX}; split it by what it decides, or add it with its \
             reason to LONG_FILES in xtask/src/tidy/text.rs"
        ),
    })
}

fn long_lines(path: &str, text: &str) -> Vec<Complaint> {
    let most = if path.starts_with("crates/server/") {
        MARKUP_LINE_MAX
    } else {
        LINE_MAX
    };
    complain(path, text, |line| {
        let count = line.chars().count();
        (count > most && !cannot_break(line))
            .then(|| format!("{count} characters, at most {most}; break the line"))
    })
}

/// A row of a table in a doc comment, or a text in quotes that alone makes the line long: neither
/// can be broken without saying something else.
fn cannot_break(line: &str) -> bool {
    let row = line.trim_start();
    if row.starts_with("//! |") || row.starts_with("/// |") {
        return true;
    }
    let outside: usize = line
        .split('"')
        .step_by(2)
        .map(|part| part.chars().count())
        .sum();
    line.contains('"') && outside <= LINE_MAX - 30
}

fn plain_spaces(path: &str, text: &str) -> Vec<Complaint> {
    complain(path, text, |line| {
        if line.contains('\t') {
            Some("a tab; indent with spaces".to_owned())
        } else if line.ends_with(char::is_whitespace) {
            Some("space at the end of the line; take it away".to_owned())
        } else {
            None
        }
    })
}

/// Complaints about plain lines, with `\n` as the only line end so that a `\r` is seen.
fn complain(path: &str, text: &str, judge: impl Fn(&str) -> Option<String>) -> Vec<Complaint> {
    text.split('\n')
        .enumerate()
        .filter_map(|(index, line)| {
            let what = judge(line)?;
            Some(Complaint {
                rule: Rule::Whitespace,
                file: path.to_owned(),
                line: index + 1,
                what,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(path: &str, text: &str) -> Vec<(Rule, usize)> {
        check(path, text)
            .into_iter()
            .map(|c| (c.rule, c.line))
            .collect()
    }

    #[test]
    fn a_plain_file_passes() {
        assert_eq!(
            found(
                "crates/units/src/a.rs",
                "//! What it decides.\n\nfn f() {}\n"
            ),
            []
        );
    }

    #[test]
    fn a_file_must_say_what_it_decides() {
        for text in [
            "",
            "fn f() {}\n",
            "//!\n",
            "//! \n",
            "// Not a module comment.\n",
        ] {
            assert!(
                found("a.rs", text).contains(&(Rule::Opening, 1)),
                "{text:?}"
            );
        }
        assert_eq!(found("a.toml", "[package]\n"), [], "only Rust opens so");
    }

    #[test]
    fn long_files_and_their_exemptions() {
        let at_limit = format!("//! x\n{}", "\n".repeat(FILE_MAX - 1));
        let over = format!("//! x\n{}", "\n".repeat(FILE_MAX));
        assert_eq!(found("src/a.rs", &at_limit), []);
        assert_eq!(found("src/a.rs", &over), [(Rule::FileLength, 0)]);
        for exempt in [
            "tests/a.rs",
            "src/a/tests.rs",
            "src/tables/s4.rs",
            "benches/a.rs",
        ] {
            assert_eq!(found(exempt, &over), [], "{exempt}");
        }
        assert_eq!(found("src/latests.rs", &over), [(Rule::FileLength, 0)]);
    }

    #[test]
    fn long_lines_tabs_and_trailing_space() {
        let wide = format!("//! x\n// {}\n", "é".repeat(LINE_MAX - 3));
        assert_eq!(
            found("a.rs", &wide),
            [],
            "characters are counted, not bytes"
        );
        let wider = format!("//! x\n// {}\n", "é".repeat(LINE_MAX - 2));
        assert_eq!(found("a.rs", &wider), [(Rule::Whitespace, 2)]);
        let row = format!("//! x\n//! | {} |\n", "é".repeat(LINE_MAX));
        assert_eq!(found("a.rs", &row), [], "a row of a table cannot be broken");
        let quoted = format!("//! x\nlet a = \"{}\";\n", "é".repeat(LINE_MAX));
        assert_eq!(found("a.rs", &quoted), [], "nor can a text in quotes");
        for bad in ["a\tb\n", "a \n", "a\r\n"] {
            assert_eq!(found("a.md", bad), [(Rule::Whitespace, 1)], "{bad:?}");
        }
    }
}
