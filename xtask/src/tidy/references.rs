//! Every citation can be looked up: keys in comments against `docs/REFERENCES.md`.
//!
//! A key is `[KEY]` or `[KEY §/table/row]` in a comment, KEY of capitals, digits, dots and hyphens.
//! Text in backticks, links `[text](…)` and an index such as `a[MAX]` are no citations.

use std::collections::BTreeSet;

use super::tree::Tree;
use super::{Complaint, Rule, scan};

/// The file in which every cited key is explained.
pub(super) const LIST: &str = "docs/REFERENCES.md";

/// Checks every comment of the tree against the keys of `list`.
pub(super) fn check(tree: &Tree, list: &str) -> Vec<Complaint> {
    let listed = listed(list);
    let rust = tree
        .files()
        .iter()
        .filter(|file| file.path.ends_with(".rs"));
    rust.flat_map(|file| unlisted(&file.path, &file.text, &listed))
        .collect()
}

/// The keys that the list explains: those with which a heading, an item or a row begins.
fn listed(list: &str) -> BTreeSet<String> {
    list.lines()
        .filter_map(|line| {
            let entry = line.trim_start_matches(|c: char| "#-*|[`\\ ".contains(c));
            let key: String = entry.chars().take_while(|c| is_key_char(*c)).collect();
            is_key(&key).then_some(key)
        })
        .collect()
}

/// Complaints about the keys of one Rust file that are not listed, one for each line and key.
fn unlisted(path: &str, source: &str, listed: &BTreeSet<String>) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    let mut fenced = false;
    for line in scan::lines(source) {
        if line.comment.trim_start().starts_with("```") {
            fenced = !fenced;
        }
        if fenced {
            continue;
        }
        for key in cited(&line.comment)
            .into_iter()
            .filter(|key| !listed.contains(*key))
        {
            complaints.push(Complaint {
                rule: Rule::References,
                file: path.to_owned(),
                line: line.number,
                what: format!("[{key}] is not in {LIST}; add body, document, edition, date read"),
            });
        }
    }
    complaints
}

/// The keys in one line of comment.
fn cited(comment: &str) -> Vec<&str> {
    let outside_code = comment.split('`').step_by(2);
    outside_code.flat_map(cited_in_prose).collect()
}

fn cited_in_prose(prose: &str) -> Vec<&str> {
    prose
        .match_indices('[')
        .filter(|(at, _)| !prose[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
        .filter_map(|(at, _)| {
            let (inner, after) = prose[at + 1..].split_once(']')?;
            let key = inner.split([' ', ',', ';', '§']).next()?;
            (is_key(key) && !after.starts_with('(')).then_some(key)
        })
        .collect()
}

/// Capitals, digits, dots and hyphens, two at least, and one capital: `[0.5]` is a number.
fn is_key(text: &str) -> bool {
    text.len() > 1
        && text.starts_with(|c: char| c.is_ascii_uppercase() || c.is_ascii_digit())
        && text.chars().all(is_key_char)
        && text.contains(|c: char| c.is_ascii_uppercase())
}

fn is_key_char(c: char) -> bool {
    c.is_ascii_uppercase() || c.is_ascii_digit() || c == '.' || c == '-'
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEYS: &str = "# References\n\n## [SP811]\n\n- **[NEM-310]** wheelsets\n\
                        | [RP-20.1] | car weight |\n\nSuperseded by [OLD-1].\n";

    fn missing(source: &str) -> Vec<String> {
        let complaints = unlisted("a.rs", source, &listed(KEYS));
        complaints
            .into_iter()
            .map(|c| c.what.split_once(']').unwrap().0[1..].to_owned())
            .collect()
    }

    #[test]
    fn headings_items_and_rows_list_a_key() {
        assert_eq!(
            Vec::from_iter(listed(KEYS)),
            ["NEM-310", "RP-20.1", "SP811"]
        );
    }

    #[test]
    fn listed_keys_pass() {
        let source = "//! Sources: [SP811] for the inch; [NEM-310 §2, row 16.5].\n\
                      // Source: [RP-20.1, HO].\n";
        assert_eq!(missing(source), [""; 0]);
    }

    #[test]
    fn what_is_no_citation_is_left_alone() {
        for good in [
            "/// See [`Length`], [WEBB](https://example.org) and [Length].",
            "/// The range `[A-Z]`, the interval [0.5] or [0, 1], the index a[MAX], the symbol [N].",
            "let s = \"[WEBB]\";",
            "/// ```\n/// // [WEBB]\n/// ```",
        ] {
            assert_eq!(missing(good), [""; 0], "{good}");
        }
    }

    #[test]
    fn every_missing_key_is_named() {
        let source = "//! [WEBB §204] and [NADAL], beside [SP811].\n// [OLD-1]: only mentioned.\n";
        assert_eq!(missing(source), ["WEBB", "NADAL", "OLD-1"]);
    }
}
