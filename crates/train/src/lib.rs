//! The hill: a train of measured cars on a surveyed line, and the margin of every car at every place.

pub mod track;

pub mod line;
