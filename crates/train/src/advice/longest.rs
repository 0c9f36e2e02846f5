//! How much of the train climbs with a margin asked for.

use super::adviser::{Advice, Adviser};
use super::change::Change;
use super::makeup::Origin;
use super::pool::Lineup;
use super::watch::StopReason;

/// From which end the cars are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The first cars stay, the last are set out.
    Head,
    /// The last cars stay, the first are set out.
    Rear,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Longest {
    /// How many cars the train has.
    pub car_count: usize,
    /// How many of them it takes over the hill; `None` where the locomotives alone have less
    /// margin than was asked for, or the search was stopped.
    pub cars_that_climb: Option<usize>,
    /// What to set out; none where all climb.
    pub advice: Option<Advice>,
    /// Why the search ended.
    pub stop: StopReason,
}

impl Adviser<'_> {
    /// The most cars, in this order from one end, with which the margin is at least `asked`; all
    /// locomotives stay where they stand among the cars that are left.
    ///
    /// The margin need not rise with every car that is left: the counts are gone through from all
    /// cars downwards, and the first that climbs is the answer.
    #[must_use]
    pub fn longest(&self, asked: f64, from: End) -> Longest {
        let numbers = self.train.numbers();
        let cars: Vec<usize> = (0..self.count())
            .filter(|place| numbers[*place].power.is_none())
            .collect();
        let mut answer = Longest {
            car_count: cars.len(),
            cars_that_climb: None,
            advice: None,
            stop: StopReason::Settled,
        };
        if self.margin() >= asked {
            answer.cars_that_climb = Some(cars.len());
            return answer;
        }
        let mut contest = self.contest(&self.pool);
        for left in (0..cars.len()).rev() {
            let out = match from {
                End::Head => &cars[left..],
                End::Rear => &cars[..cars.len() - left],
            };
            let lineup: Lineup = (0..self.count())
                .filter(|place| out.binary_search(place).is_err())
                .collect();
            let outcome = contest.best(1, &|_| lineup.clone(), self.any_with(asked));
            if outcome.stop == StopReason::Watcher {
                answer.stop = outcome.stop;
                return answer;
            }
            if let Some(placed) = outcome.best.first() {
                let set_out = |place: &usize| Change::SetOut {
                    vehicle: Origin::Own(*place),
                };
                let changes = out.iter().map(set_out).collect();
                answer.cars_that_climb = Some(left);
                answer.advice = Some(self.advice(&self.pool, &lineup, changes, &placed.hardest));
                return answer;
            }
        }
        answer
    }
}
