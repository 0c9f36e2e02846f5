//! Pictures of one car that show what its readings mean: side, end and plan, the margin of a judged
//! line, and the spread of a fleet.
//!
//! A car stands at its own measured proportions; what is small enough to be missed is drawn larger
//! by a factor that the picture states. Figures nobody measured are drawn dashed at the ordinary
//! proportions of its kind and named in the description.
//!
//! Conventions: the A end stands at the left hand, as seen by somebody at the car's left side, and
//! the plan keeps it there, so the left side of the car is nearest the reader. The end view is from
//! behind the B end, so left is left. x grows to the right and y downwards, in pixels.
//!
//! Every picture is one self-contained SVG: no script, no reference to anything outside, no
//! identifiers that could clash with those of a page. Verdicts are a shape and a word first;
//! [`STYLE`] adds colour, and without it everything is drawn in `currentColor`.
//! All text goes through an escaping writer, so nothing read from a sheet can become markup.

mod canvas;
mod captions;
mod end;
mod exaggeration;
mod margin;
mod plan;
mod proportions;
mod seen;
mod seesaw;
mod side;
mod silhouette;
mod spread;
mod strip;
mod verdict;

pub use end::end;
pub use margin::margin;
pub use plan::plan;
pub use side::side;
pub use spread::{Spread, spread};
pub use strip::strip;

/// One picture, with the words that stand for it where it cannot be seen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// The picture: an `<svg>` element, ready to stand in a page or in a file of its own.
    pub svg: String,
    /// What it is of; also its `<title>`.
    pub title: String,
    /// What it shows, in sentences with the numbers; also its `<desc>`.
    pub description: String,
}

/// The style sheet of the pictures, for light and dark.
///
/// The custom properties stand in `:where(:root)`, so any rule of a page's own wins over them.
pub const STYLE: &str = include_str!("drawing/style.css");
