//! How far a figure may be trusted.
//!
//! Every cell, clause and limit of this crate carries one of these words, and the words decide
//! what the figure may be used for: a figure from memory is shown as such and never checks
//! anything.

use std::fmt;

/// How a figure came to be here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Confidence {
    /// Read in a copy of the publication.
    Published,
    /// Read where another work quotes the publication.
    PublishedSecondary,
    /// Computed here from printed figures; the publication does not print it.
    Derived,
    /// Recalled from general knowledge of the trade and read nowhere.
    Memory,
}

impl Confidence {
    /// Whether a test may take the figure for outside truth.
    ///
    /// For [`Self::PublishedSecondary`] only beside a second copy or a check by arithmetic; see
    /// [`Self::needs_second_source`].
    #[must_use]
    pub const fn may_be_oracle(self) -> bool {
        matches!(self, Self::Published | Self::PublishedSecondary)
    }

    /// Whether the figure needs a second copy, or arithmetic, before it may check anything.
    #[must_use]
    pub const fn needs_second_source(self) -> bool {
        matches!(self, Self::PublishedSecondary)
    }

    /// The warning that goes with the figure wherever it is shown; none for a figure that was
    /// read in the publication itself.
    #[must_use]
    pub const fn warning(self) -> Option<&'static str> {
        match self {
            Self::Published => None,
            Self::PublishedSecondary => Some("secondary"),
            Self::Derived => Some("computed here, not printed there"),
            Self::Memory => Some("from memory, verify"),
        }
    }

    /// The confidence that `word` names in a data file.
    pub(crate) fn from_word(word: &str) -> Option<Self> {
        [
            Self::Published,
            Self::PublishedSecondary,
            Self::Derived,
            Self::Memory,
        ]
        .into_iter()
        .find(|confidence| confidence.word() == word)
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::PublishedSecondary => "published (secondary)",
            Self::Derived => "derived",
            Self::Memory => "memory",
        }
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_read_may_check_anything() {
        assert!(Confidence::Published.may_be_oracle());
        assert!(Confidence::PublishedSecondary.may_be_oracle());
        assert!(Confidence::PublishedSecondary.needs_second_source());
        assert!(!Confidence::Derived.may_be_oracle());
        assert!(!Confidence::Memory.may_be_oracle());
    }

    #[test]
    fn a_word_reads_back_and_an_unknown_one_is_refused() {
        assert_eq!(Confidence::from_word("memory"), Some(Confidence::Memory));
        assert_eq!(Confidence::from_word("certain"), None);
    }
}
