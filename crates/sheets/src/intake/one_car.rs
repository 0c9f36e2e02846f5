//! Sheets with one row a car.

use gradeworthy_standards::Scale;
use gradeworthy_units::{Length, Unit};
use gradeworthy_workbench::record::{Axles, Car, CarMark, CarType, Entry};
use jiff::civil::Date;

use super::cells::{Refused, Ward, cures, day};
use super::{Column, Fact};
use crate::{Cell, Grid, Place, Row};

pub(super) fn take(
    grid: &Grid,
    first: usize,
    columns: &[Column],
    ward: &mut Ward<'_>,
    progress: &mut dyn FnMut(usize),
) {
    for (index, row) in grid.rows().enumerate().skip(first) {
        if row.is_blank() {
            ward.row_blank();
        } else {
            take_row(row, columns, ward);
        }
        if index % 256 == 0 {
            progress(index);
        }
    }
}

fn take_row(row: Row<'_>, columns: &[Column], ward: &mut Ward<'_>) {
    let (mark, scale) = match (who(row, columns), scale(row, columns, ward)) {
        (Ok(mark), Ok(scale)) => (mark, scale),
        (Err(refusal), _) | (_, Err(refusal)) => {
            let Refusing {
                place,
                column,
                found,
                expected,
            } = refusal;
            return ward.row_refused(place, column, &found, &expected);
        }
    };
    ward.row_taken();
    let mut taken = Taken {
        facts: Vec::new(),
        entries: Vec::new(),
        day: None,
        done: Vec::new(),
    };
    for (column, heading) in columns.iter().enumerate() {
        let Some(cell) = row.cell(column).filter(|cell| !cell.text.trim().is_empty()) else {
            continue;
        };
        if let Err(why) = taken.take_cell(cell, heading, scale, ward) {
            ward.cell_refused(row.place(column), column, cell.text, why);
        }
    }
    taken.put_into(ward, &mark, scale, row.number());
}

/// A row that cannot be taken, with the cell that is to blame.
struct Refusing {
    place: Place,
    column: usize,
    found: String,
    expected: String,
}

fn find(columns: &[Column], wanted: Fact) -> Option<usize> {
    let is = |column: &Column| matches!(column, Column::Fact { fact, .. } if *fact == wanted);
    columns.iter().position(is)
}

/// Which car: from `Car`, or from `Marks` and `Number`.
pub(super) fn name_of(row: Row<'_>, columns: &[Column]) -> (usize, String) {
    if let Some(column) = find(columns, Fact::Car) {
        return (column, row.text(column).trim().to_owned());
    }
    let text = |fact| find(columns, fact).map_or("", |column| row.text(column).trim());
    let number = text(Fact::Number);
    let column = find(columns, Fact::Number).unwrap_or(0);
    if number.is_empty() {
        return (column, String::new());
    }
    (column, format!("{} {number}", text(Fact::Marks)))
}

fn who(row: Row<'_>, columns: &[Column]) -> Result<CarMark, Refusing> {
    let (column, name) = name_of(row, columns);
    CarMark::new(&name).map_err(|error| Refusing {
        place: row.place(column),
        column,
        found: name,
        expected: error.to_string(),
    })
}

fn scale(row: Row<'_>, columns: &[Column], ward: &Ward<'_>) -> Result<Scale, Refusing> {
    let column = find(columns, Fact::Scale);
    let text = column.map_or("", |column| row.text(column).trim());
    let refuse = |expected: String| Refusing {
        place: row.place(column.unwrap_or(0)),
        column: column.unwrap_or(0),
        found: text.to_owned(),
        expected,
    };
    if text.is_empty() {
        return ward.taking.scale.ok_or_else(|| {
            refuse(
                "the scale is wanted: a column headed 'Scale', or name it for the whole sheet"
                    .into(),
            )
        });
    }
    text.parse::<Scale>()
        .map_err(|error| refuse(error.to_string()))
}

/// Writes one fact into a car.
type Write = Box<dyn FnOnce(&mut Car)>;

/// What one row gave.
struct Taken {
    facts: Vec<Write>,
    entries: Vec<Entry>,
    day: Option<Date>,
    done: Vec<gradeworthy_workbench::cures::CureKind>,
}

