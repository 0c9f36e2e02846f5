//! A few connections that can only read, each lent to one reader at a time.

use std::path::Path;
use std::sync::{Condvar, Mutex, PoisonError};

use rusqlite::Connection;

use crate::{Error, Options, file, sql};

pub(crate) struct Pool {
    free: Mutex<Vec<Connection>>,
    returned: Condvar,
}

impl Pool {
    pub(crate) fn open(path: &Path, options: &Options) -> Result<Self, Error> {
        let open = |_| file::open_read_only(path, options.patience);
        let connections = (0..options.readers.max(1)).map(open);
        let free = Mutex::new(connections.collect::<Result<_, _>>()?);
        Ok(Self {
            free,
            returned: Condvar::new(),
        })
    }

    /// Waits for a connection and begins reading on it.
    pub(crate) fn snapshot(&self) -> Result<Snapshot<'_>, Error> {
        let mut free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let connection = loop {
            match free.pop() {
                Some(connection) => break connection,
                None => {
                    free = self
                        .returned
                        .wait(free)
                        .unwrap_or_else(PoisonError::into_inner)
                }
            }
        };
        drop(free);
        let snapshot = Snapshot {
            connection: Some(connection),
            pool: self,
        };
        snapshot.connection()?.execute_batch(sql::BEGIN_READ)?;
        Ok(snapshot)
    }
}

/// The record as it is at one moment. What is entered meanwhile is not seen.
///
/// Hold it while reading and not while drawing a page: there are few of them.
pub struct Snapshot<'store> {
    connection: Option<Connection>,
    pool: &'store Pool,
}

impl Snapshot<'_> {
    pub(crate) fn connection(&self) -> Result<&Connection, Error> {
        self.connection.as_ref().ok_or(Error::Closed)
    }
}

impl Drop for Snapshot<'_> {
    fn drop(&mut self) {
        let Some(connection) = self.connection.take() else {
            return;
        };
        if !connection.is_autocommit() {
            // A reader has nothing to lose; a connection that cannot end its reading says so next time.
            drop(connection.execute_batch(sql::ROLLBACK));
        }
        self.pool
            .free
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(connection);
        self.pool.returned.notify_one();
    }
}
