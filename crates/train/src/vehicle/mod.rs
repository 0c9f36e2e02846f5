//! What is known of each vehicle, number by number, and how it is known.
//!
//! A [`Vehicle`] is a card with one entry per [`Quantity`]; every entry is [`Sourced`]: measured on
//! this car, the default of its class, or assumed, the last two with the range they may lie in.
//! Results can therefore say which number that nobody measured they lean on most.
//!
//! Signs: forward is the direction of travel, left is positive; the vehicle's own frame has its
//! origin midway between the bolsters, at rail height.

mod card;
mod class;
mod numbers;
mod quantity;
mod sourced;
mod train;

pub use card::{Kind, Vehicle, VehicleError};
pub use class::Class;
pub use numbers::{Numbers, Power, TruckReach};
pub use quantity::Quantity;
pub use sourced::{Provenance, Sourced};
pub(crate) use train::first_without_link;
pub use train::{RangeEnd, Train, TrainError};
