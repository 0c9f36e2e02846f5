//! What can be wrong with a power or train file.

use gradeworthy_units::ReadError;

/// One thing wrong with a power or train file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ConsistFileError {
    /// Not the format at all.
    #[error("line {line}: {found}; write it as TOML, or a train as a table with a heading row")]
    Syntax {
        /// Counted from 1.
        line: usize,
        /// What the parser found.
        found: String,
    },
    /// A section that does not exist.
    #[error("line {line}: there is no section '{found}' here; expected {expected}")]
    UnknownSection {
        /// Counted from 1.
        line: usize,
        /// What was found.
        found: String,
        /// The sections there are.
        expected: &'static str,
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
    /// Something that has to be there.
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
    /// Something of another kind than is wanted.
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
    /// A name given twice.
    #[error("line {line}: '{name}' stands on line {first} already; {cure}")]
    Twice {
        /// Counted from 1; the second time.
        line: usize,
        /// The name.
        name: String,
        /// The line of the first time.
        first: usize,
        /// What to do.
        cure: &'static str,
    },
}

impl ConsistFileError {
    /// The line of the file, counted from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        match self {
            Self::Syntax { line, .. }
            | Self::UnknownSection { line, .. }
            | Self::UnknownKey { line, .. }
            | Self::Missing { line, .. }
            | Self::Unreadable { line, .. }
            | Self::NotAChoice { line, .. }
            | Self::OutOfRange { line, .. }
            | Self::Twice { line, .. } => *line,
        }
    }
}

/// Everything that is wrong with a file, in order of its lines.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct ConsistFileErrors(pub Vec<ConsistFileError>);
