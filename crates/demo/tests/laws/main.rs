//! Laws of the bench that hold for every car, tried on thousands of invented ones.

#![expect(
    clippy::panic,
    clippy::float_cmp,
    reason = "the club's own files have to read, and two probabilities have to be one number"
)]

mod given;

mod cures;
mod limits;
mod order;
mod same;
mod stale;
mod turned;
mod units;
