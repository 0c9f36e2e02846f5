//! A scene played, with the margin of every car watched as it moves.
//!
//! At every [`WATCH`] seconds each vehicle is taken at the two moments of that interval at which its
//! couplers pull and push it hardest together, its trucks are loaded with those forces, its
//! acceleration and its speed where it stands then, and the modes that forces decide are compared
//! with what it bears ([`crate::margins`]). Modes that places alone decide belong to the climb.

use super::script::Scene;
use super::stage::stage;
use crate::dynamics::{Config, Look, MotionError, Problem, Solution, solve_watched};
use crate::margins::{Coupling, Mode, Situation, Use, uses, worst_of_forces};
use crate::placement::{Placer, Slack, Stance};
use crate::statics::{Condition, CurveDragLaw, Step};
use crate::sweep::SweepError;
use crate::track::Alignment;
use crate::vehicle::{Numbers, Train};

/// Time between two looks at the margins, s.
/// ASSUMED: about the length of one blow between two cars (8.5 ms in the closed form), so that none
/// hides another.
const WATCH: f64 = 0.01;

/// Travel after which the train is placed anew, m.
const MOVED: f64 = 0.005;

/// Time over which the steady part of a force is reckoned, s.
/// ASSUMED: half a second, in which slack runs through a train of a hundred cars; it decides words,
/// not margins.
const STEADY: f64 = 0.5;

/// Part of a force that is sudden, from which it is called a blow.
const SUDDEN: f64 = 0.5;

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

/// Plays `scene` with `train` on `line`; `watch` is told how many seconds of how many are done.
///
/// # Errors
/// [`SceneError`] as for [`stage`], and when the motion cannot be followed.
pub fn play(
    scene: &Scene,
    train: &Train,
    line: &Alignment,
    config: &Config,
    watch: &mut dyn FnMut(f64, f64),
) -> Result<Played, SceneError> {
    let staged = stage(scene, train, line)?;
    let mut eye = Eye::new(train.numbers(), &staged.problem, line);
    let mut look = |look: &Look<'_>| {
        eye.look(look);
        watch(look.time, scene.lasts);
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

/// The hardest moment of one vehicle in one interval.
#[derive(Clone, Copy)]
struct Moment {
    sum: f64,
    forces: [f64; 2],
    speed: f64,
    acceleration: f64,
    time: f64,
    place: f64,
    sudden: f64,
}

impl Moment {
    const fn none(sum: f64) -> Self {
        Self {
            sum,
            forces: [0.0; 2],
            speed: 0.0,
            acceleration: 0.0,
            time: 0.0,
            place: 0.0,
            sudden: 0.0,
        }
    }
}

const PULLED: Moment = Moment::none(f64::NEG_INFINITY);
const PUSHED: Moment = Moment::none(f64::INFINITY);

/// Looks on and judges.
struct Eye<'a> {
    train: &'a [Numbers],
    problem: &'a Problem,
    couplings: Vec<Coupling>,
    placer: Placer<'a>,
    stances: Vec<Stance>,
    slack: Vec<Slack>,
    placed_at: f64,
    head: f64,
    steady: Vec<f64>,
    before: f64,
    due: f64,
    pulled: Vec<Moment>,
    pushed: Vec<Moment>,
    margins: Vec<Option<MotionMargin>>,
    parted: bool,
    refused: Option<SweepError>,
}

impl<'a> Eye<'a> {
    fn new(train: &'a [Numbers], problem: &'a Problem, line: &'a Alignment) -> Self {
        let n = train.len();
        Self {
            train,
            problem,
            couplings: Coupling::of_train(train),
            placer: Placer::new(line),
            stances: Vec::new(),
            slack: vec![Slack::Middle; n],
            placed_at: f64::INFINITY,
            head: 0.0,
            steady: vec![0.0; n],
            before: f64::NAN,
            due: WATCH,
            pulled: vec![PULLED; n],
            pushed: vec![PUSHED; n],
            margins: vec![None; n],
            parted: false,
            refused: None,
        }
    }

