//! Levenberg–Marquardt for eq. (c), from a start found on a coarse raster of b.
//!
//! The unknowns stand as a, b, then v₀ of each run, then t₀ of each run.
//! A step into a state where a car would have stopped before a gate that it passed is refused like
//! one that makes the fit worse.

use gradeworthy_units::{Grade, STANDARD_GRAVITY, Time};
use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ChiSquared, ContinuousCDF as _};

use super::motion::{Force, State};
use super::{CoastError, CoastFit, Estimate, Passage, ResidualCheck, Setup, Start};

const STEPS_MAX: usize = 200;
/// The fit stands still when a full step promises to lower Σ r² by less than this part of
/// 1 + Σ r²: the unknowns are then within 1e-4 standard errors, and the last step squares that.
const PROMISE_MIN: f64 = 1e-9;
/// Damping beyond which no useful step is left.
const DAMPING_MAX: f64 = 1e12;

pub(super) fn minimise(passages: &[Passage], setup: Setup) -> Result<CoastFit, CoastError> {
    let problem = Problem { passages, setup };
    let mut unknowns = problem.start().ok_or(not_converged(f64::INFINITY, 0))?;
    let mut here = problem
        .linearise(&unknowns)
        .ok_or(CoastError::Undetermined)?;
    let mut damping = 1e-3;
    for step_count in 0..STEPS_MAX {
        // The last step is a full one: it is shorter than the sums of squares can tell.
        let settled = here
            .promise()
            .is_some_and(|promise| promise <= PROMISE_MIN * (1.0 + here.cost));
        if settled {
            unknowns += here.step(0.0).ok_or(CoastError::Undetermined)?;
            let there = problem.linearise(&unknowns);
            let there = there.ok_or(CoastError::Undetermined)?;
            return problem.report(&unknowns, &there, step_count + 1);
        }
        let step = here.step(damping).ok_or(CoastError::Undetermined)?;
        match problem.linearise(&(&unknowns + &step)) {
            Some(there) if there.cost <= here.cost => {
                unknowns += step;
                here = there;
                damping = (damping * 0.1).max(1e-12);
            }
            _ => damping *= 10.0,
        }
        if damping > DAMPING_MAX {
            return Err(not_converged(here.cost, step_count + 1));
        }
    }
    Err(not_converged(here.cost, STEPS_MAX))
}

struct Problem<'a> {
    passages: &'a [Passage],
    setup: Setup,
}

/// r and J at one set of unknowns, and Σ r².
struct Linearised {
    residuals: DVector<f64>,
    jacobian: DMatrix<f64>,
    cost: f64,
}

impl Linearised {
    /// By how much a full step would lower Σ r² if the residuals were linear.
    fn promise(&self) -> Option<f64> {
        let step = self.step(0.0)?;
        Some(-self.jacobian.tr_mul(&self.residuals).dot(&step))
    }

    /// The damped step, Marquardt's scaling.
    fn step(&self, damping: f64) -> Option<DVector<f64>> {
        let mut normal = self.jacobian.tr_mul(&self.jacobian);
        for index in 0..normal.nrows() {
            normal[(index, index)] *= 1.0 + damping;
        }
        let downhill = -self.jacobian.tr_mul(&self.residuals);
        Some(normal.cholesky()?.solve(&downhill))
    }
}

