//! Power and train files: what they mean, and every mistake with its line and key.

mod mistakes;
mod properties;
