//! What to change on a train whose climb was answered: asked of the hill, put in words.
//!
//! [`plan`] asks everything, part by part; [`topics`] puts it under headings for every reader,
//! [`text`] for a terminal and [`wire`] for programs, all with the sentences of [`words`]. The change
//! to make first is [`Plan::first`].

pub mod text;
mod told;
pub mod wire;
pub mod words;

use std::ops::Range;

use gradeworthy_train::advice::{
    Advice, AdviceError, Advised, Adviser, Change, ChangeError, Coupled, End, FewestMoves, Helper,
    Longest, MakeUp, Measurements, MorePower, Reached, Stall, StopReason, Watcher,
    middle_of_the_train,
};
use gradeworthy_train::sweep::SweepError;
use gradeworthy_train::vehicle::Vehicle;

use super::answer::{Answer, Line};
use super::join::Consist;
pub use told::{Said, Topic, topics};

/// Moves that a lead may be asked for at most.
const MOVES: usize = 3;

/// Pieces of advice of a kind.
const KEPT: usize = 3;

/// Of whom advice is asked, and how much.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// What came of the climb.
    pub answer: &'a Answer,
    /// The train.
    pub consist: &'a Consist,
    /// The line.
    pub line: &'a Line,
    /// Locomotives that could be added.
    pub roster: &'a [Vehicle],
    /// Vehicles that stay together, by name; another order of the cars leaves them where they are.
    pub blocks: &'a [Vec<String>],
    /// How many helpers are placed at once, at most.
    pub together: Together,
}

/// How many helpers are placed at once, at most.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Together {
    /// Each by itself.
    One = 1,
    /// Each two, too.
    #[default]
    Two,
    /// Each three, too: hundreds of thousands of places in a long train.
    Three,
}

/// A part of the plan. [`Part::ALL`] is the order in which they are asked: what is soon answered
/// and most often enough comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The fewest single moves.
    Moves,
    /// What a stall would do.
    Stall,
    /// How much of the train climbs.
    Length,
    /// What spare power would do.
    Power,
    /// What to repair.
    Repairs,
    /// Where to cut in helpers.
    Helpers,
    /// What to measure.
    Measurements,
    /// Another order of the cars.
    Order,
}

impl Part {
    /// Every part, in the order asked.
    pub const ALL: [Self; 8] = [
        Self::Moves,
        Self::Stall,
        Self::Length,
        Self::Power,
        Self::Repairs,
        Self::Helpers,
        Self::Measurements,
        Self::Order,
    ];

    /// What stands over it, in lower case.
    #[must_use]
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Moves => "what to move",
            Self::Stall => "a stall",
            Self::Length => "length",
            Self::Power => "power",
            Self::Repairs => "repairs that buy the most",
            Self::Helpers => "helpers",
            Self::Measurements => "measurements that tell the most",
            Self::Order => "order",
        }
    }
}

/// The best place of one helper, or of several together.
#[derive(Clone, Debug, PartialEq)]
pub struct BestCut {
    /// The helpers.
    pub helpers: Vec<Helper>,
    /// Where they stand best.
    pub advised: Advised,
}

/// Everything that is advised; a part that was not asked, or whose search was stopped, is missing.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// The parts that were answered, in their order.
    pub answered: Vec<Part>,
    /// Whether the watcher ended it.
    pub stopped: bool,
    /// The fewest single moves that bring the margin asked for.
    pub moves: Option<FewestMoves>,
    /// Each helper by itself, then each two together, then each three.
    pub cuts: Vec<BestCut>,
    /// Another order of the cars between locomotives.
    pub order: Option<Advised>,
    /// How much of the train climbs, the last and the first cars set out.
    pub longest: Vec<Longest>,
    /// What spare power would do.
    pub power: Option<MorePower>,
    /// What a stall would do.
    pub stall: Option<Stall>,
    /// What to repair.
    pub repairs: Option<Advised>,
    /// What to measure.
    pub measurements: Option<Measurements>,
    /// Locomotives that are not in the train.
    pub roster: Vec<Vehicle>,
    /// The vehicle that limits the train as it is, by its place, from 0.
    pub limiting: Option<usize>,
}

