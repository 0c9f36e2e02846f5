//! Who is asked: a train on a line whose climb is known.

use super::change::Change;
use super::contest::{Contest, Goal, HardSpot, Outcome, Placed, behind_head};
use super::makeup::Origin;
use super::pool::{Lineup, Pool};
use super::watch::{StopReason, Watcher};
use crate::margins::Mode;
use crate::sweep::{Check, Hardest, Sweep};
use crate::track::Alignment;
use crate::vehicle::Train;

/// A difference of margin that is not worth a hand on a car.
/// ASSUMED: a policy, a tenth of what shows in two decimals. A smaller one makes searches longer;
/// at zero they settle what the grid of places alone makes of equal trains.
pub const TOLERANCE: f64 = 1e-3;

/// How many of the train's own hard spots others are looked at first.
const SPOTS: usize = 12;

/// What limits a train.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// In which way.
    pub mode: Mode,
    /// Which vehicle.
    pub vehicle: Origin,
    /// Place of the head's front bolster then, m.
    pub head_s: f64,
}

/// Changes, and what they bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    /// What to do, in this order.
    pub changes: Vec<Change>,
    /// The margin then.
    pub margin: f64,
    /// That less the margin now.
    pub gain: f64,
    /// What limits the train then.
    pub limit: Limit,
}

/// What a search may say of its best.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Claim {
    /// No other of its kind is better by more than the tolerance: each was worked out, or shown
    /// by its use at some place to be no better.
    Best,
    /// The same by a theorem whose conditions were checked: see [`Adviser::orders`].
    Theorem,
    /// The best that was found; there may be better.
    Found,
}

/// What a search found.
#[derive(Clone, Debug, PartialEq)]
pub struct Advised {
    /// The best, best first; none where nothing gains more than the tolerance.
    pub best: Vec<Advice>,
    /// What may be said of them.
    pub claim: Claim,
    /// Why the search ended.
    pub stop: StopReason,
    /// How many trains were compared.
    pub tried: usize,
    /// How many single places of single trains were looked at for it.
    pub looks: usize,
}

/// A question that cannot be asked.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum AdviceError {
    /// The climb has no place.
    #[error("the climb has no place at which the whole train stands; lengthen the line")]
    NoPlace,
    /// The climb is not that of the train.
    #[error(
        "the climb given is of {swept} vehicles and the train has {count}: sweep the train first"
    )]
    AnotherTrain {
        /// Vehicles of the climb.
        swept: usize,
        /// Vehicles of the train.
        count: usize,
    },
    /// Vehicles that are not there, or not of the kind asked for.
    #[error("vehicles {first} to {last} (from 0) are not {wish} of this train of {count} vehicles")]
    NotThere {
        /// The first of them.
        first: usize,
        /// The last of them.
        last: usize,
        /// What was wanted.
        wish: &'static str,
        /// How many vehicles there are.
        count: usize,
    },
    /// None or too many helpers at once.
    #[error("{count} helpers were asked for at once: one to three can be placed together")]
    Helpers {
        /// How many.
        count: usize,
    },
}

/// A train on a line whose climb is known, ready to be asked what to change.
///
/// # Example
/// ```
/// use gradeworthy_train::advice::{Adviser, Change, Coupled, Go, MakeUp};
/// use gradeworthy_train::statics::Condition;
/// use gradeworthy_train::sweep::{Check, sweep};
/// use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
/// use gradeworthy_train::vehicle::{Class, Train, Vehicle};
///
/// let line = Alignment::new(
///     Origin::default(),
///     vec![PlanSegment::straight(4.0), PlanSegment::arc(2.0, 1.0 / 0.75)],
///     vec![GradeSegment::steady(6.0, 0.03)],
///     vec![],
/// )?;
/// let mut vehicles = vec![Vehicle::of_class("demo engine", Class::HoLocomotive)];
/// vehicles.extend((0..14).map(|n| Vehicle::of_class(format!("demo {n}"), Class::HoCar)));
/// vehicles.push(Vehicle::of_class("demo helper", Class::HoLocomotive));
/// let train = Train::new(vehicles)?;
/// let climb = sweep(&train, &line, &Check::new(Condition::Running, 0.05))?;
/// let adviser = Adviser::new(&train, &line, &climb, &|_| Go::On)?;
/// let helpers = adviser.helpers(Coupled::AsTheyAre);
/// if let Some(advice) = adviser.cuts(&helpers, 1)?.advised.best.first() {
///     let better = Change::apply_all(&advice.changes, &MakeUp::of(&train))?.train()?;
///     assert_eq!(better.vehicle_count(), train.vehicle_count());
/// }
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub struct Adviser<'a> {
    pub(super) train: &'a Train,
    pub(super) line: &'a Alignment,
    pub(super) check: Check,
    pub(super) watcher: Watcher<'a>,
    pub(super) tolerance: f64,
    pub(super) pool: Pool,
    pub(super) hardest: Hardest,
    spots: Vec<HardSpot>,
}

