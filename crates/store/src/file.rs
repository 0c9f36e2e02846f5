//! Opening the file: what every connection is told, and what is refused.
//!
//! Writing goes through a write-ahead log with `synchronous = FULL`: what was acknowledged has been
//! handed to the disk and outlives a power cut, as far as the disk keeps its word.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::schema::{self, Found};
use crate::{Error, Options};

/// How long a connection waits for a lock before it says so.
const PATIENCE: Duration = Duration::from_secs(5);
/// Statements kept prepared; more than there are.
const STATEMENTS_KEPT: usize = 256;

/// Makes a record where there is none.
pub(crate) fn create(path: &Path, options: &Options) -> Result<Connection, Error> {
    let io = |source| Error::Io { path: path.to_owned(), source };
    match std::fs::File::create_new(path) {
        Ok(_) => {}
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            return Err(Error::Exists { path: path.to_owned() });
        }
        Err(error) => return Err(io(error)),
    }
    let mut connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    set_up_writer(&connection, options)?;
    schema::migrate(&mut connection)?;
    Ok(connection)
}

/// Opens a record for writing and brings its schema up to date.
pub(crate) fn open(path: &Path, options: &Options) -> Result<Connection, Error> {
    look(path)?;
    let mut connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    match schema::find(&connection)? {
        Found::Blank | Found::Foreign => return Err(Error::NotARecord { path: path.to_owned() }),
        Found::Ours(found) if found > schema::VERSION => {
            return Err(Error::NewerSchema { found, known: schema::VERSION });
        }
        Found::Ours(found) => {
            set_up_writer(&connection, options)?;
            if found < schema::VERSION {
                schema::migrate(&mut connection)?;
            }
        }
    }
    Ok(connection)
}

/// Opens a record for reading only.
pub(crate) fn open_read_only(path: &Path) -> Result<Connection, Error> {
    look(path)?;
    let connection = connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    match schema::find(&connection)? {
        Found::Blank | Found::Foreign => Err(Error::NotARecord { path: path.to_owned() }),
        Found::Ours(found) if found > schema::VERSION => {
            Err(Error::NewerSchema { found, known: schema::VERSION })
        }
        Found::Ours(found) if found < schema::VERSION => {
            Err(Error::OlderSchema { found, known: schema::VERSION })
        }
        Found::Ours(_) => {
            connection.pragma_update(None, "query_only", true)?;
            Ok(connection)
        }
    }
}

/// A file that is missing is not made, and an empty one is not filled, by opening it.
fn look(path: &Path) -> Result<(), Error> {
    if path.is_file() { Ok(()) } else { Err(Error::Missing { path: path.to_owned() }) }
}

/// A connection with what all of them need. Each is used by one thread at a time.
pub(crate) fn connect(path: &Path, access: OpenFlags) -> Result<Connection, Error> {
    let connection =
        Connection::open_with_flags(path, access | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    connection.busy_timeout(PATIENCE)?;
    connection.set_prepared_statement_cache_capacity(STATEMENTS_KEPT);
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "recursive_triggers", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "temp_store", "MEMORY")?;
    connection.pragma_update(None, "cache_size", -16_000)?;
    Ok(connection)
}

fn set_up_writer(connection: &Connection, options: &Options) -> Result<(), Error> {
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    if let Some(pages) = options.page_count_max {
        connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))?;
    }
    Ok(())
}
