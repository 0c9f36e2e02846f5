//! Answers to questions that no instrument settles: three grades, and how each is spelt.

use std::fmt;

/// The answer to a question of the eye or the finger.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Answer {
    /// As it should be: clean, returns, closes.
    Good,
    /// Passable, to be looked at again: dull, slow, stiff.
    Fair,
    /// Not as it should be: deposit, stays over, open.
    Poor,
}

const SPELLINGS: &[(Answer, &[&str])] = &[
    (
        Answer::Good,
        &[
            "good", "ok", "okay", "yes", "y", "pass", "clean", "returns", "closes", "tight",
            "free", "1", "x", "✓",
        ],
    ),
    (
        Answer::Fair,
        &["fair", "dull", "slow", "stiff", "doubtful", "worn"],
    ),
    (
        Answer::Poor,
        &[
            "poor", "no", "n", "fail", "deposit", "dirty", "stays", "open", "loose", "broken",
            "missing", "bad", "0",
        ],
    ),
];

impl Answer {
    /// The answer that `text` spells; case does not matter.
    #[must_use]
    pub fn from_spelling(text: &str) -> Option<Self> {
        let wanted = text.trim().to_lowercase();
        SPELLINGS
            .iter()
            .find(|row| row.1.contains(&wanted.as_str()))
            .map(|row| row.0)
    }

    /// Every accepted spelling, for an error that says what would do.
    #[must_use]
    pub fn spellings() -> String {
        let words: Vec<_> = SPELLINGS
            .iter()
            .flat_map(|row| row.1.iter().copied())
            .collect();
        words.join(", ")
    }
}

impl fmt::Display for Answer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Good => "good",
            Self::Fair => "fair",
            Self::Poor => "poor",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_the_bench() {
        assert_eq!(Answer::from_spelling(" Clean "), Some(Answer::Good));
        assert_eq!(Answer::from_spelling("dull"), Some(Answer::Fair));
        assert_eq!(Answer::from_spelling("stays"), Some(Answer::Poor));
        assert_eq!(Answer::from_spelling("maybe"), None);
    }

    #[test]
    fn no_word_means_two_answers() {
        let mut seen = std::collections::BTreeSet::new();
        for (_, words) in SPELLINGS {
            for word in *words {
                assert!(seen.insert(word), "{word} stands twice");
            }
        }
    }
}