    fn look(&mut self, look: &Look<'_>) {
        if self.parted || self.refused.is_some() {
            return;
        }
        let passed = look.time - self.before;
        let share = if passed.is_nan() {
            1.0
        } else {
            1.0 - (-passed / STEADY).exp()
        };
        self.before = look.time;
        for i in 0..self.train.len() {
            let forces = [look.force[i], look.force[i + 1]];
            let sum = forces[0] + forces[1];
            let sudden = sum - self.steady[i];
            self.steady[i] += share * sudden;
            if sum > self.pulled[i].sum || sum < self.pushed[i].sum {
                let moment = Moment {
                    sum,
                    forces,
                    speed: look.speed[i],
                    acceleration: look.acceleration[i],
                    time: look.time,
                    place: look.place[i],
                    sudden,
                };
                if sum > self.pulled[i].sum {
                    self.pulled[i] = moment;
                }
                if sum < self.pushed[i].sum {
                    self.pushed[i] = moment;
                }
            }
        }
        self.head = look.place[0] + self.train[0].half_truck_centres;
        if look.time >= self.due || look.parted {
            self.judge();
            self.due = look.time + WATCH;
        }
        self.parted = look.parted;
    }

    /// Compares the hardest moments of the interval with what each vehicle bears, and begins anew.
    fn judge(&mut self) {
        if self.parted || self.refused.is_some() {
            return;
        }
        if let Err(refused) = self.place() {
            self.refused = Some(refused);
            return;
        }
        for i in 0..self.train.len() {
            for moment in [self.pulled[i], self.pushed[i]] {
                if moment.sum.is_finite() {
                    self.take(i, &moment);
                }
            }
            (self.pulled[i], self.pushed[i]) = (PULLED, PUSHED);
        }
    }

    fn place(&mut self) -> Result<(), SweepError> {
        if (self.head - self.placed_at).abs() < MOVED {
            return Ok(());
        }
        let head_s = self.head;
        self.placer
            .place(self.train, &self.slack, head_s, &mut self.stances)
            .map_err(|source| SweepError::Placement { head_s, source })?;
        self.placed_at = head_s;
        Ok(())
    }

    fn take(&mut self, i: usize, moment: &Moment) {
        let (car, stance) = (&self.train[i], &self.stances[i]);
        let step = Step {
            condition: Condition::Running,
            law: CurveDragLaw::PerCurvature,
            speed: moment.speed,
            acceleration: moment.acceleration,
        };
        let grade = 0.5 * (stance.grade[0] + stance.grade[1]);
        // A locomotive pulls what its couplers, its weight and its motion leave over.
        let pull = car.power.map_or(0.0, |_| {
            self.problem.bodies[i].mass * moment.acceleration - moment.forces[0]
                + moment.forces[1]
                + car.weight * (grade + car.rolling_drag)
        });
        let at = Situation {
            car,
            stance,
            couplings: [
                i.checked_sub(1)
                    .and_then(|before| self.couplings.get(before)),
                self.couplings.get(i),
            ],
            step: &step,
            forces: moment.forces,
            pull,
            extra_drag: [0.0; 2],
        };
        let floor = self.margins[i].map_or(0.0, |own| own.used.ratio());
        let Some((_, mode)) = worst_of_forces(&at, floor) else {
            return;
        };
        let sharper = if stance.curvature[0].abs() >= stance.curvature[1].abs() {
            0
        } else {
            1
        };
        self.margins[i] = Some(MotionMargin {
            vehicle: i,
            mode,
            used: uses(&at)[mode as usize],
            time: moment.time,
            place: moment.place,
            curvature: stance.curvature[sharper],
            forces: moment.forces,
            jolt: if moment.sudden.abs() < SUDDEN * moment.sum.abs() {
                Jolt::Steady
            } else if moment.sudden < 0.0 {
                Jolt::RunIn
            } else {
                Jolt::RunOut
            },
        });
    }
}
