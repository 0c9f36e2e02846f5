//! One car's whole history, and the record that the bench judges: the same events, with what was struck
//! left out.

use gradeworthy_workbench::record::{Done, Record};
use gradeworthy_workbench::rules::RuleBook;
use jiff::Timestamp;
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::rows::{self, car_now, known, timestamp};
use crate::{CarEvent, CarId, Error, MemberId, Seq, Snapshot, Version, Work, sql};

/// A car as the bench judges it, and how far its record had come.
#[derive(Clone, Debug, PartialEq)]
pub struct CarRecord {
    /// The car, its readings and its cures.
    pub record: Record,
    /// The events of the readings, in the order of [`Record::entries`].
    pub entry_seqs: Vec<Seq>,
    /// The version that was read; what is sent next names it.
    pub version: Version,
}

/// An edition of the rule book as it was entered.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleBookEdition {
    /// Its number.
    pub edition: u32,
    /// Its title.
    pub title: Box<str>,
    /// The first day it holds.
    pub effective: Date,
    /// Its text.
    pub text: Box<str>,
    /// SHA-256 of the text.
    pub text_sha256: [u8; 32],
    /// When it was entered.
    pub entered: Timestamp,
    /// Who entered it.
    pub by: MemberId,
}

impl RuleBookEdition {
    /// The rules.
    ///
    /// # Errors
    /// [`Error::RuleBook`] when this version of the tool reads the text otherwise than the one that
    /// took it.
    pub fn rules(&self) -> Result<RuleBook, Error> {
        RuleBook::read(&self.text).map_err(Error::RuleBook)
    }
}

impl Snapshot<'_> {
    /// The version of a car's record.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn version(&self, car: CarId) -> Result<Version, Error> {
        rows::version(self.connection()?, car)
    }

    /// The events of a car after `after`, oldest first, at most `count` of them.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn history(
        &self,
        car: CarId,
        after: Version,
        count: Option<u32>,
    ) -> Result<Vec<CarEvent>, Error> {
        rows::events(self.connection()?, car, after, count)
    }

    /// The photographs of a car, oldest first, struck ones among them.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn photographs(&self, car: CarId) -> Result<Vec<CarEvent>, Error> {
        rows::asked(self.connection()?, sql::PHOTOS_OF_CAR, [car])
    }

    /// What a member read on a car since a time, the latest first, at most `count` of them.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn readings_lately(
        &self,
        car: CarId,
        by: MemberId,
        since: Timestamp,
        count: u32,
    ) -> Result<Vec<CarEvent>, Error> {
        let asked = params![car, by, since.as_microsecond(), count];
        rows::asked(self.connection()?, sql::READINGS_LATELY, asked)
    }

    /// The car with every reading and cure that was not struck, for the bench to judge.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn record(&self, car: CarId) -> Result<CarRecord, Error> {
        let connection = self.connection()?;
        let version = rows::version(connection, car)?;
        let now = car_now::fold(connection, car)?;
        let mut record = Record::new(now.as_car().ok_or(Error::UnknownCar(car))?);
        // Readings and cures alone: past verdicts, with a row for each line, are most of a history.
        let (entry_seqs, entries): (Vec<_>, _) =
            rows::readings_of_car(connection, car)?.into_iter().unzip();
        record.entries = entries;
        for (seq, done) in rows::cures_of_car(connection, car)? {
            record.done.push(Done {
                cure: done.cure,
                on: done.done_on,
                after_entries: entry_seqs.partition_point(|entry| *entry < seq),
            });
        }
        Ok(CarRecord {
            record,
            entry_seqs,
            version,
        })
    }

    /// The present owner's word on each kind of work he has spoken of; a car that changes hands is asked
    /// about anew.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn consents(&self, car: CarId) -> Result<Vec<(Work, bool)>, Error> {
        consents(self.connection()?, car)
    }

    /// The bytes of a photograph.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn photo_bytes(&self, sha256: &[u8; 32]) -> Result<Option<Vec<u8>>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::PHOTO_CONTENT)?;
        Ok(statement.query_row([sha256], |row| row.get(0)).optional()?)
    }

    /// An edition of the rule book.
    ///
    /// # Errors
    /// [`Error::UnknownEdition`], [`Error::Corrupt`] when the text is not the one that was entered, and
    /// the errors of the file.
    pub fn rule_book(&self, edition: u32) -> Result<RuleBookEdition, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::RULE_BOOK)?;
        let row = statement
            .query_row([edition], RuleBookRow::read)
            .optional()?;
        row.ok_or(Error::UnknownEdition(edition))?.into_edition()
    }

    /// The number and the first day of every edition, oldest first; without their texts.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn editions(&self) -> Result<Vec<(u32, Date)>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::EDITIONS)?;
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        let mut editions = Vec::new();
        for row in rows {
            let (edition, effective): (u32, String) = row?;
            let day = effective.parse().ok();
            editions.push((
                edition,
                known(day, "rule_book", edition, effective, "date")?,
            ));
        }
        Ok(editions)
    }

    /// Every edition of the rule book, oldest first.
    ///
    /// # Errors
    /// As [`Snapshot::rule_book`].
    pub fn rule_books(&self) -> Result<Vec<RuleBookEdition>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::RULE_BOOKS)?;
        let rows = statement.query_map([], RuleBookRow::read)?;
        rows.map(|row| row?.into_edition()).collect()
    }
}

pub(crate) fn consents(connection: &Connection, car: CarId) -> Result<Vec<(Work, bool)>, Error> {
    let mut statement = connection.prepare_cached(sql::CONSENTS)?;
    let rows = statement.query_map([car], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let mut words = Vec::new();
    for row in rows {
        let (name, granted): (String, bool) = row?;
        let work = known(Work::from_name(&name), "consent", car, name, "kind of work")?;
        words.retain(|(own, _)| *own != work);
        words.push((work, granted));
    }
    words.sort_unstable();
    Ok(words)
}

struct RuleBookRow {
    edition: u32,
    title: Box<str>,
    effective: String,
    text: Box<str>,
    text_sha256: [u8; 32],
    entered_at_us: i64,
    by: MemberId,
}

impl RuleBookRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            edition: row.get(0)?,
            title: row.get(1)?,
            effective: row.get(2)?,
            text: row.get(3)?,
            text_sha256: row.get(4)?,
            entered_at_us: row.get(5)?,
            by: row.get(6)?,
        })
    }

    fn into_edition(self) -> Result<RuleBookEdition, Error> {
        const TABLE: &str = "rule_book";
        if crate::member::sha256(self.text.as_bytes()) != self.text_sha256 {
            let edition = self.edition;
            let found = format!("the text of edition {edition} is not the one that was entered");
            return Err(Error::Corrupt { found });
        }
        let effective = self.effective.parse().ok();
        Ok(RuleBookEdition {
            edition: self.edition,
            title: self.title,
            effective: known(effective, TABLE, self.edition, self.effective, "date")?,
            text: self.text,
            text_sha256: self.text_sha256,
            entered: timestamp(TABLE, self.edition, self.entered_at_us)?,
            by: self.by,
        })
    }
}
