//! A club's limits: one edition of its rule book, as types.
//!
//! A rule book is written by people as TOML ([`RuleBook::read`]) and is data from top to bottom:
//! limits, their sources, who is excused, what a cure disturbs, how long to wait.
//! A verdict names the edition it was given under, and an edition never changes once in force.
//!
//! Assumptions: one club, several scales; a class of car overrides its scale limit by limit.

mod amend;
mod book;
mod limited;
mod lines;
mod read;
mod read_scale;
mod scale;
mod wheels;

pub use amend::{AmendError, LimitPlace, NewException, as_edition, set_exception, set_limit};
pub use book::{BareUnits, Bench, Exception, Instrument, RuleBook};
pub use limited::Limited;
pub use lines::{BookLine, Change, compare};
pub use read::{Problem, RuleBookError};
pub use scale::{
    BalanceMethod, ClassRules, Limit, PartSizes, Pocket, ScaleRules, WeightKind, WeightRule,
};
pub use wheels::WheelRules;

/// The starter rule book that ships with the tool, as text.
pub const STARTER: &str = include_str!("../../data/starter.toml");
