//! What is moved as one: a car, or locomotives that are coupled together.

use std::ops::Range;

use super::adviser::{AdviceError, Adviser};
use super::makeup::Origin;
use crate::vehicle::Numbers;

/// Whether locomotives that are coupled together stay so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Coupled {
    /// Those that run together are moved together; those at the head stay there.
    #[default]
    AsTheyAre,
    /// Each but the first may be cut in by itself, those behind the first at the head too.
    OneByOne,
}

/// Locomotives that are cut in together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Helper {
    /// Their places in the train as it is, from 0.
    pub vehicles: Range<usize>,
}

impl Helper {
    pub(super) fn origins(&self) -> Vec<Origin> {
        self.vehicles.clone().map(Origin::Own).collect()
    }
}

impl Adviser<'_> {
    /// The helpers of the train, head first.
    #[must_use]
    pub fn helpers(&self, coupled: Coupled) -> Vec<Helper> {
        let numbers = self.train.numbers();
        let runs = units(numbers);
        let power = runs
            .into_iter()
            .filter(|run| numbers[run.start].power.is_some());
        let helpers: Vec<Range<usize>> = match coupled {
            Coupled::AsTheyAre => power.filter(|run| run.start > 0).collect(),
            Coupled::OneByOne => power
                .flatten()
                .filter(|place| *place > 0)
                .map(|place| place..place + 1)
                .collect(),
        };
        helpers
            .into_iter()
            .map(|vehicles| Helper { vehicles })
            .collect()
    }

    pub(super) fn check_helper(&self, helper: &Helper) -> Result<(), AdviceError> {
        let Range { start, end } = helper.vehicles;
        let found = self.train.numbers().get(start..end).unwrap_or_default();
        if found.is_empty() || found.iter().any(|own| own.power.is_none()) {
            return Err(self.not_there(&helper.vehicles, "locomotives"));
        }
        Ok(())
    }

    pub(super) fn not_there(&self, vehicles: &Range<usize>, wish: &'static str) -> AdviceError {
        AdviceError::NotThere {
            first: vehicles.start,
            last: vehicles.end.saturating_sub(1),
            wish,
            count: self.count(),
        }
    }
}

/// The train in units: cars one by one, locomotives that are coupled together.
pub(super) fn units(numbers: &[Numbers]) -> Vec<Range<usize>> {
    let mut units: Vec<Range<usize>> = Vec::new();
    for (place, own) in numbers.iter().enumerate() {
        match units.last_mut() {
            Some(last) if own.power.is_some() && numbers[last.start].power.is_some() => {
                last.end = place + 1;
            }
            _ => units.push(place..place + 1),
        }
    }
    units
}
