//! The whole record as one JSON document, and a new record made of such a document.
//!
//! ```json
//! {"format": "gradeworthy record", "schema": 4, "tables": {
//!   "member": {"columns": ["id", "name", "role"], "rows": [[1, "A. Lead", "lead"]]}}}
//! ```
//!
//! The tables and columns are those of `migrations/`, where each is explained; names of columns end in
//! their unit. A number with a point is a real one, one without is whole; bytes are `{"hex": "00ff"}`.
//! Left out are secrets and what the record makes anew: hashes of passwords and PINs, open sessions,
//! set-up links, and the list that follows from the events. So nobody can sign in to a record made of a
//! document before the lead is let in again.
//!
//! Rows are written and read one after another; neither side ever holds the whole.

mod reading;
mod writing;

use std::io::{Read, Write};
use std::path::Path;

use rusqlite::{Connection, OpenFlags};

use crate::backup::{move_file, remove, with_suffix};
use crate::rows::car_now;
use crate::{CarId, Error, Integrity, Options, Snapshot, check_file, file, schema, sql};

/// What the document says it is.
const FORMAT: &str = "gradeworthy record";

/// Tables that are not written, each with the reason.
const LEFT_OUT: [&str; 4] = [
    "session",     // opens the door
    "setup_token", // opens the door
    "car_now",     // follows from the events
    "spread_now",  // follows from the readings
];

/// Columns that are not written: they open the door.
const SECRET_COLUMNS: [(&str, &str); 2] = [("member", "password_hash"), ("member", "pin_hash")];

/// Why a document cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ExchangeError {
    /// The record refused something.
    #[error(transparent)]
    Record(#[from] Error),
    /// The text is no such document.
    #[error("line {line}, column {column}: {found}; a document written by this tool is wanted")]
    NotADocument {
        /// The line, from 1.
        line: usize,
        /// The column, from 1.
        column: usize,
        /// What is wrong.
        found: String,
    },
    /// A document of a later version of this tool.
    #[error("the document has schema {found} and this tool knows {known}: use the newer tool")]
    Newer {
        /// The document's schema.
        found: u32,
        /// The newest known here.
        known: u32,
    },
    /// The rows contradict each other.
    #[error("the document does not make a whole record ({}); nothing was kept of it", .0.join("; "))]
    NotWhole(Vec<String>),
    /// Reading or writing failed.
    #[error("the document could not be read or written: {0}")]
    Io(#[from] std::io::Error),
}

impl Snapshot<'_> {
    /// Writes the whole record, as this snapshot sees it.
    ///
    /// # Errors
    /// [`ExchangeError::Io`] when `out` refuses, and the errors of the file.
    pub fn write_json(&self, out: &mut dyn Write) -> Result<(), ExchangeError> {
        writing::write(self.connection()?, out)
    }
}

/// Makes a new record at `target` of a document; nothing is there afterwards unless all of it is.
///
/// # Errors
/// [`Error::Exists`] when there is a file at `target`; otherwise what is wrong with the document.
pub fn read_json(input: impl Read, target: &Path) -> Result<Integrity, ExchangeError> {
    if target.exists() {
        let path = target.to_owned();
        return Err(Error::Exists { path }.into());
    }
    let fresh = with_suffix(target, ".half-read");
    remove(&fresh)?;
    let made = make(input, &fresh);
    if made.is_ok() {
        move_file(&fresh, target)?;
    } else {
        remove(&fresh)?;
    }
    made
}

fn make(input: impl Read, fresh: &Path) -> Result<Integrity, ExchangeError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
    let mut connection = file::connect(fresh, flags, Options::default().patience)?;
    reading::read(&mut connection, input)?;
    if !matches!(schema::find(&connection)?, schema::Found::Ours(_)) {
        return Err(ExchangeError::NotADocument {
            line: 1,
            column: 1,
            found: "there are no tables in it".to_owned(),
        });
    }
    schema::migrate(&mut connection)?;
    rebuild_lists(&mut connection).map_err(|error| match error {
        Error::Corrupt { found } => ExchangeError::NotWhole(vec![found]),
        other => other.into(),
    })?;
    drop(connection);
    let integrity = check_file(fresh)?;
    if integrity.is_whole() {
        Ok(integrity)
    } else {
        Err(ExchangeError::NotWhole(integrity.problems))
    }
}

fn rebuild_lists(connection: &mut Connection) -> Result<(), Error> {
    let transaction = connection.transaction()?;
    let cars: Vec<CarId> = transaction
        .prepare_cached(sql::ALL_CARS)?
        .query_map([], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    for car in cars {
        car_now::refresh(&transaction, car)?;
    }
    transaction.execute_batch(sql::EMPTY_SPREAD)?;
    transaction.execute_batch(sql::RECOUNT_SPREAD)?;
    transaction.commit()?;
    Ok(())
}

/// The tables that a document holds, by name.
fn tables(connection: &Connection) -> Result<Vec<String>, Error> {
    let mut statement = connection.prepare_cached(sql::TABLES)?;
    let names = statement.query_map([], |row| row.get(0))?;
    let mut names: Vec<String> = names.collect::<Result<_, _>>()?;
    names.retain(|name| !LEFT_OUT.contains(&name.as_str()));
    Ok(names)
}

/// The columns of a table that a document holds, in their order.
fn columns(connection: &Connection, table: &str) -> Result<Vec<String>, Error> {
    let mut statement = connection.prepare_cached(sql::COLUMNS)?;
    let names = statement.query_map([table], |row| row.get(0))?;
    let mut names: Vec<String> = names.collect::<Result<_, _>>()?;
    names.retain(|name| !SECRET_COLUMNS.contains(&(table, name.as_str())));
    Ok(names)
}
