//! How the cells of a row look: blank, a number, or another text.

use gradeworthy_units::{DecimalMark, Numeral, Unit};

use crate::{Cell, Kind, Row};

/// One row, cell by cell.
#[derive(Debug)]
pub(super) struct RowLook {
    cells: Vec<Look>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Look {
    Blank,
    Number,
    Text,
}

impl RowLook {
    pub(super) fn of(row: Row<'_>) -> Self {
        Self {
            cells: row.cells().map(look).collect(),
        }
    }

    pub(super) fn len(&self) -> usize {
        self.cells.len()
    }

    pub(super) fn filled(&self) -> usize {
        self.cells
            .iter()
            .filter(|&&look| look != Look::Blank)
            .count()
    }

    pub(super) fn texts(&self) -> usize {
        self.cells
            .iter()
            .filter(|&&look| look == Look::Text)
            .count()
    }

    pub(super) fn is_text(&self, column: usize) -> bool {
        self.cells.get(column) == Some(&Look::Text)
    }

    pub(super) fn is_number(&self, column: usize) -> bool {
        self.cells.get(column) == Some(&Look::Number)
    }

    pub(super) fn is_blank(&self, column: usize) -> bool {
        !self.is_text(column) && !self.is_number(column)
    }
}

fn look(cell: Cell<'_>) -> Look {
    match cell.kind {
        Kind::Number
        | Kind::Percent
        | Kind::Fraction
        | Kind::Date
        | Kind::Duration
        | Kind::Boolean => Look::Number,
        Kind::Empty => Look::Blank,
        Kind::Error => Look::Text,
        Kind::Text if cell.text.trim().is_empty() => Look::Blank,
        Kind::Text if is_reading(cell.text) => Look::Number,
        Kind::Text => Look::Text,
    }
}

/// A number, alone or with a unit, whatever its decimal mark: `14,38 mm`, `1,250`, `25/64`.
fn is_reading(text: &str) -> bool {
    let marks = [DecimalMark::Either, DecimalMark::Comma];
    marks
        .into_iter()
        .any(|mark| match Numeral::read_prefix(text, mark) {
            Ok((_, rest)) => rest.trim().is_empty() || Unit::from_spelling(rest.trim()).is_some(),
            Err(_) => false,
        })
}
