//! The map names only what exists: every path in backticks in `ARCHITECTURE.md`.
//!
//! A word in backticks counts as a path when it ends like a file of ours, ends in `/`, or is two
//! or more lower-case names joined by `/`. Paths count from the root; `{a,b}` stands for each.

use super::{Complaint, Rule};

/// The file whose paths are checked.
pub(super) const MAP: &str = "ARCHITECTURE.md";

const ENDINGS: [&str; 12] = [
    ".rs", ".toml", ".md", ".sql", ".csv", ".json", ".css", ".js", ".html", ".typ", ".yml", ".lock",
];

/// Checks every path that `map` names, asking `exists` of each.
pub(super) fn check(map: &str, exists: impl Fn(&str) -> bool) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    let mut fenced = false;
    for (index, line) in map.lines().enumerate() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
            continue;
        }
        if fenced {
            continue;
        }
        for path in spans(line)
            .into_iter()
            .flat_map(expand)
            .filter(|span| is_path(span))
        {
            if !exists(&path) {
                complaints.push(Complaint {
                    rule: Rule::Map,
                    file: MAP.to_owned(),
                    line: index + 1,
                    what: format!(
                        "`{path}` does not exist; write the path from the root, or mend the map"
                    ),
                });
            }
        }
    }
    complaints
}

/// What stands between single backticks.
fn spans(line: &str) -> Vec<&str> {
    line.split('`').skip(1).step_by(2).collect()
}

fn is_path(span: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || "/._-".contains(c);
    if span.starts_with('/') || span.contains("..") || !span.chars().all(plain) {
        return false;
    }
    let mut names = span.trim_end_matches('/').split('/');
    let joined = span.contains('/')
        && names.all(|name| name.len() > 1 && !name.contains(|c: char| c.is_ascii_uppercase()));
    let ending = ENDINGS
        .iter()
        .any(|ending| span.len() > ending.len() && span.ends_with(ending));
    ending || joined || span.ends_with('/')
}

/// `a/{b,c}/d` stands for `a/b/d` and `a/c/d`.
fn expand(span: &str) -> Vec<String> {
    let parts = span.split_once('{').and_then(|(head, rest)| {
        rest.split_once('}')
            .map(|(choice, tail)| (head, choice, tail))
    });
    match parts {
        Some((head, choice, tail)) => choice
            .split(',')
            .flat_map(|one| expand(&format!("{head}{}{tail}", one.trim())))
            .collect(),
        None => vec![span.to_owned()],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn missing(map: &str) -> Vec<String> {
        let exists = |path: &str| ["crates/units", "crates/units/", "docs/a.md"].contains(&path);
        check(map, exists).into_iter().map(|c| c.what).collect()
    }

    #[test]
    fn what_exists_passes() {
        assert_eq!(
            missing("`crates/units` and `crates/units/` and `docs/a.md`"),
            [""; 0]
        );
    }

    #[test]
    fn what_is_no_path_is_left_alone() {
        let map = "`units::Length`, `cargo xtask ci`, `L/V`, `b/h`, `/cars`, `K = B + T`, `..`";
        assert_eq!(missing(map), [""; 0]);
        assert_eq!(missing("```text\n`docs/none.md`\n```"), [""; 0]);
    }

    #[test]
    fn what_does_not_exist_is_named() {
        for gone in [
            "crates/track",
            "docs/b.md",
            "length.rs",
            "old/",
            "src/lib.rs",
        ] {
            let found = missing(&format!("see `{gone}`."));
            assert_eq!(found.len(), 1, "{gone}");
            assert!(found[0].contains(gone), "{found:?}");
        }
    }

    #[test]
    fn braces_stand_for_each() {
        let found = missing("`crates/{units,train}`");
        assert_eq!(found.len(), 1);
        assert!(found[0].starts_with("`crates/train`"), "{found:?}");
    }
}
