//! A train as it is made up: every vehicle with where it came from, so that a change can name it.

use crate::consist::{self, TrainOrder};
use crate::vehicle::{Train, TrainError, Vehicle};

/// Which vehicle is meant, however the train is made up meanwhile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Origin {
    /// A vehicle of the train as it was given, by its place there, from 0.
    Own(usize),
    /// A locomotive of the roster, by its place there, from 0.
    Roster(usize),
}

/// One vehicle of a make-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// Which one it is.
    pub origin: Origin,
    /// Its card.
    pub vehicle: Vehicle,
}

/// A train's vehicles in order, head first, and the locomotives that could be added.
#[derive(Clone, Debug, PartialEq)]
pub struct MakeUp {
    pub(super) members: Vec<Member>,
    pub(super) roster: Vec<Vehicle>,
}

impl MakeUp {
    /// The make-up of a train as it is.
    #[must_use]
    pub fn of(train: &Train) -> Self {
        let each = train.vehicles().iter().enumerate();
        let member = |(place, vehicle): (usize, &Vehicle)| Member {
            origin: Origin::Own(place),
            vehicle: vehicle.clone(),
        };
        Self {
            members: each.map(member).collect(),
            roster: Vec::new(),
        }
    }

    /// The same with locomotives that [`super::Change::CutIn`] may add.
    #[must_use]
    pub fn with_roster(mut self, roster: &[Vehicle]) -> Self {
        self.roster = roster.to_vec();
        self
    }

    /// Its vehicles, head first.
    #[must_use]
    pub fn members(&self) -> &[Member] {
        &self.members
    }

    /// Which vehicles they are, head first.
    #[must_use]
    pub fn order(&self) -> Vec<Origin> {
        self.members.iter().map(|member| member.origin).collect()
    }

    /// The train that it makes.
    ///
    /// # Errors
    /// [`TrainError`] when what is left is no train.
    pub fn train(&self) -> Result<Train, TrainError> {
        Train::new(self.members.iter().map(|own| own.vehicle.clone()).collect())
    }

    /// The order of the train file that this make-up came from, as it is now; a locomotive of the
    /// roster goes by its label.
    #[must_use]
    pub fn as_order(&self, given: &TrainOrder) -> TrainOrder {
        let member = |own: &Member| {
            let added = || consist::Member {
                name: own.vehicle.label().to_owned(),
                reversed: false,
                line: 0,
            };
            let known = match own.origin {
                Origin::Own(place) => given.members.get(place).cloned(),
                Origin::Roster(_) => None,
            };
            known.unwrap_or_else(added)
        };
        TrainOrder {
            members: self.members.iter().map(member).collect(),
            ..given.clone()
        }
    }

    /// The place of a vehicle, from 0.
    #[must_use]
    pub fn place_of(&self, origin: Origin) -> Option<usize> {
        self.members.iter().position(|own| own.origin == origin)
    }
}
