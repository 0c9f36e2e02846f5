//! What the club prints on, and the address its server is known by.

use rusqlite::{Connection, OptionalExtension, params};

use crate::{Error, Snapshot, sql};

/// A sheet of labels by the name that the club gave it, every measure as it was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeptLabelSheet {
    /// The name.
    pub name: Box<str>,
    /// The paper.
    pub paper: Box<str>,
    /// Labels beside each other.
    pub columns: Box<str>,
    /// Labels under each other.
    pub rows: Box<str>,
    /// Width of a label.
    pub width: Box<str>,
    /// Height of a label.
    pub height: Box<str>,
    /// Left margin.
    pub left: Box<str>,
    /// Upper margin.
    pub top: Box<str>,
    /// From label to label across; empty where they touch.
    pub pitch_across: Box<str>,
    /// From label to label down; empty where they touch.
    pub pitch_down: Box<str>,
}

impl Snapshot<'_> {
    /// Every sheet of labels, by name.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn label_sheets(&self) -> Result<Vec<KeptLabelSheet>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::LABEL_SHEETS)?;
        let rows = statement.query_map([], |row| {
            Ok(KeptLabelSheet {
                name: row.get(0)?,
                paper: row.get(1)?,
                columns: row.get(2)?,
                rows: row.get(3)?,
                width: row.get(4)?,
                height: row.get(5)?,
                left: row.get(6)?,
                top: row.get(7)?,
                pitch_across: row.get(8)?,
                pitch_down: row.get(9)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The address that the club's server is known by, such as `http://192.0.2.7:7700`; `None` where
    /// nobody has set it.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn server_address(&self) -> Result<Option<Box<str>>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::SERVER_ADDRESS)?;
        Ok(statement.query_row([], |row| row.get(0)).optional()?)
    }
}

/// Keeps a sheet under its name, in place of one that had it.
pub(crate) fn keep_label_sheet(
    connection: &Connection,
    sheet: &KeptLabelSheet,
) -> Result<(), Error> {
    let what = "the name of the label sheet";
    if sheet.name.trim().is_empty() {
        return Err(Error::Empty { what });
    }
    connection
        .prepare_cached(sql::PUT_LABEL_SHEET)?
        .execute(params![
            sheet.name.trim(),
            sheet.paper,
            sheet.columns,
            sheet.rows,
            sheet.width,
            sheet.height,
            sheet.left,
            sheet.top,
            sheet.pitch_across,
            sheet.pitch_down,
        ])?;
    Ok(())
}

/// Forgets a sheet.
pub(crate) fn drop_label_sheet(connection: &Connection, name: &str) -> Result<(), Error> {
    connection
        .prepare_cached(sql::DROP_LABEL_SHEET)?
        .execute([name.trim()])?;
    Ok(())
}

/// Sets the address, or takes it away.
pub(crate) fn set_address(connection: &Connection, address: &str) -> Result<(), Error> {
    if address.is_empty() {
        connection
            .prepare_cached(sql::DROP_SERVER_ADDRESS)?
            .execute([])?;
    } else {
        connection
            .prepare_cached(sql::PUT_SERVER_ADDRESS)?
            .execute([address])?;
    }
    Ok(())
}
