//! Rolling drag of a car from the times at which it coasts past gates.
//!
//! Model: `(1 + ε) v' = g (sin θ − a cos θ) − g b v cos θ` (a), the wheels' own inertia in ε,
//! a the drag that does not depend on speed as a part of the weight, b what grows with speed.
//! With `A = g (sin θ − a cos θ)/(1 + ε)` and `B = g b cos θ/(1 + ε)` a run from speed v₀ has
//! `x(τ) = v₀ τ φ₁(Bτ) + A τ² φ₂(Bτ)` and `v(τ) = v₀ e^{−Bτ} + A τ φ₁(Bτ)` (b), where
//! `φ₁(z) = (1 − e^{−z})/z` and `φ₂(z) = (1 − φ₁(z))/z` stay well behaved at z = 0.
//!
//! Fitted: a, b, and for each run v₀ **and** t₀, both at its first gate. The first gate's clock is
//! as noisy as any other; taking t₀ as known makes the errors look smaller than they are.
//! Residual of gate k: `r = (x_k − x(t_k − t₀)) / (v(t_k − t₀) σ_t)` (c), the time by which the
//! model misses the gate over the timing uncertainty. Minimised by Levenberg–Marquardt with
//! analytic derivatives; covariance `(JᵀJ)⁻¹` (d), `σ_t` taken as given.
//! Σ r² follows χ² with (gates − parameters) degrees of freedom if the model and `σ_t` are
//! right; its tail probability is reported, and a small one means that the errors are too small.
//!
//! One grade cannot tell a from b well enough, so two are asked for. A level that is out by δ moves
//! a by exactly δ, and nothing in the times shows it: coast in both directions (or turn the board
//! end for end) and take [`BothDirections`].
//!
//! Symbols: x m from the first gate, v m/s, t s, θ angle of the track (positive downhill in the
//! direction of travel), g 9.806 65 m/s², a ratio, b s/m, ε ratio.
//! Validity: straight track, still air, one gradient per run; the car passes every counted gate.
//! Sources: (a) is Newton's law with the drag split into a constant and a linear part, [WEBB §120]
//! for ε; (b) its closed solution; (c), (d) [JCGM-100] for the propagation.
//! ASSUMED: grades count as two when they differ by 0.5 % or more.

mod fit;
mod motion;

use gradeworthy_units::{Grade, Length, NotFinite, Time};

/// One gate of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gate {
    /// Along the track, in the direction of travel, from anywhere.
    pub position: Length,
    /// When the car passed; `None` for a gate it did not reach or that did not fire.
    pub time: Option<Time>,
}

/// One run past its gates.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Rise over run, positive downhill in the direction of travel.
    pub grade: Grade,
    /// The gates, in order of position.
    pub gates: Vec<Gate>,
}

/// What is known beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setup {
    /// ε: the part by which the wheels' inertia makes the car heavier,
    /// [`super::inertia::Inertia::rotating_part`].
    pub rotating_part: f64,
    /// `σ_t`: standard uncertainty of one gate time.
    pub timing: Time,
}

/// A number with its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate<T> {
    /// The best value.
    pub value: T,
    /// Its standard error, eq. (d).
    pub error: T,
}

/// What the runs say.
#[derive(Clone, Debug, PartialEq)]
pub struct CoastFit {
    /// a.
    pub rolling: Estimate<Grade>,
    /// b, s/m.
    pub viscous_s_per_m: Estimate<f64>,
    /// v₀ and t₀ of each run.
    pub starts: Vec<Start>,
    /// Whether the residuals look like the timing uncertainty.
    pub residuals: ResidualCheck,
    /// Steps that the minimiser tried.
    pub step_count: usize,
}

/// How a run began, at its first gate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// v₀, m/s.
    pub speed_m_s: Estimate<f64>,
    /// t₀, from the time the first gate showed.
    pub clock: Estimate<Time>,
}

