//! The row of what is true of a car now, written from the folding of its events and read for lists.

use gradeworthy_workbench::record::{CarMark, CarType};
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::{known, timestamp};
use crate::standing::CarNow;
use crate::{CarId, Error, FleetRow, Standing, spelling, sql};

/// Folds the events of `car` anew and keeps what follows from them.
pub(crate) fn refresh(connection: &Connection, car: CarId) -> Result<CarNow, Error> {
    let now = fold(connection, car)?;
    let Some(row) = now.row() else {
        return Err(Error::Corrupt {
            found: format!("car {car} has no marks or no description"),
        });
    };
    connection
        .prepare_cached(sql::PUT_CAR_NOW)?
        .execute(params![
            row.car,
            row.mark.as_str(),
            row.owner,
            row.owner_member,
            row.scale.name(),
            row.car_type.as_ref().map(CarType::as_str),
            row.description,
            row.standing.name(),
            spelling::at_us(row.since),
            row.standing.not_before().map(spelling::at_us),
            row.standing.detail(),
        ])?;
    Ok(now)
}

/// Folds the events of `car`.
pub(crate) fn fold(connection: &Connection, car: CarId) -> Result<CarNow, Error> {
    Ok(CarNow::fold(car, &super::standing_events(connection, car)?))
}

/// What is kept of `car`.
pub(crate) fn kept(connection: &Connection, car: CarId) -> Result<Option<FleetRow>, Error> {
    let mut statement = connection.prepare_cached(sql::CAR_NOW)?;
    let row = statement.query_row([car], CarNowRow::read).optional()?;
    row.map(CarNowRow::into_row).transpose()
}

impl CarNow {
    /// The row of a list; `None` before the car has marks and a description.
    pub(crate) fn row(&self) -> Option<FleetRow> {
        let details = self.details.as_ref()?;
        let (standing, since) = self.standing();
        Some(FleetRow {
            car: self.car,
            mark: self.mark.clone()?,
            owner: self.ownership.owner.clone(),
            owner_member: self.ownership.member,
            scale: details.scale,
            car_type: details.car_type.clone(),
            description: details.description.clone(),
            standing,
            since,
        })
    }
}

/// The columns that every list begins with.
pub(crate) struct CarNowRow {
    car: CarId,
    mark: String,
    owner: Option<Box<str>>,
    owner_member: Option<crate::MemberId>,
    scale: String,
    car_type: Option<String>,
    description: Option<Box<str>>,
    standing: String,
    since_us: i64,
    not_before_us: Option<i64>,
    detail: String,
}

impl CarNowRow {
    pub(crate) fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            car: row.get(0)?,
            mark: row.get(1)?,
            owner: row.get(2)?,
            owner_member: row.get(3)?,
            scale: row.get(4)?,
            car_type: row.get(5)?,
            description: row.get(6)?,
            standing: row.get(7)?,
            since_us: row.get(8)?,
            not_before_us: row.get(9)?,
            detail: row.get(10)?,
        })
    }

    pub(crate) fn into_row(self) -> Result<FleetRow, Error> {
        const TABLE: &str = "car_now";
        let car = self.car;
        let not_before = self
            .not_before_us
            .map(|at_us| timestamp(TABLE, car, at_us))
            .transpose()?;
        let standing = Standing::from_parts(&self.standing, not_before, &self.detail);
        Ok(FleetRow {
            car,
            mark: known(
                CarMark::new(&self.mark).ok(),
                TABLE,
                car,
                self.mark,
                "car's name",
            )?,
            owner: self.owner,
            owner_member: self.owner_member,
            scale: known(
                spelling::read_scale(&self.scale),
                TABLE,
                car,
                self.scale,
                "scale",
            )?,
            car_type: self.car_type.as_deref().map(CarType::new),
            description: self.description,
            standing: known(standing, TABLE, car, self.standing, "standing")?,
            since: timestamp(TABLE, car, self.since_us)?,
        })
    }
}
