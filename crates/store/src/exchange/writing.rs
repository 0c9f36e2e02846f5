//! The document written, row after row.

use std::io::{BufWriter, Write};

use rusqlite::Connection;
use rusqlite::types::ValueRef;
use serde::Serialize;
use serde::ser::{SerializeSeq, Serializer};

use super::{ExchangeError, FORMAT, columns, tables};
use crate::{Error, schema, sql};

pub(super) fn write(connection: &Connection, out: &mut dyn Write) -> Result<(), ExchangeError> {
    let mut out = BufWriter::with_capacity(1 << 16, out);
    write!(
        out,
        "{{\"format\":{},\"schema\":{},\"tables\":{{",
        json(FORMAT)?,
        schema::VERSION
    )?;
    for (index, table) in tables(connection)?.iter().enumerate() {
        if index > 0 {
            out.write_all(b",")?;
        }
        write_table(connection, table, &mut out)?;
    }
    out.write_all(b"}}\n")?;
    Ok(out.flush()?)
}

fn write_table(
    connection: &Connection,
    table: &str,
    out: &mut impl Write,
) -> Result<(), ExchangeError> {
    let columns = columns(connection, table)?;
    write!(
        out,
        "\n{}:{{\"columns\":{},\"rows\":[",
        json(table)?,
        json(&columns)?
    )?;
    let mut statement = connection
        .prepare(&sql::every_row(table, &columns))
        .map_err(Error::from)?;
    let mut rows = statement.query([]).map_err(Error::from)?;
    let mut first = true;
    while let Some(row) = rows.next().map_err(Error::from)? {
        let mut cells = Vec::with_capacity(columns.len());
        for column in 0..columns.len() {
            cells.push(Cell(row.get_ref(column).map_err(Error::from)?));
        }
        out.write_all(if first { b"\n" } else { b",\n" })?;
        first = false;
        serde_json::to_writer(&mut *out, &Row(&cells)).map_err(std::io::Error::from)?;
    }
    out.write_all(b"]}")?;
    Ok(())
}

fn json(value: &(impl Serialize + ?Sized)) -> Result<String, std::io::Error> {
    serde_json::to_string(value).map_err(std::io::Error::from)
}

struct Row<'a>(&'a [Cell<'a>]);

impl Serialize for Row<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut cells = serializer.serialize_seq(Some(self.0.len()))?;
        for cell in self.0 {
            cells.serialize_element(cell)?;
        }
        cells.end()
    }
}

struct Cell<'a>(ValueRef<'a>);

#[derive(Serialize)]
struct Bytes {
    hex: String,
}

impl Serialize for Cell<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0 {
            ValueRef::Null => serializer.serialize_none(),
            ValueRef::Integer(whole) => serializer.serialize_i64(whole),
            ValueRef::Real(real) => serializer.serialize_f64(real),
            ValueRef::Text(text) => serializer
                .serialize_str(std::str::from_utf8(text).map_err(serde::ser::Error::custom)?),
            ValueRef::Blob(bytes) => Bytes {
                hex: bytes.iter().map(|byte| format!("{byte:02x}")).collect(),
            }
            .serialize(serializer),
        }
    }
}
