//! The paper that goes with a car, as PDF.
#![doc = include_str!("../README.md")]

mod error;
mod frame;
mod paper_size;

mod label_sheet;
mod preset;

mod code;
mod face;
mod fit;
mod stack;

mod item;
mod pdf;
mod picture;

mod flow;
mod table;

mod label;
mod slip;
mod tag;
mod ticket;
mod work;

mod monthly;
mod record_sheet;
mod statement;

pub use error::PaperError;
pub use frame::Frame;
pub use label::{Address, Judged, LABEL_SIZES, Label, labels};
pub use label_sheet::{First, LabelSheet, Layout, Measure, SheetError, Typing};
pub use monthly::{BadOrders, Defects, Instrument, Monthly, Outcomes, SpreadOf, Waits, monthly};
pub use paper_size::Paper;
pub use pdf::{Note, Printed};
pub use preset::{PresetError, read_presets, write_preset};
pub use record_sheet::{Happened, RecordSheet, record_sheets};
pub use slip::{Slip, slips};
pub use statement::{Statement, StatementCar, statement};
pub use tag::{Tag, tags};
pub use work::TagWork;