/// Why there is no advice.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoAdvice {
    /// The question.
    #[error(transparent)]
    Advice(#[from] AdviceError),
    /// The climb.
    #[error(transparent)]
    Sweep(#[from] SweepError),
}

/// Asks everything, part by part. The watcher is told of each search in turn; `answered` is told of
/// the plan so far when a part is answered.
///
/// # Errors
/// [`NoAdvice`] when the train cannot stand where it has to.
pub fn plan(
    question: Question<'_>,
    watcher: Watcher<'_>,
    answered: &mut dyn FnMut(&Plan),
) -> Result<Plan, NoAdvice> {
    let (answer, consist) = (question.answer, question.consist);
    let adviser = Adviser::new(
        &consist.train,
        &question.line.alignment,
        &answer.sweep,
        watcher,
    )?;
    let mut plan = Plan {
        roster: question.roster.to_vec(),
        limiting: Some(answer.margin.worst.vehicle),
        ..Plan::default()
    };
    for part in Part::ALL {
        if plan.ask(part, &adviser, question)? == StopReason::Watcher {
            plan.stopped = true;
            break;
        }
        plan.answered.push(part);
        answered(&plan);
    }
    Ok(plan)
}

/// The runs without what stays, which parts a run in two.
fn free_runs(runs: &[Range<usize>], stays: impl Fn(usize) -> bool) -> Vec<Range<usize>> {
    let mut free: Vec<Range<usize>> = Vec::new();
    for run in runs {
        let mut goes_on = false;
        for place in run.clone() {
            let is_free = !stays(place);
            match free.last_mut() {
                Some(last) if is_free && goes_on => last.end = place + 1,
                _ if is_free => free.push(place..place + 1),
                _ => {}
            }
            goes_on = is_free;
        }
    }
    free
}

/// The groups of helpers that are placed together.
fn groups(adviser: &Adviser<'_>, together: Together) -> Vec<Vec<Helper>> {
    let helpers = adviser.helpers(Coupled::AsTheyAre);
    let mut groups = choices(&helpers, 1);
    if together >= Together::Two {
        groups.extend(choices(&helpers, 2));
    }
    if together >= Together::Three {
        // Helpers that run coupled are taken apart where there are not three otherwise.
        let apart: Vec<Helper> = helpers
            .iter()
            .flat_map(|own| own.vehicles.clone())
            .map(|place| Helper {
                vehicles: place..place + 1,
            })
            .collect();
        let enough = helpers.len() >= 3;
        groups.extend(choices(if enough { &helpers } else { &apart }, 3));
    }
    groups
}

/// Every choice of `count` helpers, in their order.
fn choices(helpers: &[Helper], count: usize) -> Vec<Vec<Helper>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let each = helpers.iter().enumerate();
    each.flat_map(|(index, first)| {
        let rest = choices(&helpers[index + 1..], count - 1).into_iter();
        rest.map(move |mut own| {
            own.insert(0, first.clone());
            own
        })
    })
    .collect()
}

impl Plan {
    /// Asks one part, and keeps what was answered unless the search was stopped.
    fn ask(
        &mut self,
        part: Part,
        adviser: &Adviser<'_>,
        question: Question<'_>,
    ) -> Result<StopReason, NoAdvice> {
        let asked = question.answer.asked.least_margin;
        let kept = |stop: StopReason| stop != StopReason::Watcher;
        Ok(match part {
            Part::Moves => {
                let moves = adviser.fewest_moves(asked, MOVES);
                let stop = moves.stop;
                self.moves = kept(stop).then_some(moves);
                stop
            }
            Part::Stall => {
                self.stall = adviser.stall(&question.answer.sweep)?;
                StopReason::Settled
            }
            Part::Length => {
                self.longest = [End::Head, End::Rear]
                    .map(|from| adviser.longest(asked, from))
                    .into();
                self.longest.retain(|own| kept(own.stop));
                stop_of(self.longest.len() == 2)
            }
            Part::Power => {
                let power = adviser.more_power(question.roster, asked);
                let stop = power.stop;
                self.power = kept(stop).then_some(power);
                stop
            }
            Part::Repairs => {
                let cure = middle_of_the_train(&question.consist.train);
                let repairs = adviser.repairs(&cure, KEPT);
                let stop = repairs.stop;
                self.repairs = kept(stop).then_some(repairs);
                stop
            }
            Part::Helpers => self.ask_helpers(adviser, question.together)?,
            Part::Measurements => {
                let measurements = adviser.measurements(KEPT)?;
                let stop = measurements.stop;
                self.measurements = kept(stop).then_some(measurements);
                stop
            }
            Part::Order => {
                let members = &question.consist.members;
                let stays = |place: usize| {
                    let mut blocks = question.blocks.iter().flatten();
                    let name = members.get(place).map(|own| &own.name);
                    blocks.any(|own| Some(own) == name)
                };
                let order = adviser.orders(&free_runs(&adviser.runs_of_cars(), stays))?;
                let stop = order.stop;
                self.order = kept(stop).then_some(order);
                stop
            }
        })
    }

