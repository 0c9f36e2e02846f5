//! Why no paper came out. What did not fit on it is a [`crate::Note`], not an error.

use crate::SheetError;

/// Why no paper came out.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// The label sheet cannot be.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// Nothing was asked for.
    #[error("there is nothing to print: no {what} was named")]
    Nothing {
        /// What is missing.
        what: &'static str,
    },
    /// The typeface of this program cannot be read.
    #[error("the typeface {name} that this program carries cannot be read")]
    Typeface {
        /// Its name.
        name: &'static str,
    },
    /// A text that is too long for a code.
    #[error(
        "'{start}…' is {length} bytes long; a code of this kind holds at most {length_max}: shorten the \
         server's address"
    )]
    CodeTooLong {
        /// Its beginning.
        start: String,
        /// Its length in bytes.
        length: usize,
        /// The most that is taken.
        length_max: usize,
    },
    /// A drawing with something that cannot be put on paper.
    #[error("the drawing '{title}' cannot be put on paper: {why}")]
    Picture {
        /// Which.
        title: String,
        /// Why.
        why: String,
    },
    /// The PDF writer refused.
    #[error("the PDF cannot be written: {why}")]
    Pdf {
        /// Why.
        why: String,
    },
}
