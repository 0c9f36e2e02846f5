//! Text files with separators (CSV and its kin), from bytes to a grid.
//!
//! The bytes become text (`decode`), the separator is found unless it is told (`separator`), and
//! the rows are split (`records`) as [RFC-4180] describes: a field may stand in quotation marks,
//! may then hold separators and line ends, and doubles a mark to mean one.
//! Beyond that rule, any of CRLF, LF and CR ends a row, rows may differ in length, and blank lines
//! are kept as rows without cells.

mod decode;
mod records;
mod separator;

pub use decode::Encoding;
pub use separator::Separator;

pub(crate) use separator::separator_line;

use crate::{FileKind, Grid, Note, SheetError, limits};

/// What the user knows better than the file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DelimitedOptions {
    /// The separator; found from the file when not told.
    pub separator: Option<Separator>,
}

/// A text file read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Delimited {
    /// Its rows.
    pub grid: Grid,
    /// How the bytes became text.
    pub encoding: Encoding,
    /// What separates the fields.
    pub separator: Separator,
    /// What the user should know.
    pub notes: Vec<Note>,
}

/// Reads a text file with separators.
///
/// # Errors
/// [`SheetError`] for an empty, binary or wrongly encoded file, for a quotation mark that is never
/// closed, and beyond the [`limits`].
///
/// # Example
/// ```
/// use gradeworthy_sheets::{DelimitedOptions, Separator, read_delimited};
/// let read = read_delimited(b"car;b2b\n1;14,38\n", DelimitedOptions::default())?;
/// assert_eq!(read.separator, Separator::Semicolon);
/// assert_eq!(read.grid.row(1).expect("two rows").text(1), "14,38");
/// # Ok::<(), gradeworthy_sheets::SheetError>(())
/// ```
pub fn read_delimited(bytes: &[u8], options: DelimitedOptions) -> Result<Delimited, SheetError> {
    if bytes.len() > limits::FILE_BYTES_MAX {
        return Err(SheetError::FileTooLarge {
            bytes: bytes.len(),
            bytes_max: limits::FILE_BYTES_MAX,
        });
    }
    match FileKind::of(bytes) {
        FileKind::Delimited => {}
        found => return Err(SheetError::WrongKind { found }),
    }
    let mut notes = Vec::new();
    let (text, encoding) = decode::decode(bytes, &mut notes)?;
    if text.trim().is_empty() {
        return Err(SheetError::Empty);
    }
    let (named, body) = separator_line(&text);
    let first_line = u32::from(named.is_some()) + 1;
    if let Some(separator) = named {
        notes.push(Note::SeparatorLine { separator });
    }
    let separator = match options.separator.or(named) {
        Some(separator) => separator,
        None => separator::find(body, &mut notes),
    };
    let grid = records::split(body, separator, first_line, &mut notes)?;
    Ok(Delimited {
        grid,
        encoding,
        separator,
        notes,
    })
}
