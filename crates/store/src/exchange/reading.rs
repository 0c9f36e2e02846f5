//! A document read into a fresh file, row after row, in one transaction.

use std::fmt;
use std::io::{BufReader, Read};

use rusqlite::types::Value;
use rusqlite::{Connection, Statement, params_from_iter};
use serde::de::{DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};

use super::{ExchangeError, FORMAT, columns, tables};
use crate::{Error, schema, sql};

/// Reads `input` into an empty file: its schema as the document says, and its rows.
pub(super) fn read(connection: &mut Connection, input: impl Read) -> Result<(), ExchangeError> {
    let mut failure = None;
    let mut document = serde_json::Deserializer::from_reader(BufReader::new(input));
    let read = Document {
        connection,
        failure: &mut failure,
    }
    .deserialize(&mut document)
    .and_then(|()| document.end());
    match (read, failure) {
        (Ok(()), _) => Ok(()),
        (Err(_), Some(failure)) => Err(failure),
        (Err(error), None) if error.is_io() => Err(ExchangeError::Io(error.into())),
        (Err(error), None) => {
            let said = error.to_string();
            let found = said.split(" at line ").next().unwrap_or_default();
            Err(ExchangeError::NotADocument {
                line: error.line(),
                column: error.column(),
                found: found.to_owned(),
            })
        }
    }
}

/// The document itself. What the record refused is kept beside the reader's own error.
struct Document<'a> {
    connection: &'a mut Connection,
    failure: &'a mut Option<ExchangeError>,
}

impl<'de> DeserializeSeed<'de> for Document<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Document<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object with 'format', 'schema' and 'tables', in this order")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        key(&mut map, "format")?;
        let format: String = map.next_value()?;
        if format != FORMAT {
            return Err(A::Error::custom(format!(
                "the format is '{format}', not '{FORMAT}'"
            )));
        }
        key(&mut map, "schema")?;
        let found: u32 = map.next_value()?;
        if found > schema::VERSION {
            *self.failure = Some(ExchangeError::Newer {
                found,
                known: schema::VERSION,
            });
            return Err(A::Error::custom("a newer document"));
        }
        if found == 0 {
            return Err(A::Error::custom("the schema is 0; the first one is 1"));
        }
        let refuse = |error: Error, failure: &mut Option<ExchangeError>| {
            *failure = Some(error.into());
            A::Error::custom("the record refused it")
        };
        let (connection, failure) = (self.connection, self.failure);
        schema::migrate_to(connection, found).map_err(|error| refuse(error, failure))?;
        let begun = connection
            .execute_batch(sql::BEGIN_IMMEDIATE)
            .and_then(|()| connection.execute_batch(sql::DEFER_FOREIGN_KEYS));
        begun.map_err(|error| refuse(error.into(), failure))?;
        key(&mut map, "tables")?;
        map.next_value_seed(Tables {
            connection,
            failure,
        })?;
        let done = connection.execute_batch(sql::COMMIT);
        done.map_err(|error| refuse(error.into(), failure))?;
        match map.next_key::<String>()? {
            None => Ok(()),
            Some(more) => Err(A::Error::custom(format!("'{more}' after the tables"))),
        }
    }
}

fn key<'de, A: MapAccess<'de>>(map: &mut A, expected: &'static str) -> Result<(), A::Error> {
    match map.next_key::<String>()? {
        Some(found) if found == expected => Ok(()),
        Some(found) => Err(A::Error::custom(format!(
            "'{found}' stands where '{expected}' should"
        ))),
        None => Err(A::Error::missing_field(expected)),
    }
}

struct Tables<'a> {
    connection: &'a Connection,
    failure: &'a mut Option<ExchangeError>,
}

impl<'de> DeserializeSeed<'de> for Tables<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Tables<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object of tables")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let refuse = |error: Error| A::Error::custom(error);
        let known = tables(self.connection).map_err(refuse)?;
        while let Some(name) = map.next_key::<String>()? {
            if !known.contains(&name) {
                return Err(A::Error::custom(format!("there is no table '{name}'")));
            }
            map.next_value_seed(Table {
                connection: self.connection,
                failure: self.failure,
                name,
            })?;
        }
        Ok(())
    }
}

