//! Who may depend on whom: the manifests against one table.
//!
//! A room is a crate so that it cannot see something; a forbidden edge takes that away. The table
//! holds for dependencies of every kind, tests included, but for the invented club to test with.
//! The pure crates moreover take no outside crate that would bring them a file, a clock, a socket,
//! chance or a wire format; their tests may.

use anyhow::{Context, Result};
use toml::de::{DeTable, DeValue};

use super::tree::Tree;
use super::{Complaint, Rule};

/// Crates that compute and do nothing else.
pub(super) const PURE: [&str; 5] = ["units", "standards", "workbench", "train", "fleet"];

/// What each crate of the workspace may depend on within the workspace.
const ARROWS: &[(&str, May)] = &[
    ("units", May::Only(&[])),
    ("standards", May::Only(&["units"])),
    ("workbench", May::Only(&["units", "standards"])),
    ("train", May::Only(&["units", "standards"])),
    ("fleet", May::Only(&["units", "standards", "workbench"])),
    ("sheets", May::Only(&["units", "standards", "workbench"])),
    (
        "demo",
        May::Only(&["units", "standards", "workbench", "sheets", "train"]),
    ),
    (
        "reports",
        May::Only(&["units", "standards", "workbench", "train"]),
    ),
    (
        "paper",
        May::Only(&["units", "standards", "workbench", "reports"]),
    ),
    (
        "store",
        May::Only(&["units", "standards", "workbench", "train", "fleet"]),
    ),
    (
        "server",
        May::Only(&[
            "units",
            "standards",
            "workbench",
            "train",
            "fleet",
            "sheets",
            "demo",
            "reports",
            "paper",
            "store",
        ]),
    ),
    ("gradeworthy", May::Any),
    ("fuzz", May::Any),
    ("xtask", May::Only(&[])),
];

#[derive(Clone, Copy)]
enum May {
    Only(&'static [&'static str]),
    Any,
}

/// Outside crates that a pure crate may not take, and what they would bring in.
const IMPURE: &[(&str, &[&str])] = &[
    (
        "a wire format",
        &["serde", "serde_json", "serde_derive", "utoipa", "schemars"],
    ),
    (
        "a database",
        &["rusqlite", "sqlx", "diesel", "libsqlite3-sys"],
    ),
    (
        "a server or async code",
        &["tokio", "axum", "hyper", "futures", "tower", "async-trait"],
    ),
    ("a network client", &["reqwest", "ureq"]),
    ("markup", &["maud", "askama", "minijinja"]),
    (
        "chance",
        &[
            "rand",
            "rand_chacha",
            "rand_distr",
            "getrandom",
            "fastrand",
            "uuid",
        ],
    ),
    ("a clock", &["chrono", "time", "web-time"]),
    (
        "a terminal",
        &["clap", "indicatif", "comfy-table", "anyhow"],
    ),
    ("a log", &["tracing", "log", "env_logger"]),
    (
        "files",
        &["tempfile", "walkdir", "calamine", "rust_xlsxwriter"],
    ),
];

/// Checks every manifest of the tree.
pub(super) fn check(tree: &Tree) -> Result<Vec<Complaint>> {
    let root = tree.text("Cargo.toml").unwrap_or_default();
    let mut complaints = Vec::new();
    for file in tree
        .files()
        .iter()
        .filter(|file| file.path.ends_with("/Cargo.toml"))
    {
        complaints.extend(manifest(&file.path, &file.text, root)?);
    }
    Ok(complaints)
}

