//! The train in motion, with slack.
//!
//! Each vehicle moves along the line on its own; couplings push and pull only once their slack is
//! taken up. What comes of starting, stopping, helpers that disagree and power that fails is
//! followed in time: places, speeds, coupler forces, and couplings that come apart.
//!
//! (19) `m v' = −W G − φ − W r1 v + T + f_ahead − f_behind, e = x_ahead − x_behind − L,`
//!     `f = stop(e − s/2) − stop(−e − s/2) + c_0 e', stop(z) = k r(z) + c z' r'(z)`
//!
//! where r rises from nothing to z over a rounded corner 2d wide. Equations (20) to (25) stand with
//! the arithmetic: `schedule` (who drives), `step` (the integrator), `tridiagonal`.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | x, v | middle of a vehicle along the line, its speed | m, m/s |
//! | m, W, G | mass with what turns in it, weight, grade | kg, N, 1 |
//! | φ | friction: rolling, curve and locked wheels; holds a standing vehicle | N |
//! | r1 | growth of drag with speed | s/m |
//! | T | pull of a locomotive (21) | N |
//! | f, e | coupler force, draft positive; its stretch | N, m |
//! | L, s | spacing with the slack halfway, free slack | m |
//! | k, c, `c_0` | stiffness and damping of a stop, damping within the slack | N/m, N·s/m |
//!
//! Validity: motion along the line only. Grades are small (the cosine left out is 0.08 % at 4 %);
//! the spacing L is that of straight track (on the sharpest curves of the sample, long cars coupled
//! to short ones take up a few tenths of a millimetre more, which a test measures); curve drag is
//! that per curvature; the flange does not feel the coupler force. A train with little damping is
//! chaotic: peaks and means can be trusted, single moments cannot.
//!
//! Source: the laws of (19) are those of longitudinal train dynamics at full size
//! ([GARG-DUKKIPATI]); the numbers for models are assumed and say so.

mod config;
mod force;
mod lanes;
mod number;
mod pace;
mod problem;
mod road;
mod run;
mod schedule;
mod solution;
mod state;
mod step;
mod stepper;
mod stop_reason;
mod tridiagonal;

pub use config::{Config, SPEED_PER_PLACE};
pub use lanes::{Extremes, solve_many};
pub use problem::{Body, HoldLaw, Laws, Link, Problem, ProblemError, StopLaw};
pub use road::Road;
pub use run::{Look, solve, solve_watched};
pub use schedule::{Drive, Setting};
pub use solution::{Effort, MOVING, Parting, Peak, Samples, Solution};
pub use state::State;
pub use stop_reason::{MotionError, StopReason};