/// Σ r² against its law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResidualCheck {
    /// Σ r².
    pub chi_square: f64,
    /// Gates less parameters.
    pub degrees_of_freedom: usize,
    /// The chance of residuals as large as these or larger.
    pub tail_probability: f64,
}

/// The mean of two fits in opposite directions over the same track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BothDirections {
    /// a, free of the error of the level.
    pub rolling: Estimate<Grade>,
    /// By how much the track falls more in the first direction than was entered.
    pub level_error: Estimate<Grade>,
}

/// Why the runs give no drag.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CoastError {
    /// All runs on one grade.
    #[error(
        "the grades of the runs differ by {found_percent:.3} %; two grades {needed_percent} % \
         apart or more are needed to tell rolling drag from drag that grows with speed"
    )]
    OneGrade {
        /// Greatest less least, %.
        found_percent: f64,
        /// The least taken, %.
        needed_percent: f64,
    },
    /// A run that passed too few gates.
    #[error("run {run} passed {found} gates; each run needs {needed} or more")]
    TooFewGates {
        /// Which run, from zero.
        run: usize,
        /// Gates with a time.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Fewer gates in all than there are unknowns.
    #[error("{found} gate times for {unknowns} unknowns; one more at the least is needed")]
    TooFewTimes {
        /// Gates with a time, over all runs.
        found: usize,
        /// 2 + 2 for each run.
        unknowns: usize,
    },
    /// Gates out of order.
    #[error("run {run}, gate {gate}: at {position}, not beyond the gate before it")]
    PositionsNotIncreasing {
        /// Which run, from zero.
        run: usize,
        /// Which gate, from zero.
        gate: usize,
        /// Where it stands.
        position: Length,
    },
    /// A gate that was passed before the one in front of it.
    #[error(
        "run {run}, gate {gate}: passed at {found_s} s, not after the gate before it at {before_s} s"
    )]
    TimesNotIncreasing {
        /// Which run, from zero.
        run: usize,
        /// Which gate, from zero.
        gate: usize,
        /// Its time, s.
        found_s: f64,
        /// The time of the gate before it, s.
        before_s: f64,
    },
    /// A quantity outside the range in which it means anything.
    #[error("{what}: {found} is out of range; expected {expected}")]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// What was found.
        found: f64,
        /// What would do.
        expected: &'static str,
    },
    /// No drag explains the times.
    #[error(
        "no drag explains these times (misfit {chi_square:.0} after {steps} steps); \
         check the grades, the gate positions and which run is which"
    )]
    NotConverged {
        /// Σ r² where the minimiser stopped.
        chi_square: f64,
        /// How many steps it had made.
        steps: usize,
    },
    /// The times leave a combination of the unknowns open.
    #[error("the times leave drag and speed undetermined; coast longer or on grades further apart")]
    Undetermined,
    /// Arithmetic left the numbers.
    #[error(transparent)]
    NotFinite(#[from] NotFinite),
}

/// Every run needs its own v₀ and t₀ and has to say something beyond them.
const GATES_PER_RUN_MIN: usize = 3;
/// Grades closer than this count as one.
const GRADE_SPREAD_MIN: f64 = 0.005;

impl CoastFit {
    /// Fits drag and starts to the runs.
    ///
    /// # Errors
    /// [`CoastError`] says which run or gate is at fault, or what is missing.
    pub fn from_runs(runs: &[Run], setup: Setup) -> Result<Self, CoastError> {
        let timing_s = setup.timing.seconds();
        if timing_s <= 0.0 {
            return Err(out_of_range(
                "timing uncertainty, s",
                timing_s,
                "a positive number",
            ));
        }
        if !(setup.rotating_part.is_finite() && setup.rotating_part >= 0.0) {
            let found = setup.rotating_part;
            return Err(out_of_range("rotating part", found, "zero or more"));
        }
        let passages = runs
            .iter()
            .enumerate()
            .map(|(run, data)| Passage::of(run, data))
            .collect::<Result<Vec<_>, _>>()?;
        check_grades(runs)?;
        let found = passages.iter().map(|passage| passage.gates.len()).sum();
        let unknowns = 2 + 2 * runs.len();
        if found <= unknowns {
            return Err(CoastError::TooFewTimes { found, unknowns });
        }
        fit::minimise(&passages, setup)
    }
}

