//! Sheets with one row a reading: car, what, where, reading; perhaps unit, instrument and day.

use gradeworthy_standards::Scale;
use gradeworthy_units::Unit;
use gradeworthy_workbench::record::CarMark;
use jiff::civil::Date;

use super::cells::{Ward, cures, day};
use super::one_car::name_of;
use super::{Column, Fact, Part, heading};
use crate::{Cell, Grid, Row};

pub(super) fn take(
    grid: &Grid,
    first: usize,
    columns: &[Column],
    ward: &mut Ward<'_>,
    progress: &mut dyn FnMut(usize),
) {
    let at = Columns::find(columns);
    for (index, row) in grid.rows().enumerate().skip(first) {
        if row.is_blank() {
            ward.row_blank();
        } else if let Err((column, found, why)) = take_row(row, columns, &at, ward) {
            ward.row_refused(row.place(column), column, &found, &why);
        } else {
            ward.row_taken();
        }
        if index % 256 == 0 {
            progress(index);
        }
    }
}

struct Columns {
    what: usize,
    reading: usize,
    place: Option<usize>,
    unit: Option<usize>,
    instrument: Option<usize>,
    day: Option<usize>,
    scale: Option<usize>,
}

impl Columns {
    fn find(columns: &[Column]) -> Self {
        let part = |part| columns.iter().position(|own| *own == Column::Part(part));
        let fact = |wanted: Fact| {
            let is = |own: &Column| matches!(own, Column::Fact { fact, .. } if *fact == wanted);
            columns.iter().position(is)
        };
        Self {
            what: part(Part::What).unwrap_or(0),
            reading: part(Part::Reading).unwrap_or(0),
            place: part(Part::Place),
            unit: part(Part::Unit),
            instrument: part(Part::Instrument),
            day: fact(Fact::Day),
            scale: fact(Fact::Scale),
        }
    }
}

/// The column to blame, what stood there, and what was expected.
type Refusing = (usize, String, String);

fn take_row(
    row: Row<'_>,
    columns: &[Column],
    at: &Columns,
    ward: &mut Ward<'_>,
) -> Result<(), Refusing> {
    let text = |column: Option<usize>| column.map_or("", |column| row.text(column).trim());
    let (column, name) = name_of(row, columns);
    let mark = CarMark::new(&name).map_err(|error| (column, name.clone(), error.to_string()))?;
    let scale = scale(text(at.scale), at, ward)?;
    let (what, place) = (row.text(at.what).trim(), text(at.place));
    let reading = row.cell(at.reading).unwrap_or(EMPTY);
    let refuse = |column: usize, why: String| (column, row.text(column).to_owned(), why);
    if what.eq_ignore_ascii_case("done") {
        let done = cures(reading.text).map_err(|why| refuse(at.reading, why))?;
        let on = day_of(row, at)?;
        let record = ward.record(&mark, scale, row.number());
        done.into_iter().for_each(|cure| record.note_done(cure, on));
        return Ok(());
    }
    let read = heading::read_what_and_where(what, place).ok_or_else(|| {
        let why = "no reading of that name at that place; \
                   write it as on the bench, such as 'coupler height' at 'A'";
        (at.what, format!("{what} {place}"), why.to_owned())
    })?;
    let unit = unit(text(at.unit), at)?;
    let mut entry = ward
        .entry(reading, read, unit, scale)
        .map_err(|why| refuse(at.reading, why))?;
    entry.instrument = Some(text(at.instrument))
        .filter(|name| !name.is_empty())
        .map(Into::into);
    entry.on = day_of(row, at)?;
    ward.count_reading();
    ward.record(&mark, scale, row.number()).entries.push(entry);
    Ok(())
}

fn day_of(row: Row<'_>, at: &Columns) -> Result<Option<Date>, Refusing> {
    let filled = |column| row.cell(column).filter(|cell| !cell.text.trim().is_empty());
    let Some((column, cell)) = at.day.and_then(|column| Some((column, filled(column)?))) else {
        return Ok(None);
    };
    let day = day(cell).map_err(|why| (column, cell.text.to_owned(), why))?;
    Ok(Some(day))
}

const EMPTY: Cell<'static> = Cell {
    text: "",
    kind: crate::Kind::Empty,
    formula: false,
    covered: false,
    rounded: false,
    format: None,
};

fn scale(text: &str, at: &Columns, ward: &Ward<'_>) -> Result<Scale, Refusing> {
    let column = at.scale.unwrap_or(0);
    if text.is_empty() {
        let why = "the scale is wanted: a column headed 'Scale', or name it for the whole sheet";
        return ward
            .taking
            .scale
            .ok_or_else(|| (column, String::new(), why.to_owned()));
    }
    text.parse()
        .map_err(|error: gradeworthy_standards::StandardsError| {
            (column, text.to_owned(), error.to_string())
        })
}

fn unit(text: &str, at: &Columns) -> Result<Option<Unit>, Refusing> {
    if text.is_empty() {
        return Ok(None);
    }
    let unit = Unit::from_spelling(text);
    unit.map(Some).ok_or_else(|| {
        (
            at.unit.unwrap_or(0),
            text.to_owned(),
            "a unit such as in, mm, oz, g, °, %, s".to_owned(),
        )
    })
}
