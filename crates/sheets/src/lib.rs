//! A club's sheet as a faithful grid of text cells with their places, and tables written back.
//!
//! [`read`] takes the bytes of a workbook (.xlsx) or of a text file with separators and gives rows
//! of text cells.
//! Nothing is lost and nothing is repaired in silence: what a reader had to decide stands in
//! [`Note`]s, what stops it is a [`SheetError`] that says where, what was found and what to do.
//! Of the cells only their look is judged, to guess the sheet's decimal mark
//! ([`guess_decimal_mark`]) and its heading rows ([`find_header`]); what they mean for a car is
//! decided in [`intake`].
//!
//! The crate is pure: it takes and gives bytes and touches no file.
//!
//! Sources: [RFC-4180] for text files, [ECMA-376] for workbooks, [MS-EXCEL-LIMITS] for the limits
//! that spreadsheet programs have, [WHATWG-ENCODING] for encodings. Keys are resolved in
//! `docs/REFERENCES.md`.

pub mod limits;

mod place;

mod grid;

mod error;
mod note;

mod file_kind;
mod workbook;

mod delimited;
mod xlsx;

mod decimal;
mod header;
mod write;

pub mod intake;
pub mod outlet;

pub use decimal::{MarkEvidence, MarkGuess, guess_decimal_mark};
pub use delimited::{Delimited, DelimitedOptions, Encoding, Separator, read_delimited};
pub use error::SheetError;
pub use file_kind::FileKind;
pub use grid::{Cell, Grid, Kind, Merge, Row};
pub use header::{HeaderGuess, Heading, Reason, find_header};
pub use note::Note;
pub use place::{Place, column_letters};
pub use workbook::{Workbook, read};
pub use write::{DelimitedStyle, Entry, Table, write_delimited, write_xlsx};
pub use xlsx::read_xlsx;
