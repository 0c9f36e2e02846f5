//! A scene played, with the margin of every car watched as it moves.

use std::ops::ControlFlow;

use super::eye::Eye;
use super::script::Scene;
use super::stage::stage;
use crate::dynamics::{Config, Look, MotionError, Problem, Solution, solve_watched};
use crate::margins::{Mode, Use};
use crate::sweep::SweepError;
use crate::track::Alignment;
use crate::vehicle::Train;

/// What kind of force decides a margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Jolt {
    /// Cars have run into each other.
    RunIn,
    /// Slack has run out and is pulled tight.
    RunOut,
    /// A force that has lasted for a while.
    Steady,
}

/// The least margin of a scene.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotionMargin {
    /// The vehicle, from 0.
    pub vehicle: usize,
    /// In which way.
    pub mode: Mode,
    /// Demand and capacity.
    pub used: Use,
    /// When, s.
    pub time: f64,
    /// Place of its middle then, m.
    pub place: f64,
    /// Curvature under its sharper truck, 1/m.
    pub curvature: f64,
    /// Forces of its front and rear couplings, N.
    pub forces: [f64; 2],
    /// What kind of force that was.
    pub jolt: Jolt,
}

impl MotionMargin {
    /// 1 − demand/capacity.
    #[must_use]
    pub fn margin(&self) -> f64 {
        1.0 - self.used.ratio()
    }
}

/// A scene that was played.
#[derive(Clone, Debug, PartialEq)]
pub struct Played {
    /// What moved.
    pub problem: Problem,
    /// How it moved.
    pub solution: Solution,
    /// The least margin of each vehicle, head first, where any force bore on it; up to the moment
    /// at which a coupling came apart.
    pub margins: Vec<Option<MotionMargin>>,
    /// The locomotives that each change spoke of.
    pub meant: Vec<Vec<usize>>,
}

impl Played {
    /// The least margin of all.
    #[must_use]
    pub fn worst(&self) -> Option<&MotionMargin> {
        let all = self.margins.iter().flatten();
        all.max_by(|a, b| a.used.ratio().total_cmp(&b.used.ratio()))
    }

    /// The parts that the train came apart into, each as its first and last vehicle.
    #[must_use]
    pub fn parts(&self) -> Vec<(usize, usize)> {
        let parted = &self.solution.end.parted;
        let mut parts = Vec::new();
        let mut first = 0;
        for (k, _) in parted.iter().enumerate().filter(|(_, own)| **own) {
            parts.push((first, k));
            first = k + 1;
        }
        parts.push((first, self.problem.bodies.len() - 1));
        parts
    }
}

/// Why a scene cannot be played.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SceneError {
    /// The train cannot stand there.
    #[error(transparent)]
    Sweep(#[from] SweepError),
    /// It cannot be followed.
    #[error(transparent)]
    Motion(#[from] MotionError),
    /// A name that is no locomotive of the train.
    #[error(
        "line {line}, who: '{name}' is no locomotive of this train; correct the name, or cut it in"
    )]
    NoSuchLocomotive {
        /// Line of the scene's file.
        line: usize,
        /// The name.
        name: String,
    },
    /// A group without members.
    #[error("what happens at {at} s happens to nobody: this train has no locomotive {what}")]
    Nobody {
        /// s.
        at: f64,
        /// Where.
        what: &'static str,
    },
    /// A train that would have to run cannot.
    #[error(
        "with the head at {head_at} m the train cannot run: it needs {required:.2} N at its front and \
         its locomotives have {available:.2} N; start elsewhere, or standing"
    )]
    DoesNotRun {
        /// m.
        head_at: f64,
        /// N.
        required: f64,
        /// N.
        available: f64,
    },
    /// A train that would have to stand rolls.
    #[error(
        "with the head at {head_at} m the train does not stay: held by all its locomotives it still \
         moves at {speed:.3} m/s after a while; start elsewhere, or measure their holding pull"
    )]
    DoesNotStay {
        /// m.
        head_at: f64,
        /// m/s.
        speed: f64,
    },
}

/// Plays `scene` with `train` on `line`; `watch` is told how many seconds of how many are done, and
/// where it breaks, what happened up to there is given.
///
/// # Errors
/// [`SceneError`] as for [`stage`], and when the motion cannot be followed.
pub fn play(
    scene: &Scene,
    train: &Train,
    line: &Alignment,
    config: &Config,
    watch: &mut dyn FnMut(f64, f64) -> ControlFlow<()>,
) -> Result<Played, SceneError> {
    let staged = stage(scene, train, line)?;
    let mut eye = Eye::new(train.numbers(), &staged.problem, line);
    let mut look = |look: &Look<'_>| {
        eye.look(look);
        watch(look.time, scene.lasts)
    };
    let solution = solve_watched(
        &staged.problem,
        &staged.start,
        scene.lasts,
        config,
        &mut look,
    )?;
    eye.judge();
    let Eye {
        margins, refused, ..
    } = eye;
    if let Some(refused) = refused {
        return Err(refused.into());
    }
    Ok(Played {
        problem: staged.problem,
        solution,
        margins,
        meant: staged.meant,
    })
}
