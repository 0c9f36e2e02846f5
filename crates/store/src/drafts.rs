//! What was typed and not yet entered: by bench and car, so that a bench left for a night, or a car put
//! aside, is found as it was. No part of the record: a draft is replaced and taken away.

use jiff::Timestamp;
use rusqlite::{Connection, params};

use crate::rows::{self, timestamp};
use crate::{Action, Bench, CarId, Draft, Error, MemberId, Snapshot, apply, spelling, sql};

/// A field as it was left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DraftField {
    /// The field, as the page names it.
    pub field: Box<str>,
    /// What stands in it.
    pub text: Box<str>,
    /// Who typed it.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
}

/// The most kept of one field, in bytes. ASSUMED: a note may be a draft too.
const TEXT_MOST: usize = 8_000;

pub(crate) fn put(connection: &Connection, draft: &Draft) -> Result<(), Error> {
    apply::require(
        connection,
        draft.by,
        None,
        Action::EnterReading,
        Some(draft.car),
        &[],
    )?;
    rows::version(connection, draft.car)?;
    let found = draft.text.len();
    if found > TEXT_MOST {
        return Err(Error::TooLarge {
            what: "the text typed",
            found,
            most: TEXT_MOST,
        });
    }
    let bench = draft.bench.as_str();
    if draft.text.is_empty() {
        let key = params![bench, draft.car, draft.field];
        connection.prepare_cached(sql::DROP_DRAFT)?.execute(key)?;
    } else {
        let at_us = spelling::at_us(draft.at);
        let row = params![bench, draft.car, draft.field, draft.text, draft.by, at_us];
        connection.prepare_cached(sql::PUT_DRAFT)?.execute(row)?;
    }
    Ok(())
}

impl Snapshot<'_> {
    /// What was typed for a car at a bench, by field.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn drafts(&self, bench: &Bench, car: CarId) -> Result<Vec<DraftField>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::DRAFTS)?;
        let rows = statement.query_map(params![bench.as_str(), car], |row| {
            let at_us = row.get(3)?;
            Ok(timestamp("draft", car, at_us).and_then(|at| {
                Ok(DraftField {
                    field: row.get(0)?,
                    text: row.get(1)?,
                    by: row.get(2)?,
                    at,
                })
            }))
        })?;
        rows.map(|row| row?).collect()
    }

    /// The cars that were left half done at a bench, the latest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn left_at(&self, bench: &Bench) -> Result<Vec<CarId>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::CARS_WITH_DRAFTS)?;
        let rows = statement.query_map([bench.as_str()], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
