//! Readings: exact amounts beside the very text that was typed.

use gradeworthy_units::Typed;
use gradeworthy_workbench::record::{Entry, Measure, Value};
use rusqlite::types::Value as Cell;
use rusqlite::{Connection, Row, params};

use super::{known, one};
use crate::{CarId, Error, Seq, spelling, sql};

struct ReadingRow {
    measure: String,
    place: String,
    answer: Option<String>,
    typed: Option<Box<str>>,
    unit: Option<String>,
    unit_was_typed: Option<bool>,
    amount: Cell,
    resolution: Cell,
    instrument: Option<Box<str>>,
    read_on: Option<String>,
}

impl From<&Entry> for ReadingRow {
    fn from(entry: &Entry) -> Self {
        let (answer, typed) = match &entry.value {
            Value::Answer(answer) => (Some(answer.to_string()), None),
            Value::Quantity(typed) => (None, Some(typed)),
        };
        Self {
            measure: entry.measure.name().to_owned(),
            place: spelling::place(entry.place),
            answer,
            typed: typed.map(|typed| typed.text.clone()),
            unit: typed.map(|typed| typed.unit.symbol().to_owned()),
            unit_was_typed: typed.map(|typed| typed.unit_was_typed),
            amount: typed.map_or(Cell::Null, |typed| spelling::amount(typed.amount)),
            resolution: typed.map_or(Cell::Null, |typed| spelling::amount(typed.resolution)),
            instrument: entry.instrument.clone(),
            read_on: entry.on.map(|on| on.to_string()),
        }
    }
}

pub(super) fn insert(
    connection: &Connection,
    seq: Seq,
    car: CarId,
    entry: &Entry,
) -> Result<(), Error> {
    let row = ReadingRow::from(entry);
    connection
        .prepare_cached(sql::INSERT_READING)?
        .execute(params![
            seq,
            car,
            row.measure,
            row.place,
            row.answer,
            row.typed,
            row.unit,
            row.unit_was_typed,
            row.amount,
            row.resolution,
            row.instrument,
            row.read_on,
        ])?;
    Ok(())
}

pub(crate) fn load(connection: &Connection, seq: Seq) -> Result<Entry, Error> {
    one(connection, sql::READING, seq, ReadingRow::read)?.into_entry(seq)
}

/// The readings of a car that were not struck, in their order.
pub(crate) fn of_car(connection: &Connection, car: CarId) -> Result<Vec<(Seq, Entry)>, Error> {
    let mut statement = connection.prepare_cached(sql::READINGS_OF_CAR)?;
    let rows = statement.query_map([car], |row| Ok((row.get(10)?, ReadingRow::read(row)?)))?;
    let mut readings = Vec::new();
    for row in rows {
        let (seq, row): (Seq, ReadingRow) = row?;
        readings.push((seq, row.into_entry(seq)?));
    }
    Ok(readings)
}

impl ReadingRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            measure: row.get(0)?,
            place: row.get(1)?,
            answer: row.get(2)?,
            typed: row.get(3)?,
            unit: row.get(4)?,
            unit_was_typed: row.get(5)?,
            amount: row.get(6)?,
            resolution: row.get(7)?,
            instrument: row.get(8)?,
            read_on: row.get(9)?,
        })
    }

    fn into_entry(self, seq: Seq) -> Result<Entry, Error> {
        let on = self
            .read_on
            .as_deref()
            .map(|text| known(text.parse().ok(), "reading", seq, text, "date"));
        Ok(Entry {
            measure: known(
                Measure::from_name(&self.measure),
                "reading",
                seq,
                &self.measure,
                "measure",
            )?,
            place: known(
                spelling::read_place(&self.place),
                "reading",
                seq,
                &self.place,
                "place",
            )?,
            value: self.value(seq)?,
            instrument: self.instrument,
            on: on.transpose()?,
        })
    }

    fn value(&self, seq: Seq) -> Result<Value, Error> {
        if let Some(answer) = &self.answer {
            let own = spelling::read_answer(answer);
            return known(own, "reading", seq, answer, "answer").map(Value::Answer);
        }
        let symbol = self.unit.as_deref().unwrap_or_default();
        let unit = known(spelling::read_unit(symbol), "reading", seq, symbol, "unit")?;
        let amount = |cell: &Cell| {
            let own = spelling::read_amount(unit.dimension(), cell);
            known(
                own,
                "reading",
                seq,
                format!("{cell:?}"),
                "amount of its unit's dimension",
            )
        };
        Ok(Value::Quantity(Typed {
            text: self.typed.clone().unwrap_or_default(),
            amount: amount(&self.amount)?,
            unit,
            unit_was_typed: self.unit_was_typed.unwrap_or_default(),
            resolution: amount(&self.resolution)?,
        }))
    }
}
