//! A published table as data: rows, columns and cells, the text as printed.

mod data_file;

use std::sync::LazyLock;

use gradeworthy_units::{Amount, DecimalMark, Length, Mass, Numeral, Reader, Typed, Unit};

use crate::catalogue::FILES;
use crate::{Clause, Confidence, Standard};

static TABLES: LazyLock<Vec<Table>> = LazyLock::new(|| {
    FILES
        .iter()
        .map(|text| Table::parse(text))
        .collect::<Result<_, _>>()
        .expect("the files are part of this crate, and its tests read every one")
});

/// Every table, in the order of the catalogue.
#[must_use]
pub fn tables() -> &'static [Table] {
    &TABLES
}

/// The table of this name.
#[must_use]
pub fn table(id: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.id == id)
}

/// Every cell of every table.
pub fn cells() -> impl Iterator<Item = Cell> {
    TABLES.iter().flat_map(Table::cells)
}

/// One published table.
#[derive(Debug)]
pub struct Table {
    /// The publication it stands in.
    pub standard: Standard,
    /// Its name here: `nmra-s-4.2-old`.
    pub id: &'static str,
    columns: Vec<Column>,
    rows: Vec<Row>,
}

#[derive(Debug)]
struct Column {
    id: &'static str,
    unit: &'static str,
    heading: Box<str>,
}

#[derive(Debug)]
struct Row {
    id: Box<str>,
    source: Option<Box<str>>,
    /// Text and confidence, one to a column.
    cells: Vec<(Box<str>, Confidence)>,
}

/// One printed figure, or one printed phrase.
#[derive(Clone, Copy, Debug)]
pub struct Cell {
    /// The table it stands in.
    pub table: &'static Table,
    row: &'static Row,
    column_index: usize,
}

impl Table {
    /// Every printed cell, row by row.
    pub fn cells(&'static self) -> impl Iterator<Item = Cell> {
        let cell = move |row, column_index| Cell {
            table: self,
            row,
            column_index,
        };
        self.rows
            .iter()
            .flat_map(move |row| (0..self.columns.len()).map(move |index| cell(row, index)))
            .filter(|cell| !cell.printed().is_empty())
    }

    /// The names of the rows, as printed.
    pub fn rows(&'static self) -> impl Iterator<Item = &'static str> {
        self.rows.iter().map(|row| &*row.id)
    }

    /// The cell in `row` and `column`; `None` when there is no such row or column, or when the
    /// publication prints nothing there.
    #[must_use]
    pub fn cell(&'static self, row: &str, column: &str) -> Option<Cell> {
        let row = self.rows.iter().find(|known| &*known.id == row)?;
        let column_index = self.columns.iter().position(|known| known.id == column)?;
        let cell = Cell {
            table: self,
            row,
            column_index,
        };
        (!cell.printed().is_empty()).then_some(cell)
    }
}

impl Cell {
    /// The name of the row, as printed.
    #[must_use]
    pub fn row(self) -> &'static str {
        &self.row.id
    }

    /// The name of the column.
    #[must_use]
    pub fn column(self) -> &'static str {
        self.table.columns[self.column_index].id
    }

    /// The unit the figure is printed in; empty for a plain number or a phrase.
    #[must_use]
    pub fn unit(self) -> &'static str {
        self.table.columns[self.column_index].unit
    }

    /// The text as printed.
    #[must_use]
    pub fn printed(self) -> &'static str {
        &self.row.cells[self.column_index].0
    }

    /// How far this figure may be trusted.
    #[must_use]
    pub fn confidence(self) -> Confidence {
        self.row.cells[self.column_index].1
    }

    /// Where the figure stands.
    #[must_use]
    pub fn clause(self) -> Clause {
        let column = &self.table.columns[self.column_index];
        Clause {
            standard: &self.table.standard,
            table: self.table.id,
            row: &self.row.id,
            column: column.id,
            heading: &column.heading,
            source: self.row.source.as_deref(),
            confidence: self.confidence(),
        }
    }

    /// The figure as an exact length; `None` where the unit is none of length.
    #[must_use]
    pub fn length(self) -> Option<Length> {
        match self.read()?.amount {
            Amount::Length(length) => Some(length),
            _ => None,
        }
    }

    /// The figure as an exact mass; `None` where the unit is none of mass.
    #[must_use]
    pub fn mass(self) -> Option<Mass> {
        match self.read()?.amount {
            Amount::Mass(mass) => Some(mass),
            _ => None,
        }
    }

    /// The step of the last printed place; `None` where the unit is none that is known.
    #[must_use]
    pub fn printed_step(self) -> Option<Amount> {
        Some(self.read()?.resolution)
    }

    /// The figure as a number of its printed unit; the second number of a ratio such as `1:160`;
    /// `None` for a phrase.
    #[must_use]
    pub fn number(self) -> Option<f64> {
        let text = self.printed();
        let text = text.strip_prefix("1:").unwrap_or(text);
        let (numeral, rest) = Numeral::read_prefix(text, DecimalMark::Point).ok()?;
        rest.is_empty().then(|| numeral.value())
    }

    fn read(self) -> Option<Typed> {
        let unit = Unit::from_spelling(self.unit())?;
        let reader = Reader::new(unit).with_mark(DecimalMark::Point);
        reader.read(self.printed()).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_tables_rows_or_columns_share_a_name() {
        let mut seen = std::collections::BTreeSet::new();
        for cell in cells() {
            let place = (cell.table.id, cell.row(), cell.column());
            assert!(seen.insert(place), "{place:?} is there twice");
        }
        assert!(tables().iter().all(|table| table.rows().next().is_some()));
    }

    #[test]
    fn a_memory_cell_says_so_wherever_it_is_cited() {
        let cell = table("nem-310-2009")
            .and_then(|table| table.cell("16.5", "d_max"))
            .expect("the cell is in the file");
        assert!(!cell.confidence().may_be_oracle());
        assert_eq!(
            cell.clause().to_string(),
            "NEM 310 (2009), row 16.5, D max (from memory, verify)"
        );
    }

    #[test]
    fn every_cell_with_a_unit_of_length_or_mass_reads_as_one() {
        let mut count = 0;
        for cell in cells() {
            if let Some(unit) = Unit::from_spelling(cell.unit()) {
                assert!(
                    cell.read().is_some(),
                    "{}: '{}'",
                    cell.clause(),
                    cell.printed()
                );
                assert_eq!(
                    unit.dimension(),
                    cell.read().expect("read above").amount.dimension()
                );
                count += 1;
            }
        }
        assert!(count > 1000, "{count} cells with a unit");
    }
}
