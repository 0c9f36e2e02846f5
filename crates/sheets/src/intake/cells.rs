//! Reading single cells, and keeping the account of what was taken and refused.

use std::borrow::Cow;
use std::collections::HashMap;

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Dimension, Length, Reader, Typed, Unit};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{
    Answer, CarMark, Entry, Kind as MeasureKind, Measure, Place as CarPlace, Record, Value,
    plausible,
};
use jiff::civil::Date;

use super::matching::column_read;
use super::report::{Layout, Refusal, SheetReport};
use super::{Column, ColumnRead, Taking, record_of};
use crate::{Cell, Grid, HeaderGuess, Kind, MarkGuess, Place, Reason, guess_decimal_mark};

/// One sheet being taken.
pub(super) struct Ward<'a> {
    pub(super) taking: Taking<'a>,
    grid: &'a Grid,
    guess: MarkGuess,
    headings: Vec<String>,
    records: &'a mut Vec<Record>,
    by_mark: &'a mut HashMap<String, usize>,
    report: SheetReport,
}

/// A cell that could not be taken: what was expected instead.
pub(super) type Refused = String;

impl<'a> Ward<'a> {
    pub(super) fn new(
        grid: &'a Grid,
        taking: Taking<'a>,
        (records, by_mark): (&'a mut Vec<Record>, &'a mut HashMap<String, usize>),
    ) -> Self {
        let guess = guess_decimal_mark(grid);
        let mut report = SheetReport {
            name: grid.name().map(Into::into),
            ..Default::default()
        };
        if guess.points.cell_count > 0 && guess.commas.cell_count > 0 {
            report
                .notes
                .push(format!("both decimal marks stand on this sheet ({guess})"));
        }
        if grid.is_hidden() {
            report
                .notes
                .push("the workbook hides this sheet; it was read all the same".into());
        }
        Self {
            taking,
            grid,
            guess,
            headings: Vec::new(),
            records,
            by_mark,
            report,
        }
    }

    pub(super) fn begin(&mut self, layout: Layout, header: &HeaderGuess, columns: &[Column]) {
        self.report.layout = layout;
        // What every plain sheet shows is not worth a note; anything that had to be decided is.
        let plain = |reason: &&Reason| {
            matches!(
                reason,
                Reason::FirstRowOfTexts { .. } | Reason::NumbersBelow { .. }
            )
        };
        let decided: Vec<_> = header
            .reasons
            .iter()
            .filter(|reason| !(header.is_firm() && plain(reason)))
            .map(ToString::to_string)
            .collect();
        if !decided.is_empty() {
            self.report
                .notes
                .push(format!("headings: {}", decided.join("; ")));
        }
        self.headings = header
            .headings
            .iter()
            .map(|heading| heading.text.clone())
            .collect();
        let remarks = columns
            .iter()
            .zip(&self.headings)
            .filter(|(column, heading)| {
                matches!(column, Column::Remark) && !heading.trim().is_empty()
            });
        self.report.remarks = remarks.map(|(_, heading)| heading.clone()).collect();
    }

    /// Notes what each column is read as, those without heading and cells left out.
    pub(super) fn note_columns(&mut self, first: usize, columns: &[Column]) {
        let headings = self.headings.iter().zip(columns).enumerate();
        let read = headings
            .map(|(column, (heading, own))| column_read(self.grid, first, column, heading, own));
        let said = |own: &ColumnRead| !own.heading.is_empty() || !own.sample.is_empty();
        self.report.columns = read.filter(said).collect();
    }

    pub(super) fn finish(self) -> SheetReport {
        self.report
    }

    /// Refuses everything on the sheet.
    pub(super) fn refuse_sheet(&mut self, found: &str, expected: &str) {
        let rows = self.grid.rows().filter(|row| !row.is_blank()).count();
        self.report.rows_blank = self.grid.row_count() - rows;
        if rows == 0 {
            return;
        }
        self.report.rows_in = rows;
        self.report.rows_refused = rows;
        self.report.refusals.push(Refusal {
            place: self.grid.place(0, 0),
            heading: String::new(),
            found: found.to_owned(),
            expected: format!("{expected}; {rows} row(s) of this sheet were not read"),
            whole_row: true,
        });
    }

    pub(super) fn row_blank(&mut self) {
        self.report.rows_blank += 1;
    }

    pub(super) fn row_taken(&mut self) {
        self.report.rows_in += 1;
        self.report.rows_taken += 1;
    }

    /// Refuses a whole row for the sake of one cell.
    pub(super) fn row_refused(&mut self, place: Place, column: usize, found: &str, expected: &str) {
        self.report.rows_in += 1;
        self.report.rows_refused += 1;
        self.refuse(place, column, found, expected.to_owned(), true);
    }

    /// Refuses one cell.
    pub(super) fn cell_refused(&mut self, place: Place, column: usize, found: &str, why: Refused) {
        self.refuse(place, column, found, why, false);
    }

    fn refuse(&mut self, place: Place, column: usize, found: &str, expected: Refused, row: bool) {
        self.report.refusals.push(Refusal {
            place,
            heading: self.headings.get(column).cloned().unwrap_or_default(),
            found: found.trim().to_owned(),
            expected,
            whole_row: row,
        });
    }

