//! What is kept beside the record and may change: drafts of an edition of the rule book, and groups of
//! cars by name. A draft becomes an edition in one step, and is gone with it.

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::rows::timestamp;
use crate::{Action, Error, MemberId, Snapshot, apply, club, spelling, sql};

/// The most bytes of a draft. ASSUMED: the starter has some 30,000.
const DRAFT_MOST: usize = 1_000_000;
/// The most bytes of a group's search.
const QUERY_MOST: usize = 4_000;

/// A change of what is kept on the shelf.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShelfCommand {
    /// Who.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
    /// What.
    pub act: ShelfAct,
}

/// What can be done with drafts and groups.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ShelfAct {
    /// Begins a draft on an edition.
    BeginDraft {
        /// What it is called.
        name: Box<str>,
        /// The edition it changes.
        base_edition: u32,
        /// Its text, which need not be without mistakes.
        text: Box<str>,
    },
    /// Changes a draft.
    ChangeDraft {
        /// The draft.
        draft: i64,
        /// The revision that was changed.
        seen: i64,
        /// Its text from now on.
        text: Box<str>,
    },
    /// Throws a draft away.
    DropDraft {
        /// The draft.
        draft: i64,
    },
    /// Makes an edition of a draft, which is then gone.
    PutInForce {
        /// The draft.
        draft: i64,
        /// The revision that was looked at.
        seen: i64,
        /// The edition: the draft with its number and its day.
        text: Box<str>,
    },
    /// Keeps a search under a name; the same name by the same member takes the place of the older.
    KeepGroup {
        /// The name.
        name: Box<str>,
        /// The search.
        query: Box<str>,
    },
    /// Lets go of a group: its maker, or a lead.
    DropGroup {
        /// The group.
        group: i64,
    },
}

/// A draft of an edition.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleDraft {
    /// Its number.
    pub id: i64,
    /// What it is called.
    pub name: Box<str>,
    /// The edition it changes.
    pub base_edition: u32,
    /// Its text.
    pub text: Box<str>,
    /// Who changed it last.
    pub by: MemberId,
    /// When.
    pub changed: Timestamp,
    /// How often it was written.
    pub revision: i64,
}

/// A group of cars: a search with a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CarGroup {
    /// Its number.
    pub id: i64,
    /// Its name.
    pub name: Box<str>,
    /// The search.
    pub query: Box<str>,
    /// Who made it.
    pub by: MemberId,
    /// When.
    pub made: Timestamp,
}

/// Carries a change out; gives the number of the draft or group, or of the edition put in force.
pub(crate) fn carry_out(connection: &Connection, command: &ShelfCommand) -> Result<i64, Error> {
    let (by, at) = (command.by, command.at);
    let action = match &command.act {
        ShelfAct::KeepGroup { .. } | ShelfAct::DropGroup { .. } => Action::SeeFleet,
        ShelfAct::BeginDraft { .. }
        | ShelfAct::ChangeDraft { .. }
        | ShelfAct::DropDraft { .. }
        | ShelfAct::PutInForce { .. } => Action::EditRules,
    };
    apply::require(connection, by, None, action, None, &[])?;
    match &command.act {
        ShelfAct::BeginDraft {
            name,
            base_edition,
            text,
        } => begin(connection, command, name, *base_edition, text),
        ShelfAct::ChangeDraft { draft, seen, text } => {
            fits("the draft, in bytes,", text, DRAFT_MOST)?;
            as_seen(connection, *draft, *seen)?;
            connection
                .prepare_cached(sql::SET_RULE_DRAFT)?
                .execute(params![draft, text, by, spelling::at_us(at)])?;
            Ok(*draft)
        }
        ShelfAct::DropDraft { draft } => {
            found(connection, *draft)?;
            drop_draft(connection, *draft)
        }
        ShelfAct::PutInForce { draft, seen, text } => {
            as_seen(connection, *draft, *seen)?;
            drop_draft(connection, *draft)?;
            club::add_rule_book(connection, by, at, text).map(i64::from)
        }
        ShelfAct::KeepGroup { name, query } => keep_group(connection, command, name, query),
        ShelfAct::DropGroup { group } => drop_group(connection, by, *group),
    }
}

fn begin(
    connection: &Connection,
    command: &ShelfCommand,
    name: &str,
    base_edition: u32,
    text: &str,
) -> Result<i64, Error> {
    let name = named("the draft's name", name)?;
    fits("the draft, in bytes,", text, DRAFT_MOST)?;
    let known: bool = connection
        .prepare_cached(sql::HAS_EDITION)?
        .query_row([base_edition], |row| row.get(0))?;
    if !known {
        return Err(Error::UnknownEdition(base_edition));
    }
    let at_us = spelling::at_us(command.at);
    connection
        .prepare_cached(sql::INSERT_RULE_DRAFT)?
        .execute(params![name, base_edition, text, command.by, at_us])?;
    Ok(connection.last_insert_rowid())
}

