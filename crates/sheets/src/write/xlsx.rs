//! A table as a sheet of a workbook.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

use super::{Entry, Table};
use crate::SheetError;

/// Writes tables as the sheets of one workbook, in their order, headings bold and kept in view.
///
/// Texts are written as text: nothing in them is run as a formula.
/// Equal tables give equal bytes: the file's date of making is fixed, not taken from a clock.
///
/// # Errors
/// [`SheetError`] for no tables, a table without headings, a row longer than they are, a number
/// that is not finite, a text that is too long or holds a zero byte, and a sheet's name that a
/// workbook cannot have (empty, over 31 characters, used twice, or with one of `[]:*?/\`).
///
/// # Example
/// ```
/// use gradeworthy_sheets::{Entry, Table, read, write_xlsx};
/// let table = Table {
///     name: "Cars".into(),
///     headings: vec!["car".into(), "b2b".into()],
///     rows: vec![vec!["XMPL 1".into(), Entry::Decimals(14.3, 2)]],
/// };
/// let workbook = read(&write_xlsx(&[table])?)?;
/// let row = workbook.sheets[0].row(1).expect("two rows");
/// assert_eq!(row.text(1), "14.3");
/// assert_eq!(row.cell(1).expect("two cells").format, Some("0.00"));
/// # Ok::<(), gradeworthy_sheets::SheetError>(())
/// ```
pub fn write_xlsx(tables: &[Table]) -> Result<Vec<u8>, SheetError> {
    if tables.is_empty() {
        return Err(SheetError::NoSheets);
    }
    let mut workbook = Workbook::new();
    let made = ExcelDateTime::from_ymd(2000, 1, 1).map_err(unwritable)?;
    workbook.set_properties(&DocProperties::new().set_creation_datetime(&made));
    for table in tables {
        table.check(Some(&table.name))?;
        write_sheet(workbook.add_worksheet(), table).map_err(unwritable)?;
    }
    workbook.save_to_buffer().map_err(unwritable)
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "map_err hands the error over"
)]
fn unwritable(error: XlsxError) -> SheetError {
    SheetError::Unwritable {
        detail: error.to_string(),
    }
}

fn write_sheet(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    sheet.set_name(&table.name)?;
    sheet.set_freeze_panes(1, 0)?;
    let bold = Format::new().set_bold();
    for (column, heading) in table.headings.iter().enumerate() {
        sheet.write_string_with_format(0, number(column)?, heading, &bold)?;
    }
    for (index, entries) in table.rows.iter().enumerate() {
        let row = u32::try_from(index + 1).map_err(|_| XlsxError::RowColumnLimitError)?;
        for (column, entry) in entries.iter().enumerate() {
            write_entry(sheet, (row, number(column)?), entry)?;
        }
    }
    Ok(())
}

fn number(column: usize) -> Result<u16, XlsxError> {
    u16::try_from(column).map_err(|_| XlsxError::RowColumnLimitError)
}

fn write_entry(
    sheet: &mut Worksheet,
    (row, column): (u32, u16),
    entry: &Entry,
) -> Result<(), XlsxError> {
    match entry {
        Entry::Blank => {}
        Entry::Text(text) => {
            sheet.write_string(row, column, text)?;
        }
        Entry::Number(number) => {
            sheet.write_number(row, column, *number)?;
        }
        Entry::Decimals(number, places) => {
            let code = match places {
                0 => "0".to_owned(),
                places => format!("0.{}", "0".repeat(usize::from(*places).min(PLACES_MAX))),
            };
            let format = Format::new().set_num_format(code);
            sheet.write_number_with_format(row, column, *number, &format)?;
        }
    }
    Ok(())
}

/// Most decimals that a number format asks for.
///
/// ASSUMED: far beyond any reading; it only keeps the code short.
const PLACES_MAX: usize = 30;
