//! A train: vehicles in order, the first at the head.

use super::card::{Kind, Vehicle};
use super::numbers::Numbers;
use super::quantity::Quantity;
use super::sourced::Provenance;

/// A list of vehicles that is no train.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TrainError {
    /// Nothing was given.
    #[error("the train has no vehicle: at least one is needed")]
    Empty,
    /// Nothing pulls.
    #[error("the train has no locomotive: at least one is needed to say how it climbs")]
    NoLocomotive,
    /// Two pivots that meet: a coupling needs length.
    #[error("between vehicle {0} and the one behind, both shanks have no length: give one of them")]
    NoLink(usize),
    /// A place in the train that is not there.
    #[error("place {place} is not in a train of {count} vehicles (places count from 0)")]
    NoSuchPlace {
        /// The place asked for.
        place: usize,
        /// How many vehicles there are.
        count: usize,
    },
}

/// A train, its head first, with the raw numbers that the arithmetic uses beside the cards.
#[derive(Clone, Debug, PartialEq)]
pub struct Train {
    vehicles: Vec<Vehicle>,
    numbers: Vec<Numbers>,
}

impl Train {
    /// A train of `vehicles`, head first.
    ///
    /// # Errors
    /// [`TrainError`] when there is no vehicle, no locomotive, or a coupling without length.
    pub fn new(vehicles: Vec<Vehicle>) -> Result<Self, TrainError> {
        if vehicles.is_empty() {
            return Err(TrainError::Empty);
        }
        if vehicles.iter().all(|vehicle| vehicle.kind() == Kind::Car) {
            return Err(TrainError::NoLocomotive);
        }
        let numbers: Vec<Numbers> = vehicles.iter().map(Numbers::of).collect();
        match first_without_link(&numbers) {
            Some(index) => Err(TrainError::NoLink(index)),
            None => Ok(Self { vehicles, numbers }),
        }
    }

    /// The vehicles, head first.
    #[must_use]
    pub fn vehicles(&self) -> &[Vehicle] {
        &self.vehicles
    }

    /// The raw numbers, in the same order.
    #[must_use]
    pub fn numbers(&self) -> &[Numbers] {
        &self.numbers
    }

    /// How many vehicles there are.
    #[must_use]
    pub fn vehicle_count(&self) -> usize {
        self.vehicles.len()
    }

    /// The same vehicles with the one at `from` taken out and cut in at `to`.
    ///
    /// # Errors
    /// [`TrainError::NoSuchPlace`] when either is not a place of the train.
    pub fn with_moved(&self, from: usize, to: usize) -> Result<Self, TrainError> {
        let count = self.vehicle_count();
        if let Some(&place) = [from, to].iter().find(|place| **place >= count) {
            return Err(TrainError::NoSuchPlace { place, count });
        }
        let mut vehicles = self.vehicles.clone();
        let vehicle = vehicles.remove(from);
        vehicles.insert(to, vehicle);
        Self::new(vehicles)
    }
}

/// The first vehicle that has no length of coupling to the one behind it.
pub(crate) fn first_without_link(numbers: &[Numbers]) -> Option<usize> {
    numbers
        .windows(2)
        .position(|pair| pair[0].link_to(&pair[1]) <= pair[0].slack_to(&pair[1]))
}

/// One end of the range of an unmeasured number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RangeEnd {
    /// The least it may be.
    Low,
    /// The most it may be.
    High,
}

impl Train {
    /// How the unmeasured entries of one quantity are known, one per vehicle that has such an
    /// entry with a range to move in.
    #[must_use]
    pub fn unmeasured(&self, quantity: Quantity) -> Vec<Provenance> {
        let entries = self
            .vehicles
            .iter()
            .filter(|vehicle| vehicle.kind() == Kind::Locomotive || !quantity.is_of_locomotives());
        entries
            .map(|vehicle| vehicle.entry(quantity))
            .filter(|entry| entry.is_unmeasured() && entry.low < entry.high)
            .map(|entry| entry.provenance)
            .collect()
    }

    /// The same train with every unmeasured entry of one quantity at one end of its range.
    #[must_use]
    pub fn with_unmeasured_at(&self, quantity: Quantity, end: RangeEnd) -> Self {
        let vehicles: Vec<Vehicle> = self
            .vehicles
            .iter()
            .map(|vehicle| vehicle.at_range_end(quantity, end))
            .collect();
        let numbers = vehicles.iter().map(Numbers::of).collect();
        Self { vehicles, numbers }
    }
}
