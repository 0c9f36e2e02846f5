//! Records written out as tables that [`crate::intake`] reads back: one of cars, one of readings.
//!
//! Amounts, units, steps, days and instruments come back exactly, and so do the figures of a car, whose
//! lengths are written in millimetres to the nanometre. Three things do not: a reading typed with a
//! decimal comma comes back with a point, a tag is split at a comma or semicolon in it, and two cars
//! with one number become one. JSON keeps those apart.

use gradeworthy_units::{Length, Typed};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{Entry as CarEntry, Record, Value};
use jiff::civil::Date;

use crate::{Entry, Table};

const CARS: [&str; 19] = [
    "Car",
    "Scale",
    "Type",
    "Owner",
    "Description",
    "Tags",
    "Axles",
    "Body length",
    "Length over couplers",
    "Truck centres",
    "Truck wheelbase",
    "Overhang A",
    "Overhang B",
    "Wheel code",
    "Frame material",
    "Washers A",
    "Washers B",
    "Readings",
    "Last read",
];

const READINGS: [&str; 8] = [
    "Car",
    "Scale",
    "What",
    "Where",
    "Reading",
    "Unit",
    "Instrument",
    "Date",
];

/// The cars, one a row. The last two columns are for people; they are read back as remarks.
pub fn cars<'a>(records: impl IntoIterator<Item = &'a Record>) -> Table {
    table("Cars", &CARS, records.into_iter().map(car))
}

/// Their readings and cures, one a row, in the order in which they were entered.
pub fn readings<'a>(records: impl IntoIterator<Item = &'a Record>) -> Table {
    table("Readings", &READINGS, records.into_iter().flat_map(of_car))
}

fn table<const N: usize>(
    name: &str,
    headings: &[&str; N],
    rows: impl Iterator<Item = [String; N]>,
) -> Table {
    let entry = |text: String| {
        if text.is_empty() {
            Entry::Blank
        } else {
            Entry::Text(text)
        }
    };
    Table {
        name: name.to_owned(),
        headings: headings.iter().map(|own| (*own).to_owned()).collect(),
        rows: rows
            .map(|row| row.into_iter().map(entry).collect())
            .collect(),
    }
}

fn car(record: &Record) -> [String; 19] {
    let (car, figures) = (&record.car, &record.car.figures);
    let text = |own: &Option<Box<str>>| own.as_deref().unwrap_or_default().to_owned();
    let length = |own: Option<Length>| own.map_or_else(String::new, millimetres);
    let washers = |end: usize| {
        let each: Vec<_> = figures.bolster_shims[end]
            .iter()
            .map(|own| millimetres(*own))
            .collect();
        each.join(" + ")
    };
    let last = record.entries.iter().filter_map(|entry| entry.on).max();
    [
        car.mark.to_string(),
        car.scale.name().to_owned(),
        car.car_type
            .as_ref()
            .map_or_else(String::new, |own| own.as_str().to_owned()),
        text(&car.owner),
        text(&car.description),
        car.tags.join(", "),
        figures.axles.count().to_string(),
        length(figures.body_length),
        length(figures.length_over_couplers),
        length(figures.truck_centres),
        length(figures.truck_wheelbase),
        length(figures.overhang[0]),
        length(figures.overhang[1]),
        figures
            .wheel_code
            .map_or_else(String::new, |own| own.to_string()),
        text(&figures.frame_material),
        washers(0),
        washers(1),
        record.entries.len().to_string(),
        day(last),
    ]
}

fn of_car(record: &Record) -> Vec<[String; 8]> {
    let mut rows = Vec::with_capacity(record.entries.len() + record.done.len());
    let mut done = record.done.iter().peekable();
    for index in 0..=record.entries.len() {
        while let Some(own) = done.next_if(|own| own.after_entries <= index) {
            rows.push(cure(record, own.cure, own.on));
        }
        if let Some(entry) = record.entries.get(index) {
            rows.push(reading(record, entry));
        }
    }
    rows
}

fn cure(record: &Record, cure: CureKind, on: Option<Date>) -> [String; 8] {
    [
        record.car.mark.to_string(),
        record.car.scale.name().to_owned(),
        "done".to_owned(),
        String::new(),
        cure.name().to_owned(),
        String::new(),
        String::new(),
        day(on),
    ]
}

fn reading(record: &Record, entry: &CarEntry) -> [String; 8] {
    let (text, unit) = match &entry.value {
        Value::Quantity(typed) => (with_point(typed), unit(typed)),
        Value::Answer(answer) => (answer.to_string(), String::new()),
    };
    [
        record.car.mark.to_string(),
        record.car.scale.name().to_owned(),
        entry.measure.name().to_owned(),
        entry.place.to_string(),
        text,
        unit,
        entry.instrument.as_deref().unwrap_or_default().to_owned(),
        day(entry.on),
    ]
}

/// What was typed, with a decimal point: two marks on one sheet would make each other doubtful.
fn with_point(typed: &Typed) -> String {
    typed.text.replace(',', ".")
}

/// The unit of a bare number; one that was typed stands in the text.
fn unit(typed: &Typed) -> String {
    if typed.unit_was_typed {
        String::new()
    } else {
        typed.unit.symbol().to_owned()
    }
}

fn day(on: Option<Date>) -> String {
    on.map_or_else(String::new, |on| on.to_string())
}

/// A length in millimetres, every nanometre of it.
fn millimetres(length: Length) -> String {
    const PER_MM: u64 = 1_000_000;
    let (sign, size) = match length.nanometres() {
        own if own < 0 => ("-", own.unsigned_abs()),
        own => ("", own.unsigned_abs()),
    };
    let digits = format!("{sign}{}.{:06}", size / PER_MM, size % PER_MM);
    format!("{} mm", digits.trim_end_matches('0').trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_written_to_the_nanometre() {
        let written = |nanometres| millimetres(Length::from_nanometres(nanometres));
        assert_eq!(written(14_376_400), "14.3764 mm");
        assert_eq!(written(254_000_000), "254 mm");
        assert_eq!(written(1), "0.000001 mm");
        assert_eq!(written(-500_000), "-0.5 mm");
    }
}