impl Problem<'_> {
    fn gate_count(&self) -> usize {
        self.passages.iter().map(|run| run.gates.len()).sum()
    }

    fn force(&self, run: &Passage, rolling: f64, viscous_s_per_m: f64) -> Force {
        let inertia = 1.0 + self.setup.rotating_part;
        let (sin, cos) = run.slope_rad.sin_cos();
        Force {
            push_m_s2: STANDARD_GRAVITY * (sin - rolling * cos) / inertia,
            drag_per_s: STANDARD_GRAVITY * viscous_s_per_m * cos / inertia,
        }
    }

    /// `None` where a car would stand still before a gate it passed.
    fn linearise(&self, unknowns: &DVector<f64>) -> Option<Linearised> {
        let run_count = self.passages.len();
        let timing_s = self.setup.timing.seconds();
        let gate_count = self.gate_count();
        let mut residuals = DVector::zeros(gate_count);
        let mut jacobian = DMatrix::zeros(gate_count, unknowns.len());
        let mut row = 0;
        for (index, run) in self.passages.iter().enumerate() {
            let force = self.force(run, unknowns[0], unknowns[1]);
            let cos_over_inertia = run.slope_rad.cos() / (1.0 + self.setup.rotating_part);
            let per_drag = STANDARD_GRAVITY * cos_over_inertia;
            let (speed_column, clock_column) = (2 + index, 2 + run_count + index);
            for gate in &run.gates {
                let tau_s = gate.time_s - unknowns[clock_column];
                let state = State::at(force, unknowns[speed_column], tau_s);
                let speed = state.speed_m_s;
                if speed <= 0.0 || speed.is_nan() {
                    return None;
                }
                let miss_m = gate.way_m - state.way_m;
                residuals[row] = miss_m / speed / timing_s;
                // d(miss/v) = −dx/v − miss dv/v², by A, B, v₀, τ.
                let by = |which: usize| {
                    (-state.way_by[which] - miss_m / speed * state.speed_by[which])
                        / speed
                        / timing_s
                };
                jacobian[(row, 0)] = -per_drag * by(0);
                jacobian[(row, 1)] = per_drag * by(1);
                jacobian[(row, speed_column)] = by(2);
                jacobian[(row, clock_column)] = -by(3);
                row += 1;
            }
        }
        let cost = residuals.norm_squared();
        cost.is_finite().then_some(Linearised {
            residuals,
            jacobian,
            cost,
        })
    }

    /// The best of a raster of b, with a from the mean accelerations and v₀ from the last gate.
    fn start(&self) -> Option<DVector<f64>> {
        const VISCOUS_RASTER_S_PER_M: [f64; 9] =
            [0.0, 0.002, 0.005, 0.01, 0.02, 0.04, 0.08, 0.16, 0.32];
        let candidates = VISCOUS_RASTER_S_PER_M.iter().flat_map(|&viscous| {
            let rolling = self.mean_rolling(viscous);
            // A little less drag than the mean, in case the mean stops a car short of its gates.
            [1.0, 0.8, 0.5].map(|part| self.starting_from(part * rolling, viscous))
        });
        candidates
            .filter_map(|unknowns| Some((self.linearise(&unknowns)?.cost, unknowns)))
            .min_by(|one, other| one.0.total_cmp(&other.0))
            .map(|(_, unknowns)| unknowns)
    }

    fn starting_from(&self, rolling: f64, viscous_s_per_m: f64) -> DVector<f64> {
        let run_count = self.passages.len();
        let mut unknowns = DVector::zeros(2 + 2 * run_count);
        unknowns[0] = rolling;
        unknowns[1] = viscous_s_per_m;
        for (index, run) in self.passages.iter().enumerate() {
            let last = run.gates[run.gates.len() - 1];
            let force = self.force(run, rolling, viscous_s_per_m);
            // x = v₀ ∂x/∂v₀ + x at v₀ = 0.
            let at_rest = State::at(force, 0.0, last.time_s);
            unknowns[2 + index] = (last.way_m - at_rest.way_m) / at_rest.way_by[2];
        }
        unknowns
    }

    /// a that explains the mean acceleration of each run at its mean speed, averaged.
    fn mean_rolling(&self, viscous_s_per_m: f64) -> f64 {
        let inertia = 1.0 + self.setup.rotating_part;
        let each = self.passages.iter().map(|run| {
            let speed = mean_speed_m_s(run);
            let (sin, cos) = run.slope_rad.sin_cos();
            let push = mean_acceleration_m_s2(run) * inertia / STANDARD_GRAVITY;
            (sin - push) / cos - viscous_s_per_m * speed
        });
        each.sum::<f64>() / as_f64(self.passages.len())
    }

    fn report(
        &self,
        unknowns: &DVector<f64>,
        here: &Linearised,
        step_count: usize,
    ) -> Result<CoastFit, CoastError> {
        let covariance = here
            .jacobian
            .tr_mul(&here.jacobian)
            .cholesky()
            .ok_or(CoastError::Undetermined)?
            .inverse();
        let error = |index: usize| covariance[(index, index)].sqrt();
        let plain = |index: usize| Estimate {
            value: unknowns[index],
            error: error(index),
        };
        let run_count = self.passages.len();
        let starts = (0..run_count)
            .map(|index| {
                let clock = plain(2 + run_count + index);
                Ok(Start {
                    speed_m_s: plain(2 + index),
                    clock: Estimate {
                        value: Time::from_seconds(clock.value)?,
                        error: Time::from_seconds(clock.error)?,
                    },
                })
            })
            .collect::<Result<_, CoastError>>()?;
        let degrees_of_freedom = self.gate_count() - unknowns.len();
        let law = ChiSquared::new(as_f64(degrees_of_freedom));
        let law = law.map_err(|_| CoastError::Undetermined)?;
        Ok(CoastFit {
            rolling: Estimate {
                value: Grade::from_ratio(unknowns[0])?,
                error: Grade::from_ratio(error(0))?,
            },
            viscous_s_per_m: plain(1),
            starts,
            residuals: ResidualCheck {
                chi_square: here.cost,
                degrees_of_freedom,
                tail_probability: law.sf(here.cost),
            },
            step_count,
        })
    }
}

