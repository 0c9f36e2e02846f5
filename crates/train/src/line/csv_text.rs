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
    let text = text.trim_start_matches('\u{feff}');
    let mut lines = Lines::of(text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let (mut rows, mut errors, mut columns) = (Vec::new(), Vec::new(), None::<Vec<String>>);
    for row in reader.records() {
        match row {
            Ok(row) => {
                let line = row.position().map_or(0, |own| lines.at(own));
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
                let line = error.position().map_or(1, |own| lines.at(own));
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

/// Lines of a text as an editor counts them, asked for from the top downwards.
///
/// The reader's own count is not this one: it takes a row to begin ahead of empty lines and, where lines
/// end in two characters as a page's form sends them, ahead of the second of these.
struct Lines<'a> {
    text: &'a [u8],
    counted: usize,
    line: usize,
}

impl<'a> Lines<'a> {
    const fn of(text: &'a str) -> Self {
        Self {
            text: text.as_bytes(),
            counted: 0,
            line: 1,
        }
    }

    /// The line on which the row begins, from 1.
    fn at(&mut self, position: &csv::Position) -> usize {
        let byte = usize::try_from(position.byte()).unwrap_or(usize::MAX);
        let is_end = |at: &usize| matches!(self.text.get(*at), Some(b'\r' | b'\n'));
        let start = (byte..self.text.len()).find(|at| !is_end(at));
        let start = start.unwrap_or(self.text.len());
        let ends = (self.counted..start).filter(|at| match self.text[*at] {
            b'\n' => true,
            b'\r' => self.text.get(at + 1) != Some(&b'\n'),
            _ => false,
        });
        self.line += ends.count();
        self.counted = self.counted.max(start);
        self.line
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_told_by_its_line_however_lines_end_and_whatever_is_empty_between() {
        for text in [
            "a,b\n1,2\n3,4\n",
            "a,b\r\n1,2\r\n3,4\r\n",
            "a,b\r1,2\r3,4\r",
            "\u{feff}a,b\r\n1,2\r\n3,4",
        ] {
            let lines: Vec<usize> = table(text).0.iter().map(|own| own.line).collect();
            assert_eq!(lines, [2, 3], "{text:?}");
        }
        let lines =
            |text: &str| -> Vec<usize> { table(text).0.iter().map(|own| own.line).collect() };
        assert_eq!(lines("a,b\r\n\r\n1,2\r\n\r\n\r\n3,4\r\n"), [3, 6]);
        assert_eq!(lines("a,b\n\"1\nx\",2\n3,4\n"), [2, 4]);
    }
}
