//! Tables written out: text with separators, or a workbook.

mod delimited;
mod xlsx;

pub use delimited::{DelimitedStyle, write_delimited};
pub use xlsx::write_xlsx;

use crate::{Place, SheetError, limits};

/// A table of one heading row and the rows under it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// The sheet's name in a workbook; a text file has none.
    pub name: String,
    /// One heading for each column.
    pub headings: Vec<String>,
    /// The rows; a row shorter than the headings is filled with blanks.
    pub rows: Vec<Vec<Entry>>,
}

/// What a table cell holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Entry {
    /// Nothing.
    #[default]
    Blank,
    /// Text, never taken for a number or a formula by a workbook.
    Text(String),
    /// A number, written as the shortest text that reads back, of at most fifteen digits.
    Number(f64),
    /// A number shown to so many decimals, so that 14.3 read to a hundredth is `14.30`.
    ///
    /// A text file holds it to those decimals; a workbook holds the whole number.
    Decimals(f64, u8),
}

impl From<&str> for Entry {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Entry {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<f64> for Entry {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl Table {
    /// Refuses what no sheet can hold.
    fn check(&self, sheet: Option<&str>) -> Result<(), SheetError> {
        if self.headings.is_empty() {
            return Err(SheetError::NoHeadings);
        }
        let place = |row: usize, column: usize| Place {
            sheet: sheet.map(Into::into),
            row: u32::try_from(row).unwrap_or(u32::MAX).saturating_add(1),
            column: u32::try_from(column).unwrap_or(u32::MAX).saturating_add(1),
        };
        for (column, heading) in self.headings.iter().enumerate() {
            check_text(heading, || place(0, column))?;
        }
        for (index, row) in self.rows.iter().enumerate() {
            for (column, entry) in row.iter().enumerate() {
                let place = || place(index + 1, column);
                if column >= self.headings.len() {
                    return Err(SheetError::NoHeading { place: place() });
                }
                match entry {
                    Entry::Blank => {}
                    Entry::Text(text) => check_text(text, place)?,
                    Entry::Number(number) | Entry::Decimals(number, _) => {
                        if !number.is_finite() {
                            let value = number.to_string();
                            return Err(SheetError::NotFinite {
                                place: place(),
                                value,
                            });
                        }
                    }
                }
            }
        }
        Ok(())
    }
}

fn check_text(text: &str, place: impl Fn() -> Place) -> Result<(), SheetError> {
    if text.contains('\0') {
        return Err(SheetError::ZeroByteInText { place: place() });
    }
    limits::check_text(text, place)
}