fn not_converged(chi_square: f64, steps: usize) -> CoastError {
    CoastError::NotConverged { chi_square, steps }
}

fn mean_speed_m_s(run: &Passage) -> f64 {
    let last = run.gates[run.gates.len() - 1];
    last.way_m / last.time_s
}

/// From the mean speeds over the first and the second half of the gates.
fn mean_acceleration_m_s2(run: &Passage) -> f64 {
    let (first, middle, last) = (
        run.gates[0],
        run.gates[run.gates.len() / 2],
        run.gates[run.gates.len() - 1],
    );
    let before = (middle.way_m - first.way_m) / (middle.time_s - first.time_s);
    let after = (last.way_m - middle.way_m) / (last.time_s - middle.time_s);
    2.0 * (after - before) / (last.time_s - first.time_s)
}

#[expect(clippy::cast_precision_loss, reason = "counts of gates and runs")]
fn as_f64(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::super::Passed;
    use super::*;

    #[test]
    fn the_jacobian_agrees_with_central_differences() {
        let passage = |slope_rad, times: &[f64]| Passage {
            slope_rad,
            gates: times
                .iter()
                .zip(0_u32..)
                .map(|(&time_s, gate)| Passed {
                    way_m: 0.25 * f64::from(gate),
                    time_s,
                })
                .collect(),
        };
        let passages = [
            passage(0.0, &[0.0, 0.485, 1.048, 1.736, 2.672]),
            passage(0.02, &[0.0, 0.887, 1.629, 2.286, 2.885]),
        ];
        let setup = Setup {
            rotating_part: 0.055,
            timing: Time::from_seconds(0.002).expect("finite"),
        };
        let problem = Problem {
            passages: &passages,
            setup,
        };
        let at = DVector::from_row_slice(&[0.0088, 0.0125, 0.548, 0.252, 0.001, -0.002]);
        let here = problem.linearise(&at).expect("all gates are passed");
        for column in 0..at.len() {
            let step = 1e-7;
            let (mut up, mut down) = (at.clone(), at.clone());
            up[column] += step;
            down[column] -= step;
            let residuals = |at| problem.linearise(at).expect("passed").residuals;
            let difference = (residuals(&up) - residuals(&down)) / (2.0 * step);
            let exact = here.jacobian.column(column);
            let miss = (&difference - exact).amax() / exact.amax();
            assert!(miss < 1e-7, "column {column}: {miss}");
        }
    }
}
