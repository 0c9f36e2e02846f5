//! One title to a page: every Markdown file has exactly one heading of the first level.

use super::{Complaint, Rule};

/// Counts the titles outside fenced code, in either notation.
pub(super) fn check(path: &str, text: &str) -> Vec<Complaint> {
    let titles = titles(text);
    let complaint = |line, what: String| {
        vec![Complaint {
            rule: Rule::OneTitle,
            file: path.to_owned(),
            line,
            what,
        }]
    };
    match titles.as_slice() {
        [_] => Vec::new(),
        [] => complaint(0, "no title; open with one '# ' heading".to_owned()),
        [first, second, ..] => complaint(
            *second,
            format!("a second title, after the one on line {first}; make it '## '"),
        ),
    }
}

/// The lines, from 1, that hold a heading of the first level.
fn titles(text: &str) -> Vec<usize> {
    let mut found = Vec::new();
    let mut fence = None;
    let mut previous = "";
    for (index, line) in text.lines().enumerate() {
        let trimmed = line.trim_start();
        match fence {
            Some(mark) => {
                if trimmed.starts_with(mark) {
                    fence = None;
                }
            }
            None if trimmed.starts_with("```") => fence = Some("```"),
            None if trimmed.starts_with("~~~") => fence = Some("~~~"),
            None => {
                let underlined = !previous.trim().is_empty()
                    && !trimmed.is_empty()
                    && trimmed.trim_end().chars().all(|c| c == '=');
                if line == "#" || line.starts_with("# ") || underlined || line.contains("<h1") {
                    found.push(index + 1);
                }
            }
        }
        previous = line;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Vec<usize> {
        check("a.md", text)
            .into_iter()
            .map(|complaint| complaint.line)
            .collect()
    }

    #[test]
    fn one_title_passes() {
        assert_eq!(at("# Title\n\n## Part\n"), Vec::<usize>::new());
        assert_eq!(at("Title\n=====\n\ntext\n"), Vec::<usize>::new());
        assert_eq!(
            at("# Title\n\n```sh\n# a comment of the shell\n```\n"),
            Vec::<usize>::new()
        );
    }

    #[test]
    fn none_and_two_do_not() {
        assert_eq!(at(""), [0]);
        assert_eq!(at("## Part\n"), [0]);
        assert_eq!(at("# One\n\n# Two\n"), [3]);
        assert_eq!(at("# One\n\nTwo\n===\n"), [4]);
        assert_eq!(at("<h1>One</h1>\n# Two\n"), [2]);
        assert_eq!(at("```\n# fenced only\n```\n"), [0]);
    }
}
