//! What a cure puts in doubt.
//!
//! The rule book holds two lists: which checks a cure disturbs directly, and which checks rest on
//! which others.
//! A check is in doubt after a cure when it is disturbed directly, or rests on one that is in doubt.
//! That closure is what this module computes; the lists are data.

use std::collections::BTreeMap;

use crate::cures::CureKind;
use crate::record::Check;

/// A set of checks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct CheckSet(u16);

impl CheckSet {
    /// No check.
    pub const NONE: Self = Self(0);

    /// Whether `check` is in the set.
    #[must_use]
    pub const fn contains(self, check: Check) -> bool {
        self.0 & (1 << check as u16) != 0
    }

    /// Puts `check` in.
    pub fn insert(&mut self, check: Check) {
        self.0 |= 1 << check as u16;
    }

    /// Everything in either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether nothing is in the set.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Its checks, in bench order.
    pub fn iter(self) -> impl Iterator<Item = Check> {
        Check::ALL
            .into_iter()
            .filter(move |check| self.contains(*check))
    }
}

impl FromIterator<Check> for CheckSet {
    fn from_iter<I: IntoIterator<Item = Check>>(checks: I) -> Self {
        let mut set = Self::NONE;
        for check in checks {
            set.insert(check);
        }
        set
    }
}

/// The doubt graph of a rule book.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DoubtGraph {
    /// The checks a cure disturbs directly.
    pub disturbs: BTreeMap<CureKind, CheckSet>,
    /// The checks that a check rests on.
    pub rests_on: BTreeMap<Check, CheckSet>,
}

impl DoubtGraph {
    /// Every check in doubt after `cure`: what it disturbs, and whatever rests on that.
    #[must_use]
    pub fn in_doubt_after(&self, cure: CureKind) -> CheckSet {
        let disturbed = self.disturbs.get(&cure).copied().unwrap_or_default();
        self.closure(disturbed)
    }

    /// `doubtful` and every check that rests on one of them, however far.
    #[must_use]
    pub fn closure(&self, doubtful: CheckSet) -> CheckSet {
        let mut known = doubtful;
        loop {
            let mut grown = known;
            for (check, foundations) in &self.rests_on {
                if foundations
                    .iter()
                    .any(|foundation| known.contains(foundation))
                {
                    grown.insert(*check);
                }
            }
            if grown == known {
                return known;
            }
            known = grown;
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn set(checks: &[Check]) -> CheckSet {
        checks.iter().copied().collect()
    }

    #[test]
    fn doubt_passes_down_a_chain() {
        let mut graph = DoubtGraph::default();
        graph
            .disturbs
            .insert(CureKind::BoxStripped, set(&[Check::Droop]));
        graph
            .rests_on
            .insert(Check::CouplerHeight, set(&[Check::Droop]));
        graph
            .rests_on
            .insert(Check::Balance, set(&[Check::CouplerHeight]));
        assert_eq!(
            graph.in_doubt_after(CureKind::BoxStripped),
            set(&[Check::Droop, Check::CouplerHeight, Check::Balance])
        );
        assert!(graph.in_doubt_after(CureKind::Painted).is_empty());
    }

    fn any_check() -> impl Strategy<Value = Check> {
        (0..Check::ALL.len()).prop_map(|index| Check::ALL[index])
    }

    fn any_graph() -> impl Strategy<Value = DoubtGraph> {
        prop::collection::btree_map(any_check(), prop::collection::vec(any_check(), 0..4), 0..10)
            .prop_map(|rests| DoubtGraph {
                disturbs: BTreeMap::new(),
                rests_on: rests
                    .into_iter()
                    .map(|(check, on)| (check, set(&on)))
                    .collect(),
            })
    }

    /// Warshall's algorithm, written without looking at the other: the independent second opinion.
    fn reachable(graph: &DoubtGraph, from: Check) -> CheckSet {
        let size = Check::ALL.len();
        let mut reach = vec![vec![false; size]; size];
        for (check, foundations) in &graph.rests_on {
            for foundation in foundations.iter() {
                reach[foundation as usize][*check as usize] = true;
            }
        }
        for middle in 0..size {
            for start in 0..size {
                for stop in 0..size {
                    reach[start][stop] |= reach[start][middle] && reach[middle][stop];
                }
            }
        }
        Check::ALL
            .into_iter()
            .filter(|check| *check == from || reach[from as usize][*check as usize])
            .collect()
    }

    proptest! {
        #[test]
        fn the_closure_is_what_can_be_reached(graph in any_graph(), from in any_check()) {
            prop_assert_eq!(graph.closure(set(&[from])), reachable(&graph, from));
        }

        #[test]
        fn the_closure_of_a_closure_is_itself(graph in any_graph(), from in any_check()) {
            let once = graph.closure(set(&[from]));
            prop_assert_eq!(graph.closure(once), once);
        }
    }
}
