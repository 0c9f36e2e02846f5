//! What to change on a train whose climb was answered: asked of the hill, put in words.
//!
//! [`plan`] asks everything; [`text`] says it for a terminal and [`wire`] for programs, both with
//! the sentences of [`words`]. The change to make first is [`Plan::first`].

pub mod text;
pub mod wire;
pub mod words;

use gradeworthy_train::advice::{
    Advice, AdviceError, Advised, Adviser, Change, Coupled, End, FewestMoves, Helper, Longest,
    MakeUp, Measurements, MorePower, Reached, Stall, StopReason, Watcher, middle_of_the_train,
};
use gradeworthy_train::sweep::SweepError;
use gradeworthy_train::vehicle::Vehicle;

use super::answer::{Answer, Line};
use super::join::Consist;

/// Moves that a lead may be asked for at most.
const MOVES: usize = 3;

/// Pieces of advice of a kind.
const KEPT: usize = 3;

/// Helpers placed together at most: all pairs.
const TOGETHER: usize = 2;

/// The best place of one helper, or of two together.
#[derive(Clone, Debug, PartialEq)]
pub struct BestCut {
    /// The helpers.
    pub helpers: Vec<Helper>,
    /// Where they stand best.
    pub advised: Advised,
}

/// Everything that is advised.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The fewest single moves that bring the margin asked for.
    pub moves: FewestMoves,
    /// Each helper by itself, then each two together.
    pub cuts: Vec<BestCut>,
    /// Another order of the cars between locomotives.
    pub order: Advised,
    /// How much of the train climbs, the last and the first cars set out.
    pub longest: [Longest; 2],
    /// What spare power would do.
    pub power: MorePower,
    /// What a stall would do.
    pub stall: Option<Stall>,
    /// What to repair.
    pub repairs: Advised,
    /// What to measure.
    pub measurements: Measurements,
    /// Locomotives that are not in the train.
    pub roster: Vec<Vehicle>,
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

/// Asks everything. `roster` are locomotives that could be added; the watcher is told of each
/// search in turn.
///
/// # Errors
/// [`NoAdvice`] when the train cannot stand where it has to.
pub fn plan(
    answer: &Answer,
    consist: &Consist,
    line: &Line,
    roster: &[Vehicle],
    watcher: Watcher<'_>,
) -> Result<Plan, NoAdvice> {
    let adviser = Adviser::new(&consist.train, &line.alignment, &answer.sweep, watcher)?;
    let asked = answer.asked.least_margin;
    let cure = middle_of_the_train(&consist.train);
    Ok(Plan {
        moves: adviser.fewest_moves(asked, MOVES),
        cuts: cuts(&adviser)?,
        order: adviser.orders(&adviser.runs_of_cars())?,
        longest: [End::Head, End::Rear].map(|from| adviser.longest(asked, from)),
        power: adviser.more_power(roster, asked),
        stall: adviser.stall(&answer.sweep)?,
        repairs: adviser.repairs(&cure, KEPT),
        measurements: adviser.measurements(KEPT)?,
        roster: roster.to_vec(),
    })
}

fn cuts(adviser: &Adviser<'_>) -> Result<Vec<BestCut>, AdviceError> {
    let helpers = adviser.helpers(Coupled::AsTheyAre);
    let mut groups: Vec<Vec<Helper>> = helpers.iter().map(|own| vec![own.clone()]).collect();
    for (index, one) in helpers.iter().enumerate() {
        for other in &helpers[index + 1..] {
            groups.push(vec![one.clone(), other.clone()]);
        }
    }
    groups.retain(|own| own.len() <= TOGETHER);
    let cut = |helpers: Vec<Helper>| {
        let advised = adviser.cuts(&helpers, 1)?.advised;
        Ok(BestCut { helpers, advised })
    };
    groups.into_iter().map(cut).collect()
}

impl Plan {
    /// What to do first: the moves that bring the margin asked for; else more power, if that does;
    /// else the change of the train's order with the greatest gain. A repair is never among them.
    #[must_use]
    pub fn first(&self) -> Option<&Advice> {
        let enough = matches!(
            self.moves.reached,
            Reached::Fewest | Reached::WithAtLeast(_)
        );
        let moves = self.moves.advice.as_ref();
        if enough && moves.is_some() {
            return moves;
        }
        let power = self.power.advice.as_ref();
        if self.power.needed.is_some() && power.is_some() {
            return power;
        }
        let cuts = self.cuts.iter().flat_map(|own| &own.advised.best);
        let all = cuts.chain(&self.order.best).chain(moves);
        all.max_by(|a, b| a.margin.total_cmp(&b.margin))
    }

    /// Why the last of the searches that did not run to their end ended.
    #[must_use]
    pub fn was_stopped(&self) -> bool {
        let cuts = self.cuts.iter().map(|own| own.advised.stop);
        let others = [
            self.moves.stop,
            self.order.stop,
            self.longest[0].stop,
            self.longest[1].stop,
            self.power.stop,
            self.repairs.stop,
            self.measurements.stop,
        ];
        cuts.chain(others).any(|stop| stop == StopReason::Watcher)
    }

    /// The make-up of the train after a piece of advice.
    ///
    /// # Errors
    /// [`gradeworthy_train::advice::ChangeError`], which advice of this plan does not give.
    pub fn after(
        &self,
        advice: &Advice,
        consist: &Consist,
    ) -> Result<MakeUp, gradeworthy_train::advice::ChangeError> {
        let now = MakeUp::of(&consist.train).with_roster(&self.roster);
        Change::apply_all(&advice.changes, &now)
    }
}
