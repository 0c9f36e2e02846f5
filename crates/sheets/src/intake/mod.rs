//! From the grid of a sheet to the records of its cars.
//!
//! Two layouts are read: one row a car, with a column for each reading, and one row a reading, with
//! columns for car, what, where and reading. Which one it is, is told by the headings.
//! Every refused cell is listed with its place, what was found and what was expected; every other
//! cell is taken. Rows are counted: those in are those taken and those refused, and none vanishes.

mod cells;
mod heading;
mod matching;
mod one_car;
mod one_reading;
mod report;

pub use heading::{Column, Fact, Part};
pub use matching::{ColumnRead, Matching, known_headings};
pub use report::{Intake, Layout, Refusal, SheetReport};

use gradeworthy_standards::Scale;
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;

use crate::{Grid, Workbook, find_header};

use cells::Ward;

/// How to take a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Taking<'a> {
    /// The rule book, for units of bare numbers.
    pub book: &'a RuleBook,
    /// The scale of cars whose sheet does not say.
    pub scale: Option<Scale>,
}

/// Takes every sheet of a workbook.
///
/// `progress` is told how many rows are done, of how many.
pub fn take(
    workbook: &Workbook,
    taking: Taking<'_>,
    progress: &mut dyn FnMut(usize, usize),
) -> Intake {
    take_matched(workbook, taking, &Matching::default(), progress)
}

/// Takes every sheet of a workbook, some columns read as a person said.
///
/// `progress` is told how many rows are done, of how many.
pub fn take_matched(
    workbook: &Workbook,
    taking: Taking<'_>,
    matching: &Matching,
    progress: &mut dyn FnMut(usize, usize),
) -> Intake {
    let rows_total = workbook.sheets.iter().map(Grid::row_count).sum();
    let mut intake = Intake::default();
    let mut rows_done = 0;
    for (sheet, grid) in workbook.sheets.iter().enumerate() {
        let mut ward = Ward::new(grid, taking, intake.records_mut());
        take_grid(grid, &mut ward, (sheet, matching), &mut |row| {
            progress(rows_done + row, rows_total)
        });
        let report = ward.finish();
        intake.sheets.push(report);
        rows_done += grid.row_count();
        progress(rows_done, rows_total);
    }
    intake
}

fn take_grid(
    grid: &Grid,
    ward: &mut Ward<'_>,
    (sheet, matching): (usize, &Matching),
    progress: &mut dyn FnMut(usize),
) {
    let header = find_header(grid);
    if header.headings.is_empty() {
        return ward.refuse_sheet("no row of headings", "a row of headings with 'Car' in it");
    }
    let headings = header.headings.iter();
    let columns: Vec<Column> = headings
        .map(|own| matching.column(sheet, own.column, &own.text))
        .collect();
    let layout = layout_of(&columns);
    ward.begin(layout, &header, &columns);
    let first = header.body_start();
    ward.note_columns(first, &columns);
    match layout {
        Layout::Neither => {
            ward.refuse_sheet(
                "no heading names a car",
                "a column headed 'Car', or 'Marks' and 'Number'",
            );
        }
        Layout::OneCar => one_car::take(grid, first, &columns, ward, progress),
        Layout::OneReading => one_reading::take(grid, first, &columns, ward, progress),
    }
}

fn layout_of(columns: &[Column]) -> Layout {
    let has = |wanted: Fact| {
        columns
            .iter()
            .any(|column| matches!(column, Column::Fact { fact, .. } if *fact == wanted))
    };
    let part = |wanted: Part| columns.contains(&Column::Part(wanted));
    if !has(Fact::Car) && !has(Fact::Number) {
        Layout::Neither
    } else if part(Part::What) && part(Part::Reading) {
        Layout::OneReading
    } else {
        Layout::OneCar
    }
}

/// The record of the car named `mark`, found or made.
fn record_of<'a>(
    records: &'a mut Vec<Record>,
    by_mark: &mut std::collections::HashMap<String, usize>,
    mark: &gradeworthy_workbench::record::CarMark,
    scale: Scale,
) -> (&'a mut Record, bool) {
    let next = records.len();
    let index = *by_mark.entry(mark.as_str().to_owned()).or_insert(next);
    let new = index == next;
    if new {
        let car = gradeworthy_workbench::record::Car::new(mark.clone(), scale);
        records.push(Record::new(car));
    }
    (&mut records[index], new)
}