    fn ask_helpers(
        &mut self,
        adviser: &Adviser<'_>,
        together: Together,
    ) -> Result<StopReason, NoAdvice> {
        for helpers in groups(adviser, together) {
            let advised = adviser.cuts(&helpers, 1)?.advised;
            if advised.stop == StopReason::Watcher {
                return Ok(StopReason::Watcher);
            }
            self.cuts.push(BestCut { helpers, advised });
        }
        Ok(StopReason::Settled)
    }

    /// What to do first: the moves that bring the margin asked for; else more power, if that does;
    /// else the change of the train's order with the greatest gain. A repair is never among them.
    #[must_use]
    pub fn first(&self) -> Option<&Advice> {
        let enough =
            |own: &&FewestMoves| matches!(own.reached, Reached::Fewest | Reached::WithAtLeast(_));
        let moves = self.moves.as_ref().and_then(|own| own.advice.as_ref());
        if self.moves.as_ref().filter(enough).is_some() && moves.is_some() {
            return moves;
        }
        if let Some(power) = &self.power
            && power.needed.is_some()
            && power.advice.is_some()
        {
            return power.advice.as_ref();
        }
        let cuts = self.cuts.iter().flat_map(|own| &own.advised.best);
        let order = self.order.iter().flat_map(|own| &own.best);
        let all = cuts.chain(order).chain(moves);
        all.max_by(|a, b| a.margin.total_cmp(&b.margin))
    }

    /// The advice of a piece by its name, as [`Said::piece`] gives it.
    #[must_use]
    pub fn piece(&self, name: &str) -> Option<&Advice> {
        let (part, number) = name.split_once('-').unwrap_or((name, "0"));
        let number: usize = number.parse().ok()?;
        match part {
            "moves" => self.moves.as_ref()?.advice.as_ref(),
            "helpers" => self.cuts.get(number)?.advised.best.first(),
            "order" => self.order.as_ref()?.best.get(number),
            "length" => self.longest.get(number)?.advice.as_ref(),
            "power" => self.power.as_ref()?.advice.as_ref(),
            _ => None,
        }
    }

    /// The make-up of the train after a piece of advice.
    ///
    /// # Errors
    /// [`ChangeError`], which advice of this plan does not give.
    pub fn after(&self, advice: &Advice, consist: &Consist) -> Result<MakeUp, ChangeError> {
        let now = MakeUp::of(&consist.train).with_roster(&self.roster);
        Change::apply_all(&advice.changes, &now)
    }
}

/// Settled, or stopped by the watcher.
const fn stop_of(settled: bool) -> StopReason {
    if settled {
        StopReason::Settled
    } else {
        StopReason::Watcher
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stays_together_is_no_part_of_a_run_that_is_put_in_another_order() {
        let runs = [1..6, 8..12];
        assert_eq!(free_runs(&runs, |_| false), runs);
        assert_eq!(
            free_runs(&runs, |place| (3..5).contains(&place)),
            [1..3, 5..6, 8..12]
        );
        assert_eq!(
            free_runs(&runs, |place| !(4..10).contains(&place)),
            [4..6, 8..10]
        );
        assert!(free_runs(&runs, |_| true).is_empty());
    }

    #[test]
    fn helpers_are_chosen_in_their_order_and_each_choice_once() {
        let helper = |place: usize| Helper {
            vehicles: place..place + 1,
        };
        let all = [helper(4), helper(7), helper(9)];
        let places = |count: usize| -> Vec<Vec<usize>> {
            let chosen = choices(&all, count).into_iter();
            chosen
                .map(|own| own.iter().map(|helper| helper.vehicles.start).collect())
                .collect()
        };
        assert_eq!(places(1), [[4], [7], [9]]);
        assert_eq!(places(2), [[4, 7], [4, 9], [7, 9]]);
        assert_eq!(places(3), [[4, 7, 9]]);
    }
}
