//! The schema: numbered files, each a step from the one before, embedded here.
//!
//! A released file never changes (a test holds its hash); a change is a further file.
//! `application_id` marks a file as ours and `user_version` says how far it has come.

use rusqlite::{Connection, TransactionBehavior};

use crate::Error;

/// Marks our files: the four letters `GRDW`.
pub(crate) const APPLICATION_ID: i32 = 0x4752_4457;

/// The steps of the schema, each with its SQL.
pub const MIGRATIONS: [&str; 10] = [
    include_str!("../migrations/0001_members.sql"),
    include_str!("../migrations/0002_record.sql"),
    include_str!("../migrations/0003_rip_track.sql"),
    include_str!("../migrations/0004_import.sql"),
    include_str!("../migrations/0005_paper.sql"),
    include_str!("../migrations/0006_hill.sql"),
    include_str!("../migrations/0007_consent.sql"),
    include_str!("../migrations/0008_spread_now.sql"),
    include_str!("../migrations/0009_fleet.sql"),
    include_str!("../migrations/0010_scene.sql"),
];

/// The newest schema.
pub const VERSION: u32 = 10;

/// How far a file has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Found {
    /// A file without tables or marks.
    Blank,
    /// One of ours, at this step.
    Ours(u32),
    /// Somebody else's.
    Foreign,
}

/// Looks at the marks of an open file.
pub(crate) fn find(connection: &Connection) -> Result<Found, Error> {
    let pragma = |name: &str| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let application = pragma("application_id")?;
    let version = pragma("user_version")?;
    let tables: i64 = connection.query_row(crate::sql::TABLE_COUNT, [], |row| row.get(0))?;
    if application == i64::from(APPLICATION_ID) {
        return Ok(u32::try_from(version).map_or(Found::Foreign, Found::Ours));
    }
    let blank = application == 0 && version == 0 && tables == 0;
    Ok(if blank { Found::Blank } else { Found::Foreign })
}

/// Takes a file of ours, or a blank one, through the steps it lacks: all of them or none.
pub(crate) fn migrate(connection: &mut Connection) -> Result<(), Error> {
    migrate_to(connection, VERSION)
}

/// As [`migrate`], as far as `target`.
pub(crate) fn migrate_to(connection: &mut Connection, target: u32) -> Result<(), Error> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let done = match find(&transaction)? {
        Found::Blank => 0,
        Found::Ours(version) if version > VERSION => {
            return Err(Error::NewerSchema {
                found: version,
                known: VERSION,
            });
        }
        Found::Ours(version) => version,
        Found::Foreign => {
            let path = transaction.path().unwrap_or_default().into();
            return Err(Error::NotARecord { path });
        }
    };
    for (number, step) in (1_u32..).zip(MIGRATIONS) {
        if number > done && number <= target {
            transaction.execute_batch(step)?;
        }
    }
    transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
    transaction.pragma_update(None, "user_version", done.max(target))?;
    transaction.commit()?;
    Ok(())
}
