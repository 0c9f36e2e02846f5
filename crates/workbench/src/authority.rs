//! On whose word a limit stands.

use std::fmt;

/// How far the word behind a limit goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Read in a copy of the publication.
    Published,
    /// Read where the publication is quoted.
    Secondary,
    /// Computed from published figures; the source text says how.
    Derived,
    /// The club's own decision.
    Club,
    /// What the trade does and nobody has printed.
    CommonPractice,
    /// Chosen here so that the tool can work; the source text says with what effect.
    Assumed,
    /// Recalled and not read in any copy.
    FromMemory,
}

impl Standing {
    /// Every standing, strongest first.
    pub const ALL: [Self; 7] = [
        Self::Published,
        Self::Secondary,
        Self::Derived,
        Self::Club,
        Self::CommonPractice,
        Self::Assumed,
        Self::FromMemory,
    ];

    /// The words, as the rule book writes them.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Secondary => "published, secondary",
            Self::Derived => "derived",
            Self::Club => "club",
            Self::CommonPractice => "common practice, no source",
            Self::Assumed => "assumed",
            Self::FromMemory => "from memory, verify",
        }
    }

    /// How far a limit of this standing may be trusted, in a few words.
    #[must_use]
    pub fn confidence(self) -> &'static str {
        match self {
            Self::Published => "as printed",
            Self::Secondary => "as quoted elsewhere: compare with the print before relying on it",
            Self::Derived => "arithmetic on printed figures",
            Self::Club => "the club's own word",
            Self::CommonPractice => "custom that nobody has printed",
            Self::Assumed => "a starting point, until the shop knows better",
            Self::FromMemory => "recalled: verify before relying on it",
        }
    }

    /// The standing of those words; case does not matter.
    #[must_use]
    pub fn from_words(words: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|standing| standing.words().eq_ignore_ascii_case(words.trim()))
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}

/// The clause or custom a limit rests on.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Authority {
    /// How far it goes.
    pub standing: Standing,
    /// Publication, edition, table and row; or what the club decided.
    pub source: Box<str>,
}

impl fmt::Display for Authority {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.source.is_empty() {
            write!(f, "{}", self.standing)
        } else {
            write!(f, "{} ({})", self.source, self.standing)
        }
    }
}
