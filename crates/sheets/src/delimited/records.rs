//! From text to rows: fields, quotation marks, line numbers.
//!
//! `csv-core` does the splitting; the raw bytes of each field are looked at beside it, because the
//! splitter never objects: it takes a mark that is never closed to the end of the file, drops marks
//! from `"5"x`, and passes over blank lines.

use csv_core::{ReadFieldResult, Reader, ReaderBuilder};

use super::Separator;
use crate::grid::GridBuilder;
use crate::{Grid, Kind, Note, Place, SheetError, limits};

/// Splits a text, whose first line has the number `first_line`, into a grid.
pub(super) fn split(
    text: &str,
    separator: Separator,
    first_line: u32,
    notes: &mut Vec<Note>,
) -> Result<Grid, SheetError> {
    let mut splitter = Splitter {
        reader: ReaderBuilder::new().delimiter(separator.byte()).build(),
        separator: separator.byte(),
        // Unescaping never lengthens a field.
        output: vec![0; text.len().max(1)],
        builder: GridBuilder::new(None, false),
        line: first_line,
        row_line: first_line,
        stray_count: 0,
        stray_first: None,
    };
    splitter.run(text)?;
    if let Some(first) = splitter.stray_first {
        notes.push(Note::StrayQuotes {
            cell_count: splitter.stray_count,
            first,
        });
    }
    let grid = splitter.builder.finish();
    note_ragged(&grid, notes);
    Ok(grid)
}

struct Splitter {
    reader: Reader,
    separator: u8,
    output: Vec<u8>,
    builder: GridBuilder,
    /// The line on which the text not yet split begins.
    line: u32,
    /// The line on which the row being filled begins.
    row_line: u32,
    /// Fields that go on after their closing mark, and the first of them.
    stray_count: usize,
    stray_first: Option<Place>,
}

/// How a field uses quotation marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Quoting {
    None,
    Whole,
    /// Text goes on after the closing mark.
    Stray,
    Unclosed,
}

impl Splitter {
    fn run(&mut self, text: &str) -> Result<(), SheetError> {
        let mut rest = text;
        loop {
            if self.builder.row_len() == 0 {
                rest = self.take_blank_lines(rest)?;
            }
            let (result, read, written) = self.reader.read_field(rest.as_bytes(), &mut self.output);
            let ended = match result {
                ReadFieldResult::Field { record_end } => record_end,
                ReadFieldResult::End => return Ok(()),
                // The text ran out inside its last field: tell the reader so.
                ReadFieldResult::InputEmpty | ReadFieldResult::OutputFull => {
                    match self.reader.read_field(&[], &mut []) {
                        (ReadFieldResult::Field { record_end }, ..) => record_end,
                        _ => return Ok(()),
                    }
                }
            };
            let (raw, after) = rest.split_at(read);
            // A row that ends in CRLF has been read up to its CR.
            let after = match (ended && raw.ends_with('\r'), after.strip_prefix('\n')) {
                (true, Some(after)) => {
                    self.reader.read_field(b"\n", &mut self.output);
                    after
                }
                _ => after,
            };
            self.take_field(raw, written, ended)?;
            rest = after;
        }
    }

    /// Adds one field; `raw` is all of it in the file, with what ended it.
    fn take_field(&mut self, raw: &str, written: usize, ended: bool) -> Result<(), SheetError> {
        let field = without_end(raw, self.separator, ended);
        let text = match quoting(field) {
            Quoting::None => field,
            Quoting::Whole => std::str::from_utf8(&self.output[..written]).unwrap_or(field),
            Quoting::Stray => {
                self.stray_count += 1;
                self.stray_first.get_or_insert(self.place());
                field
            }
            Quoting::Unclosed => {
                return Err(SheetError::UnclosedQuote {
                    place: self.place(),
                });
            }
        };
        check_cell(
            text,
            self.builder.row_len(),
            self.builder.slot_count(),
            || self.place(),
        )?;
        let kind = if text.is_empty() {
            Kind::Empty
        } else {
            Kind::Text
        };
        self.builder.push(text, kind);
        self.line = self.line.saturating_add(line_ends(raw.as_bytes()));
        if ended {
            self.end_row()?;
            self.row_line = self.line;
        }
        Ok(())
    }

