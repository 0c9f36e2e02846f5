//! A file of any kind that is read here, as sheets.

use crate::delimited::{Delimited, DelimitedOptions, read_delimited};
use crate::xlsx::read_xlsx;
use crate::{FileKind, Grid, Note, SheetError};

/// A file read: its sheets in their order, and what the user should know.
///
/// A text file is one sheet without a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Workbook {
    /// The sheets.
    pub sheets: Vec<Grid>,
    /// What the reader saw.
    pub notes: Vec<Note>,
}

/// Reads a workbook or a text file with separators, told apart by their bytes.
///
/// # Errors
/// [`SheetError`] says what the file is or where it breaks, and what to do.
///
/// # Example
/// ```
/// use gradeworthy_sheets::read;
/// let workbook = read(b"car,b2b\nXMPL 1,14.38\n")?;
/// let row = workbook.sheets[0].row(1).expect("two rows");
/// assert_eq!(row.text(1), "14.38");
/// assert_eq!(row.place(1).to_string(), "line 2, field 2");
/// assert_eq!(
///     read(b"%PDF-1.7").unwrap_err().to_string(),
///     "this is a PDF document, which is not read here; \
///      hand in the sheet it was made from, as .xlsx or CSV"
/// );
/// # Ok::<(), gradeworthy_sheets::SheetError>(())
/// ```
pub fn read(bytes: &[u8]) -> Result<Workbook, SheetError> {
    match FileKind::of(bytes) {
        FileKind::Xlsx => {
            let (sheets, notes) = read_xlsx(bytes)?;
            Ok(Workbook { sheets, notes })
        }
        FileKind::Delimited => {
            let Delimited { grid, notes, .. } = read_delimited(bytes, DelimitedOptions::default())?;
            Ok(Workbook {
                sheets: vec![grid],
                notes,
            })
        }
        found => Err(SheetError::WrongKind { found }),
    }
}
