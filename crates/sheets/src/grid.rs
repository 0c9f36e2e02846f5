//! A sheet as rows of text cells, each with its place.
//!
//! All texts of a sheet stand in one string and a cell is eight bytes beside it, so that a fleet's
//! sheet costs little more memory than its file.
//! Rows may differ in length (a ragged row stays ragged) and blank rows are kept.

use std::ops::RangeInclusive;

use crate::Place;

/// One sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    name: Option<Box<str>>,
    hidden: bool,
    text: String,
    slots: Vec<Slot>,
    rows: Vec<RowEnd>,
    formats: Vec<Box<str>>,
    merges: Vec<Merge>,
}

/// One cell, borrowed from its sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cell<'a> {
    /// The text; empty for an empty cell.
    pub text: &'a str,
    /// What the file says the cell holds.
    pub kind: Kind,
    /// Whether the value was computed by a formula; the text is the value last stored.
    pub formula: bool,
    /// Whether a merged cell to the left or above lies over this one.
    pub covered: bool,
    /// Whether a number had more than the fifteen digits that a spreadsheet shows; it was rounded
    /// to fifteen.
    pub rounded: bool,
    /// The workbook's number-format code, where it is not the general one: `0.00" mm"`.
    pub format: Option<&'a str>,
}

/// What a cell holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// Nothing.
    #[default]
    Empty,
    /// Text; every filled cell of a text file is text.
    Text,
    /// A number, written with a decimal point.
    Number,
    /// A number formatted as a percentage: 0.021 reads `2.1%`.
    Percent,
    /// A number formatted as a fraction: 25/64 reads `0.390625`.
    Fraction,
    /// `TRUE` or `FALSE`.
    Boolean,
    /// A date or time of day in ISO 8601: `2026-11-25`, `2026-11-25T14:30:00`, `14:30:00`.
    ///
    /// A spreadsheet may have made it of something else: `5/8` typed as a fraction turns into
    /// 5 August or 8 May there.
    Date,
    /// A span of time as hours, minutes and seconds: `30:15:00`.
    Duration,
    /// An error of the spreadsheet: `#REF!`.
    Error,
}

/// Cells merged into one, rows by their index in the grid and columns from 0, ends included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Merge {
    /// First and last row index.
    pub rows: RangeInclusive<usize>,
    /// First and last column index.
    pub columns: RangeInclusive<usize>,
}

/// One row, borrowed from its sheet.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    grid: &'a Grid,
    index: usize,
    start: usize,
    end: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Slot {
    /// Where the text ends; it starts where the one before ends.
    text_end: u32,
    /// Index into the formats, plus one.
    format: u16,
    kind: Kind,
    flags: u8,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct RowEnd {
    number: u32,
    slot_end: usize,
}

const FORMULA: u8 = 1;
const COVERED: u8 = 2;
const ROUNDED: u8 = 4;

impl Grid {
    /// The sheet's name; a text file has none.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }

    /// Whether the workbook hides this sheet.
    #[must_use]
    pub fn is_hidden(&self) -> bool {
        self.hidden
    }

    /// How many rows there are, blank ones included.
    #[must_use]
    pub fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// How many cells the longest row has.
    #[must_use]
    pub fn column_count(&self) -> usize {
        self.rows().map(|row| row.len()).max().unwrap_or(0)
    }

    /// The rows from the top.
    pub fn rows(&self) -> impl ExactSizeIterator<Item = Row<'_>> + Clone {
        (0..self.rows.len()).map(|index| self.row_at(index))
    }

    /// The row at an index from 0.
    #[must_use]
    pub fn row(&self, index: usize) -> Option<Row<'_>> {
        (index < self.rows.len()).then(|| self.row_at(index))
    }

    /// The merged cells.
    #[must_use]
    pub fn merges(&self) -> &[Merge] {
        &self.merges
    }

    /// The place of the cell at a row index and a column index, both from 0.
    ///
    /// The cell need not exist: a missing reading has a place too.
    #[must_use]
    pub fn place(&self, row_index: usize, column_index: usize) -> Place {
        let beyond = || {
            u32::try_from(row_index)
                .unwrap_or(u32::MAX)
                .saturating_add(1)
        };
        Place {
            sheet: self.name.clone(),
            row: self
                .rows
                .get(row_index)
                .map_or_else(beyond, |row| row.number),
            column: u32::try_from(column_index)
                .unwrap_or(u32::MAX)
                .saturating_add(1),
        }
    }

    /// All cells, empty ones included.
    pub(crate) fn cell_count(&self) -> usize {
        self.slots.len()
    }

    /// Bytes of all texts.
    pub(crate) fn text_bytes(&self) -> usize {
        self.text.len()
    }

    fn row_at(&self, index: usize) -> Row<'_> {
        Row {
            grid: self,
            index,
            start: if index == 0 {
                0
            } else {
                self.rows[index - 1].slot_end
            },
            end: self.rows[index].slot_end,
        }
    }

    fn cell_at(&self, at: usize) -> Cell<'_> {
        let slot = self.slots[at];
        let start = if at == 0 {
            0
        } else {
            self.slots[at - 1].text_end
        };
        Cell {
            text: &self.text[start as usize..slot.text_end as usize],
            kind: slot.kind,
            formula: slot.flags & FORMULA != 0,
            covered: slot.flags & COVERED != 0,
            rounded: slot.flags & ROUNDED != 0,
            format: usize::from(slot.format)
                .checked_sub(1)
                .and_then(|index| self.formats.get(index))
                .map(AsRef::as_ref),
        }
    }
}