    /// Takes the blank lines before a row; they are rows without cells.
    fn take_blank_lines<'t>(&mut self, text: &'t str) -> Result<&'t str, SheetError> {
        let mut rest = text;
        while let Some(after) = rest
            .strip_prefix("\r\n")
            .or_else(|| rest.strip_prefix(['\r', '\n']))
        {
            self.end_row()?;
            self.line = self.line.saturating_add(1);
            self.row_line = self.line;
            rest = after;
        }
        Ok(rest)
    }

    fn end_row(&mut self) -> Result<(), SheetError> {
        if self.builder.row_count() >= limits::ROWS_MAX as usize {
            return Err(SheetError::TooManyRows {
                place: Place {
                    sheet: None,
                    row: self.row_line,
                    column: 1,
                },
                rows_max: limits::ROWS_MAX,
            });
        }
        self.builder.end_row(self.row_line);
        Ok(())
    }

    fn place(&self) -> Place {
        Place {
            sheet: None,
            row: self.row_line,
            column: u32::try_from(self.builder.row_len())
                .unwrap_or(u32::MAX)
                .saturating_add(1),
        }
    }
}

/// The field without the separator or line end after it.
fn without_end(raw: &str, separator: u8, ended: bool) -> &str {
    if ended {
        raw.strip_suffix(['\r', '\n']).unwrap_or(raw)
    } else {
        raw.strip_suffix(char::from(separator)).unwrap_or(raw)
    }
}

fn quoting(field: &str) -> Quoting {
    let Some(inside) = field.strip_prefix('"') else {
        return Quoting::None;
    };
    let mut rest = inside;
    while let Some(at) = memchr::memchr(b'"', rest.as_bytes()) {
        let after = &rest[at + 1..];
        match after.strip_prefix('"') {
            Some(doubled) => rest = doubled,
            None if after.is_empty() => return Quoting::Whole,
            None => return Quoting::Stray,
        }
    }
    Quoting::Unclosed
}

/// Refuses a cell beyond the limits; `row_len` and `slot_count` are without it.
fn check_cell(
    text: &str,
    row_len: usize,
    slot_count: usize,
    place: impl Fn() -> Place,
) -> Result<(), SheetError> {
    if row_len >= limits::COLUMNS_MAX as usize {
        return Err(SheetError::TooManyColumns {
            place: place(),
            columns_max: limits::COLUMNS_MAX,
        });
    }
    if slot_count >= limits::CELLS_MAX {
        return Err(SheetError::TooManyCells {
            place: place(),
            cells_max: limits::CELLS_MAX,
        });
    }
    limits::check_text(text, place)
}

/// How many line ends there are, CRLF counted once.
pub(super) fn line_ends(bytes: &[u8]) -> u32 {
    let count = memchr::memchr2_iter(b'\r', b'\n', bytes)
        .filter(|&at| bytes[at] == b'\r' || at == 0 || bytes[at - 1] != b'\r')
        .count();
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Notes the rows that are not as long as most; blank rows are no matter.
fn note_ragged(grid: &Grid, notes: &mut Vec<Note>) {
    let mut tally = vec![0_usize; grid.column_count() + 1];
    for row in grid.rows().filter(|row| !row.is_empty()) {
        tally[row.len()] += 1;
    }
    let Some(usual) = (0..tally.len()).max_by_key(|&len| (tally[len], len)) else {
        return;
    };
    let ragged = || {
        grid.rows()
            .filter(|row| !row.is_empty() && row.len() != usual)
    };
    if let Some(first) = ragged().next() {
        notes.push(Note::Ragged {
            row_count: ragged().count(),
            first: first.place(0),
            found: first.len(),
            usual,
        });
    }
}