impl<'a> Adviser<'a> {
    /// An adviser for `train`, whose climb of `line` is `swept`.
    ///
    /// # Errors
    /// [`AdviceError`] when the climb has no place, or is of another train.
    pub fn new(
        train: &'a Train,
        line: &'a Alignment,
        swept: &Sweep,
        watcher: Watcher<'a>,
    ) -> Result<Self, AdviceError> {
        let (swept_count, count) = (swept.envelope.vehicle_count(), train.vehicle_count());
        if swept_count != count {
            let swept = swept_count;
            return Err(AdviceError::AnotherTrain { swept, count });
        }
        let peaks = peaks(swept);
        let hardest = *peaks.first().ok_or(AdviceError::NoPlace)?;
        let reach = behind_head(train.numbers());
        let spot = |peak: &Hardest| HardSpot {
            who: peak.vehicle,
            head_s: peak.head_s,
            behind_head: reach[peak.vehicle],
        };
        Ok(Self {
            train,
            line,
            check: swept.check,
            watcher,
            tolerance: TOLERANCE,
            pool: Pool::of(train.numbers()),
            hardest,
            spots: peaks.iter().take(SPOTS).map(spot).collect(),
        })
    }

    /// The same with another difference of margin that does not matter.
    #[must_use]
    pub fn with_tolerance(mut self, tolerance: f64) -> Self {
        self.tolerance = tolerance.max(0.0);
        self
    }

    /// The margin of the train as it is.
    #[must_use]
    pub fn margin(&self) -> f64 {
        1.0 - self.hardest.ratio
    }

    pub(super) fn count(&self) -> usize {
        self.train.vehicle_count()
    }

    /// The train as it is.
    pub(super) fn lineup(&self) -> Lineup {
        (0..self.count()).collect()
    }

    pub(super) fn contest<'p>(&'p self, pool: &'p Pool) -> Contest<'p> {
        Contest {
            line: self.line,
            check: &self.check,
            pool,
            watcher: self.watcher,
            spots: self.spots.clone(),
        }
    }

    /// The goal of finding the `keep` best that are better than `above`.
    pub(super) fn goal(&self, keep: usize, above: f64) -> Goal {
        Goal {
            keep,
            above: above + self.tolerance,
            tolerance: self.tolerance,
            enough: f64::INFINITY,
        }
    }

    /// The goal of finding any with at least the margin `asked`.
    pub(super) fn any_with(&self, asked: f64) -> Goal {
        /// Keeps a train with just the margin asked for, which is enough.
        const ROUNDING: f64 = 1e-12;
        Goal {
            keep: 1,
            above: asked - ROUNDING,
            tolerance: self.tolerance,
            enough: asked - ROUNDING,
        }
    }

    /// Which vehicle a card of the pool is of.
    pub(super) fn origin(&self, who: usize) -> Origin {
        who.checked_sub(self.count())
            .map_or(Origin::Own(who), Origin::Roster)
    }

    pub(super) fn advice(
        &self,
        pool: &Pool,
        lineup: &[usize],
        changes: Vec<Change>,
        hardest: &Hardest,
    ) -> Advice {
        let margin = 1.0 - hardest.ratio;
        Advice {
            changes,
            margin,
            gain: margin - self.margin(),
            limit: Limit {
                mode: hardest.mode,
                vehicle: self.origin(pool.identity(lineup, hardest.vehicle)),
                head_s: hardest.head_s,
            },
        }
    }

    /// What a contest found, in words of changes.
    pub(super) fn advised(
        &self,
        outcome: &Outcome,
        claim: Claim,
        advice: impl Fn(&Placed) -> Advice,
    ) -> Advised {
        let settled = outcome.stop == StopReason::Settled;
        Advised {
            best: outcome.best.iter().map(advice).collect(),
            claim: if settled { claim } else { Claim::Found },
            stop: outcome.stop,
            tried: outcome.at_most.len(),
            looks: outcome.looks,
        }
    }
}

/// Where a train is hardest pressed, worst first: the worst place of each stretch over which one
/// vehicle is the worst in one way.
fn peaks(swept: &Sweep) -> Vec<Hardest> {
    let columns = &swept.places;
    let mut peaks: Vec<Hardest> = Vec::new();
    for row in 0..columns.len() {
        let here = Hardest {
            ratio: columns.worst_use[row],
            mode: columns.worst_mode[row],
            vehicle: columns.worst_vehicle[row],
            head_s: columns.head_s[row],
        };
        match peaks.last_mut() {
            Some(last) if last.vehicle == here.vehicle && last.mode == here.mode => {
                if here.ratio > last.ratio {
                    *last = here;
                }
            }
            _ => peaks.push(here),
        }
    }
    peaks.sort_by(|a, b| b.ratio.total_cmp(&a.ratio));
    peaks
}
