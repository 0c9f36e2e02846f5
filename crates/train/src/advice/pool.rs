//! Cards to make trains of, and trains as lists of cards.

use crate::vehicle::{Numbers, Vehicle};

/// A train as numbers of cards in a pool, head first.
pub(super) type Lineup = Vec<usize>;

/// Cards: those of the train itself first, each under its own place, then others.
#[derive(Clone, Debug)]
pub(super) struct Pool {
    cards: Vec<Numbers>,
    /// Which vehicle a card is of: a repaired car is the same vehicle with another card.
    who: Vec<usize>,
}

impl Pool {
    pub(super) fn of(train: &[Numbers]) -> Self {
        Self {
            cards: train.to_vec(),
            who: (0..train.len()).collect(),
        }
    }

    /// A further vehicle; its card's number.
    pub(super) fn add(&mut self, vehicle: &Vehicle) -> usize {
        let card = self.cards.len();
        self.cards.push(Numbers::of(vehicle));
        self.who.push(card);
        card
    }

    /// Another card of a vehicle that is there; its number.
    pub(super) fn add_card_of(&mut self, who: usize, vehicle: &Vehicle) -> usize {
        let card = self.add(vehicle);
        self.who[card] = who;
        card
    }

    pub(super) fn card(&self, card: usize) -> &Numbers {
        &self.cards[card]
    }

    pub(super) fn numbers(&self, lineup: &[usize]) -> Vec<Numbers> {
        lineup.iter().map(|card| self.cards[*card]).collect()
    }

    pub(super) fn identity(&self, lineup: &[usize], place: usize) -> usize {
        self.who[lineup[place]]
    }

    pub(super) fn place_of(&self, lineup: &[usize], who: usize) -> Option<usize> {
        lineup.iter().position(|card| self.who[*card] == who)
    }
}
