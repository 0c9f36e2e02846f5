//! Putting a backup in the record's place. The backup is checked before, its copy after, and the file
//! that stood there is put aside, never overwritten.

use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::Timestamp;
use rusqlite::OpenFlags;

use crate::backup::{copy_to, move_file, with_suffix};
use crate::{Error, file, sql};

/// Restores `backup` to `target`. Gives where the file that stood there was put, if one did.
///
/// The copy has the schema that the backup had; opening it brings that up to date.
///
/// # Errors
/// [`Error::Locked`] while a program has the record open; [`Error::Corrupt`], [`Error::NotARecord`] or
/// [`Error::NewerSchema`] when the backup cannot serve. The record is untouched then.
pub fn restore(backup: &Path, target: &Path, at: Timestamp) -> Result<Option<PathBuf>, Error> {
    let aside = with_suffix(target, &format!(".before-restore-{}", at.as_second()));
    if aside.exists() {
        return Err(Error::Exists { path: aside });
    }
    let fresh = with_suffix(target, ".restored");
    crate::backup::remove(&fresh)?;
    copy_to(backup, &fresh)?;
    if !target.exists() {
        move_file(&fresh, target)?;
        return Ok(None);
    }
    if let Err(error) = quiesce(target) {
        crate::backup::remove(&fresh)?;
        return Err(error);
    }
    for suffix in ["", "-wal", "-shm"] {
        let own = with_suffix(target, suffix);
        if own.exists() {
            move_file(&own, &with_suffix(&aside, suffix))?;
        }
    }
    move_file(&fresh, target)?;
    Ok(Some(aside))
}

/// Makes sure that nobody has the record open, and takes its log into it where it can be read at all.
fn quiesce(target: &Path) -> Result<(), Error> {
    if file::look(target).is_err() {
        // No database at all: nobody can hold it, and it is put aside as it is.
        return Ok(());
    }
    let access = OpenFlags::SQLITE_OPEN_READ_WRITE;
    let held = file::connect(target, access, Duration::from_millis(200)).and_then(|connection| {
        connection.pragma_update_and_check(None, "locking_mode", "EXCLUSIVE", |_| Ok(()))?;
        connection.execute_batch(sql::BEGIN_IMMEDIATE)?;
        connection.execute_batch(sql::COMMIT)?;
        Ok(())
    });
    match held {
        Err(Error::Locked) => Err(Error::Locked),
        // A file too damaged to be opened is the very reason to restore.
        Ok(()) | Err(_) => Ok(()),
    }
}
