//! Rows to facts and facts to rows. A row type is what a table holds; it is made from a domain type and
//! read back to the same value or to an error that names the table, the row and what stood there.

mod description;
mod inspection;
mod plain;

pub(crate) mod car_now;
pub(crate) mod reading;
pub(crate) mod spread_now;

use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Params, Row, params};

use crate::{CarEvent, CarId, ClientId, Error, Fact, MemberId, Seq, StrikeNote, Version};
use crate::{spelling, sql};

/// An event to be written.
pub(crate) struct NewEvent<'a> {
    pub(crate) car: CarId,
    pub(crate) at: Timestamp,
    pub(crate) by: MemberId,
    pub(crate) second: Option<MemberId>,
    pub(crate) client_id: ClientId,
    pub(crate) fact: &'a Fact,
}

/// Writes an event and its fact.
pub(crate) fn insert(connection: &Connection, event: &NewEvent<'_>) -> Result<Seq, Error> {
    connection
        .prepare_cached(sql::INSERT_EVENT)?
        .execute(params![
            event.car,
            event.fact.kind(),
            spelling::at_us(event.at),
            event.by,
            event.second,
            event.client_id.bytes(),
        ])?;
    let seq = Seq(connection.last_insert_rowid());
    match event.fact {
        Fact::Read(entry) => reading::insert(connection, seq, event.car, entry)?,
        Fact::Described(details) => description::insert(connection, seq, details)?,
        Fact::Inspected(inspection) => inspection::insert(connection, seq, inspection)?,
        fact => plain::insert(connection, seq, fact)?,
    }
    Ok(seq)
}

/// The last event of a car.
pub(crate) fn version(connection: &Connection, car: CarId) -> Result<Version, Error> {
    let mut statement = connection.prepare_cached(sql::VERSION_OF_CAR)?;
    let version: Option<i64> = statement.query_row([car], |row| row.get(0))?;
    version.map(Version).ok_or(Error::UnknownCar(car))
}

/// The events of a car after `after`, oldest first, at most `limit` of them.
pub(crate) fn events(
    connection: &Connection,
    car: CarId,
    after: Version,
    limit: Option<u32>,
) -> Result<Vec<CarEvent>, Error> {
    let limit = limit.map_or(-1, i64::from);
    asked(connection, sql::EVENTS_OF_CAR, params![car, after, limit])
}

/// The events of a car on which its standing rests, oldest first.
pub(crate) fn standing_events(connection: &Connection, car: CarId) -> Result<Vec<CarEvent>, Error> {
    asked(connection, sql::STANDING_EVENTS_OF_CAR, [car])
}

/// The events that a statement of [`sql`] finds.
pub(crate) fn asked(
    connection: &Connection,
    statement: &'static str,
    asked: impl Params,
) -> Result<Vec<CarEvent>, Error> {
    let mut statement = connection.prepare_cached(statement)?;
    let rows = statement.query_map(asked, EventRow::read)?;
    rows.map(|row| row?.into_event(connection)).collect()
}

/// The event that was sent under `client_id`, if any.
pub(crate) fn event_sent_as(
    connection: &Connection,
    client_id: ClientId,
) -> Result<Option<CarEvent>, Error> {
    let mut statement = connection.prepare_cached(sql::EVENT_BY_CLIENT_ID)?;
    let row = statement
        .query_row([client_id.bytes()], EventRow::read)
        .optional()?;
    row.map(|row| row.into_event(connection)).transpose()
}

/// A row of `event`, with the strike of it where there is one.
pub(crate) struct EventRow {
    pub(crate) seq: Seq,
    pub(crate) car: CarId,
    kind: String,
    pub(crate) at_us: i64,
    by: MemberId,
    second: Option<MemberId>,
    client_id: [u8; 16],
    struck: Option<StruckRow>,
}

struct StruckRow {
    seq: Seq,
    at_us: i64,
    by: MemberId,
    why: Box<str>,
}

