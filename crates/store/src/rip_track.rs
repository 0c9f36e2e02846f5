//! The RIP track: every car that waits, in the order in which somebody wants to look at them.

use std::cmp::Reverse;

use jiff::Timestamp;

use crate::rows::car_now::{self, CarNowRow};
use crate::rows::timestamp;
use crate::standing::{CarNow, OpenAsk, OpenRest, OpenWait};
use crate::{BadOrder, CarId, Error, FleetRow, MemberId, Seq, Snapshot, Standing, rows, sql};

/// A car on the RIP track.
#[derive(Clone, Debug, PartialEq)]
pub struct RipRow {
    /// The car, where it stands and since when.
    pub car: FleetRow,
    /// When a train wants it, if one does.
    pub needed_at: Option<Timestamp>,
}

impl RipRow {
    /// Whether its rest is over at `now`.
    #[must_use]
    pub fn is_due(&self, now: Timestamp) -> bool {
        self.car
            .standing
            .not_before()
            .is_some_and(|not_before| not_before <= now)
    }
}

/// Which car comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RipOrder {
    /// Those whose second look is due, the longest due first; then the oldest.
    DueFirst {
        /// The time by which they are due.
        now: Timestamp,
    },
    /// Those that a train wants, the soonest first; then the oldest.
    NeededFirst,
    /// The one that has stood longest.
    OldestFirst,
}

/// A report of bad order that is open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenReport {
    /// The report.
    pub seq: Seq,
    /// When.
    pub at: Timestamp,
    /// Who.
    pub by: MemberId,
    /// What.
    pub report: BadOrder,
}

/// Everything that holds a car up, each kind oldest first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Holds {
    /// Reports of bad order.
    pub reports: Vec<OpenReport>,
    /// The rest it takes.
    pub rest: Option<OpenRest>,
    /// What it waits for.
    pub waits: Vec<OpenWait>,
    /// What its owner is asked.
    pub asks: Vec<OpenAsk>,
}

impl Snapshot<'_> {
    /// Every car on the RIP track.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn rip_track(&self, order: RipOrder) -> Result<Vec<RipRow>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::RIP_TRACK)?;
        let rows = statement.query_map([], |row| {
            Ok((CarNowRow::read(row)?, row.get::<_, Option<i64>>(11)?))
        })?;
        let mut list = Vec::new();
        for row in rows {
            let (car, needed_at_us) = row?;
            let car = car.into_row()?;
            let needed_at = needed_at_us.map(|at_us| timestamp("wanted", car.car, at_us));
            list.push(RipRow {
                car,
                needed_at: needed_at.transpose()?,
            });
        }
        // The list comes oldest first, and sorting keeps that order among equals.
        match order {
            RipOrder::OldestFirst => {}
            RipOrder::NeededFirst => {
                list.sort_by_key(|row| (row.needed_at.is_none(), row.needed_at))
            }
            RipOrder::DueFirst { now } => list.sort_by_key(|row| {
                let due = row.is_due(now);
                (Reverse(due), row.car.standing.not_before().filter(|_| due))
            }),
        }
        Ok(list)
    }

    /// The reports of bad order that are open on a car, oldest first.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn open_reports(&self, car: CarId) -> Result<Vec<OpenReport>, Error> {
        Ok(self.holds(car)?.reports)
    }

    /// Everything that holds a car up.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn holds(&self, car: CarId) -> Result<Holds, Error> {
        let connection = self.connection()?;
        rows::version(connection, car)?;
        let events = rows::standing_events(connection, car)?;
        let author = |seq| {
            events
                .iter()
                .find(|event| event.seq == seq)
                .map(|event| event.by)
        };
        let now = CarNow::fold(car, &events);
        let reports = now.open_reports().iter().filter_map(|(seq, at, report)| {
            Some(OpenReport {
                seq: *seq,
                at: *at,
                by: author(*seq)?,
                report: report.clone(),
            })
        });
        Ok(Holds {
            reports: reports.collect(),
            rest: now.open_rest().cloned(),
            waits: now.open_waits().cloned().collect(),
            asks: now.open_asks().to_vec(),
        })
    }

    /// The cars that tonight's trains want, and for when.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn wanted(&self) -> Result<Vec<(CarId, Timestamp)>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::WANTED)?;
        let rows = statement.query_map([], |row| Ok((row.get::<_, CarId>(0)?, row.get(1)?)))?;
        let mut wanted = Vec::new();
        for row in rows {
            let (car, needed_at_us) = row?;
            wanted.push((car, timestamp("wanted", car, needed_at_us)?));
        }
        Ok(wanted)
    }

    /// Where a car stands, folded from its events.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn standing(&self, car: CarId) -> Result<Standing, Error> {
        let connection = self.connection()?;
        rows::version(connection, car)?;
        Ok(car_now::fold(connection, car)?.standing().0)
    }
}
