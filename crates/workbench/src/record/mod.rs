//! What the bench knows of a car before anybody judges it: the car, and what was read on it.
//!
//! A record holds readings as typed and remembers where each came from.
//! It draws no conclusion; verdicts are made of it by [`crate::checks`].

mod answer;
mod car;
mod check;
mod entry;
mod measure;
mod place;
pub mod plausible;

pub use answer::Answer;
pub use car::{Axles, Car, CarMark, CarMarkError, CarType, Figures, Tag};
pub use check::Check;
pub use entry::{Done, Entry, Record, Value};
pub use measure::{Kind, Measure};
pub use place::{End, Place, PlaceKind, Side};
