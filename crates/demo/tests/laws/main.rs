//! Laws of the bench that hold for every car, tried on thousands of invented ones.

mod given;

mod cures;
mod limits;
mod order;
mod same;
mod stale;
mod turned;
mod units;
