//! The mechanics of the bench: pure kernels that know neither rule books nor cars.
//!
//! Each module turns readings and numeric limits into margins, moves and predictions, with the
//! equation, the units and the validity in its own head. None reads a clock, a file or a random
//! number. Quantities are typed at the edges; inside a formula a bare `f64` carries its unit in its
//! name.
//!
//! Frame used throughout: x grows towards the A end, y to the left of a person facing the A end,
//! z upwards. Mirroring a car swaps A with B and left with right.

pub mod ends;
pub mod input;

pub mod runout;
pub mod wheelset;

pub mod inertia;

pub mod coast;
pub mod spin;

mod student;

pub mod bend;

pub mod seating;
pub mod swing;
pub mod twist;

pub mod droop;
pub mod lever;
pub mod shims;

pub mod balance;
pub mod ballast;
