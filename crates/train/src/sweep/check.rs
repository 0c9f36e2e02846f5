//! What is checked, and how it can fail to be.

use std::ops::ControlFlow;

use crate::placement::PlacementError;
use crate::statics::{Condition, CurveDragLaw};

/// Told now and then, from any core, how many places are done and of how many; says whether to go on.
pub type Watch<'a> = &'a (dyn Fn(usize, usize) -> ControlFlow<()> + Sync);

/// How the state of the slack in each coupling is chosen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SlackRule {
    /// By the force: the train is balanced once with all couplings stretched; those found in buff
    /// are bunched, and it is placed and balanced again.
    #[default]
    ByForce,
    /// All stretched.
    AllStretched,
    /// All bunched.
    AllBunched,
}

/// How many cores share the places.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Cores {
    /// The caller's own.
    #[default]
    One,
    /// As many as the machine has.
    All,
}

/// What to check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// What the train is doing.
    pub condition: Condition,
    /// The one law of curve drag.
    pub law: CurveDragLaw,
    /// How slack is chosen.
    pub slack: SlackRule,
    /// Distance between places of the head, m.
    pub step_m: f64,
    /// How many cores share the work.
    pub cores: Cores,
}

impl Check {
    /// A check in `condition` every `step_m` metres, curve drag per curvature, slack by force.
    #[must_use]
    pub fn new(condition: Condition, step_m: f64) -> Self {
        Self {
            condition,
            law: CurveDragLaw::default(),
            slack: SlackRule::default(),
            step_m,
            cores: Cores::default(),
        }
    }
}

/// A climb that cannot be checked.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SweepError {
    /// A step that leads nowhere.
    #[error("the distance between places is {step_m} m: it must be more than zero")]
    NoStep {
        /// The step given, m.
        step_m: f64,
    },
    /// The train is longer than the line.
    #[error(
        "the train is about {train_m:.3} m from first to last bolster and the line {line_m:.3} m: \
         there is no place where it stands; lengthen the line or shorten the train"
    )]
    TrainTooLong {
        /// Distance between the first and the last bolster, m.
        train_m: f64,
        /// Length of the line, m.
        line_m: f64,
    },
    /// A vehicle cannot stand somewhere on the way.
    #[error("with the head at {head_s} m: {source}")]
    Placement {
        /// Place of the head's front bolster, m.
        head_s: f64,
        /// Which vehicle, where and why.
        source: PlacementError,
    },
    /// Whoever watched it ended it.
    #[error("the check was ended before it was done")]
    Stopped,
}
