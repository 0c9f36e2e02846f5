//! Where a cell stands, in the words the user's own program shows.

use std::fmt;

/// The place of a cell: a sheet's row and column, or a text file's line and field.
///
/// # Example
/// ```
/// use gradeworthy_sheets::Place;
/// let place = Place { sheet: Some("Cars".into()), row: 14, column: 6 };
/// assert_eq!(place.to_string(), "sheet 'Cars', row 14, column F");
/// assert_eq!(Place { sheet: None, ..place }.to_string(), "line 14, field 6");
/// ```
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The sheet's name in a workbook; nothing in a text file.
    pub sheet: Option<Box<str>>,
    /// Row number from 1 as the user sees it; in a text file the line on which the row starts.
    pub row: u32,
    /// Column number from 1; in a text file the number of the field.
    pub column: u32,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.sheet {
            Some(sheet) => write!(
                f,
                "sheet '{sheet}', row {}, column {}",
                self.row,
                column_letters(self.column)
            ),
            None => write!(f, "line {}, field {}", self.row, self.column),
        }
    }
}

/// The letters of a column numbered from 1: A, B, … Z, AA, AB, …; column 0 has none.
///
/// There is no letter for zero, so each step borrows one before dividing: 26 is Z and 27 is AA.
#[must_use]
pub fn column_letters(column: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = column;
    while rest > 0 {
        rest -= 1;
        letters.push(char::from_digit(rest % 26 + 10, 36).map_or('?', |c| c.to_ascii_uppercase()));
        rest /= 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_follow_the_spreadsheet() {
        // 16,384 = XFD is the last column of a sheet: [MS-EXCEL-LIMITS] 'Total number of rows and columns'.
        for (column, letters) in [
            (1, "A"),
            (6, "F"),
            (26, "Z"),
            (27, "AA"),
            (52, "AZ"),
            (53, "BA"),
            (702, "ZZ"),
            (703, "AAA"),
            (16_384, "XFD"),
            (0, ""),
        ] {
            assert_eq!(column_letters(column), letters, "{column}");
        }
    }
}
