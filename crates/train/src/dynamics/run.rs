//! A motion from its beginning to its end.

use std::ops::ControlFlow;

use super::config::Config;
use super::pace::{Pace, Took, Tried};
use super::problem::{Problem, count};
use super::solution::{Effort, MOVING, Parting, Peak, Samples, Solution};
use super::state::State;
use super::stepper::Stepper;
use super::stop_reason::{MotionError, StopReason};

/// What a watcher sees after each step.
#[derive(Clone, Copy, Debug)]
pub struct Look<'a> {
    /// s.
    pub time: f64,
    /// Middle of each vehicle, m.
    pub place: &'a [f64],
    /// Speed of each vehicle, m/s.
    pub speed: &'a [f64],
    /// Acceleration of each vehicle, m/s².
    pub acceleration: &'a [f64],
    /// Force at the front of each vehicle and, last, at the rear of the train, N.
    pub force: &'a [f64],
    /// Whether a coupling has come apart.
    pub parted: bool,
}

/// A coupling has come apart when its force is within this part of its strength, the step being
/// made to end there.
const PARTING: f64 = 1e-3;

/// Tries to end a step where a coupling comes apart.
const TRIES: usize = 40;

/// Slower than this, m/s, and accelerated by less than [`AT_REST_RATE`], everything stands.
const AT_REST: f64 = 1e-5;

/// m/s².
const AT_REST_RATE: f64 = 1e-2;

/// Moves the train from `start` until `end` seconds.
///
/// # Errors
/// [`MotionError`] when the problem cannot be, or a step would have to be too short.
///
/// # Example
/// ```
/// use gradeworthy_train::dynamics::{
///     Body, Config, Laws, Problem, Road, State, solve,
/// };
/// // A car runs out on level track: v²/2gr.
/// let car = Body {
///     weight: 1.112, mass: 0.1134, rolling: 0.012, breakaway: 0.012,
///     per_speed: 0.0, curve: 0.0, reach: 0.05,
/// };
/// let problem = Problem {
///     bodies: vec![car], links: vec![], drives: vec![],
///     road: Road::steady(0.0), laws: Laws::default(),
/// };
/// let moved = solve(&problem, &State::new(vec![0.0], vec![0.2]), 3.0, &Config::default())?;
/// assert!((moved.end.place[0] - 0.17).abs() < 1e-3);
/// # Ok::<(), gradeworthy_train::dynamics::MotionError>(())
/// ```
pub fn solve(
    problem: &Problem,
    start: &State,
    end: f64,
    config: &Config,
) -> Result<Solution, MotionError> {
    solve_watched(problem, start, end, config, &mut |_| {
        ControlFlow::Continue(())
    })
}

/// As [`solve`]; `watch` looks on after each step, and where it breaks, the motion up to there is given.
///
/// # Errors
/// As [`solve`].
pub fn solve_watched(
    problem: &Problem,
    start: &State,
    end: f64,
    config: &Config,
    watch: &mut dyn FnMut(&Look<'_>) -> ControlFlow<()>,
) -> Result<Solution, MotionError> {
    problem.check()?;
    check(problem, start, end, config)?;
    let mut run = Run::new(problem, start, end, config);
    let mut pace = Pace::new(config, &problem.drives, start.time, end);
    let mut go = run.look(watch);
    let stop = loop {
        if go.is_break() {
            break StopReason::BrokenOff;
        }
        let Tried::Good(h) = pace.attempt(&mut run.stepper)? else {
            continue;
        };
        let parting = run.parting();
        match parting {
            Some((_, share)) if share < 1.0 - PARTING && run.tries < TRIES => {
                run.tries += 1;
                pace.refuse(h * share.clamp(0.05, 0.95), run.stepper.time)?;
                continue;
            }
            Some(_) | None => {}
        }
        let took = run.take(&mut pace, h);
        if let Some((k, _)) = parting {
            run.part(k);
            pace.begin_again();
        }
        go = run.look(watch);
        if let Some(stop) = run.after(took, &mut pace) {
            break stop;
        }
    };
    Ok(run.finish(pace.effort, stop))
}

pub(super) fn check(
    problem: &Problem,
    start: &State,
    end: f64,
    config: &Config,
) -> Result<(), MotionError> {
    let n = problem.bodies.len();
    count("places", start.place.len(), n)?;
    count("speeds", start.speed.len(), n)?;
    let wrong = |what, found, expected| {
        Err(MotionError::Config {
            what,
            found,
            expected,
        })
    };
    let more = "finite and more than zero";
    if !(end > start.time && end.is_finite()) {
        return wrong("time of the end", end, "finite and after the start");
    }
    let numbers = [
        ("tolerance", config.tolerance.unwrap_or(1.0)),
        ("first step", config.step_first),
        ("longest step", config.step_max),
        ("shortest step", config.step_min),
        ("time between samples", config.sample),
    ];
    for (what, found) in numbers {
        if !(found > 0.0 && found.is_finite()) {
            return wrong(what, found, more);
        }
    }
    let all = start.place.iter().chain(&start.speed);
    match all.copied().find(|own| !own.is_finite()) {
        Some(found) => wrong("a place or speed at the start", found, "a finite number"),
        None => Ok(()),
    }
}

/// A motion under way.
struct Run<'p> {
    problem: &'p Problem,
    config: &'p Config,
    stepper: Stepper<'p, f64>,
    samples: Samples,
    /// Number and time of the next sample.
    sampled: f64,
    started: f64,
    peaks: Vec<Peak>,
    parted: Vec<bool>,
    partings: Vec<Parting>,
    first_moved: Vec<Option<f64>>,
    tries: usize,
    may_part: bool,
}

