//! What came of a motion: samples at steady intervals, peaks, partings, and what it cost.

use super::state::State;
use super::stop_reason::StopReason;

/// What it cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Steps taken.
    pub steps: usize,
    /// Steps tried and made again shorter.
    pub refused: usize,
    /// Newton iterations, each O(n).
    pub iterations: usize,
}

/// The hardest pull and push at one coupling.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Peak {
    /// Greatest draft, N.
    pub draft: f64,
    /// When, s.
    pub draft_time: f64,
    /// Greatest buff, N, as a negative number.
    pub buff: f64,
    /// When, s.
    pub buff_time: f64,
}

impl Peak {
    /// Takes in a force.
    #[inline]
    pub(super) fn take(&mut self, force: f64, time: f64) {
        if force > self.draft {
            (self.draft, self.draft_time) = (force, time);
        }
        if force < self.buff {
            (self.buff, self.buff_time) = (force, time);
        }
    }
}

/// A coupling that came apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parting {
    /// The vehicle ahead of it, from 0.
    pub behind: usize,
    /// s.
    pub time: f64,
    /// Draft at that moment, N.
    pub force: f64,
}

/// What is where at steady intervals; one row of vehicles, or of couplings, after another.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Samples {
    /// How many vehicles.
    pub vehicle_count: usize,
    /// s.
    pub time: Vec<f64>,
    /// Middle of each vehicle along the line, m.
    pub place: Vec<f64>,
    /// Speed of each vehicle, m/s.
    pub speed: Vec<f64>,
    /// Force of each coupling, N, draft positive.
    pub force: Vec<f64>,
}

impl Samples {
    pub(super) fn with_room(vehicle_count: usize, count: usize) -> Self {
        Self {
            vehicle_count,
            time: Vec::with_capacity(count),
            place: Vec::with_capacity(count * vehicle_count),
            speed: Vec::with_capacity(count * vehicle_count),
            force: Vec::with_capacity(count * vehicle_count),
        }
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.time.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.time.is_empty()
    }

    /// The places of all vehicles at one sample, m.
    #[must_use]
    pub fn places(&self, index: usize) -> &[f64] {
        &self.place[index * self.vehicle_count..][..self.vehicle_count]
    }

    /// The speeds of all vehicles at one sample, m/s.
    #[must_use]
    pub fn speeds(&self, index: usize) -> &[f64] {
        &self.speed[index * self.vehicle_count..][..self.vehicle_count]
    }

    /// The forces of all couplings at one sample, N.
    #[must_use]
    pub fn forces(&self, index: usize) -> &[f64] {
        let couplings = self.vehicle_count - 1;
        &self.force[index * couplings..][..couplings]
    }
}

/// A motion from its beginning to its end.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// Steady samples.
    pub samples: Samples,
    /// One for each coupling, head first.
    pub peaks: Vec<Peak>,
    /// Couplings that came apart, in order of time.
    pub partings: Vec<Parting>,
    /// When each vehicle first moved faster than [`MOVING`], s.
    pub first_moved: Vec<Option<f64>>,
    /// What it cost.
    pub effort: Effort,
    /// Why it ended.
    pub stop: StopReason,
    /// The state at the end.
    pub end: State,
}

/// A vehicle that goes faster than this moves, m/s; slower, friction may only be giving.
pub const MOVING: f64 = 2e-3;

impl Solution {
    /// The greatest draft of all: the coupling, counted from 0, and the peak.
    #[must_use]
    pub fn hardest_draft(&self) -> Option<(usize, Peak)> {
        let all = self.peaks.iter().copied().enumerate();
        all.max_by(|a, b| a.1.draft.total_cmp(&b.1.draft))
    }

    /// The greatest buff of all.
    #[must_use]
    pub fn hardest_buff(&self) -> Option<(usize, Peak)> {
        let all = self.peaks.iter().copied().enumerate();
        all.min_by(|a, b| a.1.buff.total_cmp(&b.1.buff))
    }
}
