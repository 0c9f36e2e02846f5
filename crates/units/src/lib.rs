//! Quantities of the bench and the hill, and readings as a person or a caliper types them.
//!
//! Two kinds of quantity live here.
//! [`Length`] and [`Mass`] are exact integers, so that 'at the limit' is a fact and not a rounding
//! accident: every 1/64 in, every thousandth of an inch and every 0.01 mm is a whole number of
//! nanometres.
//! The others ([`Angle`], [`Grade`], [`Time`], [`Force`]) are SI floating-point numbers that refuse
//! NaN and infinity at the door.
//!
//! [`Typed`] keeps what was typed, the unit it was read in, and the resolution that the typing
//! shows; [`Reader`] turns text into it and refuses a wrong or doubtful unit instead of guessing.
//!
//! Sources: [SP811 §B.8] for the inch, the pound and the standard acceleration; [NMRA-S-1.2] for
//! the HO ratio of 3.5 mm to the foot. Keys are resolved in `docs/REFERENCES.md`.

mod length;
mod mass;
mod scalar;
mod scale;

mod amount;
mod unit;

mod numeral;
mod typed;

pub use amount::{Amount, Dimension};
pub use length::Length;
pub use mass::Mass;
pub use numeral::{DecimalMark, Numeral};
pub use scalar::{Angle, Force, Grade, NotFinite, STANDARD_GRAVITY, Time};
pub use scale::Ratio;
pub use typed::{ReadError, Reader, Typed};
pub use unit::Unit;
