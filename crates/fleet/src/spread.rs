//! How one reading is spread over a group of cars.
//!
//! Quantiles: of n values in order the one at h = (n − 1) p, linear between neighbours; definition 7
//! of [HYNDMAN-FAN-1996], the default of most statistics software.

use gradeworthy_units::Amount;
use gradeworthy_workbench::record::{Measure, Place};

use crate::fleet::{Fleet, Row};

/// The readings of one thing over a group, the least first.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// The readings, each with the row of its car.
    pub readings: Vec<(Amount, Row)>,
    /// How many cars of the group have such a reading.
    pub cars: usize,
    /// How many cars of the group have none.
    pub without: usize,
}

impl Spread {
    /// The value below which the part `p` of the readings lies, in the base unit of files (mm, g,
    /// degree, ratio, s, N); `None` where there are none or `p` is no part.
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        quantile(self.readings.len(), p, |index| {
            self.readings[index].0.base()
        })
    }

    /// How many readings lie below `lower` and above `upper`; at a limit is inside.
    #[must_use]
    pub fn outside(&self, lower: Option<Amount>, upper: Option<Amount>) -> (usize, usize) {
        let below = |limit: Amount| self.readings.iter().filter(|own| own.0 < limit).count();
        let above = |limit: Amount| self.readings.iter().filter(|own| own.0 > limit).count();
        (lower.map_or(0, below), upper.map_or(0, above))
    }
}

/// The quantile `p` of `count` values that rise with their index.
#[must_use]
pub fn quantile(count: usize, p: f64, value: impl Fn(usize) -> f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&p) {
        return None;
    }
    let last = count.checked_sub(1)?;
    #[expect(
        clippy::cast_precision_loss,
        reason = "a count of readings is far below 2^53"
    )]
    let position = last as f64 * p;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the last index"
    )]
    let below = position.floor() as usize;
    let (low, high) = (value(below), value(last.min(below + 1)));
    Some(low + (position - position.floor()) * (high - low))
}

impl Fleet {
    /// The latest readings of `measure` over the cars of `rows`: at one place, or at all of them.
    #[must_use]
    pub fn spread(&self, rows: &[Row], measure: Measure, place: Option<Place>) -> Spread {
        let columns: Vec<_> = self.columns_at(measure, place).collect();
        let mut readings = Vec::with_capacity(rows.len() * columns.len());
        let mut cars = 0;
        for row in rows {
            let before = readings.len();
            let amounts = columns.iter().filter_map(|(_, column)| column.amount(*row));
            readings.extend(amounts.map(|amount| (amount, *row)));
            cars += usize::from(readings.len() > before);
        }
        readings.sort_unstable_by(|(one, own), (other, row)| {
            let order = one.partial_cmp(other);
            order
                .unwrap_or(std::cmp::Ordering::Equal)
                .then(own.cmp(row))
        });
        Spread {
            readings,
            cars,
            without: rows.len() - cars,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::quantile;

    /// Check values: NumPy 2, `numpy.quantile([15, 20, 35, 40, 50], p)` with its default method.
    #[test]
    fn quantiles_are_those_of_numpy() {
        let values = [15.0, 20.0, 35.0, 40.0, 50.0];
        for (p, expected) in [
            (0.0, 15.0),
            (0.05, 16.0),
            (0.25, 20.0),
            (0.4, 29.0),
            (0.95, 48.0),
            (1.0, 50.0),
        ] {
            let found = quantile(5, p, |index| values[index]).expect("there are values");
            assert!((found - expected).abs() < 1e-12, "{p}: {found}");
        }
        assert_eq!(quantile(5, 1.5, |index| values[index]), None);
        assert_eq!(quantile(0, 0.5, |_| 0.0), None);
    }
}
