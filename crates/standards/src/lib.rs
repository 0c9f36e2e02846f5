//! Published limits and formulas, each with the place where it is printed.
#![doc = include_str!("../README.md")]

mod catalogue;
mod confidence;
mod standard;
mod table;

mod scale;

mod limit;

mod contour;
mod track;
mod wheels;

mod back_to_back;
mod fit;

pub mod car_weight;
pub mod coupler_height;

pub mod cant;
pub mod curve;
pub mod vertical_curve;

pub mod grade_problems;
pub mod resistance;
pub mod wheel_climb;

mod error;

pub use back_to_back::{BackToBackWindow, WindowEnd};
pub use confidence::Confidence;
pub use contour::{Contour, contour, contours, nem_311_flange_angle_deg};
pub use coupler_height::PrototypeGauge;
pub use error::StandardsError;
pub use fit::WheelOnTrack;
pub use limit::{Bounds, Limit};
pub use scale::Scale;
pub use standard::{Clause, Standard};
pub use table::{Cell, Table, cells, table, tables};
pub use track::{TrackLimits, TrackStandard, track_limits, track_rows};
pub use wheels::{WheelLimits, WheelStandard, wheel_limits, wheel_rows};
