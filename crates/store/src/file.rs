//! Opening the file: what every connection is told, and what is refused.
//!
//! Writing goes through a write-ahead log with `synchronous = FULL`: what was acknowledged has been
//! handed to the disk and outlives a power cut, as far as the disk keeps its word.
//! A record that is only being made may leave that to its maker ([`Durability::AfterItIsClosed`]).

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use crate::schema::{self, Found};
use crate::{Durability, Error, Options};

/// How large the log's file stays after a busy hour. ASSUMED: a fifth of what a club's record grows to.
const LOG_BYTES_KEPT: i64 = 64 << 20;
/// Statements kept prepared; more than there are.
const STATEMENTS_KEPT: usize = 256;

/// Makes a record where there is none.
pub(crate) fn create(path: &Path, options: &Options) -> Result<Connection, Error> {
    let io = |source| Error::Io {
        path: path.to_owned(),
        source,
    };
    match File::create_new(path) {
        Ok(_) => {}
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            return Err(Error::Exists {
                path: path.to_owned(),
            });
        }
        Err(error) => return Err(io(error)),
    }
    let mut connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE, options.patience)?;
    set_up_writer(&connection, options)?;
    schema::migrate(&mut connection)?;
    Ok(connection)
}

/// Opens a record for writing and brings its schema up to date.
pub(crate) fn open(path: &Path, options: &Options) -> Result<Connection, Error> {
    look(path)?;
    let mut connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE, options.patience)?;
    match schema::find(&connection)? {
        Found::Blank | Found::Foreign => {
            return Err(Error::NotARecord {
                path: path.to_owned(),
            });
        }
        Found::Ours(found) if found > schema::VERSION => {
            return Err(Error::NewerSchema {
                found,
                known: schema::VERSION,
            });
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
pub(crate) fn open_read_only(path: &Path, patience: Duration) -> Result<Connection, Error> {
    look(path)?;
    let connection = connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY, patience)?;
    match schema::find(&connection)? {
        Found::Blank | Found::Foreign => Err(Error::NotARecord {
            path: path.to_owned(),
        }),
        Found::Ours(found) if found > schema::VERSION => Err(Error::NewerSchema {
            found,
            known: schema::VERSION,
        }),
        Found::Ours(found) if found < schema::VERSION => Err(Error::OlderSchema {
            found,
            known: schema::VERSION,
        }),
        Found::Ours(_) => {
            connection.pragma_update(None, "query_only", true)?;
            Ok(connection)
        }
    }
}

/// What every SQLite file begins with. Source: the SQLite file format, section 1.3.1.
const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// A file that is missing is not made, and an empty one is not filled, by opening it.
pub(crate) fn look(path: &Path) -> Result<(), Error> {
    if !path.is_file() {
        return Err(Error::Missing {
            path: path.to_owned(),
        });
    }
    let mut start = [0; MAGIC.len()];
    match File::open(path).and_then(|mut file| file.read_exact(&mut start)) {
        Ok(()) if start == *MAGIC => Ok(()),
        Err(source) if source.kind() != ErrorKind::UnexpectedEof => Err(Error::Io {
            path: path.to_owned(),
            source,
        }),
        Ok(()) | Err(_) => Err(Error::NotARecord {
            path: path.to_owned(),
        }),
    }
}

/// A connection with what all of them need. Each is used by one thread at a time.
pub(crate) fn connect(
    path: &Path,
    access: OpenFlags,
    patience: Duration,
) -> Result<Connection, Error> {
    let connection = Connection::open_with_flags(path, access | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    connection.busy_timeout(patience)?;
    connection.set_prepared_statement_cache_capacity(STATEMENTS_KEPT);
    // Without this, SQLite compiles a statement with `LIMIT ?` anew for every value bound to it: a sixth
    // of what a look at a car cost.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "recursive_triggers", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "temp_store", "MEMORY")?;
    connection.pragma_update(None, "cache_size", -16_000)?;
    Ok(connection)
}

fn set_up_writer(connection: &Connection, options: &Options) -> Result<(), Error> {
    connection.pragma_update(None, "journal_mode", "WAL")?;
    let synchronous = match options.durability {
        Durability::BeforeTheAnswer => "FULL",
        Durability::AfterItIsClosed => "OFF",
    };
    connection.pragma_update(None, "synchronous", synchronous)?;
    connection.pragma_update_and_check(None, "journal_size_limit", LOG_BYTES_KEPT, |_| Ok(()))?;
    if let Some(pages) = options.page_count_max {
        connection.pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))?;
    }
    Ok(())
}
