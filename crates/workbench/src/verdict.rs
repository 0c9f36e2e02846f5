//! The five verdicts, and which of two is the graver.

use std::fmt;

/// What the bench says of a reading, a check or a car.
///
/// In the order of gravity for a summary: a car is no better than the worst thing known of it,
/// and not fit while something about it is unknown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Within its limits, by more than the instrument could be wrong.
    Fit,
    /// Within the caution band, or too near a limit for this instrument to tell.
    Watch,
    /// Nothing was read.
    NotChecked,
    /// Read, but something was done since that puts it in doubt.
    Stale,
    /// Beyond a limit.
    BadOrder,
}

impl Verdict {
    /// The word, as the shop says it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Watch => "watch",
            Self::NotChecked => "not checked",
            Self::Stale => "stale",
            Self::BadOrder => "bad order",
        }
    }

    /// Every verdict, least grave first.
    pub const ALL: [Self; 5] = [
        Self::Fit,
        Self::Watch,
        Self::NotChecked,
        Self::Stale,
        Self::BadOrder,
    ];
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}