fn named<'a>(what: &'static str, name: &'a str) -> Result<&'a str, Error> {
    let name = name.trim();
    if name.is_empty() {
        return Err(Error::Empty { what });
    }
    Ok(name)
}

fn fits(what: &'static str, text: &str, most: usize) -> Result<(), Error> {
    let found = text.len();
    if found > most {
        return Err(Error::TooLarge { what, found, most });
    }
    Ok(())
}

fn found(connection: &Connection, draft: i64) -> Result<RuleDraft, Error> {
    let mut statement = connection.prepare_cached(sql::RULE_DRAFT)?;
    let row = statement.query_row([draft], draft_row).optional()?;
    row.ok_or(Error::UnknownDraft(draft))?
}

/// A draft that nobody changed since `seen`.
fn as_seen(connection: &Connection, draft: i64, seen: i64) -> Result<(), Error> {
    if found(connection, draft)?.revision == seen {
        Ok(())
    } else {
        Err(Error::DraftMoved { draft })
    }
}

fn drop_draft(connection: &Connection, draft: i64) -> Result<i64, Error> {
    let mut statement = connection.prepare_cached(sql::DROP_RULE_DRAFT)?;
    statement.execute([draft])?;
    Ok(draft)
}

fn keep_group(
    connection: &Connection,
    command: &ShelfCommand,
    name: &str,
    query: &str,
) -> Result<i64, Error> {
    let name = named("the group's name", name)?;
    fits("the search, in bytes,", query, QUERY_MOST)?;
    let mut statement = connection.prepare_cached(sql::CAR_GROUP_NAMED)?;
    let holder: Option<(i64, MemberId)> = statement
        .query_row([name], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    match holder {
        Some((_, maker)) if maker != command.by => {
            return Err(Error::GroupTaken { name: name.into() });
        }
        Some((group, _)) => {
            drop_car_group(connection, group)?;
        }
        None => {}
    }
    let at_us = spelling::at_us(command.at);
    connection
        .prepare_cached(sql::INSERT_CAR_GROUP)?
        .execute(params![name, query, command.by, at_us])?;
    Ok(connection.last_insert_rowid())
}

fn drop_group(connection: &Connection, by: MemberId, group: i64) -> Result<i64, Error> {
    let mut statement = connection.prepare_cached(sql::MAKER_OF_CAR_GROUP)?;
    let maker: Option<MemberId> = statement.query_row([group], |row| row.get(0)).optional()?;
    let maker = maker.ok_or(Error::UnknownGroup(group))?;
    if maker != by {
        apply::require(connection, by, None, Action::EditRules, None, &[])?;
    }
    drop_car_group(connection, group)
}

fn drop_car_group(connection: &Connection, group: i64) -> Result<i64, Error> {
    let mut statement = connection.prepare_cached(sql::DROP_CAR_GROUP)?;
    statement.execute([group])?;
    Ok(group)
}

fn draft_row(row: &Row<'_>) -> rusqlite::Result<Result<RuleDraft, Error>> {
    let id = row.get(0)?;
    let changed_at_us = row.get(5)?;
    let (name, base_edition, text) = (row.get(1)?, row.get(2)?, row.get(3)?);
    let (by, revision) = (row.get(4)?, row.get(6)?);
    Ok(
        timestamp("rule_draft", id, changed_at_us).map(|changed| RuleDraft {
            id,
            name,
            base_edition,
            text,
            by,
            changed,
            revision,
        }),
    )
}

impl Snapshot<'_> {
    /// Every draft of an edition, the oldest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn rule_drafts(&self) -> Result<Vec<RuleDraft>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::RULE_DRAFTS)?;
        let rows = statement.query_map([], draft_row)?;
        rows.map(|row| row?).collect()
    }

    /// A draft.
    ///
    /// # Errors
    /// [`Error::UnknownDraft`] and the errors of the file.
    pub fn rule_draft(&self, draft: i64) -> Result<RuleDraft, Error> {
        found(self.connection()?, draft)
    }

    /// Every group, by name.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn car_groups(&self) -> Result<Vec<CarGroup>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::CAR_GROUPS)?;
        let rows = statement.query_map([], |row| {
            let (id, made_at_us) = (row.get(0)?, row.get(4)?);
            let (name, query, by) = (row.get(1)?, row.get(2)?, row.get(3)?);
            Ok(timestamp("car_group", id, made_at_us).map(|made| CarGroup {
                id,
                name,
                query,
                by,
                made,
            }))
        })?;
        rows.map(|row| row?).collect()
    }
}
