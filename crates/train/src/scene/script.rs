//! What happens when, and to whom.

use crate::placement::Slack;

/// How a scene begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// Standing, held by its locomotives, with the slack in this state.
    Standing(Slack),
    /// Running at its balance speed.
    Running,
}

/// Which locomotives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Who {
    /// All of them.
    All,
    /// Those coupled together at the head.
    HeadEnd,
    /// Those cut in between cars.
    CutIn,
    /// Those coupled together at the rear.
    RearEnd,
    /// One by its name, with the line of the file it stands on (0 where it came from no file).
    Named(String, usize),
}

/// What is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Doing {
    /// The speed is set to a part of the locomotive's own setting, over a time, s.
    Run {
        /// Part of its own setting.
        speed: f64,
        /// s.
        over: f64,
    },
    /// The speed is taken to nothing over a time, s; an emergency stop where there is none.
    Stop {
        /// s.
        over: f64,
    },
    /// Power fails and wheels lock; it comes back after a time, s, or not at all.
    LosePower {
        /// s.
        lasting: Option<f64>,
    },
    /// Power comes back at once.
    PowerBack,
}

/// Something that happens.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// When, s.
    pub at: f64,
    /// To whom.
    pub who: Vec<Who>,
    /// What.
    pub doing: Doing,
}

/// How couplings take a blow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Couplers {
    /// Stiffness of a stop, N/m.
    pub stiffness: f64,
    /// Damping ratio of two like cars at a stop.
    pub damping_ratio: f64,
}

impl Default for Couplers {
    fn default() -> Self {
        Self {
            stiffness: 8000.0,
            damping_ratio: 0.2,
        }
    }
}

/// A scene.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// What the club calls it.
    pub name: String,
    /// Place of the head's front bolster along the line at the start, m.
    pub head_at: f64,
    /// How it begins.
    pub start: Start,
    /// How long it lasts, s.
    pub lasts: f64,
    /// Couplings.
    pub couplers: Couplers,
    /// What happens, in order of time.
    pub changes: Vec<Change>,
    /// Anything about it.
    pub note: Option<String>,
}
