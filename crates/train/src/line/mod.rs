//! The line: its files, its survey, and what is wrong with it before a train runs.
//!
//! [`read_toml`] and [`read_csv`] read a designed line, [`lay()`] turns it into a
//! [`crate::track::Alignment`] and says whether a loop closes; [`survey`] finds a line from what
//! was measured on it ([`read_survey`]); [`checks`] holds either against published and club limits;
//! [`drawing`] samples it for a drawing and lists its pieces.
//!
//! Units: metres, radians and ratios inside; whatever was typed in files.

pub mod survey;

pub mod checks;
pub mod drawing;

mod csv_text;
mod design;
mod error;
mod interpret;
mod laying;
mod record;
mod scale_text;
mod survey_text;
mod toml_text;
mod write;

pub use csv_text::{read_csv, write_csv};
pub use design::{
    Bend, CantStretch, Extent, LineDesign, Place, PlanPiece, PlanShape, ProfilePiece, ProfileShape,
    Side, VerticalLength, Whereabouts,
};
pub use error::{LayError, LineFileError, LineFileErrors};
pub use laying::{Closing, Laid, NamedSpan, lay};
pub use survey_text::{SurveyReadings, read_survey};
pub use toml_text::{read_toml, write_toml};

pub(crate) use csv_text::{quoted, table};
pub(crate) use toml_text::Lines;
