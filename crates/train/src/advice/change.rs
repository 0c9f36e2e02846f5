//! One thing to do to a train, and the make-up after it.

use super::makeup::{MakeUp, Member, Origin};
use crate::vehicle::{Quantity, Sourced, VehicleError};

/// One thing to do to a train.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Take vehicles out and put them, coupled in this order, behind another one.
    Move {
        /// Those that move, head first.
        vehicles: Vec<Origin>,
        /// The one they stand behind afterwards; the head of the train where there is none.
        behind: Option<Origin>,
    },
    /// Let vehicles stand in this order in the places that they hold now.
    Reorder {
        /// Head first.
        vehicles: Vec<Origin>,
    },
    /// Leave a vehicle behind.
    SetOut {
        /// Which.
        vehicle: Origin,
    },
    /// Cut in a locomotive of the roster.
    CutIn {
        /// Its place in the roster, from 0.
        roster: usize,
        /// The vehicle it stands behind; the head of the train where there is none.
        behind: Option<Origin>,
    },
    /// Work on a vehicle until one of its numbers is another.
    Repair {
        /// Which vehicle.
        vehicle: Origin,
        /// Which number.
        quantity: Quantity,
        /// What it is then, in the SI unit of the quantity.
        value: f64,
    },
}

/// A change that cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ChangeError {
    /// A vehicle that is not in the train.
    #[error(
        "{origin:?} is not in the train: changes are made in the order in which they are given"
    )]
    NotInTheTrain {
        /// The vehicle.
        origin: Origin,
    },
    /// A locomotive that is not in the roster.
    #[error("place {place} is not in a roster of {count} locomotives (places count from 0)")]
    NotInTheRoster {
        /// The place asked for.
        place: usize,
        /// How many there are.
        count: usize,
    },
    /// A number that cannot be.
    #[error(transparent)]
    Vehicle(#[from] VehicleError),
}

impl Change {
    /// The make-up after the change; the one given is left as it is.
    ///
    /// # Errors
    /// [`ChangeError`] when a vehicle is not there, or cannot have such a number.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_train::advice::{Change, MakeUp, Origin};
    /// use gradeworthy_train::vehicle::{Class, Train, Vehicle};
    /// let train = Train::new(vec![
    ///     Vehicle::of_class("demo engine", Class::HoLocomotive),
    ///     Vehicle::of_class("demo 1", Class::HoCar),
    ///     Vehicle::of_class("demo 2", Class::HoCar),
    /// ])?;
    /// let back = Change::Move { vehicles: vec![Origin::Own(1)], behind: Some(Origin::Own(2)) };
    /// let after = back.apply(&MakeUp::of(&train))?.train()?;
    /// assert_eq!(after.vehicles()[2].label(), "demo 1");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn apply(&self, makeup: &MakeUp) -> Result<MakeUp, ChangeError> {
        let mut after = makeup.clone();
        match self {
            Self::Move { vehicles, behind } => {
                let mut moved = Vec::with_capacity(vehicles.len());
                for origin in vehicles {
                    moved.push(after.members.remove(after.find(*origin)?));
                }
                let place = after.place_behind(*behind)?;
                after.members.splice(place..place, moved);
            }
            Self::Reorder { vehicles } => after.reorder(vehicles)?,
            Self::SetOut { vehicle } => {
                let place = after.find(*vehicle)?;
                after.members.remove(place);
            }
            Self::CutIn { roster, behind } => {
                let count = after.roster.len();
                let found = after.roster.get(*roster).cloned();
                let place = *roster;
                let vehicle = found.ok_or(ChangeError::NotInTheRoster { place, count })?;
                let place = after.place_behind(*behind)?;
                let origin = Origin::Roster(*roster);
                after.members.insert(place, Member { origin, vehicle });
            }
            Self::Repair {
                vehicle,
                quantity,
                value,
            } => {
                let place = after.find(*vehicle)?;
                let card = after.members[place].vehicle.clone();
                after.members[place].vehicle = card.with(*quantity, Sourced::measured(*value))?;
            }
        }
        Ok(after)
    }

    /// The make-up after several changes, one after another.
    ///
    /// # Errors
    /// As [`Change::apply`], of the first that cannot be made.
    pub fn apply_all(changes: &[Self], makeup: &MakeUp) -> Result<MakeUp, ChangeError> {
        changes
            .iter()
            .try_fold(makeup.clone(), |so_far, change| change.apply(&so_far))
    }
}

impl MakeUp {
    fn find(&self, origin: Origin) -> Result<usize, ChangeError> {
        self.place_of(origin)
            .ok_or(ChangeError::NotInTheTrain { origin })
    }

    fn place_behind(&self, behind: Option<Origin>) -> Result<usize, ChangeError> {
        behind.map_or(Ok(0), |origin| Ok(self.find(origin)? + 1))
    }

    fn reorder(&mut self, vehicles: &[Origin]) -> Result<(), ChangeError> {
        let mut places = Vec::with_capacity(vehicles.len());
        for origin in vehicles {
            places.push(self.find(*origin)?);
        }
        let standing: Vec<Member> = places.iter().map(|at| self.members[*at].clone()).collect();
        places.sort_unstable();
        for (place, member) in places.into_iter().zip(standing) {
            self.members[place] = member;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vehicle::{Class, Train, Vehicle};

    fn makeup() -> MakeUp {
        let mut vehicles = vec![Vehicle::of_class("demo engine", Class::HoLocomotive)];
        vehicles.extend((1..5).map(|n| Vehicle::of_class(format!("demo {n}"), Class::HoCar)));
        let more = Vehicle::of_class("demo helper", Class::HoLocomotive);
        MakeUp::of(&Train::new(vehicles).expect("sound")).with_roster(&[more])
    }

    fn own(places: &[usize]) -> Vec<Origin> {
        places.iter().map(|place| Origin::Own(*place)).collect()
    }

    #[track_caller]
    fn check(change: &Change, expected: &[Origin]) {
        let after = change.apply(&makeup()).expect("can be made");
        assert_eq!(after.order(), expected);
    }

    #[test]
    fn each_change_does_what_it_says() {
        let (vehicles, behind) = (own(&[1, 2]), Some(Origin::Own(3)));
        check(&Change::Move { vehicles, behind }, &own(&[0, 3, 1, 2, 4]));
        let (vehicles, behind) = (own(&[4]), None);
        check(&Change::Move { vehicles, behind }, &own(&[4, 0, 1, 2, 3]));
        let vehicles = own(&[4, 1, 2]);
        check(&Change::Reorder { vehicles }, &own(&[0, 4, 1, 3, 2]));
        let vehicle = Origin::Own(2);
        check(&Change::SetOut { vehicle }, &own(&[0, 1, 3, 4]));
        let (roster, behind) = (0, Some(Origin::Own(1)));
        let mut expected = own(&[0, 1, 2, 3, 4]);
        expected.insert(2, Origin::Roster(0));
        check(&Change::CutIn { roster, behind }, &expected);
    }

    #[test]
    fn what_is_not_there_is_said() {
        let vehicle = Origin::Own(9);
        let refused = Change::SetOut { vehicle }.apply(&makeup());
        assert_eq!(refused, Err(ChangeError::NotInTheTrain { origin: vehicle }));
        let (roster, behind) = (3, None);
        let refused = Change::CutIn { roster, behind }.apply(&makeup());
        let expected = ChangeError::NotInTheRoster { place: 3, count: 1 };
        assert_eq!(refused, Err(expected));
    }
}
