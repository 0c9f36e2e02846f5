//! What happened to every car, for whoever counts it: one walk along the events, which leaves the readings
//! out, and the readings counted by instrument. Struck events do not count.

use jiff::Timestamp;

use crate::rows::{self, timestamp};
use crate::{CarEvent, CarId, Error, RecordedInspection, Seq, Snapshot, spelling, sql};

/// What happened to one car.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CarDoings {
    /// Reports of bad order, merged reports, releases and handings back, oldest first.
    pub events: Vec<CarEvent>,
    /// When it was inspected, oldest first.
    pub inspected: Vec<Timestamp>,
    /// Its last inspection.
    pub last_inspection: Option<RecordedInspection>,
}

/// How often an instrument was used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InstrumentUse {
    /// Its name; `None` for readings that name none.
    pub instrument: Option<Box<str>>,
    /// Readings taken with it.
    pub readings: usize,
    /// When the last of them was entered.
    pub last: Timestamp,
}

impl Snapshot<'_> {
    /// Every car to which any of that happened, in the order in which they were entered.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn each_doings(&self, mut take: impl FnMut(CarId, CarDoings)) -> Result<(), Error> {
        let connection = self.connection()?;
        let mut statement = connection.prepare_cached(sql::DOINGS_BY_CAR)?;
        let rows = statement.query_map([], rows::EventRow::read)?;
        let mut own: Option<(CarId, CarDoings, Option<Seq>)> = None;
        let mut finish = |own: Option<(CarId, CarDoings, Option<Seq>)>| -> Result<(), Error> {
            let Some((car, mut doings, last)) = own else {
                return Ok(());
            };
            if let Some(seq) = last {
                doings.last_inspection = Some(rows::inspection(connection, seq)?);
            }
            take(car, doings);
            Ok(())
        };
        for row in rows {
            let row = row?;
            if own.as_ref().is_none_or(|(car, ..)| *car != row.car) {
                finish(own.take())?;
            }
            let (_, doings, last) =
                own.get_or_insert_with(|| (row.car, CarDoings::default(), None));
            if row.is_inspection() {
                doings
                    .inspected
                    .push(timestamp("event", row.seq, row.at_us)?);
                *last = Some(row.seq);
            } else {
                doings.events.push(row.into_event(connection)?);
            }
        }
        finish(own)
    }

    /// How often each instrument was used from `from` on and before `to`, by name.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn instrument_uses(
        &self,
        from: Timestamp,
        to: Timestamp,
    ) -> Result<Vec<InstrumentUse>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::INSTRUMENT_USES)?;
        let period = [spelling::at_us(from), spelling::at_us(to)];
        let rows = statement.query_map(period, |row| {
            Ok((row.get(0)?, row.get::<_, i64>(1)?, row.get(2)?))
        })?;
        let mut uses = Vec::new();
        for row in rows {
            let (instrument, readings, last_us) = row?;
            uses.push(InstrumentUse {
                instrument,
                readings: usize::try_from(readings).unwrap_or(usize::MAX),
                last: timestamp("event", 0_i64, last_us)?,
            });
        }
        Ok(uses)
    }
}
