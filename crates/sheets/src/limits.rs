//! The largest sheet that is taken, and why.
//!
//! A club's sheet has a few thousand rows; a file far beyond that is a mistake or a trap (a zip
//! archive of a few kilobytes can unpack to gigabytes).
//! Every limit stops with an error that names the place; nothing is cut off.

use crate::{Place, SheetError};

/// Largest file taken, in bytes.
///
/// ASSUMED: a sheet of [`ROWS_MAX`] rows with sixty short readings each is some 80 MB as CSV.
pub const FILE_BYTES_MAX: usize = 128 << 20;

/// Most bytes that the parts of a workbook may unpack to, all together.
///
/// ASSUMED: a cell takes about 40 bytes of XML, so this is roughly [`CELLS_MAX`] cells.
pub const UNPACKED_BYTES_MAX: u64 = 512 << 20;

/// Last row taken, counted as the user sees it.
///
/// ASSUMED: a hundred readings for each of two thousand cars, one a row.
pub const ROWS_MAX: u32 = 200_000;

/// Last column taken.
pub const COLUMNS_MAX: u32 = 1_000;

/// Most cells taken from one file, the gaps between filled cells of a row included.
pub const CELLS_MAX: usize = 10_000_000;

/// Longest text of one cell, in characters.
///
/// Source: [MS-EXCEL-LIMITS] 'Total number of characters that a cell can contain'.
pub const CELL_CHARS_MAX: usize = 32_767;

/// Most bytes of cell texts taken from one workbook.
///
/// A text stands in a workbook once, however many cells show it, so that a small file can hold a
/// great deal of text.
/// ASSUMED: a hundred bytes of text for each of a million cells, and twice that to spare.
pub const TEXT_BYTES_MAX: usize = 256 << 20;

/// Most formats, fonts, fills and borders taken, of each kind.
///
/// Source: [MS-EXCEL-LIMITS] 'Unique cell formats/cell styles' has 65,490; the file may list each
/// twice, as a style and as a cell's format.
pub const STYLES_MAX: usize = 2 * 65_490;

/// Refuses a text that no cell can hold.
pub(crate) fn check_text(text: &str, place: impl Fn() -> Place) -> Result<(), SheetError> {
    // Characters are never more than bytes, and most texts end here.
    if text.len() <= CELL_CHARS_MAX {
        return Ok(());
    }
    match text.chars().count() {
        chars if chars > CELL_CHARS_MAX => Err(SheetError::CellTooLong {
            place: place(),
            chars,
            chars_max: CELL_CHARS_MAX,
        }),
        _ => Ok(()),
    }
}
