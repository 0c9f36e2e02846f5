//! Whether a file is whole: its pages, its references, every event with its row and readable, every text
//! and photograph with its hash, and what is kept of each car and of the fleet with what follows from the
//! events.

use std::path::Path;

use rusqlite::Connection;

use crate::rows::{self, car_now};
use crate::{CarId, Error, Options, Seq, Snapshot, Store, Version, file, sql};

/// What a check of a file found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Integrity {
    /// How many events the file holds.
    pub event_count: u64,
    /// What is wrong, a sentence each; nothing when the file is whole.
    pub problems: Vec<String>,
}

impl Integrity {
    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.problems.is_empty()
    }
}

/// Checks a file without changing it.
///
/// # Errors
/// When the file cannot be opened as a record at all.
pub fn check_file(path: &Path) -> Result<Integrity, Error> {
    check(&file::open_read_only(path, Options::default().patience)?)
}

impl Store {
    /// Checks the open record, while it serves.
    ///
    /// # Errors
    /// When the file cannot be read at all.
    pub fn check(&self) -> Result<Integrity, Error> {
        self.snapshot()?.check()
    }
}

impl Snapshot<'_> {
    /// Checks the record as this snapshot sees it.
    ///
    /// # Errors
    /// When the file cannot be read at all.
    pub fn check(&self) -> Result<Integrity, Error> {
        check(self.connection()?)
    }
}

fn check(connection: &Connection) -> Result<Integrity, Error> {
    let mut problems = check_pages(connection)?;
    if !problems.is_empty() {
        return Ok(Integrity {
            event_count: 0,
            problems,
        });
    }
    half_written(connection, &mut problems)?;
    texts_and_photos(connection, &mut problems)?;
    cars(connection, &mut problems)?;
    miscounted(connection, &mut problems)?;
    let count: i64 = connection.query_row(sql::COUNT_EVENTS, [], |row| row.get(0))?;
    Ok(Integrity {
        event_count: u64::try_from(count).unwrap_or_default(),
        problems,
    })
}

/// Pages and references: what can be said of a file of any schema.
pub(crate) fn check_pages(connection: &Connection) -> Result<Vec<String>, Error> {
    let mut problems = Vec::new();
    let mut statement = connection.prepare(sql::INTEGRITY_CHECK)?;
    let rows = statement.query_map([], |row| row.get::<_, String>(0))?;
    for row in rows {
        match row {
            Ok(line) if line == "ok" => {}
            Ok(line) => problems.push(line),
            Err(error) => problems.push(error.to_string()),
        }
    }
    if !problems.is_empty() {
        return Ok(problems);
    }
    let mut statement = connection.prepare(sql::FOREIGN_KEY_CHECK)?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
    for row in rows {
        let (table, rowid, parent): (String, i64, String) = row?;
        problems.push(format!(
            "{table} {rowid} points at a row of {parent} that is not there"
        ));
    }
    Ok(problems)
}

fn half_written(connection: &Connection, problems: &mut Vec<String>) -> Result<(), Error> {
    let mut statement = connection.prepare(sql::HALF_WRITTEN_EVENTS)?;
    let rows = statement.query_map([], |row| Ok((row.get::<_, Seq>(0)?, row.get(1)?)))?;
    for row in rows {
        let (seq, kind): (Seq, String) = row?;
        problems.push(format!("event {seq} says '{kind}' and has no such row"));
    }
    Ok(())
}

fn miscounted(connection: &Connection, problems: &mut Vec<String>) -> Result<(), Error> {
    let mut statement = connection.prepare(sql::MISCOUNTED)?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    for row in rows {
        let (measure, place): (String, String) = row?;
        problems.push(format!(
            "the spread kept of {measure} at {place} does not follow from the readings"
        ));
    }
    Ok(())
}

fn texts_and_photos(connection: &Connection, problems: &mut Vec<String>) -> Result<(), Error> {
    let mut statement = connection.prepare(sql::RULE_BOOKS)?;
    let rows = statement.query_map([], |row| {
        Ok((row.get::<_, u32>(0)?, row.get::<_, String>(3)?, row.get(4)?))
    })?;
    for row in rows {
        let (edition, text, sha256): (u32, String, [u8; 32]) = row?;
        if crate::member::sha256(text.as_bytes()) != sha256 {
            problems.push(format!(
                "the text of edition {edition} is not the one that was entered"
            ));
        }
    }
    let mut statement = connection.prepare(sql::PHOTO_CONTENTS)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let sha256: [u8; 32] = row.get(0)?;
        let bytes = row.get_ref(1)?.as_blob().unwrap_or_default();
        if crate::member::sha256(bytes) != sha256 {
            problems.push("a photograph is not the one that was kept".to_owned());
        }
    }
    Ok(())
}

fn cars(connection: &Connection, problems: &mut Vec<String>) -> Result<(), Error> {
    let mut statement = connection.prepare(sql::ALL_CARS)?;
    let cars = statement.query_map([], |row| row.get::<_, CarId>(0))?;
    for car in cars {
        let car = car?;
        if let Err(error) = rows::events(connection, car, Version(0), None) {
            problems.push(format!("car {car}: {error}"));
            continue;
        }
        let folded = car_now::fold(connection, car)?.row();
        let kept = car_now::kept(connection, car)?;
        if folded.is_none() || folded != kept {
            problems.push(format!(
                "car {car}: what is kept of it does not follow from its events"
            ));
        }
    }
    Ok(())
}
