//! One sheet of a workbook, cell by cell.

use std::ops::Range;

use calamine::{DataRef, Dimensions};

use super::package::Contents;
use super::{Opened, damaged, value};
use crate::grid::{GridBuilder, Merge};
use crate::{Grid, Kind, Note, Place, SheetError, limits};

/// Which sheet, and what is known of it.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub(super) name: &'a str,
    pub(super) hidden: bool,
    pub(super) contents: Contents,
    /// Cells already taken from sheets before this one.
    pub(super) cells_before: usize,
    /// Bytes of text already taken from them.
    pub(super) text_before: usize,
}

/// The filled cells of a sheet on their way into the grid; their texts stand in one string.
#[derive(Default)]
struct FilledCells {
    texts: String,
    cells: Vec<Filled>,
}

struct Filled {
    /// Row and column from 0.
    at: (u32, u32),
    text: Range<usize>,
    kind: Kind,
    formula: bool,
    rounded: bool,
    format: Option<u16>,
}

/// Reads one sheet.
pub(super) fn read(
    workbook: &mut Opened<'_>,
    asked: Asked<'_>,
    notes: &mut Vec<Note>,
) -> Result<Grid, SheetError> {
    let formulas = formulas(workbook, asked)?;
    let merges = if asked.contents.merges {
        workbook
            .merge_cells_by_sheet_name(asked.name)
            .map_err(damaged)?
    } else {
        Vec::new()
    };
    let mut builder = GridBuilder::new(Some(asked.name), asked.hidden);
    let mut filled = filled_cells(workbook, asked, &formulas, &mut builder)?;
    // A file may give its cells in any order; the format wants them in this one.
    if !filled.cells.is_sorted_by_key(|cell| cell.at) {
        filled.cells.sort_by_key(|cell| cell.at);
    }
    place_cells(&filled, &merges, asked, &mut builder)?;
    let grid = builder.finish();
    note_cells(&grid, notes);
    Ok(grid)
}

/// Whether each cell, in the order of the file, is a formula.
fn formulas(workbook: &mut Opened<'_>, asked: Asked<'_>) -> Result<Vec<bool>, SheetError> {
    let mut found = Vec::new();
    if !asked.contents.formulas {
        return Ok(found);
    }
    let mut reader = workbook
        .worksheet_cells_reader(asked.name)
        .map_err(damaged)?;
    while let Some(cell) = reader.next_cell_with_formula_metadata().map_err(damaged)? {
        found.push(cell.formula.is_some());
    }
    Ok(found)
}

fn filled_cells(
    workbook: &mut Opened<'_>,
    asked: Asked<'_>,
    formulas: &[bool],
    builder: &mut GridBuilder,
) -> Result<FilledCells, SheetError> {
    let mut reader = workbook
        .worksheet_cells_reader(asked.name)
        .map_err(damaged)?;
    let mut formats = Formats::default();
    let mut filled = FilledCells::default();
    let mut index = 0;
    while let Some((cell, style)) = reader.next_cell_with_style_id().map_err(damaged)? {
        let formula = formulas.get(index).copied().unwrap_or(false);
        index += 1;
        let data = cell.get_value();
        // A styled cell without a value holds nothing.
        if matches!(data, DataRef::Empty) && !formula {
            continue;
        }
        let at = cell.get_position();
        let code = reader.styles().get(style).and_then(format_code);
        let read = value::value(data, code);
        check(
            at,
            &read.text,
            filled.cells.len() + asked.cells_before,
            asked,
        )?;
        let start = filled.texts.len();
        if asked.text_before + start + read.text.len() > limits::TEXT_BYTES_MAX {
            return Err(SheetError::TooMuchText {
                place: place_of(at, asked),
                bytes_max: limits::TEXT_BYTES_MAX,
            });
        }
        filled.texts.push_str(&read.text);
        filled.cells.push(Filled {
            at,
            text: start..filled.texts.len(),
            kind: read.kind,
            formula,
            rounded: read.rounded,
            format: code.and_then(|code| formats.index(style, code)),
        });
    }
    builder.set_formats(formats.codes);
    Ok(filled)
}

/// Number-format codes in use, each once, and which style has which.
#[derive(Default)]
struct Formats {
    codes: Vec<Box<str>>,
    of_style: Vec<Option<u16>>,
}

impl Formats {
    fn index(&mut self, style: usize, code: &str) -> Option<u16> {
        if let Some(Some(index)) = self.of_style.get(style) {
            return Some(*index);
        }
        let position = self.codes.iter().position(|known| **known == *code);
        let position = position.unwrap_or_else(|| {
            self.codes.push(code.into());
            self.codes.len() - 1
        });
        let index = u16::try_from(position).ok()?;
        if self.of_style.len() <= style {
            self.of_style.resize(style + 1, None);
        }
        self.of_style[style] = Some(index);
        Some(index)
    }
}

fn format_code(style: &calamine::Style) -> Option<&str> {
    let code = style.number_format.as_ref()?.format_code.as_str();
    (code != "General").then_some(code)
}

fn place_of((row, column): (u32, u32), asked: Asked<'_>) -> Place {
    Place {
        sheet: Some(asked.name.into()),
        row: row.saturating_add(1),
        column: column.saturating_add(1),
    }
}

fn check(at: (u32, u32), text: &str, taken: usize, asked: Asked<'_>) -> Result<(), SheetError> {
    let place = || place_of(at, asked);
    if at.0 >= limits::ROWS_MAX {
        return Err(SheetError::TooManyRows {
            place: place(),
            rows_max: limits::ROWS_MAX,
        });
    }
    if at.1 >= limits::COLUMNS_MAX {
        return Err(SheetError::TooManyColumns {
            place: place(),
            columns_max: limits::COLUMNS_MAX,
        });
    }
    if taken >= limits::CELLS_MAX {
        return Err(SheetError::TooManyCells {
            place: place(),
            cells_max: limits::CELLS_MAX,
        });
    }
    limits::check_text(text, place)
}

