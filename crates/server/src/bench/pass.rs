//! How much of a car is gone through: everything, or the short list
//! that the rule book names for a quick pass.

use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::RuleBook;

/// Which checks are gone through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Pass {
    /// Every check.
    #[default]
    Whole,
    /// The rule book's list for a quick pass; where it names none, what it requires.
    Quick,
}

impl Pass {
    pub(crate) const ALL: [Self; 2] = [Self::Whole, Self::Quick];

    /// The name in an address.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Quick => "quick",
        }
    }

    /// What a page calls it.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Whole => "All checks",
            Self::Quick => "Quick pass",
        }
    }

    /// The pass of that name; everything where there is none of it.
    pub(crate) fn from_name(name: &str) -> Self {
        let named = Self::ALL.into_iter().find(|own| own.name() == name);
        named.unwrap_or_default()
    }

    /// Its checks, in bench order.
    pub(crate) fn checks(self, book: &RuleBook) -> Vec<Check> {
        let short = if book.bench.quick.is_empty() {
            &book.bench.required
        } else {
            &book.bench.quick
        };
        let wanted = |check: &Check| self == Self::Whole || short.contains(check);
        Check::ALL.into_iter().filter(wanted).collect()
    }
}
