//! The line as the cars feel it: plan, profile and cant along the track, and the pose at any place.
//!
//! A line is written as three lists that run side by side along plan arc length `s`:
//! plan segments of linear curvature (straights, arcs, clothoid easements), grade segments of
//! linear grade (steady grades and parabolic vertical curves), and cant points joined by straight
//! lines.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | s | plan arc length from the start of the line, growing in the direction of travel | m |
//! | θ | heading, counter-clockwise from the x axis | rad |
//! | κ | curvature dθ/ds, positive in a left-hand curve | 1/m |
//! | z | height of the rail top | m |
//! | G | grade dz/ds, positive uphill, so 0.02 for 2 % | 1 |
//! | φ | cant angle, positive when rolled to the left (right rail high) | rad |
//!
//! Validity: arc length is measured in plan. A steady grade of 4 % makes the rail 0.08 % longer
//! than its plan, and that is neglected everywhere.
//!
//! Sources: the kinematics of a plane curve; no empirical number stands in this module.

mod alignment;
mod check;
mod cursor;
pub(crate) mod integral;
mod segment;

pub use alignment::{Alignment, Origin, Pose};
pub use check::{AlignmentError, Layer};
pub use cursor::{Cursor, OffTheLine, RailPoint};
pub use segment::{CantPoint, GradeSegment, PlanSegment};