/// Lays the filled cells out in rows, with empty cells between them, and covers the merged ones.
fn place_cells(
    filled: &FilledCells,
    merges: &[Dimensions],
    asked: Asked<'_>,
    builder: &mut GridBuilder,
) -> Result<(), SheetError> {
    let Some(last) = filled.cells.last() else {
        return Ok(());
    };
    let row_count = last.at.0 + 1;
    let column_count = filled
        .cells
        .iter()
        .map(|cell| cell.at.1 + 1)
        .max()
        .unwrap_or(0);
    let merges = clip(merges, row_count, column_count)?;
    let mut row_len_min = vec![0_u32; row_count as usize];
    for merge in &merges {
        for row in merge.start.0..=merge.end.0 {
            let len = &mut row_len_min[row as usize];
            *len = (*len).max(merge.end.1 + 1);
        }
    }
    let mut rest = filled.cells.as_slice();
    for (row, &len_min) in (0..row_count).zip(&row_len_min) {
        let end = rest
            .iter()
            .position(|cell| cell.at.0 != row)
            .unwrap_or(rest.len());
        let (cells, after) = rest.split_at(end);
        fill_row(cells, &filled.texts, (row, len_min), asked, builder)?;
        rest = after;
    }
    for merge in merges {
        builder.cover(Merge {
            rows: merge.start.0 as usize..=merge.end.0 as usize,
            columns: merge.start.1 as usize..=merge.end.1 as usize,
        });
    }
    Ok(())
}

fn fill_row(
    cells: &[Filled],
    texts: &str,
    (row, len_min): (u32, u32),
    asked: Asked<'_>,
    builder: &mut GridBuilder,
) -> Result<(), SheetError> {
    let len = cells.last().map_or(0, |cell| cell.at.1 + 1).max(len_min) as usize;
    let taken = asked.cells_before + builder.slot_count();
    if taken + len > limits::CELLS_MAX {
        return Err(SheetError::TooManyCells {
            place: place_of((row, 0), asked),
            cells_max: limits::CELLS_MAX,
        });
    }
    for cell in cells {
        let column = cell.at.1 as usize;
        if column < builder.row_len() {
            let detail = format!("the cell at {} stands twice", place_of(cell.at, asked));
            return Err(SheetError::Damaged { detail });
        }
        while builder.row_len() < column {
            builder.push("", Kind::Empty);
        }
        builder.push(&texts[cell.text.clone()], cell.kind);
        builder.mark_last(cell.formula, cell.rounded, cell.format);
    }
    while builder.row_len() < len {
        builder.push("", Kind::Empty);
    }
    builder.end_row(row + 1);
    Ok(())
}

/// Cuts the merged ranges to the rows and columns in use, in the order of reading, and refuses ranges
/// that overlap.
///
/// Ranges that do not overlap have no more cells together than the sheet has.
fn clip(
    merges: &[Dimensions],
    row_count: u32,
    column_count: u32,
) -> Result<Vec<Dimensions>, SheetError> {
    let mut clipped = Vec::new();
    let mut area = 0;
    for merge in merges {
        if merge.start.0 >= row_count || merge.start.1 >= column_count {
            continue;
        }
        let end = (
            merge.end.0.min(row_count - 1),
            merge.end.1.min(column_count - 1),
        );
        let rows = u64::from(end.0 - merge.start.0) + 1;
        area += rows * (u64::from(end.1 - merge.start.1) + 1);
        if area > u64::from(row_count) * u64::from(column_count) {
            let detail = "its merged cells overlap".to_owned();
            return Err(SheetError::Damaged { detail });
        }
        if merge.start != end {
            clipped.push(Dimensions {
                start: merge.start,
                end,
            });
        }
    }
    clipped.sort_by_key(|merge| merge.start);
    Ok(clipped)
}

/// A count of cells with the place and text of the first.
#[derive(Default)]
struct Tally {
    cell_count: usize,
    first: Option<(Place, Box<str>)>,
}

impl Tally {
    fn add(&mut self, text: &str, place: impl Fn() -> Place) {
        self.cell_count += 1;
        self.first.get_or_insert_with(|| (place(), text.into()));
    }
}

fn note_cells(grid: &Grid, notes: &mut Vec<Note>) {
    let [mut errors, mut missing, mut rounded, mut covered] = [(); 4].map(|()| Tally::default());
    for row in grid.rows() {
        for (column, cell) in row.cells().enumerate() {
            let place = || row.place(column);
            if cell.kind == Kind::Error {
                errors.add(cell.text, place);
            }
            if cell.formula && cell.kind == Kind::Empty {
                missing.add(cell.text, place);
            }
            if cell.rounded {
                rounded.add(cell.text, place);
            }
            if cell.covered && !cell.text.is_empty() {
                covered.add(cell.text, place);
            }
        }
    }
    if let Some((first, text)) = errors.first {
        notes.push(Note::ErrorCells {
            cell_count: errors.cell_count,
            first,
            text,
        });
    }
    if let Some((first, _)) = missing.first {
        notes.push(Note::FormulasWithoutValue {
            cell_count: missing.cell_count,
            first,
        });
    }
    if let Some((first, _)) = rounded.first {
        notes.push(Note::RoundedNumbers {
            cell_count: rounded.cell_count,
            first,
        });
    }
    if let Some((first, _)) = covered.first {
        notes.push(Note::CoveredText {
            cell_count: covered.cell_count,
            first,
        });
    }
}
