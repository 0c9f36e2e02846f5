//! Copies of the record, made while it serves, and how long each is kept.
//!
//! A copy is the record as it was at one moment: it is read from one snapshot, however long that takes
//! and whatever is entered meanwhile.
//! It gets its name only after it has been checked and handed to the disk, so that a file with a
//! backup's name is a whole backup.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::ToSpan;
use jiff::civil::Date;
use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};

use crate::integrity::check_pages;
use crate::schema::{self, Found};
use crate::{Error, Options, file, sql};

/// Pages copied at a time. ASSUMED: 256 pages of 4 KiB are a millisecond or so of reading.
const PAGES_PER_STEP: i32 = 256;
/// How often a step is tried when the file is held.
const TRIES_MOST: u32 = 500;
/// How long between tries.
const PAUSE: Duration = Duration::from_millis(10);

/// Copies the record at `source` to a new file, and checks the copy.
///
/// # Errors
/// [`Error::Exists`] when there is a file at `target`, [`Error::Corrupt`] when the copy is not whole, and
/// the errors of the file system. Nothing is left at `target` then.
pub fn copy_to(source: &Path, target: &Path) -> Result<(), Error> {
    if target.exists() {
        return Err(Error::Exists {
            path: target.to_owned(),
        });
    }
    let part = with_suffix(target, ".part");
    remove(&part)?;
    let copied = copy_and_check(source, &part).and_then(|()| move_file(&part, target));
    if copied.is_err() {
        // The first error is the one to be told; a part that stays is overwritten next time.
        drop(fs::remove_file(&part));
    }
    copied
}

fn copy_and_check(source: &Path, part: &Path) -> Result<(), Error> {
    file::look(source)?;
    let patience = Options::default().patience;
    let from = file::connect(source, OpenFlags::SQLITE_OPEN_READ_ONLY, patience)?;
    // One read transaction around all steps: the copy is of this moment, and an entry made meanwhile
    // does not start it anew.
    from.execute_batch(sql::BEGIN_READ)?;
    match schema::find(&from)? {
        Found::Ours(found) if found <= schema::VERSION => {}
        Found::Ours(found) => {
            return Err(Error::NewerSchema {
                found,
                known: schema::VERSION,
            });
        }
        Found::Blank | Found::Foreign => {
            return Err(Error::NotARecord {
                path: source.to_owned(),
            });
        }
    }
    let create = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
    let mut to = file::connect(part, create, patience)?;
    run(&Backup::new(&from, &mut to)?)?;
    // One file that can be carried away, without a log beside it.
    to.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
    let problems = check_pages(&to)?;
    close(to)?;
    match problems.first() {
        Some(problem) => Err(Error::Corrupt {
            found: format!("in the copy: {problem}"),
        }),
        None => sync(part),
    }
}

fn run(backup: &Backup<'_, '_>) -> Result<(), Error> {
    let mut tries = 0;
    loop {
        match backup.step(PAGES_PER_STEP)? {
            StepResult::Done => return Ok(()),
            StepResult::More => tries = 0,
            _ if tries < TRIES_MOST => {
                tries += 1;
                std::thread::sleep(PAUSE);
            }
            _ => return Err(Error::Locked),
        }
    }
}

fn close(connection: Connection) -> Result<(), Error> {
    connection.close().map_err(|(_, error)| error.into())
}

/// Which copies are kept: the last so many days, and the last copy of so many weeks and months.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BackupPlan {
    /// Days of which each keeps its copy.
    pub days: u16,
    /// Weeks, from Monday, of which each keeps its last copy.
    pub weeks: u16,
    /// Months of which each keeps its last copy.
    pub months: u16,
}

impl Default for BackupPlan {
    /// ASSUMED: a fortnight, two months and ten years: some 136 files at the most.
    fn default() -> Self {
        Self {
            days: 14,
            weeks: 8,
            months: 120,
        }
    }
}

impl BackupPlan {
    /// Which of the days with a copy keep it on `today`, in the order given.
    #[must_use]
    pub fn keeps(&self, days: &[Date], today: Date) -> Vec<bool> {
        let last_of = |same: fn(Date) -> Option<Date>, day: Date| {
            days.iter()
                .all(|other| same(*other) != same(day) || *other <= day)
        };
        let newer = |from: Result<Date, jiff::Error>, day: Date| from.is_ok_and(|from| day > from);
        let days_back = today.checked_sub(i64::from(self.days).days());
        let weeks_back = today.checked_sub(i64::from(self.weeks).weeks());
        let months_back = today.checked_sub(i64::from(self.months).months());
        let newest = days.iter().max().copied();
        days.iter()
            .map(|day| {
                Some(*day) == newest
                    || newer(days_back.clone(), *day)
                    || newer(weeks_back.clone(), *day) && last_of(monday, *day)
                    || newer(months_back.clone(), *day) && last_of(first_of_month, *day)
            })
            .collect()
    }
}

fn monday(day: Date) -> Option<Date> {
    let since_monday = i64::from(day.weekday().to_monday_zero_offset());
    day.checked_sub(since_monday.days()).ok()
}

#[expect(clippy::unnecessary_wraps, reason = "of one shape with the week's")]
fn first_of_month(day: Date) -> Option<Date> {
    Some(day.first_of_month())
}

/// A folder of daily copies, named by their day: `record-2026-11-25.sqlite`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Backups {
    /// The folder.
    pub folder: PathBuf,
    /// Which are kept.
    pub plan: BackupPlan,
}

