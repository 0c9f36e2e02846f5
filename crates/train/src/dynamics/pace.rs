//! How long the next step is: by the error of the last, to the next moment at which something is set.

use super::config::{Config, SPEED_PER_PLACE};
use super::number::Number;
use super::schedule::{Drive, moments};
use super::solution::Effort;
use super::step::Within;
use super::stepper::Stepper;
use super::stop_reason::MotionError;

/// Bounds of the change from step to step, and what is left in reserve.
const SHORTER: f64 = 0.2;
const LONGER: f64 = 2.5;
const RESERVE: f64 = 0.8;

/// A remainder shorter than this part of a step is taken along with it.
const CRUMB: f64 = 0.01;

/// The pace of one motion.
pub(super) struct Pace<'c> {
    config: &'c Config,
    moments: Vec<f64>,
    /// Which of the moments comes next.
    next: usize,
    step: f64,
    within: Within,
    pub(super) effort: Effort,
}

/// What came of a try.
pub(super) enum Tried {
    /// It is within the tolerance; with its length, s.
    Good(f64),
    /// A shorter one is due.
    Again,
}

impl<'c> Pace<'c> {
    pub(super) fn new(config: &'c Config, drives: &[Drive], from: f64, to: f64) -> Self {
        let place = config.tolerance.unwrap_or(Config::TOLERANCE);
        Self {
            config,
            moments: moments(drives, from, to),
            next: 0,
            step: config.step_first,
            within: Within {
                place,
                speed: SPEED_PER_PLACE * place,
            },
            effort: Effort::default(),
        }
    }

    /// Tries one step.
    pub(super) fn attempt<N: Number>(
        &mut self,
        stepper: &mut Stepper<'_, N>,
    ) -> Result<Tried, MotionError> {
        let (time, steps) = (stepper.time, self.effort.steps + self.effort.refused);
        if steps >= self.config.steps_max {
            return Err(MotionError::TooManySteps { steps, time });
        }
        let left = self.moments[self.next] - time;
        let h = if left <= self.step * (1.0 + CRUMB) {
            left
        } else {
            self.step.min(0.5 * left.max(self.step))
        };
        let error = stepper.attempt(h, self.within);
        self.effort.iterations = stepper.iterations;
        match (error, self.config.tolerance) {
            (Some(_), None) => Ok(Tried::Good(h)),
            (Some(error), Some(_)) if error <= 1.0 => {
                let factor = RESERVE / error.max(1e-6).cbrt();
                let grown = h * factor.clamp(SHORTER, LONGER);
                // A step cut short by a moment says nothing against a longer one.
                let grown = if h < self.step {
                    grown.max(self.step)
                } else {
                    grown
                };
                self.step = grown.min(self.config.step_max);
                Ok(Tried::Good(h))
            }
            (error, _) => {
                let factor = error.map_or(0.25, |error| RESERVE / error.cbrt());
                self.refuse(h * factor.clamp(SHORTER, 0.9), time)?;
                Ok(Tried::Again)
            }
        }
    }

    /// Shortens the next step to `step`.
    pub(super) fn refuse(&mut self, step: f64, time: f64) -> Result<(), MotionError> {
        let step_min = self.config.step_min;
        if step.is_nan() || step < step_min {
            return Err(MotionError::StepTooShort { time, step_min });
        }
        self.effort.refused += 1;
        self.step = step;
        Ok(())
    }

    /// Starts with short steps again.
    pub(super) fn begin_again(&mut self) {
        self.step = self.step.min(self.config.step_first.max(0.1 * self.step));
    }

    /// Takes a step of `h`; whether something is set at its end, and whether that is the end.
    pub(super) fn take<N: Number>(&mut self, stepper: &mut Stepper<'_, N>, h: f64) -> Took {
        self.effort.steps += 1;
        stepper.take(h);
        let moment = self.moments[self.next];
        if (moment - stepper.time).abs() > 1e-12 * moment.abs().max(1.0) {
            return Took::Step;
        }
        stepper.time = moment;
        self.next += 1;
        if self.next == self.moments.len() {
            return Took::ToTheEnd;
        }
        Took::ToMoment
    }

    /// Whether nothing more is set before the end.
    pub(super) fn is_last_stretch(&self) -> bool {
        self.next + 1 == self.moments.len()
    }
}

/// Where a step led.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Took {
    Step,
    ToMoment,
    ToTheEnd,
}
