//! The forces in a train that crawls, starts or stands: exact planar equilibrium, O(n).
//!
//! Each vehicle is cut free. When its body moves forward at unit speed along its own axis, its
//! trucks run along the track at `α_t` = 1/cos `ψ_t` and the body yaws at ω; lateral rail forces do no
//! work, so the balance of virtual power gives the front coupler force from the rear one (8), and
//! the march from the rear gives them all. Lateral rail forces follow from moments about the
//! bolsters (9), (10). A dense solve of 3 n equations was the rejected way; a test solves each
//! vehicle's three equations independently and finds the same forces.
//!
//! (8) `F_f = [D_r F_r − Σ X_t α_t]/D_f, D_f = cos γ_f + sin γ_f (v̄ + ω p_f),`
//!     `D_r = cos γ_r − sin γ_r (v̄ − ω p_r), v̄ = (tan ψ_f + tan ψ_r)/2, ω = (tan ψ_f − tan ψ_r)/2a`
//! (9) `L_f + Y_f = −[(a+p_f) F_f sin γ_f − (p_r−a) F_r sin γ_r + 2a X_f sin ψ_f]/(2a cos ψ_f)`
//! (10) `L_r + Y_r = [(p_f−a) F_f sin γ_f − (p_r+a) F_r sin γ_r − 2a X_r sin ψ_r]/(2a cos ψ_r)`
//! (11) `X_t = T/2 − W_t cos G_t (G_t + r0 + r1 v + c) − d_t`
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | `F_f`, `F_r` | coupler force at the front, rear; draft positive, buff negative | N |
//! | `X_t` | force of the rail on a truck along the track, forward positive | N |
//! | `L_t` | lateral force of the rail on a truck, left positive | N |
//! | `Y_t` | weight and centrifugal force across the track: `W_t` (sin φ − v²κ/g) | N |
//! | T | pull of a locomotive, shared equally by its trucks | N |
//! | c, `d_t` | curve drag by the chosen law: part of the weight, or a force | 1, N |
//!
//! Exactly one law of curve drag holds at a time ([`CurveDragLaw`]): each of the three already
//! contains what the others describe.
//!
//! Validity: quasi-static; bodies rigid; couplers frictionless in swing; spring centring ignored.

mod anchored;
mod balance;
mod coupling;
mod drag;
mod drive;
mod lateral;

pub use anchored::{Anchored, AnchoredForces};
pub use balance::{Balance, Outcome, Solver};
pub use drag::CurveDragLaw;
pub use drive::Condition;
pub use lateral::{STEEPEST_LINK, TruckLoad};

pub(crate) use coupling::{Step, coupler_drag, rail_along};
pub(crate) use drag::truck_at;
pub(crate) use lateral::loads;