    /// The record of a car, found or made, with a note when it stood on the sheet before.
    pub(super) fn record(&mut self, mark: &CarMark, scale: Scale, row: u32) -> &mut Record {
        let (record, new) = record_of(self.records, self.by_mark, mark, scale);
        if !new && self.report.layout == Layout::OneCar {
            self.report.notes.push(format!(
                "{mark} stands again in row {row}; its readings were added to the earlier ones"
            ));
        }
        record
    }

    pub(super) fn count_reading(&mut self) {
        self.report.readings += 1;
    }

    /// Reads a quantity.
    pub(super) fn quantity(
        &self,
        cell: Cell<'_>,
        dimension: Dimension,
        unit: Option<Unit>,
        scale: Scale,
    ) -> Result<Typed, Refused> {
        check_kind(cell)?;
        let bare = unit.unwrap_or_else(|| self.taking.book.bare.of(dimension));
        let mark = self.guess.mark_for(cell.kind);
        let reader = Reader::new(bare).with_ratio(scale.ratio()).with_mark(mark);
        let text = match (cell.kind, unit_in_format(cell.format, dimension)) {
            (Kind::Number | Kind::Fraction, Some(shown)) => {
                Cow::Owned(format!("{} {shown}", cell.text))
            }
            _ => Cow::Borrowed(cell.text),
        };
        reader.read(&text).map_err(|error| error.to_string())
    }

    /// Reads a length of the car.
    pub(super) fn length(
        &self,
        cell: Cell<'_>,
        unit: Option<Unit>,
        scale: Scale,
    ) -> Result<Length, Refused> {
        let typed = self.quantity(cell, Dimension::Length, unit, scale)?;
        match typed.amount {
            Amount::Length(length) if length > Length::ZERO => Ok(length),
            _ => Err("a length of more than nothing is wanted".to_owned()),
        }
    }

    /// Reads an entry.
    pub(super) fn entry(
        &self,
        cell: Cell<'_>,
        what: (Measure, CarPlace),
        unit: Option<Unit>,
        scale: Scale,
    ) -> Result<Entry, Refused> {
        let (measure, place) = what;
        check_axle(place)?;
        let value = match measure.kind() {
            MeasureKind::Answer => Value::Answer(answer(cell)?),
            MeasureKind::Quantity(dimension) => {
                let typed = self.quantity(cell, dimension, unit, scale)?;
                if let Some(gauge) = scale.gauge() {
                    plausible::check(measure, typed.amount, gauge)
                        .map_err(|error| error.to_string())?;
                }
                Value::Quantity(typed)
            }
        };
        Ok(Entry {
            measure,
            place,
            value,
            instrument: None,
            on: None,
        })
    }
}

/// Most axles that a car here has.
const AXLES_MAX: u8 = 6;

fn check_axle(place: CarPlace) -> Result<(), Refused> {
    match place {
        CarPlace::Axle(axle) | CarPlace::Station(axle, _) | CarPlace::Wheel(axle, _)
            if axle > AXLES_MAX =>
        {
            Err(format!(
                "axle {axle} is beyond the {AXLES_MAX} that a car can have here"
            ))
        }
        CarPlace::Station(_, station) if station > 3 => Err(format!(
            "place {station} round an axle: one, two or three are read"
        )),
        _ => Ok(()),
    }
}

/// Refuses cells that a spreadsheet has made something else of.
fn check_kind(cell: Cell<'_>) -> Result<(), Refused> {
    match cell.kind {
        Kind::Error => Err("the spreadsheet's own error; mend the formula".to_owned()),
        Kind::Date | Kind::Duration => Err(
            "the spreadsheet made a date or time of it (5/8 turns into a day); \
             format the cell as text and type it again"
                .to_owned(),
        ),
        Kind::Boolean => Err("a number with its unit is wanted".to_owned()),
        Kind::Empty | Kind::Text | Kind::Number | Kind::Percent | Kind::Fraction => Ok(()),
    }
}

fn answer(cell: Cell<'_>) -> Result<Answer, Refused> {
    let text = match (cell.kind, cell.text) {
        (Kind::Error, _) => return check_kind(cell).map(|()| Answer::Good),
        (Kind::Boolean, "TRUE") => "yes",
        (Kind::Boolean, "FALSE") => "no",
        (_, text) => text,
    };
    Answer::from_spelling(text).ok_or_else(|| format!("one of {}", Answer::spellings()))
}

/// The unit that a number format shows after the number, as in `0.00" mm"`.
fn unit_in_format(format: Option<&str>, dimension: Dimension) -> Option<&'static str> {
    let inside = format?.split('"').nth(1)?;
    let unit = Unit::from_spelling(inside).filter(|unit| unit.dimension() == dimension)?;
    Some(unit.symbol())
}

/// A day as `2026-11-25`.
pub(super) fn day(cell: Cell<'_>) -> Result<Date, Refused> {
    let text = cell.text.trim();
    let date = text.get(..10).unwrap_or(text);
    date.parse()
        .map_err(|_| "a day such as 2026-11-25 is wanted".to_owned())
}

/// Cures that were carried out, separated by semicolons.
pub(super) fn cures(text: &str) -> Result<Vec<CureKind>, Refused> {
    text.split(';')
        .map(str::trim)
        .filter(|name| !name.is_empty())
        .map(|name| CureKind::from_name(name).ok_or_else(|| unknown_cure(name)))
        .collect()
}

fn unknown_cure(name: &str) -> Refused {
    let known: Vec<_> = CureKind::ALL.iter().map(|cure| cure.name()).collect();
    format!("'{name}' is no cure; one of {}", known.join(", "))
}
