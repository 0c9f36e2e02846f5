//! The fleet car by car, for whoever holds it in memory: every car once at the start, and afterwards those
//! whose records have grown.
//!
//! The readings of all cars come in one walk along the index of events by car, so that ten thousand cars
//! cost seconds and not minutes, and never more memory than one car's.

use std::collections::HashMap;
use std::iter::Peekable;
use std::ops::RangeInclusive;

use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{Done, Entry, Record};
use jiff::Timestamp;
use jiff::civil::Date;

use crate::rows::{car_now, known, reading, timestamp};
use crate::{CarId, Error, Fitting, FleetRow, MemberId, Part, Seq, Snapshot, spelling, sql};

/// A car with everything that judging it and finding it needs.
#[derive(Clone, Debug, PartialEq)]
pub struct FleetStock {
    /// Where it stands and whose it is.
    pub row: FleetRow,
    /// The car, its readings and its cures; struck ones are left out.
    pub record: Record,
    /// When each reading was entered and by whom, in the order of [`Record::entries`].
    pub entered: Vec<(Timestamp, MemberId)>,
    /// Parts fitted, oldest first.
    pub fitted: Vec<Fitting>,
}

struct PlacedCure {
    seq: Seq,
    cure: CureKind,
    on: Option<Date>,
}

struct PlacedEntry {
    car: CarId,
    seq: Seq,
    at: Timestamp,
    by: MemberId,
    entry: Entry,
}

impl Snapshot<'_> {
    /// The last event of all.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn last_event(&self) -> Result<Seq, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::LAST_EVENT)?;
        Ok(Seq(statement.query_row([], |row| row.get(0))?))
    }

    /// The cars of which something was entered after `seq`.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn cars_since(&self, seq: Seq) -> Result<Vec<CarId>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::CARS_SINCE)?;
        let rows = statement.query_map([seq], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// One car.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn stock_of(&self, car: CarId) -> Result<FleetStock, Error> {
        let mut found = None;
        self.walk(car..=car, |own| found = Some(own))?;
        found.ok_or(Error::UnknownCar(car))
    }

    /// Every car, in the order in which they were entered.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn each_stock(&self, take: impl FnMut(FleetStock)) -> Result<(), Error> {
        self.walk(CarId(0)..=CarId(i64::MAX), take)
    }

    fn walk(
        &self,
        cars: RangeInclusive<CarId>,
        mut take: impl FnMut(FleetStock),
    ) -> Result<(), Error> {
        let connection = self.connection()?;
        let range = [*cars.start(), *cars.end()];
        let mut cures = self.cures_of(range)?;
        let mut fittings = self.fittings_of(range)?;
        let mut statement = connection.prepare_cached(sql::CARS_BETWEEN)?;
        let numbers = statement.query_map(range, |row| row.get(0))?;
        let numbers: Vec<CarId> = numbers.collect::<Result<_, _>>()?;
        let mut statement = connection.prepare_cached(sql::READINGS_BY_CAR)?;
        let rows = statement.query_map(range, |row| {
            let (car, seq): (CarId, Seq) = (row.get(10)?, row.get(11)?);
            let (at_us, by) = (row.get(12)?, row.get(13)?);
            Ok(reading::of_row(row, seq).and_then(|entry| {
                Ok(PlacedEntry {
                    car,
                    seq,
                    at: timestamp("event", seq, at_us)?,
                    by,
                    entry,
                })
            }))
        })?;
        let mut placed = rows.map(|row| row?).peekable();
        for car in numbers {
            let own: Vec<PlacedEntry> = of_car(&mut placed, car)?;
            let now = car_now::fold(connection, car)?;
            let (Some(row), Some(what)) = (now.row(), now.as_car()) else {
                continue;
            };
            let mut record = Record::new(what);
            for cure in cures.remove(&car).unwrap_or_default() {
                record.done.push(Done {
                    cure: cure.cure,
                    on: cure.on,
                    after_entries: own.partition_point(|entry| entry.seq < cure.seq),
                });
            }
            let entered = own.iter().map(|entry| (entry.at, entry.by)).collect();
            record.entries = own.into_iter().map(|placed| placed.entry).collect();
            take(FleetStock {
                row,
                record,
                entered,
                fitted: fittings.remove(&car).unwrap_or_default(),
            });
        }
        Ok(())
    }

    fn cures_of(&self, range: [CarId; 2]) -> Result<HashMap<CarId, Vec<PlacedCure>>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::CURES_BY_CAR)?;
        let rows = statement.query_map(range, |row| {
            let on: Option<String> = row.get(3)?;
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, on))
        })?;
        let mut cures: HashMap<CarId, Vec<PlacedCure>> = HashMap::new();
        for row in rows {
            let (car, seq, name, on): (CarId, Seq, String, Option<String>) = row?;
            let cure = CureKind::from_name(&name);
            let on = on.map(|on| known(on.parse().ok(), "cure", seq, on, "date"));
            cures.entry(car).or_default().push(PlacedCure {
                seq,
                cure: known(cure, "cure", seq, name, "cure")?,
                on: on.transpose()?,
            });
        }
        Ok(cures)
    }

    fn fittings_of(&self, range: [CarId; 2]) -> Result<HashMap<CarId, Vec<Fitting>>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::FITTINGS_BY_CAR)?;
        let rows = statement.query_map(range, |row| {
            let (part, place): (String, String) = (row.get(2)?, row.get(3)?);
            let words: (Box<str>, Option<Box<str>>) = (row.get(4)?, row.get(5)?);
            Ok((row.get(0)?, row.get(1)?, part, place, words))
        })?;
        let mut fittings: HashMap<CarId, Vec<Fitting>> = HashMap::new();
        for row in rows {
            let (car, seq, part, place, (description, lot)): (CarId, Seq, _, _, _) = row?;
            fittings.entry(car).or_default().push(Fitting {
                part: known(Part::from_name(&part), "fitting", seq, part, "part")?,
                place: known(spelling::read_place(&place), "fitting", seq, place, "place")?,
                description,
                lot,
            });
        }
        Ok(fittings)
    }
}

/// The readings of one car from a walk that goes by car.
fn of_car(
    placed: &mut Peekable<impl Iterator<Item = Result<PlacedEntry, Error>>>,
    car: CarId,
) -> Result<Vec<PlacedEntry>, Error> {
    let mut own = Vec::new();
    while let Some(next) = placed.next_if(|next| next.as_ref().map_or(true, |next| next.car <= car))
    {
        let next = next?;
        if next.car == car {
            own.push(next);
        }
    }
    Ok(own)
}