impl Backups {
    /// Makes the copy of `today`, unless there is one, and removes those that the plan does not keep.
    /// Gives the copy of the day.
    ///
    /// # Errors
    /// As [`copy_to`]; nothing is removed unless the copy of the day is there.
    pub fn daily(&self, record: &Path, today: Date) -> Result<PathBuf, Error> {
        if !self.of(today).exists() {
            return self.now(record, today);
        }
        self.thin_out(today)?;
        Ok(self.of(today))
    }

    /// Makes a copy now, in the place of the day's earlier one, and removes those that the plan does not
    /// keep. Gives the copy.
    ///
    /// # Errors
    /// As [`copy_to`]; the day's earlier copy and all others stay then.
    pub fn now(&self, record: &Path, today: Date) -> Result<PathBuf, Error> {
        fs::create_dir_all(&self.folder).map_err(|source| self.io(source))?;
        let target = self.of(today);
        let fresh = with_suffix(&target, ".fresh");
        remove(&fresh)?;
        copy_to(record, &fresh)?;
        move_file(&fresh, &target)?;
        self.thin_out(today)?;
        Ok(target)
    }

    fn of(&self, day: Date) -> PathBuf {
        self.folder.join(format!("record-{day}.sqlite"))
    }

    fn thin_out(&self, today: Date) -> Result<(), Error> {
        let copies = self.list()?;
        let days: Vec<_> = copies.iter().map(|copy| copy.0).collect();
        for ((_, path), keep) in copies.iter().zip(self.plan.keeps(&days, today)) {
            if !keep {
                remove(path)?;
            }
        }
        Ok(())
    }

    /// The copies in the folder, oldest first.
    ///
    /// # Errors
    /// [`Error::Io`] when the folder cannot be read.
    pub fn list(&self) -> Result<Vec<(Date, PathBuf)>, Error> {
        let mut copies = Vec::new();
        for entry in fs::read_dir(&self.folder).map_err(|source| self.io(source))? {
            let path = entry.map_err(|source| self.io(source))?.path();
            if let Some(day) = path.file_name().and_then(|name| day_of(name.to_str()?)) {
                copies.push((day, path));
            }
        }
        copies.sort();
        Ok(copies)
    }

    fn io(&self, source: std::io::Error) -> Error {
        Error::Io {
            path: self.folder.clone(),
            source,
        }
    }
}

fn day_of(name: &str) -> Option<Date> {
    name.strip_prefix("record-")?
        .strip_suffix(".sqlite")?
        .parse()
        .ok()
}

/// The path with `suffix` after its name.
pub(crate) fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    name.into()
}

pub(crate) fn remove(path: &Path) -> Result<(), Error> {
    match fs::remove_file(path) {
        Err(source) if source.kind() != std::io::ErrorKind::NotFound => Err(Error::Io {
            path: path.to_owned(),
            source,
        }),
        Ok(()) | Err(_) => Ok(()),
    }
}

/// Moves a file within its folder and hands the folder to the disk.
pub(crate) fn move_file(from: &Path, to: &Path) -> Result<(), Error> {
    fs::rename(from, to).map_err(|source| Error::Io {
        path: to.to_owned(),
        source,
    })?;
    match to.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        Some(folder) => sync(folder),
        None => sync(Path::new(".")),
    }
}

fn sync(path: &Path) -> Result<(), Error> {
    let io = |source| Error::Io {
        path: path.to_owned(),
        source,
    };
    // A folder cannot be opened as a file everywhere; where it cannot, renaming is its own promise.
    match File::open(path) {
        Ok(file) => file.sync_all().map_err(io),
        Err(_) if path.is_dir() => Ok(()),
        Err(source) => Err(io(source)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    #[test]
    fn a_year_of_daily_copies_thins_out_to_days_weeks_and_months() {
        let today = date(2026, 11, 25);
        let days: Vec<_> = (0..365).map(|back| today - back.days()).rev().collect();
        let plan = BackupPlan {
            days: 3,
            weeks: 2,
            months: 3,
        };
        let keeps = plan.keeps(&days, today);
        let kept: Vec<_> = days
            .iter()
            .zip(keeps)
            .filter(|(_, keep)| *keep)
            .map(|(day, _)| *day)
            .collect();
        // 2026-11-25 is a Wednesday; by hand from a calendar.
        let expected = [
            date(2026, 8, 31),
            date(2026, 9, 30),
            date(2026, 10, 31),
            date(2026, 11, 15),
            date(2026, 11, 22),
            date(2026, 11, 23),
            date(2026, 11, 24),
            date(2026, 11, 25),
        ];
        assert_eq!(kept, expected);
    }

    proptest! {
        #[test]
        fn the_newest_copy_and_every_one_of_the_last_days_stay(
            back in prop::collection::btree_set(0_i64..2000, 1..60),
        ) {
            let today = date(2026, 11, 25);
            let days: Vec<_> = back.iter().rev().map(|back| today - (*back).days()).collect();
            let plan = BackupPlan::default();
            let keeps = plan.keeps(&days, today);
            prop_assert!(keeps[days.len() - 1]);
            for (day, keep) in days.iter().zip(&keeps) {
                prop_assert!(*keep || *day <= today - 14.days());
            }
            // What a first pruning keeps, a second keeps too.
            let left: Vec<_> =
                days.iter().zip(&keeps).filter(|(_, keep)| **keep).map(|(day, _)| *day).collect();
            prop_assert!(plan.keeps(&left, today).iter().all(|keep| *keep));
        }
    }
}
