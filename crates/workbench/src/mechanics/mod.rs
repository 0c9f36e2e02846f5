//! The mechanics of a car on the bench: how it stands, twists, swings, couples, balances, and what
//! to put where to mend it.
//!
//! Every module is a pure function of numbers: no rule book, no car record, no clock.
//! Quantities are typed at the edges; inside a formula a bare `f64` carries its unit in its name.
//!
//! Frame used throughout: x grows towards the A end, y to the left of a person facing the A end,
//! z upwards. Mirroring a car swaps A with B and left with right.

pub mod ends;
pub mod input;

pub mod seating;
pub mod swing;
pub mod twist;

pub mod droop;
pub mod lever;
pub mod shims;

pub mod balance;
pub mod ballast;
