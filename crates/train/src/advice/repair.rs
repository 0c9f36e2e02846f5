//! Which car's repair buys the most.
//!
//! Every piece of work on every car is a train with another card, and they are compared as cuts
//! are. A margin is that of the one hardest pressed car, so most work gains nothing by itself;
//! what gains is given, best first.

use super::adviser::{Advised, Adviser, Claim};
use super::change::Change;
use super::makeup::Origin;
use super::pool::Lineup;
use crate::vehicle::{Kind, Quantity, Sourced, Train, Vehicle};

/// Numbers of a card, SI.
type Values = Vec<(Quantity, f64)>;

/// A piece of work on a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Work {
    /// Make it roll better.
    Drag,
    /// Add weight.
    Weight,
    /// Set its coupler heights.
    CouplerHeights,
    /// Set its load in the middle.
    Balance,
}

impl Work {
    /// Every piece of work.
    pub const ALL: [Self; 4] = [
        Self::Drag,
        Self::Weight,
        Self::CouplerHeights,
        Self::Balance,
    ];
}

impl Adviser<'_> {
    /// The `keep` repairs that gain most. `after` says what a piece of work makes of a car: which
    /// numbers, and their values then; nothing where there is nothing to do.
    /// [`middle_of_the_train`] is one such; a rule book's limits make another.
    ///
    /// A value that the card cannot have is as no work.
    #[must_use]
    pub fn repairs(&self, after: &dyn Fn(usize, Work) -> Values, keep: usize) -> Advised {
        let mut pool = self.pool.clone();
        let mut works: Vec<(usize, usize, Values)> = Vec::new();
        for (place, vehicle) in self.train.vehicles().iter().enumerate() {
            for work in Work::ALL {
                let values = after(place, work);
                if values.is_empty() {
                    continue;
                }
                if let Some(worked_on) = with(vehicle, &values) {
                    let card = pool.add_card_of(place, &worked_on);
                    works.push((place, card, values));
                }
            }
        }
        let build = |own: usize| -> Lineup {
            let (place, card, _) = &works[own];
            let mut lineup = self.lineup();
            lineup[*place] = *card;
            lineup
        };
        let goal = self.goal(keep, self.margin());
        let outcome = self.contest(&pool).best(works.len(), &build, goal);
        self.advised(&outcome, Claim::Best, |placed| {
            let (place, _, values) = &works[placed.candidate];
            let vehicle = Origin::Own(*place);
            let change = |&(quantity, value): &(Quantity, f64)| Change::Repair {
                vehicle,
                quantity,
                value,
            };
            let changes = values.iter().map(change).collect();
            self.advice(&pool, &build(placed.candidate), changes, &placed.hardest)
        })
    }
}

fn with(vehicle: &Vehicle, values: &[(Quantity, f64)]) -> Option<Vehicle> {
    let each = values.iter();
    each.copied()
        .try_fold(vehicle.clone(), |own, (quantity, value)| {
            own.with(quantity, Sourced::measured(value)).ok()
        })
}

/// Brings a car that is worse than the middle car of its train to the middle, in each piece of
/// work; the load to the centreline. Locomotives are left alone.
pub fn middle_of_the_train(train: &Train) -> impl Fn(usize, Work) -> Values {
    use Quantity as Q;
    let vehicles: Vec<Vehicle> = train.vehicles().to_vec();
    let middle = Q::ALL.map(|quantity| middle(&vehicles, quantity));
    let middle_of = move |quantity: Q| {
        Q::ALL
            .iter()
            .position(|own| *own == quantity)
            .map(|at| middle[at])
    };
    move |place, work| {
        let Some(car) = vehicles.get(place).filter(|own| own.kind() == Kind::Car) else {
            return Vec::new();
        };
        let set = |quantities: &[Q], is_worse: &dyn Fn(f64, f64) -> bool| {
            let values = quantities.iter().filter_map(|&quantity| {
                let value = middle_of(quantity)?;
                is_worse(car.value(quantity), value).then_some((quantity, value))
            });
            values.collect()
        };
        match work {
            Work::Drag => set(&[Q::RollingDrag, Q::BreakawayDrag], &|own, middle| {
                own > middle
            }),
            Work::Weight => set(&[Q::Weight], &|own, middle| own < middle),
            Work::CouplerHeights => set(
                &[Q::CouplerHeightFront, Q::CouplerHeightRear],
                &|own, middle| (own - middle).abs() > 0.0,
            ),
            Work::Balance => [Q::CgForward, Q::CgLeft]
                .into_iter()
                .filter(|quantity| car.value(*quantity).abs() > 0.0)
                .map(|quantity| (quantity, 0.0))
                .collect(),
        }
    }
}

/// The middle value over the cars.
fn middle(vehicles: &[Vehicle], quantity: Quantity) -> f64 {
    let cars = vehicles.iter().filter(|own| own.kind() == Kind::Car);
    let mut values: Vec<f64> = cars.map(|own| own.value(quantity)).collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or_default()
}
