//! Everything that this crate refuses.

use crate::{TrackStandard, WheelStandard};

/// Why an answer cannot be given.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StandardsError {
    /// A scale nobody here knows.
    #[error("the scale '{text}' is not known; write one of {known}")]
    UnknownScale {
        /// What was found.
        text: String,
        /// The names that would do.
        known: String,
    },
    /// A name that stands for several scales.
    #[error(
        "'{text}' is 45 mm track that carries models of several ratios; \
         write the scale itself: No. 1 (1:32), II (1:22.5), F or Fn3 (1:20.3)"
    )]
    SeveralScales {
        /// What was found.
        text: String,
    },
    /// Wheels of one edition against track of another.
    #[error("{wheels} does not belong with {track}; {partner}")]
    EditionsDoNotMix {
        /// The wheels' edition.
        wheels: WheelStandard,
        /// The track's edition.
        track: TrackStandard,
        /// Which track the wheels do belong with.
        partner: String,
    },
    /// Wheels of one scale against track of another.
    #[error("wheels of row {wheels} cannot be judged against track of row {track}")]
    ScalesDoNotMix {
        /// The wheels' row.
        wheels: &'static str,
        /// The track's row.
        track: &'static str,
    },
    /// A number outside what a formula holds for, NaN and infinity included.
    #[error("{quantity} of {value} is outside the formula: {expected} is needed")]
    OutOfDomain {
        /// What the number was meant to be.
        quantity: &'static str,
        /// The number found.
        value: f64,
        /// What would do.
        expected: &'static str,
    },
    /// A length of a car that is none.
    #[error("{quantity} of {millimetres} mm is none: a length above zero is needed")]
    NotALength {
        /// Which length.
        quantity: &'static str,
        /// What was found.
        millimetres: f64,
    },
    /// A data file without one of the lines that every table opens with.
    #[error("table '{table}' has no line '# {line}: …'")]
    NoHeadLine {
        /// The table, or an empty string before its name was read.
        table: String,
        /// The line that is missing.
        line: &'static str,
    },
    /// A data file with a row of the wrong length.
    #[error("table '{table}', row '{row}' has {found} fields, its header has {expected}")]
    FieldCount {
        /// The table.
        table: String,
        /// The row.
        row: String,
        /// Fields in the row.
        found: usize,
        /// Fields in the header.
        expected: usize,
    },
    /// A word that is no confidence.
    #[error(
        "table '{table}': '{word}' is no confidence; \
         write published, published (secondary), derived or memory"
    )]
    UnknownConfidence {
        /// The table.
        table: String,
        /// What was found.
        word: String,
    },
    /// A line that gives the confidence of cells that are not there.
    #[error("table '{table}' gives the confidence of '{cells}', which it does not hold")]
    NoSuchCells {
        /// The table.
        table: String,
        /// What was named.
        cells: String,
    },
}

/// Lets `value` through when it is finite and above zero.
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<f64, StandardsError> {
    within(quantity, value, value > 0.0, "a finite number above zero")
}

/// Lets `value` through when it is finite and not below zero.
pub(crate) fn not_negative(quantity: &'static str, value: f64) -> Result<f64, StandardsError> {
    within(
        quantity,
        value,
        value >= 0.0,
        "a finite number, zero or above",
    )
}

/// Lets `value` through when it is finite.
pub(crate) fn finite(quantity: &'static str, value: f64) -> Result<f64, StandardsError> {
    within(quantity, value, true, "a finite number")
}

/// Lets `value` through when it is finite and `holds`.
pub(crate) fn within(
    quantity: &'static str,
    value: f64,
    holds: bool,
    expected: &'static str,
) -> Result<f64, StandardsError> {
    if value.is_finite() && holds {
        Ok(value)
    } else {
        Err(StandardsError::OutOfDomain {
            quantity,
            value,
            expected,
        })
    }
}
