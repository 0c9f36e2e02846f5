//! Looks on while a train moves, and judges its margins.
//!
//! At every [`WATCH`] seconds each vehicle is taken at the two moments of that interval at which its
//! couplers pull and push it hardest together, its trucks are loaded with those forces, its
//! acceleration and its speed where it stands then, and the modes that forces decide are compared
//! with what it bears ([`crate::margins`]). Modes that places alone decide belong to the climb.

use super::play::{Jolt, MotionMargin};
use crate::dynamics::{Look, Problem};
use crate::margins::{Coupling, Situation, uses, worst_of_forces};
use crate::placement::{Placer, Slack, Stance};
use crate::statics::{Condition, CurveDragLaw, Step};
use crate::sweep::SweepError;
use crate::track::Alignment;
use crate::vehicle::Numbers;

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
pub(super) struct Eye<'a> {
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
    pub(super) margins: Vec<Option<MotionMargin>>,
    parted: bool,
    length: f64,
    pub(super) refused: Option<SweepError>,
}

impl<'a> Eye<'a> {
    pub(super) fn new(train: &'a [Numbers], problem: &'a Problem, line: &'a Alignment) -> Self {
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
            length: line.length(),
            refused: None,
        }
    }

    pub(super) fn look(&mut self, look: &Look<'_>) {
        if self.parted || self.refused.is_some() || self.is_off_the_line(look) {
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

    /// The step with which a train runs off the line ends beyond it, where nothing can be placed.
    fn is_off_the_line(&self, look: &Look<'_>) -> bool {
        let last = self.train.len() - 1;
        let head = look.place[0] + self.train[0].half_truck_centres;
        let tail = look.place[last] - self.train[last].half_truck_centres;
        head > self.length || tail < 0.0
    }

    /// Compares the hardest moments of the interval with what each vehicle bears, and begins anew.
    pub(super) fn judge(&mut self) {
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
