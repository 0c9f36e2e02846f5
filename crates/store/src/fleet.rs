//! The fleet, page by page. A page begins after the last row of the one before, so that it costs the same
//! whether it is the first or the hundredth, and a car entered meanwhile shifts nothing.

use gradeworthy_standards::Scale;
use gradeworthy_workbench::record::{CarMark, CarType};
use jiff::Timestamp;
use rusqlite::params;

use crate::rows::car_now::{self, CarNowRow};
use crate::{CarId, Error, MemberId, Snapshot, Standing, sql};

/// One car in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct FleetRow {
    /// The car.
    pub car: CarId,
    /// Its marks and number.
    pub mark: CarMark,
    /// Its owner, where known.
    pub owner: Option<Box<str>>,
    /// The member who is its owner, where he is one.
    pub owner_member: Option<MemberId>,
    /// Its scale.
    pub scale: Scale,
    /// Its type letters, where known.
    pub car_type: Option<CarType>,
    /// What the record calls it.
    pub description: Option<Box<str>>,
    /// Where it stands.
    pub standing: Standing,
    /// Since when.
    pub since: Timestamp,
}

/// What a list is to hold; what is left out filters nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FleetFilter {
    /// A part of the marks or number.
    pub mark_part: Option<Box<str>>,
    /// A part of the owner's name.
    pub owner_part: Option<Box<str>>,
    /// The member whose cars are wanted.
    pub owner_member: Option<MemberId>,
    /// One of [`Standing::NAMES`].
    pub standing: Option<&'static str>,
    /// A scale.
    pub scale: Option<Scale>,
    /// Type letters.
    pub car_type: Option<CarType>,
}

/// The last row of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FleetCursor {
    /// Its marks and number.
    pub mark: CarMark,
    /// The car.
    pub car: CarId,
}

impl From<&FleetRow> for FleetCursor {
    fn from(row: &FleetRow) -> Self {
        Self {
            mark: row.mark.clone(),
            car: row.car,
        }
    }
}

impl Snapshot<'_> {
    /// The next `count` cars of the list, by marks and number, after the row `after`.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn fleet(
        &self,
        filter: &FleetFilter,
        after: Option<&FleetCursor>,
        count: u32,
    ) -> Result<Vec<FleetRow>, Error> {
        let (after_mark, after_car) = after.map_or(("", 0), |row| (row.mark.as_str(), row.car.0));
        let mark_part = filter
            .mark_part
            .as_ref()
            .map(|part| part.trim().to_uppercase());
        let owner_part = filter
            .owner_part
            .as_ref()
            .map(|part| part.trim().to_lowercase());
        let mut statement = self.connection()?.prepare_cached(sql::FLEET)?;
        let key = params![
            after_mark,
            after_car,
            mark_part,
            owner_part,
            filter.owner_member,
            filter.standing,
            filter.scale.map(Scale::name),
            filter.car_type.as_ref().map(CarType::as_str),
            count,
        ];
        let rows = statement.query_map(key, CarNowRow::read)?;
        rows.map(|row| row?.into_row()).collect()
    }

    /// Every car with these marks and number; more than one where a number was given twice.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn rows_marked(&self, mark: &str) -> Result<Vec<FleetRow>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::ROWS_MARKED)?;
        let rows = statement.query_map([mark], CarNowRow::read)?;
        rows.map(|row| row?.into_row()).collect()
    }

    /// The `count` cars whose standing changed last, the latest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn lately_moved(&self, count: u32) -> Result<Vec<FleetRow>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::LATELY_MOVED)?;
        let rows = statement.query_map([count], CarNowRow::read)?;
        rows.map(|row| row?.into_row()).collect()
    }

    /// One car as a list shows it.
    ///
    /// # Errors
    /// [`Error::UnknownCar`] and the errors of the file.
    pub fn car(&self, car: CarId) -> Result<FleetRow, Error> {
        car_now::kept(self.connection()?, car)?.ok_or(Error::UnknownCar(car))
    }
}
