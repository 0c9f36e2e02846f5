//! How one vehicle stands.

/// State of the free slack of one coupling.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Slack {
    /// In draft: pulled out to its full length.
    #[default]
    Stretched,
    /// Halfway.
    Middle,
    /// In buff: pushed together.
    Bunched,
}

impl Slack {
    /// What the slack adds to the mid length of a link, as part of the whole slack.
    #[must_use]
    pub const fn share(self) -> f64 {
        match self {
            Self::Stretched => 0.5,
            Self::Middle => 0.0,
            Self::Bunched => -0.5,
        }
    }
}

/// An angle by its sine and cosine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Sine of the angle, left positive.
    pub sin: f64,
    /// Cosine of the angle.
    pub cos: f64,
}

impl Turn {
    /// No turn.
    pub const NONE: Self = Self { sin: 0.0, cos: 1.0 };

    /// The turn by an angle, rad.
    #[must_use]
    pub fn of(angle: f64) -> Self {
        if angle == 0.0 {
            return Self::NONE;
        }
        let (sin, cos) = angle.sin_cos();
        Self { sin, cos }
    }

    /// The angle, rad.
    #[must_use]
    pub fn angle(&self) -> f64 {
        self.sin.atan2(self.cos)
    }

    /// Its tangent.
    #[must_use]
    pub fn tan(&self) -> f64 {
        self.sin / self.cos
    }
}

/// How one vehicle stands; pairs are front, rear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Places of the two bolsters along the line, m.
    pub bolster_s: [f64; 2],
    /// ψ of the two trucks.
    pub truck: [Turn; 2],
    /// γ of the two couplers; no turn at an uncoupled end.
    pub coupler: [Turn; 2],
    /// Curvature under the two trucks, 1/m.
    pub curvature: [f64; 2],
    /// Grade under the two trucks.
    pub grade: [f64; 2],
    /// φ: cant under the two trucks.
    pub cant: [Turn; 2],
    /// How much higher the track carries the neighbour's pulling face than this one's, at the
    /// front and the rear, m, for equal couplers; zero at an uncoupled end.
    pub step: [f64; 2],
    /// Length of the links, pivot to pivot, m; infinite at an uncoupled end.
    pub link: [f64; 2],
}

impl Default for Stance {
    fn default() -> Self {
        Self {
            bolster_s: [0.0; 2],
            truck: [Turn::NONE; 2],
            coupler: [Turn::NONE; 2],
            curvature: [0.0; 2],
            grade: [0.0; 2],
            cant: [Turn::NONE; 2],
            step: [0.0; 2],
            link: [f64::INFINITY; 2],
        }
    }
}
