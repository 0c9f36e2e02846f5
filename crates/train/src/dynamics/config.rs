//! How closely a motion is followed.

/// Settings of the integrator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Config {
    /// Greatest error of a place in one step, m; of a speed it is [`SPEED_PER_PLACE`] times as much
    /// in m/s. With none, every step has the length `step_max`.
    pub tolerance: Option<f64>,
    /// First step, s.
    pub step_first: f64,
    /// Longest step, s.
    pub step_max: f64,
    /// Shortest step, s; where a shorter one would be needed the motion is given up.
    pub step_min: f64,
    /// Most steps, refused ones counted.
    pub steps_max: usize,
    /// Time between samples, s.
    pub sample: f64,
    /// Whether to stop when everything stands and nothing more is set.
    pub stop_at_rest: bool,
}

/// Error of speed that goes with an error of place, 1/s: of the order of the frequency at which a
/// car shakes against a stop.
pub const SPEED_PER_PLACE: f64 = 100.0;

impl Config {
    /// The default tolerance, m: coupler forces of the reference case within 1.2 % rms.
    pub const TOLERANCE: f64 = 5e-7;

    /// A tight tolerance, m: within 0.3 % rms.
    pub const TOLERANCE_TIGHT: f64 = 5e-8;

    /// The default with another tolerance, m.
    #[must_use]
    pub fn within(tolerance: f64) -> Self {
        Self {
            tolerance: Some(tolerance),
            ..Self::default()
        }
    }

    /// Steps of one length, s, whatever the error.
    #[must_use]
    pub fn fixed(step: f64) -> Self {
        Self {
            tolerance: None,
            step_first: step,
            step_max: step,
            ..Self::default()
        }
    }
}

impl Default for Config {
    fn default() -> Self {
        Self {
            tolerance: Some(Self::TOLERANCE),
            step_first: 1e-5,
            step_max: 0.05,
            step_min: 1e-9,
            steps_max: 5_000_000,
            sample: 0.02,
            stop_at_rest: false,
        }
    }
}