impl<'p> Run<'p> {
    fn new(problem: &'p Problem, start: &State, end: f64, config: &'p Config) -> Self {
        let n = problem.bodies.len();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of samples, finite and positive; beyond memory it fails to be reserved"
        )]
        let count = ((end - start.time) / config.sample) as usize + 2;
        let mut parted = start.parted.clone();
        parted.resize(n - 1, false);
        let stepper = Stepper::new(vec![problem], &[start]);
        let mut run = Self {
            problem,
            config,
            samples: Samples::with_room(n, count),
            sampled: 0.0,
            started: start.time,
            peaks: vec![Peak::default(); n - 1],
            parted,
            partings: Vec::with_capacity(n),
            first_moved: vec![None; n],
            tries: 0,
            may_part: problem.links.iter().any(|own| own.strength.is_finite()),
            stepper,
        };
        run.note();
        run.sample_now();
        run
    }

    /// The coupling that is pulled hardest beyond its strength at the end of the tried step, and
    /// which part of the step it takes to get there.
    fn parting(&self) -> Option<(usize, f64)> {
        if !self.may_part {
            return None;
        }
        let (before, after) = (&self.stepper.force, &self.stepper.next_force);
        let mut first: Option<(usize, f64)> = None;
        for (k, link) in self.problem.links.iter().enumerate() {
            let (from, to) = (before[k + 1], after[k + 1]);
            if to > link.strength && !self.parted[k] {
                let excess = (to - link.strength) / link.strength;
                let share = if excess <= PARTING {
                    1.0
                } else {
                    ((link.strength - from) / (to - from)).clamp(0.0, 1.0)
                };
                if first.is_none_or(|(_, least)| share < least) {
                    first = Some((k, share));
                }
            }
        }
        first
    }

    fn part(&mut self, k: usize) {
        self.partings.push(Parting {
            behind: k,
            time: self.stepper.time,
            force: self.stepper.force[k + 1],
        });
        self.parted[k] = true;
        self.stepper.part(k, 0);
        self.stepper.begin_again();
    }

    fn take(&mut self, pace: &mut Pace<'_>, h: f64) -> Took {
        self.tries = 0;
        let from = self.stepper.time;
        let took = pace.take(&mut self.stepper, h);
        self.note();
        while self.started + self.sampled * self.config.sample <= self.stepper.time {
            let at = self.started + self.sampled * self.config.sample;
            if at > from {
                let share = ((at - from) / h).min(1.0);
                self.stepper.between(h, share);
                self.samples.time.push(at);
                self.samples.place.extend_from_slice(&self.stepper.start_x);
                self.samples.speed.extend_from_slice(&self.stepper.u);
                let n = self.problem.bodies.len();
                let force = &self.stepper.next_force[1..n];
                self.samples.force.extend_from_slice(force);
            }
            self.sampled += 1.0;
        }
        took
    }

    fn sample_now(&mut self) {
        let n = self.problem.bodies.len();
        self.samples.time.push(self.stepper.time);
        self.samples.place.extend_from_slice(&self.stepper.x);
        self.samples.speed.extend_from_slice(&self.stepper.v);
        self.samples
            .force
            .extend_from_slice(&self.stepper.force[1..n]);
        self.sampled += 1.0;
    }

    /// Peaks and first motion.
    fn note(&mut self) {
        let time = self.stepper.time;
        for (peak, force) in self.peaks.iter_mut().zip(&self.stepper.force[1..]) {
            peak.take(*force, time);
        }
        for (first, speed) in self.first_moved.iter_mut().zip(&self.stepper.v) {
            if first.is_none() && speed.abs() > MOVING {
                *first = Some(time);
            }
        }
    }

    fn look(&self, watch: &mut dyn FnMut(&Look<'_>) -> ControlFlow<()>) -> ControlFlow<()> {
        watch(&Look {
            time: self.stepper.time,
            place: &self.stepper.x,
            speed: &self.stepper.v,
            acceleration: &self.stepper.a,
            force: &self.stepper.force,
            parted: !self.partings.is_empty(),
        })
    }

    /// What is set at the end of the step, and whether the motion ends there.
    fn after(&mut self, took: Took, pace: &mut Pace<'_>) -> Option<StopReason> {
        if let Some(vehicle) = self.off_the_line() {
            return Some(StopReason::OffTheLine { vehicle });
        }
        match took {
            Took::ToTheEnd => return Some(StopReason::TimeOver),
            Took::ToMoment => {
                self.stepper.set(self.stepper.time);
                pace.begin_again();
            }
            Took::Step => {}
        }
        let rests = self.config.stop_at_rest
            && pace.is_last_stretch()
            && self.stepper.v.iter().all(|own| own.abs() < AT_REST)
            && self.stepper.a.iter().all(|own| own.abs() < AT_REST_RATE);
        rests.then_some(StopReason::AtRest)
    }

    /// The ends of the train decide: the order of the vehicles stays.
    fn off_the_line(&self) -> Option<usize> {
        let last = self.problem.bodies.len() - 1;
        let length = self.problem.road.length();
        if self.stepper.x[0] + self.problem.bodies[0].reach > length {
            return Some(0);
        }
        let tail = self.stepper.x[last] - self.problem.bodies[last].reach;
        (tail < 0.0 && length.is_finite()).then_some(last)
    }

    fn finish(mut self, effort: Effort, stop: StopReason) -> Solution {
        if self
            .samples
            .time
            .last()
            .is_some_and(|last| *last < self.stepper.time)
        {
            self.sample_now();
        }
        let mut end = self.stepper.state(0);
        end.parted = self.parted;
        Solution {
            samples: self.samples,
            peaks: self.peaks,
            partings: self.partings,
            first_moved: self.first_moved,
            effort,
            stop,
            end,
        }
    }
}
