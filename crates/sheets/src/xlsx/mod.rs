//! Workbooks (.xlsx), from bytes to grids.
//!
//! `calamine` reads; before it does, `package` unpacks every part under a limit and refuses what
//! would make it count wrongly.
//! Then each sheet is read cell by cell (`sheet`) and its values become text (`value`).
//!
//! What is exposed of a cell's format: the number-format code of every formatted cell, and whether
//! it is a percentage, a fraction, a date or a span of time.
//! What is not: colours, fonts, comments, and rows or columns hidden by hand.
//! White space around a text is kept where the file marks it as meant, which writers do; otherwise
//! it is XML's own and dropped.

mod package;
mod sheet;
mod value;

pub(crate) use value::number_text;

use std::io::Cursor;

use calamine::{Reader, SheetType, SheetVisible, Xlsx, XlsxError};

use crate::{FileKind, Grid, Note, SheetError, limits};

/// A workbook opened by the library that reads it.
type Opened<'a> = Xlsx<Cursor<&'a [u8]>>;

/// Reads all sheets of a workbook, hidden ones too, in their order.
///
/// # Errors
/// [`SheetError`] for a file that is no workbook, is protected by a password, is damaged, has no
/// sheet of cells, or lies beyond the [`limits`].
pub fn read_xlsx(bytes: &[u8]) -> Result<(Vec<Grid>, Vec<Note>), SheetError> {
    if bytes.is_empty() {
        return Err(SheetError::Empty);
    }
    if bytes.len() > limits::FILE_BYTES_MAX {
        return Err(SheetError::FileTooLarge {
            bytes: bytes.len(),
            bytes_max: limits::FILE_BYTES_MAX,
        });
    }
    match FileKind::of(bytes) {
        FileKind::Xlsx => {}
        found => return Err(SheetError::WrongKind { found }),
    }
    let contents = package::check(bytes)?;
    let mut workbook: Opened<'_> = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let sheets = workbook.sheets_metadata().to_vec();
    let mut notes = Vec::new();
    let mut grids = Vec::new();
    let (mut cells_before, mut text_before) = (0, 0);
    for (index, listed) in sheets.iter().enumerate() {
        if sheets[..index]
            .iter()
            .any(|before| before.name == listed.name)
        {
            let detail = format!("two sheets are named '{}'", listed.name);
            return Err(SheetError::Damaged { detail });
        }
        if listed.typ != SheetType::WorkSheet {
            notes.push(Note::NotCells {
                sheet: listed.name.as_str().into(),
            });
            continue;
        }
        let hidden = listed.visible != SheetVisible::Visible;
        if hidden {
            notes.push(Note::HiddenSheet {
                sheet: listed.name.as_str().into(),
            });
        }
        let asked = sheet::Asked {
            name: &listed.name,
            hidden,
            contents,
            cells_before,
            text_before,
        };
        let grid = sheet::read(&mut workbook, asked, &mut notes)?;
        cells_before += grid.cell_count();
        text_before += grid.text_bytes();
        grids.push(grid);
    }
    if grids.is_empty() {
        return Err(SheetError::NoSheets);
    }
    Ok((grids, notes))
}

fn damaged(error: XlsxError) -> SheetError {
    match error {
        XlsxError::Password => SheetError::WrongKind {
            found: FileKind::EncryptedWorkbook,
        },
        other => SheetError::Damaged {
            detail: other.to_string(),
        },
    }
}
