//! What stops a sheet from being read or written.

use crate::{FileKind, Place};

/// Why a sheet could not be read or written; nothing of it was taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// No bytes, or nothing but white space.
    #[error("the file is empty; hand in a sheet with at least one row")]
    Empty,
    /// Not a sheet that is read here.
    #[error("this is {found}, which is not read here; {}", found.advice())]
    WrongKind {
        /// What it is.
        found: FileKind,
    },
    /// A file beyond the limit.
    #[error("the file has {bytes} bytes, more than the {bytes_max} taken; split it")]
    FileTooLarge {
        /// Its size.
        bytes: usize,
        /// The limit.
        bytes_max: usize,
    },
    /// A workbook that unpacks beyond the limit.
    #[error(
        "the workbook unpacks to more than {bytes_max} bytes (at its part '{part}'); \
         save only the sheets that are needed and try again"
    )]
    UnpacksTooLarge {
        /// The part at which the limit was passed.
        part: String,
        /// The limit.
        bytes_max: u64,
    },
    /// A row beyond the limit.
    #[error("{place} lies beyond row {rows_max}, the last that is taken; split the sheet")]
    TooManyRows {
        /// The first place beyond.
        place: Place,
        /// The limit.
        rows_max: u32,
    },
    /// A column beyond the limit.
    #[error(
        "{place} lies beyond column {columns_max}, the last that is taken; \
         delete what stands there, or check the separator"
    )]
    TooManyColumns {
        /// The first place beyond.
        place: Place,
        /// The limit.
        columns_max: u32,
    },
    /// More cells than the limit.
    #[error("with {place} the file has more than {cells_max} cells; split it")]
    TooManyCells {
        /// Where the limit was passed.
        place: Place,
        /// The limit.
        cells_max: usize,
    },
    /// A text beyond the limit.
    #[error(
        "the text at {place} has {chars} characters, more than the {chars_max} a cell can hold; \
         a quotation mark may be missing before it"
    )]
    CellTooLong {
        /// Where it stands.
        place: Place,
        /// Its length.
        chars: usize,
        /// The limit.
        chars_max: usize,
    },
    /// More text than the limit.
    #[error("with {place} the workbook has more than {bytes_max} bytes of text; split it")]
    TooMuchText {
        /// Where the limit was passed.
        place: Place,
        /// The limit.
        bytes_max: usize,
    },
    /// A zero byte in a text file.
    #[error(
        "line {line}, character {column} is a zero byte, which no text has; \
         the file is binary, damaged, or in UTF-16 without a mark: save it as CSV in UTF-8"
    )]
    ZeroByte {
        /// Line from 1.
        line: u32,
        /// Character of the line from 1.
        column: u32,
    },
    /// Bytes that the encoding named by the file's mark does not allow.
    #[error(
        "the file is marked as {encoding}, but line {line}, character {column} is not; \
         save it as CSV in UTF-8 again"
    )]
    BadEncoding {
        /// The encoding that the mark names.
        encoding: &'static str,
        /// Line from 1.
        line: u32,
        /// Character of the line from 1.
        column: u32,
    },
    /// A quotation mark that is never closed.
    #[error(
        "the quotation mark that opens {place} is never closed; close it, \
         or write an inch mark inside a text as \"\" or as in"
    )]
    UnclosedQuote {
        /// The field that it opens.
        place: Place,
    },
    /// A separator that cannot separate.
    #[error(
        "{} cannot separate fields; use a comma, a semicolon, a tab or a bar",
        char::from(*found).escape_default()
    )]
    BadDelimiter {
        /// What was asked for.
        found: u8,
    },
    /// A workbook that cannot be read.
    #[error(
        "the workbook is damaged ({detail}); \
         open it in a spreadsheet program, save it again and try that file"
    )]
    Damaged {
        /// What was found.
        detail: String,
    },
    /// A workbook with nothing but charts.
    #[error("the workbook has no sheet of cells; hand in one that has")]
    NoSheets,
    /// NaN or infinity to be written.
    #[error("the number at {place} is {value}, which no sheet can hold; leave the cell empty")]
    NotFinite {
        /// Where it would stand.
        place: Place,
        /// Its text.
        value: String,
    },
    /// A row with more cells than headings.
    #[error("{place} has no heading; give the table a heading for every column")]
    NoHeading {
        /// The first cell without a heading.
        place: Place,
    },
    /// A zero byte to be written.
    #[error("the text at {place} has a zero byte, which no sheet can hold; take it out")]
    ZeroByteInText {
        /// Where it would stand.
        place: Place,
    },
    /// A table without headings.
    #[error("the table has no headings; give it at least one")]
    NoHeadings,
    /// What the workbook writer refused.
    #[error("the workbook cannot be written: {detail}")]
    Unwritable {
        /// What the writer says.
        detail: String,
    },
}
