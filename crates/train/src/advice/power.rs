//! Which locomotives of a roster to add, as few as will do.

use super::adviser::{Advice, Adviser};
use super::change::Change;
use super::contest::Outcome;
use super::makeup::Origin;
use super::pool::{Lineup, Pool};
use super::units::units;
use super::watch::StopReason;
use crate::vehicle::Vehicle;

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct MorePower {
    /// How many are needed: 0 where the train climbs as it is, `None` where the whole roster is not
    /// enough, or the search was stopped.
    pub needed: Option<usize>,
    /// Which, and where; where not even all of the roster is enough, all of it in the best place,
    /// if that gains.
    pub advice: Option<Advice>,
    /// Why the search ended.
    pub stop: StopReason,
    /// How many trains were compared.
    pub tried: usize,
}

impl Adviser<'_> {
    /// The fewest locomotives of `roster` with which the margin is at least `asked`.
    ///
    /// Every choice of so many is tried, coupled together at every cut of the train as it is; locomotives
    /// with the same numbers are one choice. Spread over several cuts fewer might do: ask for the
    /// cuts of the train with them in.
    #[must_use]
    pub fn more_power(&self, roster: &[Vehicle], asked: f64) -> MorePower {
        let mut answer = MorePower {
            needed: None,
            advice: None,
            stop: StopReason::Settled,
            tried: 0,
        };
        if self.margin() >= asked {
            answer.needed = Some(0);
            return answer;
        }
        let mut pool = self.pool.clone();
        let cards: Vec<usize> = roster.iter().map(|own| pool.add(own)).collect();
        let mut contest = self.contest(&pool);
        for count in 1..=roster.len() {
            let added = self.additions(&pool, &cards, count);
            let build = |own: usize| self.with(&added[own]);
            let outcome = contest.best(added.len(), &build, self.any_with(asked));
            answer.tried += added.len();
            answer.stop = outcome.stop;
            answer.advice = self.added(&pool, &added, &outcome);
            match outcome.stop {
                StopReason::Enough => {
                    answer.needed = Some(count);
                    return answer;
                }
                StopReason::Watcher => return answer,
                StopReason::Settled => {}
            }
        }
        // Not even all of them are enough: where they help most.
        let added = self.additions(&pool, &cards, roster.len());
        let build = |own: usize| self.with(&added[own]);
        let goal = self.goal(1, self.margin());
        let outcome = contest.best(added.len(), &build, goal);
        answer.stop = outcome.stop;
        answer.advice = self.added(&pool, &added, &outcome);
        answer
    }

    fn added(&self, pool: &Pool, added: &[Addition], outcome: &Outcome) -> Option<Advice> {
        let placed = outcome.best.first()?;
        let addition = &added[placed.candidate];
        let mut behind = addition.place.checked_sub(1).map(Origin::Own);
        let mut changes = Vec::new();
        for card in &addition.cards {
            let roster = card - self.count();
            changes.push(Change::CutIn { roster, behind });
            behind = Some(Origin::Roster(roster));
        }
        Some(self.advice(pool, &self.with(addition), changes, &placed.hardest))
    }

    /// Every choice of `count` locomotives at every cut.
    fn additions(&self, pool: &Pool, cards: &[usize], count: usize) -> Vec<Addition> {
        let numbers = self.train.numbers();
        let units = units(numbers);
        let headed = numbers[0].power.is_some();
        let mut places: Vec<usize> = units.iter().map(|own| own.end).collect();
        if !headed {
            places.insert(0, 0);
        }
        let mut added = Vec::new();
        for cards in choices(pool, cards, count) {
            for place in &places {
                added.push(Addition {
                    cards: cards.clone(),
                    place: *place,
                });
            }
        }
        added
    }

    fn with(&self, addition: &Addition) -> Lineup {
        let mut lineup = self.lineup();
        lineup.splice(
            addition.place..addition.place,
            addition.cards.iter().copied(),
        );
        lineup
    }
}

/// Locomotives coupled together ahead of one place of the train as it is.
struct Addition {
    cards: Vec<usize>,
    place: usize,
}

/// Every choice of `count` cards; of cards with the same numbers the first are chosen.
fn choices(pool: &Pool, cards: &[usize], count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let mut all: Vec<Vec<usize>> = Vec::new();
    for (index, card) in cards.iter().enumerate() {
        let seen = cards[..index]
            .iter()
            .any(|before| pool.card(*before) == pool.card(*card));
        if seen {
            continue;
        }
        for mut rest in choices(pool, &cards[index + 1..], count - 1) {
            rest.insert(0, *card);
            all.push(rest);
        }
    }
    all
}
