//! The worst of each mode on each vehicle over all places.

use crate::margins::{Mode, Use};

/// The greatest use of one mode on one vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Demand and capacity there.
    pub used: Use,
    /// Place of the head's front bolster, m.
    pub head_s: f64,
}

/// One row per vehicle, one peak per mode in the order of [`Mode::ALL`].
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope {
    rows: Vec<[Peak; Mode::ALL.len()]>,
}

/// One use among many: the worst so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Entry {
    pub(super) ratio: f64,
    pub(super) mode: Mode,
    pub(super) vehicle: usize,
}

impl Entry {
    pub(super) const NONE: Self = Self {
        ratio: 0.0,
        mode: Mode::Stall,
        vehicle: 0,
    };
}

impl Envelope {
    pub(super) fn of(vehicle_count: usize) -> Self {
        let nothing = Peak {
            used: Use::NONE,
            head_s: 0.0,
        };
        Self {
            rows: vec![[nothing; Mode::ALL.len()]; vehicle_count],
        }
    }

    /// The peaks of one vehicle, one per mode; `None` beyond the train.
    #[must_use]
    pub fn vehicle(&self, index: usize) -> Option<&[Peak; Mode::ALL.len()]> {
        self.rows.get(index)
    }

    /// The peak of one mode on one vehicle.
    #[must_use]
    pub fn peak(&self, vehicle: usize, mode: Mode) -> Option<&Peak> {
        self.rows.get(vehicle).map(|row| &row[mode as usize])
    }

    /// How many vehicles there are.
    #[must_use]
    pub fn vehicle_count(&self) -> usize {
        self.rows.len()
    }

    /// The worst peak of one mode: the vehicle, counted from 0, and the peak.
    #[must_use]
    pub fn worst_of(&self, mode: Mode) -> Option<(usize, Peak)> {
        let peaks = self.rows.iter().map(|row| row[mode as usize]).enumerate();
        peaks.fold(None, |worst, next| match worst {
            Some((_, peak)) if ratio(&peak) >= ratio(&next.1) => worst,
            _ => Some(next),
        })
    }

    /// Takes in the uses of one vehicle at one place.
    #[inline]
    pub(super) fn take(
        &mut self,
        vehicle: usize,
        head_s: f64,
        uses: &[Use; Mode::ALL.len()],
        worst: &mut Entry,
    ) {
        let row = &mut self.rows[vehicle];
        for (peak, (used, mode)) in row.iter_mut().zip(uses.iter().zip(Mode::ALL)) {
            if used.demand * peak.used.capacity > peak.used.demand * used.capacity {
                *peak = Peak {
                    used: *used,
                    head_s,
                };
            }
            if mode.ends_the_climb() && used.demand > worst.ratio * used.capacity {
                *worst = Entry {
                    ratio: used.ratio(),
                    mode,
                    vehicle,
                };
            }
        }
    }

    pub(super) fn merge(&mut self, later: &Self) {
        for (row, other) in self.rows.iter_mut().zip(&later.rows) {
            for (peak, next) in row.iter_mut().zip(other) {
                if ratio(next) > ratio(peak) {
                    *peak = *next;
                }
            }
        }
    }
}

fn ratio(peak: &Peak) -> f64 {
    peak.used.ratio()
}
