//! The fewest single moves that bring a margin asked for.
//!
//! One move takes one car elsewhere, or helpers that are coupled together, or sets a car out; the
//! head-end power stays. Iterative deepening: no move, then every single one, then two, and so on;
//! cars are set out only where moving them is not enough with as many moves.
//!
//! What is proved: that no move, and no single move, is enough (each train is shown to fail at some
//! place). So one move or two moves found are the fewest. Beyond the first move only the
//! [`BEAM`] most promising trains are carried on; three moves or more are only found, and fewer
//! than three may do.

use super::adviser::{Advice, Adviser};
use super::change::Change;
use super::contest::{Contest, Outcome};
use super::makeup::Origin;
use super::pool::Lineup;
use super::units::units;
use super::watch::StopReason;

/// Trains that are carried on to the next move.
const BEAM: usize = 8;

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct FewestMoves {
    /// The moves with the margin after them; the best that was reached where it is not enough, none
    /// where nothing gains.
    pub advice: Option<Advice>,
    /// Whether the margin asked for is reached.
    pub reached: Reached,
    /// Why the search ended.
    pub stop: StopReason,
    /// How many trains were compared.
    pub tried: usize,
}

/// Whether the margin asked for is reached, and what is known of fewer moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reached {
    /// Nothing needs to be moved.
    AsItIs,
    /// With these moves, and it is proved that fewer are not enough.
    Fewest,
    /// With these moves; fewer may do, but at least so many are needed.
    WithAtLeast(usize),
    /// Not with as many moves as were allowed.
    NotReached,
}

/// A train on the way.
#[derive(Clone)]
struct Node {
    lineup: Lineup,
    changes: Vec<Change>,
}

/// One single move.
#[derive(Clone, Copy)]
enum Single {
    /// The unit `from` to behind the unit `to` of those left; 0 is the head.
    Move {
        from: usize,
        to: usize,
    },
    SetOut {
        unit: usize,
    },
}

impl Adviser<'_> {
    /// The fewest single moves, at most `most`, with which the margin is at least `asked`.
    #[must_use]
    pub fn fewest_moves(&self, asked: f64, most: usize) -> FewestMoves {
        let mut answer = FewestMoves {
            advice: None,
            reached: Reached::AsItIs,
            stop: StopReason::Settled,
            tried: 0,
        };
        if self.margin() >= asked {
            return answer;
        }
        answer.reached = Reached::NotReached;
        let mut contest = self.contest(&self.pool);
        let mut beam = vec![Node {
            lineup: self.lineup(),
            changes: Vec::new(),
        }];
        for depth in 1..=most {
            let mut next = Vec::new();
            for set_out in [false, true] {
                let candidates = self.singles(&beam, set_out);
                let outcome = self.try_all(&mut contest, &beam, &candidates, asked);
                answer.tried += candidates.len();
                answer.stop = outcome.stop;
                if let Some(placed) = outcome.best.first() {
                    let node = self.after(&beam, candidates[placed.candidate]);
                    let (lineup, changes) = (&node.lineup, node.changes.clone());
                    answer.advice = Some(self.advice(&self.pool, lineup, changes, &placed.hardest));
                    let enough = 1.0 - placed.hardest.ratio >= asked;
                    if enough || outcome.stop == StopReason::Enough {
                        answer.stop = StopReason::Enough;
                        answer.reached = match depth {
                            1 | 2 => Reached::Fewest,
                            _ => Reached::WithAtLeast(2),
                        };
                        return answer;
                    }
                }
                if outcome.stop == StopReason::Watcher {
                    return answer;
                }
                next.extend(self.promising(&beam, &candidates, &outcome));
            }
            next.sort_by(|a, b| b.0.total_cmp(&a.0));
            beam = next.into_iter().take(BEAM).map(|(_, node)| node).collect();
        }
        self.best_of(&mut contest, &beam, &mut answer);
        answer
    }

    /// Every single move from every train of the beam: its number there, and the move.
    fn singles(&self, beam: &[Node], set_out: bool) -> Vec<(usize, Single)> {
        let mut all = Vec::new();
        for (parent, node) in beam.iter().enumerate() {
            let numbers = self.pool.numbers(&node.lineup);
            let units = units(&numbers);
            let is_power = |unit: usize| numbers[units[unit].start].power.is_some();
            let first = usize::from(is_power(0));
            for from in first..units.len() {
                if set_out {
                    if !is_power(from) {
                        all.push((parent, Single::SetOut { unit: from }));
                    }
                    continue;
                }
                let elsewhere = (first..units.len()).filter(|to| *to != from);
                all.extend(elsewhere.map(|to| (parent, Single::Move { from, to })));
            }
        }
        all
    }

    /// Looks for any that is enough.
    fn try_all(
        &self,
        contest: &mut Contest<'_>,
        beam: &[Node],
        candidates: &[(usize, Single)],
        asked: f64,
    ) -> Outcome {
        let build = |own: usize| self.after(beam, candidates[own]).lineup;
        contest.best(candidates.len(), &build, self.any_with(asked))
    }

    /// The most promising of those that are not enough, with what they cannot exceed.
    fn promising(
        &self,
        beam: &[Node],
        candidates: &[(usize, Single)],
        outcome: &Outcome,
    ) -> Vec<(f64, Node)> {
        let mut order: Vec<(f64, usize)> = outcome
            .at_most
            .iter()
            .enumerate()
            .filter_map(|(own, at_most)| Some(((*at_most)?, own)))
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0));
        let node = |(at_most, own): (f64, usize)| (at_most, self.after(beam, candidates[own]));
        order.into_iter().take(BEAM).map(node).collect()
    }

    /// The best of the last trains, where none is enough.
    fn best_of(&self, contest: &mut Contest<'_>, beam: &[Node], answer: &mut FewestMoves) {
        let build = |own: usize| beam[own].lineup.clone();
        let outcome = contest.best(beam.len(), &build, self.goal(1, self.margin()));
        answer.stop = outcome.stop;
        answer.advice = outcome.best.first().map(|placed| {
            let node = &beam[placed.candidate];
            self.advice(
                &self.pool,
                &node.lineup,
                node.changes.clone(),
                &placed.hardest,
            )
        });
    }

    /// The train after one more move.
    fn after(&self, beam: &[Node], (parent, single): (usize, Single)) -> Node {
        let Node { lineup, changes } = &beam[parent];
        let units = units(&self.pool.numbers(lineup));
        let mut order: Vec<&[usize]> = units.iter().map(|own| &lineup[own.clone()]).collect();
        let mut changes = changes.clone();
        match single {
            Single::Move { from, to } => {
                let own = order.remove(from);
                order.insert(to, own);
                let ahead = to.checked_sub(1).and_then(|ahead| order[ahead].last());
                changes.push(Change::Move {
                    vehicles: own.iter().map(|card| Origin::Own(*card)).collect(),
                    behind: ahead.map(|card| Origin::Own(*card)),
                });
            }
            Single::SetOut { unit } => {
                let own = order.remove(unit);
                let vehicle = Origin::Own(own[0]);
                changes.push(Change::SetOut { vehicle });
            }
        }
        Node {
            lineup: order.concat(),
            changes,
        }
    }
}
