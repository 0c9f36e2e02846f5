//! The hill: a train of measured cars on a surveyed line, and the margin of every car at every place.

pub mod line;
pub mod margins;
pub mod placement;
pub mod statics;
pub mod sweep;
pub mod track;
pub mod truck;
pub mod vehicle;
