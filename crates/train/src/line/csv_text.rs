//! The flat form of a line: one table, one row for each section, for any spreadsheet.
//!
//! The first column is `section`; the other columns are the keys of the line file, and a cell is
//! empty where its row does not use it.

use super::design::LineDesign;
use super::error::{LineFileError, LineFileErrors};
use super::interpret::interpret;
use super::record::{Field, Record, Section};
use super::write::records;

const SECTION: &str = "section";

/// Reads the flat form of a line.
///
/// # Errors
/// [`LineFileErrors`], as for the line file; the key is the column.
pub fn read_csv(text: &str) -> Result<LineDesign, LineFileErrors> {
    let (rows, mut errors) = table(text);
    let mut records = Vec::new();
    for row in rows {
        let word = row.cells.iter().find(|cell| cell.key == SECTION);
        match Section::named(word.map_or("", |cell| &cell.text), row.line) {
            Ok(section) => {
                let fields = row
                    .cells
                    .into_iter()
                    .filter(|cell| cell.key != SECTION)
                    .collect();
                records.push(Record {
                    section,
                    line: row.line,
                    fields,
                });
            }
            Err(error) => errors.push(error),
        }
    }
    interpret(&records, errors)
}

/// A row of a table with a heading: its cells that are not empty.
pub(crate) struct Row {
    /// Counted from 1.
    pub(crate) line: usize,
    /// Column, text and line.
    pub(crate) cells: Vec<Field>,
}

/// The rows of a table whose first row names the columns, and what is wrong with it.
pub(crate) fn table(text: &str) -> (Vec<Row>, Vec<LineFileError>) {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let (mut rows, mut errors, mut columns) = (Vec::new(), Vec::new(), None::<Vec<String>>);
    for row in reader.records() {
        match row {
            Ok(row) => {
                let line = row.position().map_or(0, line_of);
                let cells = row.iter().map(str::to_owned).collect::<Vec<_>>();
                match &columns {
                    None => columns = Some(cells),
                    Some(columns) => match read_row(columns, &cells, line) {
                        Ok(row) => rows.extend(row),
                        Err(error) => errors.push(error),
                    },
                }
            }
            Err(error) => {
                let line = error.position().map_or(1, line_of);
                errors.push(LineFileError::Syntax {
                    line,
                    found: error.to_string(),
                });
            }
        }
    }
    (rows, errors)
}

/// Writes the flat form of a line, which reads back as the same design.
#[must_use]
pub fn write_csv(design: &LineDesign) -> String {
    let columns = columns();
    let mut text = columns.join(",") + "\n";
    for record in records(design) {
        let cell = |column: &&str| match *column {
            SECTION => record.section.word().to_owned(),
            key => quoted(record.text(key).unwrap_or_default()),
        };
        text += &(columns.iter().map(cell).collect::<Vec<_>>().join(",") + "\n");
    }
    text
}

/// Every key once, in the order of the sections.
fn columns() -> Vec<&'static str> {
    let mut columns = vec![SECTION];
    for key in Section::ALL.iter().flat_map(|section| section.keys()) {
        if !columns.contains(key) {
            columns.push(key);
        }
    }
    columns
}

pub(crate) fn quoted(cell: &str) -> String {
    let plain = !cell.contains([',', '"', '\n', '\r']) && cell.trim() == cell;
    if plain {
        cell.to_owned()
    } else {
        format!("\"{}\"", cell.replace('"', "\"\""))
    }
}

fn line_of(position: &csv::Position) -> usize {
    usize::try_from(position.line()).unwrap_or(usize::MAX)
}

/// A row; nothing for one whose cells are all empty.
fn read_row(
    columns: &[String],
    cells: &[String],
    line: usize,
) -> Result<Option<Row>, LineFileError> {
    if let Some(extra) = cells
        .iter()
        .skip(columns.len())
        .find(|cell| !cell.is_empty())
    {
        return Err(LineFileError::NotAChoice {
            line,
            key: format!("column {}", columns.len() + 1),
            found: extra.clone(),
            expected: "no cell beyond the named columns".to_owned(),
        });
    }
    let filled = columns
        .iter()
        .zip(cells)
        .filter(|(_, cell)| !cell.is_empty());
    let field = |(key, text): (&String, &String)| Field {
        key: key.clone(),
        text: text.clone(),
        line,
    };
    let cells: Vec<_> = filled.map(field).collect();
    Ok((!cells.is_empty()).then_some(Row { line, cells }))
}
