//! What two coupled vehicles make of their coupling, wherever they stand.

use crate::vehicle::Numbers;

/// One coupling, between the vehicle ahead and the one behind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coupling {
    /// How much higher the coupler behind stands than the one ahead, at the bench, m.
    pub height_step: f64,
    /// Height step at which only the least overlap is left, m.
    pub step_capacity: f64,
    /// The weaker strength, N.
    pub strength: f64,
    /// How far the two pivots can play apart sideways, m: Σ σ p/a.
    pub sideways_play: f64,
}

/// Least capacity for a height step, m, so that a coupling whose faces overlap less than asked
/// even when level shows a large use instead of dividing by nothing.
const LEAST_STEP: f64 = 1e-6;

impl Coupling {
    /// The coupling of two vehicles.
    ///
    /// Two faces of heights f1 and f2, offset by z, overlap by (f1 + f2)/2 − |z| once |z| is more
    /// than half their difference, so the least overlap o is left at z = (f1 + f2)/2 − o.
    /// The larger of the two vehicles' least overlaps holds.
    /// The sideways play of a pivot is that of its axles, σ, carried out by the lever p/a.
    #[must_use]
    pub fn of(ahead: &Numbers, behind: &Numbers) -> Self {
        let faces = 0.5 * (ahead.knuckle_face + behind.knuckle_face);
        let least = ahead.least_overlap.max(behind.least_overlap);
        Self {
            height_step: behind.coupler_height_front - ahead.coupler_height_rear,
            step_capacity: (faces - least).max(LEAST_STEP),
            strength: ahead.coupler_strength.min(behind.coupler_strength),
            sideways_play: ahead.lateral_play * ahead.pivot_rear / ahead.half_truck_centres
                + behind.lateral_play * behind.pivot_front / behind.half_truck_centres,
        }
    }

    /// The couplings of a train, head first: one fewer than vehicles.
    #[must_use]
    pub fn of_train(train: &[Numbers]) -> Vec<Self> {
        train
            .windows(2)
            .map(|pair| Self::of(&pair[0], &pair[1]))
            .collect()
    }
}
