//! Readings beside their like: the latest of a car, the one before, and the spread over a class of cars,
//! so that a slip of the finger shows before it is entered.
//!
//! Quantiles: for n readings in order, the one at h = (n − 1) p, linear between neighbours; definition
//! 7 of [HYNDMAN-FAN-1996], the default of most statistics software.

use std::collections::BTreeSet;

use gradeworthy_standards::Scale;
use gradeworthy_units::Dimension;
use gradeworthy_workbench::record::{CarType, Entry, Kind, Measure, Place};
use jiff::Timestamp;
use rusqlite::types::Value as Cell;
use rusqlite::{OptionalExtension, params};

use crate::rows::{self, known, timestamp};
use crate::{CarId, Error, Seq, Snapshot, spelling, sql};

/// A reading in its place in the record.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedReading {
    /// Its event.
    pub seq: Seq,
    /// When it was entered.
    pub at: Timestamp,
    /// The reading.
    pub entry: Entry,
}

/// Which cars are compared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClassFilter {
    /// Their scale.
    pub scale: Scale,
    /// Their type letters; all types where there are none.
    pub car_type: Option<CarType>,
}

/// The latest readings of a class of cars, in order. Numbers are in the base unit people meet in files:
/// mm, g, degree, ratio, s, N.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// What they measure.
    pub dimension: Dimension,
    values: Vec<f64>,
}

impl Spread {
    fn new(dimension: Dimension, mut values: Vec<f64>) -> Self {
        values.sort_by(f64::total_cmp);
        Self { dimension, values }
    }

    /// How many cars.
    #[must_use]
    pub fn count(&self) -> usize {
        self.values.len()
    }

    /// Every value, least first.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The value below which the part `p` of them lies; `None` where there are none or `p` is no part.
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(0.0..=1.0).contains(&p) {
            return None;
        }
        let last = self.values.len().checked_sub(1)?;
        #[expect(
            clippy::cast_precision_loss,
            reason = "a count of cars is far below 2^53"
        )]
        let position = last as f64 * p;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the last index"
        )]
        let below = position.floor() as usize;
        let (low, high) = (self.values[below], self.values[last.min(below + 1)]);
        Some(low + (position - position.floor()) * (high - low))
    }
}

impl Snapshot<'_> {
    /// The latest reading of each measure and place of a car, in bench order.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn latest_readings(&self, car: CarId) -> Result<Vec<PlacedReading>, Error> {
        let connection = self.connection()?;
        let mut seen = BTreeSet::<(Measure, Place)>::new();
        let mut latest = Vec::new();
        for (seq, entry) in rows::readings_of_car(connection, car)?.into_iter().rev() {
            if seen.insert((entry.measure, entry.place)) {
                let at = rows::time_of(connection, seq)?;
                latest.push(PlacedReading { seq, at, entry });
            }
        }
        latest.sort_by_key(|reading| (reading.entry.measure, reading.entry.place));
        Ok(latest)
    }

    /// The last reading of one thing at one place of a car, before the event `before` if one is given.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn previous_reading(
        &self,
        car: CarId,
        measure: Measure,
        place: Place,
        before: Option<Seq>,
    ) -> Result<Option<PlacedReading>, Error> {
        let connection = self.connection()?;
        let before = before.unwrap_or(Seq(i64::MAX));
        let mut statement = connection.prepare_cached(sql::PREVIOUS_READING)?;
        let key = params![measure.name(), spelling::place(place), car, before];
        let found = statement.query_row(key, |row| Ok((row.get::<_, Seq>(0)?, row.get(1)?)));
        let Some((seq, at_us)) = found.optional()? else {
            return Ok(None);
        };
        let at = timestamp("event", seq, at_us)?;
        Ok(Some(PlacedReading {
            seq,
            at,
            entry: rows::reading(connection, seq)?,
        }))
    }

    /// The latest reading of one thing at one place of every car of a class. `None` where nobody has
    /// read it, or where it is no quantity.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn spread(
        &self,
        measure: Measure,
        place: Place,
        class: &ClassFilter,
    ) -> Result<Option<Spread>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::SPREAD)?;
        let key = params![
            measure.name(),
            spelling::place(place),
            class.scale.name(),
            class.car_type.as_ref().map(CarType::as_str),
        ];
        let Kind::Quantity(dimension) = measure.kind() else {
            return Ok(None);
        };
        let rows = statement.query_map(key, |row| Ok((row.get(0)?, row.get(1)?)))?;
        let mut values = Vec::new();
        for row in rows {
            let (cell, car_count): (Cell, u32) = row?;
            let amount = spelling::read_amount(dimension, &cell);
            let expected = "amount of its measure's dimension";
            let amount = known(amount, "spread_now", 0, format!("{cell:?}"), expected)?;
            values.extend((0..car_count).map(|_| amount.base()));
        }
        Ok((!values.is_empty()).then(|| Spread::new(dimension, values)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check values: NumPy 2, `numpy.quantile([15, 20, 35, 40, 50], p)` with its default method.
    #[test]
    fn quantiles_are_those_of_numpy() {
        let spread = Spread::new(Dimension::Length, vec![50.0, 15.0, 35.0, 20.0, 40.0]);
        for (p, expected) in [
            (0.0, 15.0),
            (0.05, 16.0),
            (0.25, 20.0),
            (0.4, 29.0),
            (0.95, 48.0),
            (1.0, 50.0),
        ] {
            let found = spread.quantile(p).expect("there are values");
            assert!((found - expected).abs() < 1e-12, "{p}: {found}");
        }
        assert_eq!(spread.quantile(1.5), None);
        assert_eq!(
            Spread::new(Dimension::Length, Vec::new()).quantile(0.5),
            None
        );
    }
}
