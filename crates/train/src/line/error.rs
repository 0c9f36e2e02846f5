//! What can be wrong with a line file or with the line it describes.

use gradeworthy_units::ReadError;

use crate::track::AlignmentError;

/// One thing wrong with a line file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LineFileError {
    /// Not the format at all.
    #[error("line {line}: {found}; write it as a line file or as the table of one")]
    Syntax {
        /// Counted from 1.
        line: usize,
        /// What the parser found.
        found: String,
    },
    /// A section or row kind that does not exist.
    #[error("line {line}: there is no section '{found}'; expected one of {expected}")]
    UnknownSection {
        /// Counted from 1.
        line: usize,
        /// What was found.
        found: String,
        /// The sections there are.
        expected: String,
    },
    /// A key or column that has no meaning in its section.
    #[error("line {line}, {section}: '{key}' means nothing here; expected {expected}")]
    UnknownKey {
        /// Counted from 1.
        line: usize,
        /// The section.
        section: &'static str,
        /// What was found.
        key: String,
        /// The keys there are.
        expected: String,
    },
    /// A key or column that has to be there.
    #[error("line {line}, {section}: '{key}' is missing; give {expected}")]
    Missing {
        /// Counted from 1; where the section starts.
        line: usize,
        /// The section.
        section: &'static str,
        /// What is missing.
        key: &'static str,
        /// What to write.
        expected: &'static str,
    },
    /// A section that may stand only once, or has to stand once.
    #[error("line {line}: the section 'line' must stand exactly once, and {found} were found")]
    OneLine {
        /// Counted from 1.
        line: usize,
        /// How many.
        found: usize,
    },
    /// A number that cannot be read.
    #[error("line {line}, {key}: {problem}")]
    Unreadable {
        /// Counted from 1.
        line: usize,
        /// The key or column.
        key: String,
        /// What was found and what would do.
        #[source]
        problem: ReadError,
    },
    /// A word that is none of those possible.
    #[error("line {line}, {key}: found '{found}', expected {expected}")]
    NotAChoice {
        /// Counted from 1.
        line: usize,
        /// The key or column.
        key: String,
        /// What was found.
        found: String,
        /// What would do.
        expected: String,
    },
    /// A number outside what makes sense.
    #[error("line {line}, {key}: found '{found}', which must be {expected}")]
    OutOfRange {
        /// Counted from 1.
        line: usize,
        /// The key or column.
        key: String,
        /// What was found.
        found: String,
        /// What would do.
        expected: &'static str,
    },
    /// Two keys of which only one may stand.
    #[error("line {line}, {section}: '{first}' and '{second}' both stand here; keep one of them")]
    Both {
        /// Counted from 1.
        line: usize,
        /// The section.
        section: &'static str,
        /// One of them.
        first: &'static str,
        /// The other.
        second: &'static str,
    },
}

/// Everything that is wrong with a line file, in order of its lines.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct LineFileErrors(pub Vec<LineFileError>);

/// Why a design makes no line. Pieces count from 1.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LayError {
    /// A degree of curve is an angle on the prototype.
    #[error(
        "plan piece {piece}: a degree of curve needs the scale of the line; give 'scale', or a radius"
    )]
    NoScale {
        /// Which.
        piece: usize,
    },
    /// Cant is an angle over the gauge.
    #[error("cant stretch {piece}: cant needs the gauge of the line; give 'gauge'")]
    NoGauge {
        /// Which.
        piece: usize,
    },
    /// Cant higher than the track is wide.
    #[error(
        "cant stretch {piece}: {height} m of cant on {spacing} m between the rails is impossible"
    )]
    CantTooHigh {
        /// Which.
        piece: usize,
        /// m.
        height: f64,
        /// m.
        spacing: f64,
    },
    /// Ramps longer than the stretch, or a stretch that ends before it starts.
    #[error(
        "cant stretch {piece}: from {from:.4} m to {to:.4} m there is no room for ramps of {ramps:.4} m \
         together; shorten the ramps or lengthen the stretch"
    )]
    NoRoomForRamps {
        /// Which.
        piece: usize,
        /// m.
        from: f64,
        /// m.
        to: f64,
        /// m.
        ramps: f64,
    },
    /// Vertical curves need a grade on either side.
    #[error(
        "profile piece {piece}: a vertical curve must stand between two grades; put a grade there"
    )]
    NoGradeBeside {
        /// Which.
        piece: usize,
    },
    /// More than one piece takes the rest.
    #[error(
        "profile pieces {first} and {second} both take the rest of the line; give one a length"
    )]
    TwoRests {
        /// One.
        first: usize,
        /// The other.
        second: usize,
    },
    /// Nothing left for the rest.
    #[error(
        "profile piece {piece} takes the rest of the line, but the others already cover {covered:.4} m \
         of its {length:.4} m; shorten them"
    )]
    NothingLeft {
        /// Which.
        piece: usize,
        /// m.
        covered: f64,
        /// m.
        length: f64,
    },
    /// A number of the wrong kind, which a file cannot hold but a program can.
    #[error("{what} {piece}: {found} is no {expected}")]
    WrongKind {
        /// Which list.
        what: &'static str,
        /// Which entry.
        piece: usize,
        /// What was found.
        found: String,
        /// What was expected.
        expected: &'static str,
    },
    /// The three lists do not make a line.
    #[error(transparent)]
    Alignment(#[from] AlignmentError),
}

impl LineFileError {
    /// The line of the file, counted from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        match self {
            Self::Syntax { line, .. }
            | Self::UnknownSection { line, .. }
            | Self::UnknownKey { line, .. }
            | Self::Missing { line, .. }
            | Self::OneLine { line, .. }
            | Self::Unreadable { line, .. }
            | Self::NotAChoice { line, .. }
            | Self::OutOfRange { line, .. }
            | Self::Both { line, .. } => *line,
        }
    }
}
