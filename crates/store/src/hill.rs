//! The hill in the record: lines, locomotives, make-ups and scenes, edition after edition, each by its
//! name.
//!
//! An edition is a text; whoever sends it has read it, since this crate knows no hill. Whoever
//! changes something names the edition he has seen, so that nobody overwrites what he has not read.

use std::fmt;

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::rows::{known, timestamp};
use crate::{Action, ClientId, Error, MemberId, Snapshot, apply, spelling, sql};

/// The most bytes of a text; the schema says the same.
const TEXT_MOST: usize = 1_048_576;
/// The longest name, in characters; the schema says the same.
const NAME_MOST: usize = 80;

/// What the hill is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HillKind {
    /// A line.
    Line,
    /// A locomotive.
    Locomotive,
    /// A train as it is made up.
    MakeUp,
    /// What a train does in time.
    Scene,
}

impl HillKind {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Line, Self::Locomotive, Self::MakeUp, Self::Scene];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Line => "line",
            Self::Locomotive => "locomotive",
            Self::MakeUp => "make-up",
            Self::Scene => "scene",
        }
    }

    /// What a member must be allowed to do to change one.
    #[must_use]
    pub const fn action(self) -> Action {
        match self {
            Self::Line => Action::ChangeLine,
            Self::Locomotive => Action::ChangePower,
            // A scene is asked of a train: who makes trains up asks them.
            Self::MakeUp | Self::Scene => Action::MakeUp,
        }
    }
}

impl fmt::Display for HillKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// An edition to be entered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewHillEdition {
    /// The sender's identity of it.
    pub client_id: ClientId,
    /// Who.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
    /// Of what.
    pub kind: HillKind,
    /// Its name; capitals do not count.
    pub name: Box<str>,
    /// The edition that the sender has seen; `None` for a new name.
    pub seen: Option<u32>,
    /// The text.
    pub text: Box<str>,
    /// Readings of a surveyed line, as a table.
    pub readings: Option<Box<str>>,
    /// Whether it is hereby withdrawn.
    pub withdrawn: bool,
}

/// An edition as it stands in the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HillEdition {
    /// What it is an edition of.
    pub item: i64,
    /// Of what kind.
    pub kind: HillKind,
    /// Its name.
    pub name: Box<str>,
    /// Its number, from 1.
    pub edition: u32,
    /// The text.
    pub text: Box<str>,
    /// Readings of a surveyed line, as a table.
    pub readings: Option<Box<str>>,
    /// Whether it was withdrawn.
    pub withdrawn: bool,
    /// When it was entered.
    pub entered: Timestamp,
    /// Who entered it.
    pub by: MemberId,
}

impl Snapshot<'_> {
    /// The latest edition of everything of a kind that was not withdrawn, by name.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn hill(&self, kind: HillKind) -> Result<Vec<HillEdition>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::HILL_OF_KIND)?;
        let rows = statement.query_map([kind.name()], EditionRow::read)?;
        let all = rows.map(|row| row?.into_edition());
        all.filter(|own| !own.as_ref().is_ok_and(|own| own.withdrawn))
            .collect()
    }

    /// The latest edition of one thing, withdrawn or not.
    ///
    /// # Errors
    /// [`Error::UnknownHillItem`] and the errors of the file.
    pub fn hill_item(&self, kind: HillKind, item: i64) -> Result<HillEdition, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::HILL_LATEST)?;
        let row = statement
            .query_row(params![item, kind.name()], EditionRow::read)
            .optional()?;
        row.ok_or(Error::UnknownHillItem { kind, item })?
            .into_edition()
    }

    /// Every edition of one thing, the latest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn hill_editions(&self, item: i64) -> Result<Vec<HillEdition>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::HILL_EDITIONS)?;
        let rows = statement.query_map([item], EditionRow::read)?;
        rows.map(|row| row?.into_edition()).collect()
    }
}