impl BothDirections {
    /// Joins two fits over the same track, entered with the same grades but for the sign, one in
    /// each direction: `a = (a₁ + a₂)/2`, `δ = (a₂ − a₁)/2`.
    ///
    /// # Errors
    /// [`CoastError::NotFinite`], if the fits were absurd enough.
    pub fn from_fits(first: &CoastFit, turned: &CoastFit) -> Result<Self, CoastError> {
        let (one, other) = (first.rolling, turned.rolling);
        let error = Grade::from_ratio(one.error.ratio().hypot(other.error.ratio()) / 2.0)?;
        Ok(Self {
            rolling: Estimate {
                value: (one.value + other.value) / 2.0,
                error,
            },
            level_error: Estimate {
                value: (other.value - one.value) / 2.0,
                error,
            },
        })
    }
}

/// The gates that a run passed, from its first.
struct Passage {
    slope_rad: f64,
    gates: Vec<Passed>,
}

/// A passed gate.
#[derive(Clone, Copy)]
struct Passed {
    way_m: f64,
    time_s: f64,
}

impl Passage {
    fn of(run: usize, data: &Run) -> Result<Self, CoastError> {
        let mut gates: Vec<Passed> = Vec::with_capacity(data.gates.len());
        let mut origin: Option<(Length, f64)> = None;
        for (gate, found) in data.gates.iter().enumerate() {
            if gate > 0 && found.position <= data.gates[gate - 1].position {
                return Err(CoastError::PositionsNotIncreasing {
                    run,
                    gate,
                    position: found.position,
                });
            }
            check_position(found.position)?;
            let Some(time) = found.time else { continue };
            let (first, first_s) = *origin.get_or_insert((found.position, time.seconds()));
            let time_s = time.seconds() - first_s;
            if let Some(before) = gates.last()
                && time_s <= before.time_s
            {
                return Err(CoastError::TimesNotIncreasing {
                    run,
                    gate,
                    found_s: time.seconds(),
                    before_s: before.time_s + first_s,
                });
            }
            let way_m = (found.position - first).metres();
            gates.push(Passed { way_m, time_s });
        }
        if gates.len() < GATES_PER_RUN_MIN {
            return Err(CoastError::TooFewGates {
                run,
                found: gates.len(),
                needed: GATES_PER_RUN_MIN,
            });
        }
        Ok(Self {
            slope_rad: data.grade.ratio().atan(),
            gates,
        })
    }
}

/// Bench tracks are metres long; beyond this nanometre sums could overflow.
const POSITION_MAX_M: f64 = 1e6;

fn check_position(position: Length) -> Result<(), CoastError> {
    let found = position.metres();
    if found.abs() <= POSITION_MAX_M {
        return Ok(());
    }
    Err(out_of_range(
        "gate position, m",
        found,
        "within a thousand kilometres",
    ))
}

fn check_grades(runs: &[Run]) -> Result<(), CoastError> {
    let grades = || runs.iter().map(|run| run.grade.ratio());
    let spread =
        grades().fold(f64::NEG_INFINITY, f64::max) - grades().fold(f64::INFINITY, f64::min);
    if spread >= GRADE_SPREAD_MIN {
        return Ok(());
    }
    Err(CoastError::OneGrade {
        found_percent: spread.max(0.0) * 100.0,
        needed_percent: GRADE_SPREAD_MIN * 100.0,
    })
}

fn out_of_range(what: &'static str, found: f64, expected: &'static str) -> CoastError {
    CoastError::OutOfRange {
        what,
        found,
        expected,
    }
}
