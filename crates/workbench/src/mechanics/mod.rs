//! The mechanics of the bench: pure kernels that know neither rule books nor cars.
//!
//! Each module turns readings and numeric limits into margins, moves and predictions, with the
//! equation, the units and the validity in its own head. None reads a clock, a file or a random
//! number.

pub mod runout;
pub mod wheelset;

pub mod inertia;

pub mod coast;
pub mod spin;

pub mod bend;

mod student;
