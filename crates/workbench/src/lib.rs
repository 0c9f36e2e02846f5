//! The bench: what is measured on a car, what it means, and the cure in numbers.

pub mod mechanics;
