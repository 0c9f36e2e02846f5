//! The places of the head, and what was found at each, column by column.

use super::check::{Check, SweepError};
use super::envelope::Entry;
use crate::margins::Mode;
use crate::placement::{PlacementError, Placer, Slack, Stance};
use crate::statics::{Balance, Outcome};
use crate::track::Alignment;
use crate::vehicle::Numbers;

/// Tries to find where the whole train stands on the line.
const TRIES: usize = 64;

/// One row per place of the head, kept as columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlaceColumns {
    /// Place of the head's front bolster, m.
    pub head_s: Vec<f64>,
    /// Whether the train balances.
    pub outcome: Vec<Outcome>,
    /// Speed, m/s.
    pub speed: Vec<f64>,
    /// Pull required at the front, N.
    pub required: Vec<f64>,
    /// Pull (or hold) available against it, N.
    pub available: Vec<f64>,
    /// Greatest draft in the train, N.
    pub greatest_draft: Vec<f64>,
    /// Greatest buff in the train, N, as a positive number.
    pub greatest_buff: Vec<f64>,
    /// Greatest use of anything that ends the climb.
    pub worst_use: Vec<f64>,
    /// Its mode.
    pub worst_mode: Vec<Mode>,
    /// Its vehicle, from 0.
    pub worst_vehicle: Vec<usize>,
}

impl PlaceColumns {
    /// How many places there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.head_s.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.head_s.is_empty()
    }

    pub(super) fn push(&mut self, head_s: f64, balance: &Balance, worst: &Entry) {
        let couplings = balance
            .forces
            .get(1..balance.pulls.len())
            .unwrap_or_default();
        self.head_s.push(head_s);
        self.outcome.push(balance.outcome);
        self.speed.push(balance.speed);
        self.required.push(balance.required);
        self.available.push(balance.available);
        self.greatest_draft
            .push(couplings.iter().copied().fold(0.0, f64::max));
        self.greatest_buff
            .push(-couplings.iter().copied().fold(0.0, f64::min));
        self.worst_use.push(worst.ratio);
        self.worst_mode.push(worst.mode);
        self.worst_vehicle.push(worst.vehicle);
    }

    pub(super) fn append(&mut self, mut other: Self) {
        self.head_s.append(&mut other.head_s);
        self.outcome.append(&mut other.outcome);
        self.speed.append(&mut other.speed);
        self.required.append(&mut other.required);
        self.available.append(&mut other.available);
        self.greatest_draft.append(&mut other.greatest_draft);
        self.greatest_buff.append(&mut other.greatest_buff);
        self.worst_use.append(&mut other.worst_use);
        self.worst_mode.append(&mut other.worst_mode);
        self.worst_vehicle.append(&mut other.worst_vehicle);
    }
}

/// The first place of the head at which the whole train stands on the line, m.
///
/// # Errors
/// [`SweepError::TrainTooLong`] when there is none, [`SweepError::Placement`] when a vehicle cannot
/// stand at the start of the line at all.
pub fn first_head_place(train: &[Numbers], line: &Alignment) -> Result<f64, SweepError> {
    let train_m = bolster_to_bolster(train);
    let line_m = line.length();
    let too_long = SweepError::TrainTooLong { train_m, line_m };
    let stretched = vec![Slack::Stretched; train.len()];
    let mut stances: Vec<Stance> = Vec::new();
    let mut head_s = train_m;
    for _ in 0..TRIES {
        if head_s > line_m {
            return Err(too_long);
        }
        match Placer::new(line).place(train, &stretched, head_s, &mut stances) {
            Ok(()) => return Ok(head_s),
            Err(PlacementError::OffTheLine { s, .. }) if s < 0.0 => {
                head_s += 1.01 * s.abs() + 1e-6;
            }
            Err(source) => return Err(SweepError::Placement { head_s, source }),
        }
    }
    Err(too_long)
}

/// The places of the head to be checked: from the first where the train stands to the end.
pub(super) fn head_places(
    train: &[Numbers],
    line: &Alignment,
    check: &Check,
) -> Result<Vec<f64>, SweepError> {
    let places = HeadPlaces::of(train, line, check)?;
    Ok((0..places.count).map(|index| places.at(index)).collect())
}

/// The same places by number, without a list of them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HeadPlaces {
    first: f64,
    step: f64,
    count: usize,
}

impl HeadPlaces {
    pub(crate) fn of(
        train: &[Numbers],
        line: &Alignment,
        check: &Check,
    ) -> Result<Self, SweepError> {
        let step = check.step_m;
        if !(step > 0.0 && step.is_finite()) {
            return Err(SweepError::NoStep { step_m: step });
        }
        let first = first_head_place(train, line)?;
        let room = line.length() - first;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and a place that is not there is struck below"
        )]
        let most = (room / step) as usize + 2;
        let mut places = Self {
            first,
            step,
            count: most,
        };
        while places.count > 0 && places.at(places.count - 1) > line.length() {
            places.count -= 1;
        }
        Ok(places)
    }

    /// How many there are.
    pub(crate) fn count(&self) -> usize {
        self.count
    }

    /// One of them, m.
    pub(crate) fn at(&self, index: usize) -> f64 {
        self.first + index as f64 * self.step
    }

    /// The number of the one nearest to `head_s`.
    pub(crate) fn nearest(&self, head_s: f64) -> usize {
        let steps = ((head_s - self.first) / self.step).round().max(0.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and held within the list"
        )]
        let index = steps as usize;
        index.min(self.count.saturating_sub(1))
    }
}

/// Distance from the first to the last bolster of a stretched train on straight track, m.
fn bolster_to_bolster(train: &[Numbers]) -> f64 {
    let bodies: f64 = train.iter().map(|car| 2.0 * car.half_truck_centres).sum();
    let gaps: f64 = train
        .windows(2)
        .map(|pair| {
            let (ahead, behind) = (&pair[0], &pair[1]);
            (ahead.pivot_rear - ahead.half_truck_centres)
                + (behind.pivot_front - behind.half_truck_centres)
                + ahead.link_to(behind)
                + Slack::Stretched.share() * ahead.slack_to(behind)
        })
        .sum();
    bodies + gaps
}
