//! The house rules that a machine can judge.
//!
//! Each rule is a function from text to [`Complaint`]s, in a file of its own; [`check`] reads the
//! tree once and runs them all, so that one run names everything that is wrong.
//! A complaint names its rule by the heading that explains it in `docs/STYLE.md`.

mod arrows;
mod code;
mod markdown;
mod paths;
mod references;
mod scan;
mod text;
mod tree;

use std::fmt;
use std::path::Path;

use anyhow::Result;

use tree::Tree;

/// What one run found.
#[derive(Debug)]
pub struct Report {
    /// In the order of the rules, then of the files.
    pub complaints: Vec<Complaint>,
    /// Checks that had nothing to check against, each with the file that is absent.
    pub not_checked: Vec<String>,
    /// How many files were read.
    pub file_count: usize,
}

/// One place that breaks one rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// The rule that is broken.
    pub rule: Rule,
    /// File, from the root of the workspace.
    pub file: String,
    /// Line, from 1; 0 where the whole file is meant.
    pub line: usize,
    /// What was found, what was expected, what to do.
    pub what: String,
}

/// The rules, each explained under [`Rule::heading`] in `docs/STYLE.md`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// A file says first what it decides.
    Opening,
    /// Files stay short enough to read at a sitting.
    FileLength,
    /// No tabs, no trailing space, no endless lines.
    Whitespace,
    /// Who may depend on whom.
    Arrows,
    /// The pure crates take what they need as arguments.
    Purity,
    /// The map names only what exists.
    Map,
    /// Every cited key is in the list of references.
    References,
    /// Nothing half done is kept.
    Unfinished,
    /// One title to a page.
    OneTitle,
}

impl Rule {
    /// All of them, in the order of `docs/STYLE.md`.
    pub const ALL: [Self; 9] = [
        Self::Opening,
        Self::FileLength,
        Self::Whitespace,
        Self::Arrows,
        Self::Purity,
        Self::Map,
        Self::References,
        Self::Unfinished,
        Self::OneTitle,
    ];

    /// The heading in `docs/STYLE.md` under which the rule is explained.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Self::Opening => "A file says first what it decides",
            Self::FileLength => "A file is read at one sitting",
            Self::Whitespace => "Plain lines",
            Self::Arrows => "Arrows point at units",
            Self::Purity => "The pure crates are told, they do not ask",
            Self::Map => "The map names only what exists",
            Self::References => "Every citation can be looked up",
            Self::Unfinished => "Nothing half done is kept",
            Self::OneTitle => "One title to a page",
        }
    }
}

/// Runs every rule over the tree at `root`.
///
/// # Errors
/// When a file cannot be read or a manifest is not TOML; what is merely wrong is a complaint.
pub fn check(root: &Path) -> Result<Report> {
    let tree = Tree::read(root)?;
    let mut complaints = Vec::new();
    let mut not_checked = Vec::new();
    for file in tree.files() {
        complaints.extend(text::check(&file.path, &file.text));
        if file.path.ends_with(".rs") {
            let lines = scan::lines(&file.text);
            complaints.extend(code::unfinished(&file.path, &lines));
            complaints.extend(code::purity(&file.path, &lines));
        }
        if file.path.ends_with(".md") {
            complaints.extend(markdown::check(&file.path, &file.text));
        }
    }
    complaints.extend(arrows::check(&tree)?);
    match tree.text(paths::MAP) {
        Some(map) => complaints.extend(paths::check(map, |path| tree.exists(path))),
        None => not_checked.push(format!("{} does not exist yet: its paths", paths::MAP)),
    }
    match tree.text(references::LIST) {
        Some(list) => complaints.extend(references::check(&tree, list)),
        None => not_checked.push(format!(
            "{} does not exist yet: cited keys",
            references::LIST
        )),
    }
    complaints.sort_by_key(|complaint| complaint.rule as usize);
    Ok(Report {
        complaints,
        not_checked,
        file_count: tree.files().len(),
    })
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            rule,
            file,
            line,
            what,
        } = self;
        match line {
            0 => write!(f, "{file}: {what}")?,
            line => write!(f, "{file}:{line}: {what}")?,
        }
        write!(f, "\n    rule: docs/STYLE.md, '{}'", rule.heading())
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for complaint in &self.complaints {
            writeln!(f, "{complaint}")?;
        }
        for absent in &self.not_checked {
            writeln!(f, "not checked: {absent}")?;
        }
        let files = self.file_count;
        match self.complaints.len() {
            0 => write!(f, "tidy: {files} files keep the house rules"),
            1 => write!(f, "tidy: 1 complaint in {files} files"),
            many => write!(f, "tidy: {many} complaints in {files} files"),
        }
    }
}
