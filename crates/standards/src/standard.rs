//! A publication, and the place in it where a figure stands.

use std::fmt;

use crate::Confidence;

/// One edition of one publication. Two editions are two standards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Standard {
    /// The body that issued it.
    pub body: &'static str,
    /// Its name as people cite it: `NMRA S-4.2`, `NEM 310`, `49 CFR 231.31`.
    pub designation: &'static str,
    /// What it is about.
    pub title: &'static str,
    /// Which edition.
    pub edition: &'static str,
    /// Year, or year and month, or day of issue, where known.
    pub date: Option<&'static str>,
    /// How far its figures may be trusted, unless a cell says otherwise.
    pub confidence: Confidence,
    /// What one should know before using it.
    pub note: Option<&'static str>,
    /// Its key in `docs/REFERENCES.md`; `None` for a table gathered from several publications,
    /// whose rows name their own.
    pub key: Option<&'static str>,
}

impl fmt::Display for Standard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.designation, self.edition)
    }
}

/// The place where a figure stands.
///
/// # Example
/// ```
/// let clause = gradeworthy_standards::table("nmra-s-4.2-old")
///     .and_then(|table| table.cell("HO", "k_max"))
///     .map(|cell| cell.clause().to_string());
/// assert_eq!(
///     clause.as_deref(),
///     Some("NMRA S-4.2 (old minimum/maximum edition), row HO, K max"),
/// );
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Clause {
    /// The publication and edition.
    pub standard: &'static Standard,
    /// The table, as this crate names it.
    pub table: &'static str,
    /// The row, as printed.
    pub row: &'static str,
    /// The column, as this crate names it.
    pub column: &'static str,
    /// The column's heading, as a person would read it.
    pub heading: &'static str,
    /// The row's own source, in a table that gathers several publications.
    pub source: Option<&'static str>,
    /// How far this very figure may be trusted.
    pub confidence: Confidence,
}

impl fmt::Display for Clause {
    /// The citation, followed by its warning unless the figure was read in the publication itself.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.source {
            Some(source) => write!(f, "{source}: {}, {}", self.row, self.heading)?,
            None => write!(f, "{}, row {}, {}", self.standard, self.row, self.heading)?,
        }
        match self.confidence.warning() {
            Some(warning) => write!(f, " ({warning})"),
            None => Ok(()),
        }
    }
}
