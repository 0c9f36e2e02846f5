//! The one unknown that makes the head's front force vanish, and what it costs.
//!
//! The front force of the head as a function of the unknown (speed, throttle, brake) is monotone,
//! since every pull is. For a law of curve drag that does not depend on the coupler forces it is
//! piecewise linear with coefficients found in one pass; otherwise it is marched anew each time.
//! Either way a bracketed Newton or secant search finds its zero.
//!
//! The use of adhesion saturates: a locomotive at its limit shows 1 however far short the train
//! is. The measure of stalling is therefore the pull required over the pull available, both at
//! the front of the train with nothing moving.

use super::coupling::{Coefficients, Step, coefficients, with_lateral_drag};
use super::drag::CurveDragLaw;
use super::drive::Condition;
use crate::placement::Stance;
use crate::vehicle::{Numbers, Power};

/// The search ends when what is left over is below this part of the forces at play.
const ROUNDING: f64 = 1e-13;

/// Least pull or hold reckoned with, as part of the train's weight, so that a train that has none
/// shows a large use instead of an infinite one.
const LEAST_AVAILABLE: f64 = 1e-6;

/// Steps of the search; a handful are used.
const STEPS: usize = 100;

/// How the balance came out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Outcome {
    /// Forces balance.
    #[default]
    Balanced,
    /// All that the locomotives have is not enough to go on (or to start).
    Stalls,
    /// All that the locomotives can hold is not enough: the train runs away.
    RunsAway,
}

/// The forces of one balanced train.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Balance {
    /// Whether it balances.
    pub outcome: Outcome,
    /// Speed, m/s; zero unless running.
    pub speed: f64,
    /// Speed when running, throttle when starting, brake when held.
    pub unknown: f64,
    /// Force at the front of each vehicle and, last, at the rear of the train, N; draft positive.
    /// The first is what is left over: zero up to rounding unless the train stalls or runs away.
    pub forces: Vec<f64>,
    /// Pull of each vehicle, N.
    pub pulls: Vec<f64>,
    /// Drag that depends on the lateral force, front and rear truck of each vehicle, N.
    pub extra_drag: Vec<[f64; 2]>,
    /// Pull that the train needs at its front to move (or stay, when held), N; negative when it
    /// would roll forward by itself.
    pub required: f64,
    /// What the locomotives can give against it, as felt at the front of the train, N.
    pub available: f64,
}

/// Balances a train again and again under one condition and one law of curve drag.
#[derive(Clone, Debug)]
pub struct Solver {
    condition: Condition,
    law: CurveDragLaw,
    coefficients: Vec<Coefficients>,
    last: f64,
}

/// The front force of the train as far as it is linear.
struct Front {
    standing: f64,
    per_speed: f64,
    gains: Vec<(Power, f64)>,
}

impl Solver {
    /// A solver for one condition and one law of curve drag.
    #[must_use]
    pub fn new(condition: Condition, law: CurveDragLaw) -> Self {
        Self {
            condition,
            law,
            coefficients: Vec::new(),
            last: 0.0,
        }
    }

    /// The condition it solves for.
    #[must_use]
    pub fn condition(&self) -> Condition {
        self.condition
    }

    /// The law of curve drag it uses.
    #[must_use]
    pub fn law(&self) -> CurveDragLaw {
        self.law
    }

    /// Balances `train` as it stands.
    pub fn solve(&mut self, train: &[Numbers], stances: &[Stance], balance: &mut Balance) {
        self.prepare(train, stances);
        let front = self.front(train);
        let range = self.condition.range(train);
        balance.clear(train.len());
        let linear = self.law == CurveDragLaw::PerCurvature;
        balance.required = if linear {
            front.standing
        } else {
            self.march(train, stances, None, balance);
            balance.forces[0]
        };
        let weight: f64 = train.iter().map(|car| car.weight).sum();
        let available = front.available(self.condition, range, balance.required);
        balance.available = available.max(LEAST_AVAILABLE * weight);
        let scale = balance.required.abs() + balance.available.abs() + f64::MIN_POSITIVE;
        let (outcome, unknown) = {
            let mut left_over = |x: f64| {
                if linear {
                    return front.left_over(self.condition, x);
                }
                self.march(train, stances, Some(x), balance);
                (balance.forces[0], None)
            };
            root(&mut left_over, range, self.last, ROUNDING * scale)
        };
        self.march(train, stances, Some(unknown), balance);
        self.last = unknown;
        balance.outcome = outcome;
        balance.unknown = unknown;
        balance.speed = self.condition.speed(unknown);
    }

    /// The coefficients of every vehicle where it stands.
    fn prepare(&mut self, train: &[Numbers], stances: &[Stance]) {
        self.coefficients.clear();
        let each = train.iter().zip(stances);
        let (condition, law) = (self.condition, self.law);
        self.coefficients
            .extend(each.map(|(car, at)| coefficients(car, at, condition, law)));
    }

