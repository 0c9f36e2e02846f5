//! The climb: bench records become vehicles, the hill is asked, the answer is put in words.
//!
//! The join stands here because it needs to see both the bench and the hill, which may not see each
//! other, and because whatever shows an answer (terminal, page, file) needs the same one.
//!
//! [`join`] makes the train out of an order, a power file and the club's records; [`answer`] asks
//! the hill; [`text`], [`wire`] and [`plot`] say what came of it. Margins, never a promise.

pub mod advice;
mod answer;
mod cars;
mod join;
pub mod odds;
pub mod plot;
pub mod text;
pub mod wire;
pub mod words;

pub(crate) use answer::place_at;
pub use answer::{Answer, Asked, LEAST_MARGIN, Line, NoAnswer, SmallStretch, Spot, answer};
pub use cars::{CarCard, card};
pub use join::{Consist, JoinError, JoinErrors, Member, Stock, join, spare_power};
pub use odds::{OddsAnswer, OddsAsked, answer_odds};
