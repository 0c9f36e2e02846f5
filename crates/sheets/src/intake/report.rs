//! What became of a sheet: counts, refusals, remarks.

use std::collections::HashMap;
use std::fmt;

use gradeworthy_workbench::record::Record;

use super::ColumnRead;
use crate::Place;

/// How a sheet is laid out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Layout {
    /// One row a car.
    OneCar,
    /// One row a reading.
    OneReading,
    /// Neither: nothing could be read.
    #[default]
    Neither,
}

/// A cell or row that was not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Where.
    pub place: Place,
    /// The heading over it.
    pub heading: String,
    /// What was found.
    pub found: String,
    /// What was expected, and what to do.
    pub expected: String,
    /// Whether the whole row was refused with it.
    pub whole_row: bool,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            place,
            heading,
            found,
            expected,
            whole_row,
        } = self;
        write!(f, "{place}")?;
        if !heading.is_empty() {
            write!(f, " ({heading})")?;
        }
        write!(f, ": found '{found}'; {expected}")?;
        if *whole_row {
            f.write_str(" (row not judged)")
        } else {
            Ok(())
        }
    }
}

/// What became of one sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetReport {
    /// The sheet's name, where it has one.
    pub name: Option<String>,
    /// How it is laid out.
    pub layout: Layout,
    /// Rows with something in them, below the headings.
    pub rows_in: usize,
    /// Rows whose car was judged.
    pub rows_taken: usize,
    /// Rows that were not.
    pub rows_refused: usize,
    /// Rows with nothing in them.
    pub rows_blank: usize,
    /// Cells taken as readings.
    pub readings: usize,
    /// Every refused cell and row.
    pub refusals: Vec<Refusal>,
    /// What each column was read as.
    pub columns: Vec<ColumnRead>,
    /// Headings that name no reading; their cells were kept as remarks and not judged.
    pub remarks: Vec<String>,
    /// What had to be decided about the sheet, and why.
    pub notes: Vec<String>,
}

/// Everything taken from a file.
#[derive(Debug, Default)]
pub struct Intake {
    /// One record a car, in the order in which cars first appear.
    pub records: Vec<Record>,
    /// One report a sheet.
    pub sheets: Vec<SheetReport>,
    by_mark: HashMap<String, usize>,
}

impl Intake {
    pub(super) fn records_mut(&mut self) -> (&mut Vec<Record>, &mut HashMap<String, usize>) {
        (&mut self.records, &mut self.by_mark)
    }

    /// The sum of a count over all sheets.
    #[must_use]
    pub fn total(&self, count: fn(&SheetReport) -> usize) -> usize {
        self.sheets.iter().map(count).sum()
    }

    /// Every refusal, sheet by sheet.
    pub fn refusals(&self) -> impl Iterator<Item = &Refusal> {
        self.sheets.iter().flat_map(|sheet| &sheet.refusals)
    }
}
