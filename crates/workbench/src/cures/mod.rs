//! Cures: what to do about each fault, in numbers, and what that puts in doubt.
//!
//! [`prescribe`] goes through an inspection's bad orders (and what is on watch only because it
//! leans on a limit) and computes for each the least that puts it right: which wheel to move and how
//! far, which washers from stock under which bolster, which weights in which pockets.
//! Where nothing in stock will do, the cure says exactly what is missing.
//!
//! Assumptions: cures are computed one check at a time, in bench order; each names what it puts in
//! doubt, so that a cure that disturbs another check is followed by that check and not trusted
//! blindly.

mod action;
mod kind;
mod prescribe;

mod heights;
mod pads;
mod plain;
mod seating;
mod strip;
mod tipping;
mod weight_problem;
mod weights;
mod wheels;

pub use action::{Action, Cure, Lack, Piece, SeatPlace};
pub use heights::HeightProblem;
pub use kind::CureKind;
pub use prescribe::prescribe;
pub use weight_problem::WeightProblem;
