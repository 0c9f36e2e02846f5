//! The whole fleet at once.
//!
//! The record keeps everything that was ever read; most questions about a fleet ask only for the
//! latest reading of each car. This crate holds those as columns, one for each measure and place,
//! and answers from them: which cars ([`Query`], [`Sort`]), how a reading is spread ([`Spread`]),
//! what a changed rule book would do ([`Fleet::what_if`]), what the cars of one lot have in common
//! ([`compare`]), how long a check takes ([`BenchTimes`]).
//!
//! Assumptions: one process holds the fleet and puts a car in again whenever its record has grown.
//! Exactness: what is kept of a reading is everything that judging it needs, so that a car judged
//! from the columns has the verdicts it has when judged from its record; tests hold it to that.

mod columns;
mod error;
mod fleet;
mod halves;

mod order;
mod query;
mod spread;

mod touched;
mod what_if;

mod discovery;
mod lots;
mod rank_test;

mod minutes;

pub use error::FleetError;
pub use fleet::{CarFacts, Fitted, Fleet, FleetCar, Judged, Row, Under};
pub use order::{Cursor, Page, Sort, SortKey};
pub use query::{Bound, Query};
pub use spread::{Spread, quantile};
pub use what_if::{Change, WhatIf};

pub use discovery::{FALSE_DISCOVERIES, adjusted};
pub use lots::{Compared, Lot, SMALL, compare};
pub use minutes::{ASSUMED_CHECK_SECONDS, BenchTimes, CheckTime};
pub use rank_test::{Method, RankTest, rank_test};
