//! The bench: readings in, verdicts with margins out, cures in numbers, and what each cure puts in
//! doubt.
//!
//! Pure: no files, no clock, no randomness. A day is an argument, a shop's stock and history are
//! values, and the same record under the same edition gives the same verdict for ever.
//!
//! Reading order: a [`record`] holds what was read; [`rules`] hold what the club allows;
//! [`decision`] turns a reading and a limit into a verdict; [`checks`] do so for a whole car;
//! [`cures`] say in numbers how to put right what is out; [`doubt`] says what to look at again.
//! [`mechanics`] is the arithmetic underneath and knows nothing of rule books.

pub mod record;

pub mod rules;

pub mod authority;
pub mod decision;
pub mod doubt;
mod verdict;

pub mod checks;
pub mod cures;
pub mod shop;

pub mod mechanics;

mod section;

pub use verdict::Verdict;
