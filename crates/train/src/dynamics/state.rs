//! Where everything is, how fast it goes, and how far friction has given.

/// The state of a train at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// s.
    pub time: f64,
    /// Middle of each vehicle along the line, m.
    pub place: Vec<f64>,
    /// Speed of each vehicle, m/s.
    pub speed: Vec<f64>,
    /// Friction that holds each vehicle as a spring, N; nothing where it is short.
    pub held: Vec<f64>,
    /// Couplings that have come apart.
    pub parted: Vec<bool>,
}

impl State {
    /// A train whose vehicles are at `place` and move at `speed`.
    #[must_use]
    pub fn new(place: Vec<f64>, speed: Vec<f64>) -> Self {
        Self {
            place,
            speed,
            ..Self::default()
        }
    }
}
