//! Lines.
pub mod survey;