/// Checks one manifest; `root` is the workspace's own, where a shared dependency may be renamed.
fn manifest(path: &str, text: &str, root: &str) -> Result<Vec<Complaint>> {
    let parse = |text| DeTable::parse(text).map(toml::Spanned::into_inner);
    let table = parse(text).with_context(|| format!("{path} is not TOML"))?;
    let root = parse(root).context("Cargo.toml is not TOML")?;
    let shared = root
        .get("workspace")
        .and_then(|w| w.get_ref().get("dependencies"));

    let name = table
        .get("package")
        .and_then(|package| package.get_ref().get("name"))
        .and_then(|name| name.get_ref().as_str())
        .with_context(|| format!("{path} names no package"))?;
    let complaint = |rule, line, what| Complaint {
        rule,
        file: path.to_owned(),
        line,
        what,
    };
    let Some((_, may)) = ARROWS.iter().find(|(room, _)| *room == room_of(name)) else {
        let what =
            format!("'{name}' has no row in ARROWS of xtask/src/tidy/arrows.rs; give it one");
        return Ok(vec![complaint(Rule::Arrows, 0, what)]);
    };

    let mut complaints = Vec::new();
    for edge in edges(&table, shared.map(toml::Spanned::get_ref)) {
        let (number, line) = line_at(text, edge.at);
        let (from, to) = (room_of(name), room_of(&edge.package));
        let ours = ARROWS.iter().any(|(room, _)| *room == to) && is_ours(&edge.package);
        match may {
            May::Only(rooms)
                if ours && !rooms.contains(&to) && !edge.is_demo_in_tests(from, to) =>
            {
                let allowed = if rooms.is_empty() {
                    "nothing".into()
                } else {
                    rooms.join(", ")
                };
                let what = format!("`{line}`: {from} may depend on {allowed} of ours, not on {to}");
                complaints.push(complaint(Rule::Arrows, number, what));
            }
            _ => {}
        }
        let brings = IMPURE
            .iter()
            .find(|(_, crates)| crates.contains(&edge.package.as_str()));
        if let Some((what, _)) = brings.filter(|_| PURE.contains(&from) && !edge.in_tests) {
            let what =
                format!("`{line}`: {from} is pure, and this brings {what}; it belongs outside");
            complaints.push(complaint(Rule::Purity, number, what));
        }
    }
    Ok(complaints)
}

/// One dependency of a manifest.
struct Edge {
    package: String,
    /// Byte in the manifest.
    at: usize,
    in_tests: bool,
}

impl Edge {
    /// The invented club is something to test with; only the pure rooms must do without it, since
    /// nothing invented may bear out what they compute.
    fn is_demo_in_tests(&self, from: &str, to: &str) -> bool {
        self.in_tests && to == "demo" && !PURE.contains(&from)
    }
}

fn edges(table: &DeTable<'_>, shared: Option<&DeValue<'_>>) -> Vec<Edge> {
    let mut found = Vec::new();
    let targets = table
        .get("target")
        .and_then(|targets| targets.get_ref().as_table());
    let conditional = targets.into_iter().flat_map(|targets| {
        targets
            .iter()
            .filter_map(|(_, value)| value.get_ref().as_table())
    });
    for table in std::iter::once(table).chain(conditional) {
        for kind in ["dependencies", "dev-dependencies", "build-dependencies"] {
            let section = table
                .get(kind)
                .and_then(|section| section.get_ref().as_table());
            for (key, value) in section.into_iter().flat_map(|section| section.iter()) {
                let alias = key.get_ref().as_ref();
                let inherited = || shared.and_then(|shared| package(shared.get(alias)?.get_ref()));
                let package = package(value.get_ref()).or_else(inherited).unwrap_or(alias);
                found.push(Edge {
                    package: package.to_owned(),
                    at: key.span().start,
                    in_tests: kind == "dev-dependencies",
                });
            }
        }
    }
    found
}

/// The `package = "…"` of a renamed dependency.
fn package<'a>(dependency: &'a DeValue<'_>) -> Option<&'a str> {
    dependency.get("package")?.get_ref().as_str()
}

fn is_ours(package: &str) -> bool {
    package == "xtask" || package == "gradeworthy" || package.starts_with("gradeworthy-")
}

/// `gradeworthy-units` is the room `units`.
fn room_of(package: &str) -> &str {
    package.strip_prefix("gradeworthy-").unwrap_or(package)
}

