//! Laws of the bench that hold for every car, tried on thousands of invented ones.

#![expect(
    clippy::panic,
    reason = "the club's own files have to read, and a law that fails says with which car"
)]

mod given;

mod cures;
mod limits;
mod order;
mod same;
mod stale;
mod turned;
mod units;
