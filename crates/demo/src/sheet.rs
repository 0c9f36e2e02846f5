//! A fleet as the sheet a club would keep: one row a car, readings as typed.

use std::collections::BTreeSet;
use std::fmt::Write;

use gradeworthy_workbench::record::{Measure, Place, Record, Value};

const FACTS: &[&str] = &[
    "Car",
    "Scale",
    "Type",
    "Owner",
    "Description",
    "Tags",
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
    "Date",
    "Done since",
];

/// `records` as a CSV sheet with commas, one row a car and a column for everything read on any.
#[must_use]
pub fn csv(records: &[Record]) -> String {
    let read: BTreeSet<(Measure, Place)> = records
        .iter()
        .flat_map(|record| {
            record
                .entries
                .iter()
                .map(|entry| (entry.measure, entry.place))
        })
        .collect();
    let headings = FACTS.iter().map(|fact| (*fact).to_owned());
    let headings = headings.chain(read.iter().map(|(measure, place)| match place {
        Place::Car => measure.to_string(),
        _ => format!("{measure}, {place}"),
    }));
    let mut text = row(headings);
    for record in records {
        let cells = facts(record).into_iter();
        text += &row(cells.chain(read.iter().map(|key| cell(record, *key))));
    }
    text
}

fn row(cells: impl Iterator<Item = String>) -> String {
    let quoted: Vec<_> = cells.map(|cell| quoted(&cell)).collect();
    quoted.join(",") + "\n"
}

fn quoted(cell: &str) -> String {
    if cell.contains([',', '"', '\n']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell.to_owned()
    }
}

fn facts(record: &Record) -> Vec<String> {
    let car = &record.car;
    let figures = &car.figures;
    let mm = |length: Option<gradeworthy_units::Length>| {
        length.map_or(String::new(), |length| format!("{:.1} mm", length.mm()))
    };
    let text = |text: &Option<Box<str>>| text.as_deref().unwrap_or_default().to_owned();
    let washers = |end: usize| {
        let each = figures.bolster_shims[end].iter();
        each.map(|washer| format!("{:.3} in", washer.inches()))
            .collect::<Vec<_>>()
            .join(" + ")
    };
    let day = record.entries.iter().filter_map(|entry| entry.on).max();
    let mut done = String::new();
    for one in &record.done {
        let comma = if done.is_empty() { "" } else { "; " };
        write!(done, "{comma}{}", one.cure).expect("a String takes everything");
    }
    vec![
        car.mark.to_string(),
        car.scale.to_string(),
        car.car_type
            .as_ref()
            .map_or(String::new(), |own| own.as_str().to_owned()),
        text(&car.owner),
        text(&car.description),
        car.tags.join("; "),
        mm(figures.body_length),
        mm(figures.length_over_couplers),
        mm(figures.truck_centres),
        mm(figures.truck_wheelbase),
        mm(figures.overhang[0]),
        mm(figures.overhang[1]),
        figures
            .wheel_code
            .map_or(String::new(), |code| code.to_string()),
        text(&figures.frame_material),
        washers(0),
        washers(1),
        day.map_or(String::new(), |day| day.to_string()),
        done,
    ]
}

fn cell(record: &Record, key: (Measure, Place)) -> String {
    let found = record
        .entries
        .iter()
        .rev()
        .find(|entry| (entry.measure, entry.place) == key);
    match found.map(|entry| &entry.value) {
        Some(Value::Quantity(typed)) => typed.text.to_string(),
        Some(Value::Answer(answer)) => answer.to_string(),
        None => String::new(),
    }
}
