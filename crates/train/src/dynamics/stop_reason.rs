//! Why a motion ended, and why it could not go on.

/// Why a motion ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StopReason {
    /// The time asked for is over.
    TimeOver,
    /// Everything stands and nothing more is set.
    AtRest,
    /// A vehicle came to the end of the line.
    OffTheLine {
        /// Its place in the train, from 0.
        vehicle: usize,
    },
    /// Whoever looked on had seen enough.
    BrokenOff,
}

/// Why a motion could not be followed to its end.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MotionError {
    /// What was asked cannot be.
    #[error(transparent)]
    Problem(#[from] super::problem::ProblemError),
    /// A setting of the integrator that cannot be.
    #[error("{what} is {found}: it must be {expected}")]
    Config {
        /// Which.
        what: &'static str,
        /// What was found.
        found: f64,
        /// What would do.
        expected: &'static str,
    },
    /// A step shorter than the shortest allowed would be needed.
    #[error(
        "at {time} s a step shorter than {step_min} s would be needed; loosen the tolerance, or look \
         for a number that cannot be (a stiffness, a mass)"
    )]
    StepTooShort {
        /// s.
        time: f64,
        /// s.
        step_min: f64,
    },
    /// Too many steps.
    #[error(
        "{steps} steps were made by {time} s and the end is not reached; ask for less time or a looser tolerance"
    )]
    TooManySteps {
        /// How many.
        steps: usize,
        /// s.
        time: f64,
    },
}