struct Table<'a> {
    connection: &'a Connection,
    failure: &'a mut Option<ExchangeError>,
    name: String,
}

impl<'de> DeserializeSeed<'de> for Table<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Table<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object with 'columns' and 'rows', in this order")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let known = columns(self.connection, &self.name).map_err(A::Error::custom)?;
        key(&mut map, "columns")?;
        let given: Vec<String> = map.next_value()?;
        for (index, name) in given.iter().enumerate() {
            if !known.contains(name) {
                let table = &self.name;
                return Err(A::Error::custom(format!("{table} has no column '{name}'")));
            }
            if given[..index].contains(name) {
                return Err(A::Error::custom(format!("column '{name}' stands twice")));
            }
        }
        let insert = sql::insert_row(&self.name, &given);
        let statement = self.connection.prepare(&insert).map_err(A::Error::custom)?;
        key(&mut map, "rows")?;
        map.next_value_seed(Rows {
            statement,
            failure: self.failure,
            width: given.len(),
        })?;
        match map.next_key::<String>()? {
            None => Ok(()),
            Some(more) => Err(A::Error::custom(format!("'{more}' after the rows"))),
        }
    }
}

struct Rows<'a> {
    statement: Statement<'a>,
    failure: &'a mut Option<ExchangeError>,
    width: usize,
}

impl<'de> DeserializeSeed<'de> for Rows<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for Rows<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an array of rows")
    }

    fn visit_seq<A: SeqAccess<'de>>(mut self, mut rows: A) -> Result<(), A::Error> {
        while let Some(row) = rows.next_element::<Vec<serde_json::Value>>()? {
            if row.len() != self.width {
                let (found, width) = (row.len(), self.width);
                return Err(A::Error::custom(format!(
                    "a row of {found} cells under {width} columns"
                )));
            }
            let cells: Vec<Value> = row
                .into_iter()
                .map(cell)
                .collect::<Result<_, _>>()
                .map_err(A::Error::custom)?;
            if let Err(error) = self.statement.execute(params_from_iter(cells)) {
                let error = Error::from(error);
                if error.is_of_the_file() && !matches!(error, Error::Statement(_)) {
                    *self.failure = Some(error.into());
                    return Err(A::Error::custom("the file refused it"));
                }
                return Err(A::Error::custom(error));
            }
        }
        Ok(())
    }
}

fn cell(value: serde_json::Value) -> Result<Value, String> {
    use serde_json::Value as Json;
    Ok(match value {
        Json::Null => Value::Null,
        Json::String(text) => Value::Text(text),
        Json::Number(number) => match (number.as_i64(), number.as_f64()) {
            (Some(whole), _) => Value::Integer(whole),
            (None, Some(real)) => Value::Real(real),
            (None, None) => return Err(format!("{number} is no number that the record holds")),
        },
        Json::Object(object) => {
            let hex = object.get("hex").and_then(Json::as_str);
            let hex = hex.filter(|_| object.len() == 1);
            Value::Blob(bytes(hex.ok_or("an object that is not {\"hex\": …}")?)?)
        }
        Json::Bool(_) | Json::Array(_) => return Err(format!("{value} is nothing a cell holds")),
    })
}

fn bytes(hex: &str) -> Result<Vec<u8>, String> {
    let digits = hex.as_bytes();
    let pair = |pair: &[u8]| {
        let text = std::str::from_utf8(pair).ok()?;
        u8::from_str_radix(text, 16).ok()
    };
    let plain = digits.len().is_multiple_of(2) && digits.iter().all(u8::is_ascii_hexdigit);
    let read: Option<Vec<u8>> = digits.chunks(2).map(pair).collect();
    read.filter(|_| plain)
        .ok_or_else(|| format!("'{hex}' is no even row of hexadecimal digits"))
}