impl<'a> Row<'a> {
    /// The row's number as the user sees it, from 1.
    #[must_use]
    pub fn number(&self) -> u32 {
        self.grid.rows[self.index].number
    }

    /// How many cells the row has.
    #[must_use]
    pub fn len(&self) -> usize {
        self.end - self.start
    }

    /// Whether the row has no cells at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.start == self.end
    }

    /// Whether no cell of the row holds more than white space.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.cells().all(|cell| cell.text.trim().is_empty())
    }

    /// The cells from the left.
    pub fn cells(&self) -> impl ExactSizeIterator<Item = Cell<'a>> + Clone + use<'a> {
        let grid = self.grid;
        (self.start..self.end).map(move |at| grid.cell_at(at))
    }

    /// The cell at a column index from 0; nothing beyond the row's end.
    #[must_use]
    pub fn cell(&self, column_index: usize) -> Option<Cell<'a>> {
        (column_index < self.len()).then(|| self.grid.cell_at(self.start + column_index))
    }

    /// The text at a column index from 0; empty beyond the row's end.
    #[must_use]
    pub fn text(&self, column_index: usize) -> &'a str {
        self.cell(column_index).map_or("", |cell| cell.text)
    }

    /// The place of the cell at a column index from 0.
    #[must_use]
    pub fn place(&self, column_index: usize) -> Place {
        self.grid.place(self.index, column_index)
    }
}

/// Fills a grid from the left and from the top.
#[derive(Debug)]
pub(crate) struct GridBuilder {
    grid: Grid,
}

/// Why a place in the text is never beyond 32 bits.
const TEXT_FITS: &str = "the file limits keep a sheet's text below four gigabytes";

impl GridBuilder {
    pub(crate) fn new(name: Option<&str>, hidden: bool) -> Self {
        Self {
            grid: Grid {
                name: name.map(Into::into),
                hidden,
                text: String::new(),
                slots: Vec::new(),
                rows: Vec::new(),
                formats: Vec::new(),
                merges: Vec::new(),
            },
        }
    }

    /// The number formats that cells refer to by position.
    pub(crate) fn set_formats(&mut self, formats: Vec<Box<str>>) {
        self.grid.formats = formats;
    }

    /// Adds a cell to the row being filled.
    pub(crate) fn push(&mut self, text: &str, kind: Kind) {
        self.grid.text.push_str(text);
        debug_assert!(u32::try_from(self.grid.text.len()).is_ok(), "{TEXT_FITS}");
        self.grid.slots.push(Slot {
            text_end: u32::try_from(self.grid.text.len()).unwrap_or(u32::MAX),
            format: 0,
            kind,
            flags: 0,
        });
    }

    /// Marks the cell added last.
    pub(crate) fn mark_last(&mut self, formula: bool, rounded: bool, format: Option<u16>) {
        if let Some(slot) = self.grid.slots.last_mut() {
            slot.flags |= u8::from(formula) * FORMULA + u8::from(rounded) * ROUNDED;
            slot.format = format.map_or(0, |index| index.saturating_add(1));
        }
    }

    /// Ends the row being filled.
    pub(crate) fn end_row(&mut self, number: u32) {
        self.grid.rows.push(RowEnd {
            number,
            slot_end: self.grid.slots.len(),
        });
    }

    pub(crate) fn slot_count(&self) -> usize {
        self.grid.slots.len()
    }

    /// Cells in the row being filled.
    pub(crate) fn row_len(&self) -> usize {
        self.grid.slots.len() - self.grid.rows.last().map_or(0, |row| row.slot_end)
    }

    pub(crate) fn row_count(&self) -> usize {
        self.grid.rows.len()
    }

    /// Takes a merge and marks what it covers.
    pub(crate) fn cover(&mut self, merge: Merge) {
        let (top, left) = (*merge.rows.start(), *merge.columns.start());
        for row_index in merge.rows.clone() {
            let row = self.grid.row_at(row_index);
            let (start, len) = (row.start, row.len());
            for column in merge.columns.clone().take_while(|&column| column < len) {
                if (row_index, column) != (top, left) {
                    self.grid.slots[start + column].flags |= COVERED;
                }
            }
        }
        self.grid.merges.push(merge);
    }

    pub(crate) fn finish(self) -> Grid {
        self.grid
    }
}
