//! Room for `train`.

pub mod line;
