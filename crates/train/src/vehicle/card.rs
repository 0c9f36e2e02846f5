//! One vehicle's card.

use super::class::Class;
use super::quantity::Quantity;
use super::sourced::Sourced;
use super::train::RangeEnd;

/// Car or locomotive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// It is pulled or pushed.
    Car,
    /// It pulls, pushes and holds.
    Locomotive,
}

/// A number that cannot stand on a card.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum VehicleError {
    /// A value outside what the quantity can be.
    #[error("{label}: {quantity:?} is {value} {unit}: it must be {wish}")]
    Impossible {
        /// The vehicle.
        label: String,
        /// The entry.
        quantity: Quantity,
        /// The value found.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// What it must be.
        wish: &'static str,
    },
    /// A range that does not hold its own value.
    #[error("{label}: {quantity:?} is {value} but its range runs from {low} to {high}")]
    OutsideItsRange {
        /// The vehicle.
        label: String,
        /// The entry.
        quantity: Quantity,
        /// The value found.
        value: f64,
        /// Lower end of the range.
        low: f64,
        /// Upper end of the range.
        high: f64,
    },
    /// A locomotive's entry on a car's card.
    #[error("{label} is a car: {quantity:?} belongs on a locomotive's card")]
    NotALocomotive {
        /// The vehicle.
        label: String,
        /// The entry.
        quantity: Quantity,
    },
}

/// A vehicle: what it is called, what it is, and one number per quantity.
///
/// # Example
/// ```
/// use gradeworthy_train::vehicle::{Class, Quantity, Sourced, Vehicle};
/// let car = Vehicle::of_class("demo 101", Class::HoCar)
///     .with(Quantity::Weight, Sourced::measured(1.16))?;
/// assert_eq!(car.value(Quantity::Weight), 1.16);
/// # Ok::<(), gradeworthy_train::vehicle::VehicleError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    label: String,
    kind: Kind,
    entries: [Sourced; Quantity::ALL.len()],
}

impl Vehicle {
    /// A vehicle with every number at the default of its class.
    #[must_use]
    pub fn of_class(label: impl Into<String>, class: Class) -> Self {
        let entries = Quantity::ALL.map(|quantity| class.default_of(quantity));
        Self {
            label: label.into(),
            kind: class.kind(),
            entries,
        }
    }

    /// The same vehicle with one entry replaced.
    ///
    /// # Errors
    /// [`VehicleError`] names the vehicle, the entry, the value found and what it must be.
    pub fn with(mut self, quantity: Quantity, entry: Sourced) -> Result<Self, VehicleError> {
        self.check(quantity, &entry)?;
        self.entries[quantity.index()] = entry;
        Ok(self)
    }

    /// The same vehicle with several measured numbers.
    ///
    /// # Errors
    /// As [`Vehicle::with`].
    pub fn measured(self, readings: &[(Quantity, f64)]) -> Result<Self, VehicleError> {
        readings
            .iter()
            .try_fold(self, |vehicle, &(quantity, value)| {
                vehicle.with(quantity, Sourced::measured(value))
            })
    }

    /// What the vehicle is called.
    #[must_use]
    pub fn label(&self) -> &str {
        &self.label
    }

    /// Car or locomotive.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// The entry of one quantity.
    #[must_use]
    pub fn entry(&self, quantity: Quantity) -> Sourced {
        self.entries[quantity.index()]
    }

    /// The number used for one quantity, SI.
    #[must_use]
    pub fn value(&self, quantity: Quantity) -> f64 {
        self.entry(quantity).value
    }

    /// The same vehicle with one unmeasured entry at an end of its range; a measured one stays.
    pub(super) fn at_range_end(&self, quantity: Quantity, end: RangeEnd) -> Self {
        let mut moved = self.clone();
        let entry = &mut moved.entries[quantity.index()];
        if entry.is_unmeasured() {
            entry.value = if end == RangeEnd::Low {
                entry.low
            } else {
                entry.high
            };
        }
        moved
    }

    fn check(&self, quantity: Quantity, entry: &Sourced) -> Result<(), VehicleError> {
        let label = || self.label.clone();
        if quantity.is_of_locomotives() && self.kind == Kind::Car {
            return Err(VehicleError::NotALocomotive {
                label: label(),
                quantity,
            });
        }
        let bound = quantity.bound();
        if let Some(&value) = [entry.value, entry.low, entry.high]
            .iter()
            .find(|value| !bound.admits(**value))
        {
            let (unit, wish) = (quantity.unit(), bound.wish());
            return Err(VehicleError::Impossible {
                label: label(),
                quantity,
                value,
                unit,
                wish,
            });
        }
        let Sourced {
            value, low, high, ..
        } = *entry;
        if low <= value && value <= high {
            Ok(())
        } else {
            Err(VehicleError::OutsideItsRange {
                label: label(),
                quantity,
                value,
                low,
                high,
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nonsense_is_refused_with_the_car_the_number_and_the_wish() {
        let car = Vehicle::of_class("demo 7", Class::HoCar);
        let refusal = car
            .clone()
            .with(Quantity::Weight, Sourced::measured(0.0))
            .expect_err("0 N");
        assert_eq!(
            refusal.to_string(),
            "demo 7: Weight is 0 N: it must be more than zero"
        );
        assert!(
            car.clone()
                .with(Quantity::CgLeft, Sourced::measured(f64::NAN))
                .is_err()
        );
        assert!(
            car.clone()
                .with(Quantity::SpeedSlope, Sourced::measured(1.0))
                .is_err()
        );
        assert!(
            car.with(Quantity::RollingDrag, Sourced::assumed(0.02, 0.03, 0.04))
                .is_err()
        );
    }

    #[test]
    fn every_class_default_is_admissible() {
        for class in Class::ALL {
            let vehicle = Vehicle::of_class("demo", class);
            for quantity in Quantity::ALL {
                if class.kind() == Kind::Locomotive || !quantity.is_of_locomotives() {
                    let entry = vehicle.entry(quantity);
                    assert_eq!(vehicle.check(quantity, &entry), Ok(()));
                }
            }
        }
    }
}