/// The number, from 1, and the text of the line that holds byte `at`.
fn line_at(text: &str, at: usize) -> (usize, &str) {
    let number = text[..at].matches('\n').count() + 1;
    (
        number,
        text.lines().nth(number - 1).unwrap_or_default().trim(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOT: &str = "[workspace.dependencies]\nserde = \"1\"\n\
                        bench = { package = \"gradeworthy-workbench\", path = \"x\" }\n";

    fn found(package: &str, rest: &str) -> Vec<(Rule, usize, String)> {
        let text = format!("[package]\nname = \"{package}\"\n{rest}");
        let complaints = manifest("crates/x/Cargo.toml", &text, ROOT).unwrap();
        complaints
            .into_iter()
            .map(|c| (c.rule, c.line, c.what))
            .collect()
    }

    fn rules(package: &str, rest: &str) -> Vec<(Rule, usize)> {
        found(package, rest)
            .into_iter()
            .map(|(rule, line, _)| (rule, line))
            .collect()
    }

    #[test]
    fn allowed_arrows_pass() {
        let to_units = "[dependencies]\ngradeworthy-units.workspace = true\nthiserror = \"2\"\n";
        assert_eq!(rules("gradeworthy-standards", to_units), []);
        let to_all = "[dependencies]\ngradeworthy-server.workspace = true\nserde = \"1\"\n";
        assert_eq!(rules("gradeworthy", to_all), []);
    }

    #[test]
    fn a_forbidden_arrow_names_its_line() {
        let rest = "[dependencies]\nthiserror = \"2\"\ngradeworthy-train.workspace = true\n";
        let found = found("gradeworthy-workbench", rest);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].0, found[0].1), (Rule::Arrows, 5));
        assert!(
            found[0].2.contains("`gradeworthy-train.workspace = true`"),
            "{found:?}"
        );
        assert!(found[0].2.contains("units, standards"), "{found:?}");
    }

    #[test]
    fn no_kind_of_dependency_is_a_way_round() {
        for section in [
            "dev-dependencies",
            "build-dependencies",
            "target.'cfg(unix)'.dependencies",
        ] {
            let rest = format!("[{section}]\ngradeworthy-store = {{ path = \"../store\" }}\n");
            assert_eq!(
                rules("gradeworthy-units", &rest),
                [(Rule::Arrows, 4)],
                "{section}"
            );
        }
        let own_name = "[dependencies]\nb = { package = \"gradeworthy-fleet\", path = \"y\" }\n";
        assert_eq!(rules("gradeworthy-train", own_name), [(Rule::Arrows, 4)]);
        let shared_name = "[dependencies]\nbench.workspace = true\n";
        assert_eq!(rules("gradeworthy-train", shared_name), [(Rule::Arrows, 4)]);
        let table = "[dependencies.gradeworthy-demo]\npath = \"../demo\"\n";
        assert_eq!(rules("gradeworthy-train", table), [(Rule::Arrows, 3)]);
    }

    #[test]
    fn a_crate_without_a_row_is_refused() {
        assert_eq!(rules("gradeworthy-common", ""), [(Rule::Arrows, 0)]);
    }

    #[test]
    fn the_pure_crates_take_nothing_impure_but_in_tests() {
        let rest = "[dependencies]\nserde.workspace = true\n";
        assert_eq!(rules("gradeworthy-train", rest), [(Rule::Purity, 4)]);
        assert_eq!(rules("gradeworthy-store", rest), []);
        let tests = "[dev-dependencies]\nserde.workspace = true\n";
        assert_eq!(rules("gradeworthy-train", tests), []);
    }

    #[test]
    fn the_table_has_no_circle() {
        // A room may only name rooms whose own rows stand above it.
        for (index, (room, may)) in ARROWS.iter().enumerate() {
            if let May::Only(rooms) = may {
                for to in *rooms {
                    let above = ARROWS[..index].iter().any(|(earlier, _)| earlier == to);
                    assert!(above, "{room} names {to}, which does not stand above it");
                }
            }
        }
        for room in PURE {
            assert!(ARROWS.iter().any(|(known, _)| *known == room), "{room}");
        }
    }
}
