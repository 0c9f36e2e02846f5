//! A scene played: what came of it in sentences, as a picture, and for programs.
//!
//! [`answer`] plays a scene with a train that [`crate::climb::join`] made up; [`text`], [`wire`] and
//! [`plot`] say what came of it. Margins against models, never a promise.

mod answer;
pub mod plot;
pub mod text;
pub mod wire;
pub mod words;

pub use answer::{Answer, Part, answer};