    /// One pass from the head: how each vehicle's drag and pull are felt at the front.
    fn front(&self, train: &[Numbers]) -> Front {
        let mut front = Front {
            standing: 0.0,
            per_speed: 0.0,
            gains: Vec::new(),
        };
        let mut pass = 1.0;
        for (car, c) in train.iter().zip(&self.coefficients) {
            front.standing += pass * c.standing;
            front.per_speed += pass * c.per_speed;
            if let Some(power) = car.power {
                front.gains.push((power, pass * c.pull));
            }
            pass *= c.pass;
        }
        front
    }

    /// The march from the rear; without an unknown nothing pulls and nothing moves.
    fn march(
        &self,
        train: &[Numbers],
        stances: &[Stance],
        unknown: Option<f64>,
        balance: &mut Balance,
    ) {
        let speed = unknown.map_or(0.0, |x| self.condition.speed(x));
        let step = Step {
            condition: self.condition,
            law: self.law,
            speed,
            acceleration: 0.0,
        };
        let linear = self.law == CurveDragLaw::PerCurvature;
        let mut rear = 0.0;
        for (index, (car, c)) in train.iter().zip(&self.coefficients).enumerate().rev() {
            let pull = match (&car.power, unknown) {
                (Some(power), Some(x)) => self.condition.pull(power, x).0,
                _ => 0.0,
            };
            rear = if linear {
                c.pass * rear + c.standing + c.per_speed * speed - c.pull * pull
            } else {
                let (front, extra) = with_lateral_drag(car, &stances[index], &step, rear, pull);
                balance.extra_drag[index] = extra;
                front
            };
            balance.forces[index] = rear;
            balance.pulls[index] = pull;
        }
    }
}

impl Balance {
    fn clear(&mut self, count: usize) {
        self.forces.clear();
        self.forces.resize(count + 1, 0.0);
        self.pulls.clear();
        self.pulls.resize(count, 0.0);
        self.extra_drag.clear();
        self.extra_drag.resize(count, [0.0; 2]);
    }

    /// Required over available: 1 when the train can only just go on, more when it stalls.
    #[must_use]
    pub fn stall_use(&self) -> f64 {
        self.required.abs() / self.available
    }
}

impl Front {
    /// The front force at one value of the unknown, and its slope.
    fn left_over(&self, condition: Condition, unknown: f64) -> (f64, Option<f64>) {
        let running = condition == Condition::Running;
        let mut force = self.standing + self.per_speed * condition.speed(unknown);
        let mut slope = if running { self.per_speed } else { 0.0 };
        for (power, gain) in &self.gains {
            let (pull, by_unknown) = condition.pull(power, unknown);
            force -= gain * pull;
            slope -= gain * by_unknown;
        }
        (force, Some(slope))
    }

    /// What can be given against `required`: pull when it is positive, holding when negative, N.
    fn available(&self, condition: Condition, range: (f64, f64), required: f64) -> f64 {
        let end = if required >= 0.0 { range.0 } else { range.1 };
        let sum: f64 = self
            .gains
            .iter()
            .map(|(power, gain)| gain * condition.pull(power, end).0)
            .sum();
        sum.abs()
    }
}

/// The zero of a monotone function between the end that pulls hardest and the one that holds.
fn root(
    left_over: &mut dyn FnMut(f64) -> (f64, Option<f64>),
    (pulling, holding): (f64, f64),
    start: f64,
    tolerance: f64,
) -> (Outcome, f64) {
    if left_over(pulling).0 > tolerance {
        return (Outcome::Stalls, pulling);
    }
    if left_over(holding).0 < -tolerance {
        return (Outcome::RunsAway, holding);
    }
    let (mut low, mut high) = (pulling, holding);
    let inside = |x: f64, low: f64, high: f64| (x - low) * (x - high) <= 0.0;
    let mut x = if inside(start, low, high) {
        start
    } else {
        0.5 * (low + high)
    };
    let mut before: Option<(f64, f64)> = None;
    for _ in 0..STEPS {
        let (force, slope) = left_over(x);
        if force.abs() <= tolerance {
            break;
        }
        if force > 0.0 {
            high = x
        } else {
            low = x
        }
        let slope = slope.or_else(|| before.map(|(at, was)| (force - was) / (x - at)));
        before = Some((x, force));
        let newton = slope
            .map(|slope| x - force / slope)
            .filter(|next| inside(*next, low, high));
        let next = newton
            .filter(|next| (next - x).abs() > 0.0)
            .unwrap_or(0.5 * (low + high));
        if (high - low).abs() <= f64::EPSILON * (pulling.abs() + holding.abs()) {
            break;
        }
        x = next;
    }
    (Outcome::Balanced, x)
}