impl Taken {
    fn take_cell(
        &mut self,
        cell: Cell<'_>,
        column: &Column,
        scale: Scale,
        ward: &mut Ward<'_>,
    ) -> Result<(), Refused> {
        match column {
            Column::Fact { fact, unit } => self.take_fact(cell, *fact, *unit, scale, ward),
            Column::Reading {
                measure,
                place,
                unit,
            } => {
                self.entries
                    .push(ward.entry(cell, (*measure, *place), *unit, scale)?);
                ward.count_reading();
                Ok(())
            }
            Column::Part(_) | Column::Remark => Ok(()),
        }
    }

    fn take_fact(
        &mut self,
        cell: Cell<'_>,
        fact: Fact,
        unit: Option<Unit>,
        scale: Scale,
        ward: &Ward<'_>,
    ) -> Result<(), Refused> {
        let text: Box<str> = cell.text.trim().into();
        match fact {
            Fact::Car | Fact::Marks | Fact::Number | Fact::Scale => {}
            Fact::CarType => self.set(move |car| car.car_type = Some(CarType::new(&text))),
            Fact::Owner => self.set(move |car| car.owner = Some(text)),
            Fact::Description => self.set(move |car| car.description = Some(text)),
            Fact::Tags => {
                let tags: Vec<Box<str>> = text
                    .split([';', ','])
                    .map(|tag| tag.trim().into())
                    .collect();
                self.set(move |car| car.tags = tags);
            }
            Fact::Axles => {
                let axles = text.parse().ok().and_then(Axles::from_count);
                let axles = axles.ok_or("2, 4 or 6 axles are wanted")?;
                self.set(move |car| car.figures.axles = axles);
            }
            Fact::WheelCode => {
                let digits: String = text.chars().filter(char::is_ascii_digit).collect();
                let code = digits.parse().ok().filter(|code| (40..400).contains(code));
                let code =
                    code.ok_or("a tread code in thousandths of an inch, such as 110, is wanted")?;
                self.set(move |car| car.figures.wheel_code = Some(code));
            }
            Fact::FrameMaterial => self.set(move |car| car.figures.frame_material = Some(text)),
            Fact::Washers(end) => {
                let washers = washers(cell, unit, scale, ward)?;
                self.set(move |car| car.figures.bolster_shims[end.index()] = washers);
            }
            Fact::Day => self.day = Some(day(cell)?),
            Fact::DoneSince => self.done = cures(&text)?,
            Fact::BodyLength
            | Fact::LengthOverCouplers
            | Fact::TruckCentres
            | Fact::TruckWheelbase
            | Fact::Overhang(_) => {
                let length = ward.length(cell, unit, scale)?;
                self.set(move |car| set_length(car, fact, length));
            }
        }
        Ok(())
    }

    fn set(&mut self, change: impl FnOnce(&mut Car) + 'static) {
        self.facts.push(Box::new(change));
    }

    fn put_into(self, ward: &mut Ward<'_>, mark: &CarMark, scale: Scale, row: u32) {
        let record = ward.record(mark, scale, row);
        for fact in self.facts {
            fact(&mut record.car);
        }
        let on = self.day;
        let dated = self.entries.into_iter().map(|entry| Entry { on, ..entry });
        record.entries.extend(dated);
        for cure in self.done {
            record.note_done(cure, None);
        }
    }
}

fn set_length(car: &mut Car, fact: Fact, length: Length) {
    let figures = &mut car.figures;
    match fact {
        Fact::BodyLength => figures.body_length = Some(length),
        Fact::LengthOverCouplers => figures.length_over_couplers = Some(length),
        Fact::TruckCentres => figures.truck_centres = Some(length),
        Fact::TruckWheelbase => figures.truck_wheelbase = Some(length),
        Fact::Overhang(end) => figures.overhang[end.index()] = Some(length),
        _ => {}
    }
}

/// `0.010 in + 0.015 in`, or one length.
fn washers(
    cell: Cell<'_>,
    unit: Option<Unit>,
    scale: Scale,
    ward: &Ward<'_>,
) -> Result<Vec<Length>, Refused> {
    cell.text
        .split('+')
        .map(|part| {
            ward.length(
                Cell {
                    text: part.trim(),
                    ..cell
                },
                unit,
                scale,
            )
        })
        .collect()
}