impl EventRow {
    pub(crate) fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        let struck_by: Option<Seq> = row.get(7)?;
        let struck = struck_by.map(|seq| {
            Ok::<_, rusqlite::Error>(StruckRow {
                seq,
                at_us: row.get(8)?,
                by: row.get(9)?,
                why: row.get(10)?,
            })
        });
        Ok(Self {
            seq: row.get(0)?,
            car: row.get(1)?,
            kind: row.get(2)?,
            at_us: row.get(3)?,
            by: row.get(4)?,
            second: row.get(5)?,
            client_id: row.get(6)?,
            struck: struck.transpose()?,
        })
    }

    pub(crate) fn is_inspection(&self) -> bool {
        self.kind == "inspection"
    }

    pub(crate) fn into_event(self, connection: &Connection) -> Result<CarEvent, Error> {
        let fact = load(connection, self.seq, &self.kind)?;
        let struck = self.struck.map(|struck| {
            let at = timestamp("strike", struck.seq, struck.at_us)?;
            Ok::<_, Error>(StrikeNote {
                seq: struck.seq,
                at,
                by: struck.by,
                why: struck.why,
            })
        });
        Ok(CarEvent {
            seq: self.seq,
            car: self.car,
            at: timestamp("event", self.seq, self.at_us)?,
            by: self.by,
            second: self.second,
            client_id: ClientId::from_bytes(self.client_id),
            fact,
            struck: struck.transpose()?,
        })
    }
}

fn load(connection: &Connection, seq: Seq, kind: &str) -> Result<Fact, Error> {
    match kind {
        "reading" => reading::load(connection, seq).map(Fact::Read),
        "description" => description::load(connection, seq).map(|own| Fact::Described(own.into())),
        "inspection" => inspection::load(connection, seq).map(|own| Fact::Inspected(own.into())),
        kind => plain::load(connection, seq, kind),
    }
}

/// The inspection that an event is.
pub(crate) fn inspection(
    connection: &Connection,
    seq: Seq,
) -> Result<crate::RecordedInspection, Error> {
    inspection::load(connection, seq)
}

/// The reading that an event is.
pub(crate) fn reading(
    connection: &Connection,
    seq: Seq,
) -> Result<gradeworthy_workbench::record::Entry, Error> {
    reading::load(connection, seq)
}

/// The readings of a car that were not struck, in their order.
pub(crate) fn readings_of_car(
    connection: &Connection,
    car: CarId,
) -> Result<Vec<(Seq, gradeworthy_workbench::record::Entry)>, Error> {
    reading::of_car(connection, car)
}

/// The cures carried out on a car that were not struck, in their order.
pub(crate) fn cures_of_car(
    connection: &Connection,
    car: CarId,
) -> Result<Vec<(Seq, crate::CureDone)>, Error> {
    let mut statement = connection.prepare_cached(sql::CURES_OF_CAR)?;
    let seqs = statement.query_map([car], |row| row.get::<_, Seq>(0))?;
    let mut cures = Vec::new();
    for seq in seqs {
        let seq = seq?;
        if let Fact::Cured(done) = plain::load(connection, seq, "cure")? {
            cures.push((seq, done));
        }
    }
    Ok(cures)
}

/// When an event was entered.
pub(crate) fn time_of(connection: &Connection, seq: Seq) -> Result<Timestamp, Error> {
    let at_us = one(connection, sql::TIME_OF_EVENT, seq, |row| row.get(0))?;
    timestamp("event", seq, at_us)
}

/// A row that must be there because its event is.
fn one<T>(
    connection: &Connection,
    sql: &str,
    seq: Seq,
    read: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<T, Error> {
    let row = connection
        .prepare_cached(sql)?
        .query_row([seq], read)
        .optional()?;
    row.ok_or_else(|| Error::Corrupt {
        found: format!("event {seq} has no row of its kind"),
    })
}

/// `value`, or an error that says what stood there.
pub(crate) fn known<T>(
    value: Option<T>,
    table: &'static str,
    row: impl Into<i64>,
    found: impl ToString,
    expected: &'static str,
) -> Result<T, Error> {
    let unreadable = || Error::Unreadable {
        table,
        row: row.into(),
        found: found.to_string(),
        expected,
    };
    value.ok_or_else(unreadable)
}

pub(crate) fn timestamp(
    table: &'static str,
    row: impl Into<i64>,
    at_us: i64,
) -> Result<Timestamp, Error> {
    known(
        Timestamp::from_microsecond(at_us).ok(),
        table,
        row,
        at_us,
        "time in microseconds",
    )
}

impl From<Seq> for i64 {
    fn from(seq: Seq) -> Self {
        seq.0
    }
}

impl From<CarId> for i64 {
    fn from(car: CarId) -> Self {
        car.0
    }
}

impl From<MemberId> for i64 {
    fn from(member: MemberId) -> Self {
        member.0
    }
}
