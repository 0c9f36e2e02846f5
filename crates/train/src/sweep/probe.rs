//! One place at a time, only as far as is needed to say how hard it is there.
//!
//! The hardest use is that of [`super::sweep`] at the same place, to rounding: the same placement,
//! balance and uses, with what cannot exceed a floor left out.

use super::check::{Check, SweepError};
use super::envelope::Entry;
use super::places::HeadPlaces;
use super::run::Climber;
use crate::margins::{Mode, worst_of_places};
use crate::track::Alignment;
use crate::vehicle::Numbers;

/// The hardest use of a train at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Hardest {
    /// Demand over capacity.
    pub(crate) ratio: f64,
    /// In which way.
    pub(crate) mode: Mode,
    /// The vehicle, from 0.
    pub(crate) vehicle: usize,
    /// Place of the head's front bolster, m.
    pub(crate) head_s: f64,
}

/// A train that is looked at in one place after another.
pub(crate) struct Probe<'a> {
    train: &'a [Numbers],
    places: HeadPlaces,
    climber: Climber<'a>,
}

impl<'a> Probe<'a> {
    pub(crate) fn new(
        train: &'a [Numbers],
        line: &'a Alignment,
        check: &Check,
        places: HeadPlaces,
    ) -> Self {
        Self {
            train,
            places,
            climber: Climber::new(train, line, check),
        }
    }

    /// The hardest use at the place with the number `index`, if above `floor`.
    pub(crate) fn look(&mut self, index: usize, floor: f64) -> Result<Option<Hardest>, SweepError> {
        let head_s = self.places.at(index);
        self.climber.stand_at(head_s)?;
        let seen = self.climber.seen();
        let mut worst = Entry {
            ratio: floor,
            ..Entry::NONE
        };
        let stall = seen.balance.stall_use();
        if stall > worst.ratio {
            (worst.ratio, worst.mode, worst.vehicle) = (stall, Mode::Stall, seen.lead());
        }
        for (vehicle, (car, stance)) in self.train.iter().zip(seen.stances).enumerate() {
            let front = vehicle.checked_sub(1).map(|before| &seen.couplings[before]);
            if let Some((ratio, mode)) = worst_of_places(car, stance, front, worst.ratio) {
                worst = Entry {
                    ratio,
                    mode,
                    vehicle,
                };
            }
            seen.raise(vehicle, &mut worst);
        }
        let Entry {
            ratio,
            mode,
            vehicle,
        } = worst;
        Ok((ratio > floor).then_some(Hardest {
            ratio,
            mode,
            vehicle,
            head_s,
        }))
    }
}