/// Enters an edition; gives it as it stands in the record.
pub(crate) fn enter(connection: &Connection, new: &NewHillEdition) -> Result<HillEdition, Error> {
    apply::require(connection, new.by, None, new.kind.action(), None, &[])?;
    let name = new.name.trim();
    bounds(name, new)?;
    if let Some(own) = find(connection, sql::HILL_BY_CLIENT_ID, new.client_id.bytes())? {
        let same = own.kind == new.kind && own.text == new.text && own.readings == new.readings;
        return if same {
            Ok(own)
        } else {
            Err(Error::ClientIdReused(new.client_id))
        };
    }
    let mut statement = connection.prepare_cached(sql::HILL_NAMED)?;
    let latest = statement
        .query_row(params![new.kind.name(), name], EditionRow::read)
        .optional()?
        .map(EditionRow::into_edition)
        .transpose()?;
    let (item, edition) = match (latest, new.seen) {
        (None, None) => {
            connection
                .prepare_cached(sql::INSERT_HILL_ITEM)?
                .execute(params![new.kind.name(), name])?;
            (connection.last_insert_rowid(), 1)
        }
        (Some(own), None) if own.withdrawn => (own.item, own.edition + 1),
        (Some(own), Some(seen)) if own.edition == seen => (own.item, seen + 1),
        (latest, _) => {
            return Err(Error::HillMovedOn {
                kind: new.kind,
                name: name.into(),
                latest: latest.map_or(0, |own| own.edition),
            });
        }
    };
    let row = params![
        item,
        edition,
        new.text,
        new.readings,
        new.withdrawn,
        spelling::at_us(new.at),
        new.by,
        new.client_id.bytes(),
    ];
    connection
        .prepare_cached(sql::INSERT_HILL_EDITION)?
        .execute(row)?;
    find(connection, sql::HILL_BY_CLIENT_ID, new.client_id.bytes())?.ok_or(Error::UnknownHillItem {
        kind: new.kind,
        item,
    })
}

fn bounds(name: &str, new: &NewHillEdition) -> Result<(), Error> {
    if name.is_empty() {
        return Err(Error::Empty { what: "the name" });
    }
    let texts = [
        ("the name, in characters,", name.chars().count(), NAME_MOST),
        ("the text, in bytes,", new.text.len(), TEXT_MOST),
        (
            "the survey, in bytes,",
            new.readings.as_ref().map_or(0, |own| own.len()),
            TEXT_MOST,
        ),
    ];
    match texts.into_iter().find(|(_, found, most)| found > most) {
        Some((what, found, most)) => Err(Error::TooLarge { what, found, most }),
        None => Ok(()),
    }
}

fn find(
    connection: &Connection,
    statement: &str,
    key: [u8; 16],
) -> Result<Option<HillEdition>, Error> {
    let mut statement = connection.prepare_cached(statement)?;
    let row = statement.query_row([key], EditionRow::read).optional()?;
    row.map(EditionRow::into_edition).transpose()
}

struct EditionRow {
    item: i64,
    kind: String,
    name: Box<str>,
    edition: u32,
    text: Box<str>,
    readings: Option<Box<str>>,
    withdrawn: bool,
    entered_at_us: i64,
    by: MemberId,
}

impl EditionRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            item: row.get(0)?,
            kind: row.get(1)?,
            name: row.get(2)?,
            edition: row.get(3)?,
            text: row.get(4)?,
            readings: row.get(5)?,
            withdrawn: row.get(6)?,
            entered_at_us: row.get(7)?,
            by: row.get(8)?,
        })
    }

    fn into_edition(self) -> Result<HillEdition, Error> {
        let kind = HillKind::ALL
            .into_iter()
            .find(|own| own.name() == self.kind);
        Ok(HillEdition {
            item: self.item,
            kind: known(kind, "hill_item", self.item, self.kind, "part of the hill")?,
            name: self.name,
            edition: self.edition,
            text: self.text,
            readings: self.readings,
            withdrawn: self.withdrawn,
            entered: timestamp("hill_edition", self.item, self.entered_at_us)?,
            by: self.by,
        })
    }
}
