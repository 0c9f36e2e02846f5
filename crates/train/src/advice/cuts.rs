//! Where to cut in the helpers.
//!
//! One helper: every place between two cars, behind the head-end power and at the rear. Two and
//! three: every pair and triple of such places. Helpers that are alike are interchanged freely, so
//! that a pair is counted once; others in one gap keep their order. All cuts are compared by bounds
//! (see `contest.rs`) and the best is exact. Above [`MOST`] cuts every second place (or fourth, ...)
//! is compared first and the neighbourhood of the best after it; then the best is only found.

use super::adviser::{AdviceError, Advised, Adviser, Claim};
use super::change::Change;
use super::contest::{Contest, Outcome};
use super::makeup::Origin;
use super::pool::Lineup;
use super::units::{Helper, units};

/// Most cuts that are compared one with another: all triples of three like helpers among 100 cars.
const MOST: usize = 200_000;

/// A cut and how good it can be.
#[derive(Clone, Debug, PartialEq)]
pub struct CutMargin {
    /// For each helper the vehicle it stands behind; the head of the train where there is none.
    pub behind: Vec<Option<Origin>>,
    /// The margin does not exceed this; none where the train cannot stand.
    pub at_most: Option<f64>,
}

/// What came of the search for cuts.
#[derive(Clone, Debug, PartialEq)]
pub struct Cuts {
    /// The best cuts.
    pub advised: Advised,
    /// Every cut that was compared.
    pub compared: Vec<CutMargin>,
}

impl Adviser<'_> {
    /// The `keep` best cuts of one, two or three helpers, placed together; other helpers stay.
    ///
    /// # Errors
    /// [`AdviceError`] for no helper or more than three, or one that is not there.
    pub fn cuts(&self, helpers: &[Helper], keep: usize) -> Result<Cuts, AdviceError> {
        if !(1..=3).contains(&helpers.len()) {
            let count = helpers.len();
            return Err(AdviceError::Helpers { count });
        }
        for helper in helpers {
            self.check_helper(helper)?;
        }
        let ground = Ground::of(self, helpers);
        let all = ground.places.len();
        let mut stride = 1;
        let mut cuts = ground.cuts(&vec![(0, all); helpers.len()], stride);
        while cuts.len() > MOST {
            stride *= 2;
            cuts = ground.cuts(&vec![(0, all); helpers.len()], stride);
        }
        let mut contest = self.contest(&self.pool);
        let mut outcome = self.compare(&mut contest, &ground, &cuts, keep, self.margin());
        let claim = if stride == 1 {
            Claim::Best
        } else {
            self.refine(&mut contest, &ground, (&mut cuts, &mut outcome), stride);
            Claim::Found
        };
        let advised = self.advised(&outcome, claim, |placed| {
            let cut = &cuts[placed.candidate];
            let lineup = ground.lineup(cut);
            let changes = ground.changes(cut, &lineup);
            self.advice(&self.pool, &lineup, changes, &placed.hardest)
        });
        let row = |(cut, at_most): (&Vec<usize>, &Option<f64>)| CutMargin {
            behind: ground.behind(cut),
            at_most: *at_most,
        };
        let compared = cuts.iter().zip(&outcome.at_most).map(row).collect();
        Ok(Cuts { advised, compared })
    }

    fn compare(
        &self,
        contest: &mut Contest<'_>,
        ground: &Ground,
        cuts: &[Vec<usize>],
        keep: usize,
        above: f64,
    ) -> Outcome {
        let build = |own: usize| ground.lineup(&cuts[own]);
        contest.best(cuts.len(), &build, self.goal(keep, above))
    }

    /// Looks around the best of a thinned search, and takes what is better.
    fn refine(
        &self,
        contest: &mut Contest<'_>,
        ground: &Ground,
        (cuts, outcome): (&mut Vec<Vec<usize>>, &mut Outcome),
        stride: usize,
    ) {
        let Some(best) = outcome.best.first().copied() else {
            return;
        };
        let all = ground.places.len();
        let around: Vec<(usize, usize)> = cuts[best.candidate]
            .iter()
            .map(|at| (at.saturating_sub(stride - 1), (at + stride).min(all)))
            .collect();
        let near = ground.cuts(&around, 1);
        let above = 1.0 - best.hardest.ratio;
        let found = self.compare(contest, ground, &near, 1, above);
        outcome.looks += found.looks;
        outcome.stop = found.stop;
        for mut placed in found.best.into_iter().rev() {
            placed.candidate += cuts.len();
            outcome.best.insert(0, placed);
        }
        outcome.at_most.extend(found.at_most);
        cuts.extend(near);
    }
}

/// The train without the helpers, and where they may stand in it.
struct Ground {
    helpers: Vec<Helper>,
    /// Whether the helpers are alike.
    alike: bool,
    /// What is left, in units.
    rest: Vec<std::ops::Range<usize>>,
    /// How many units may stand ahead of a helper.
    places: Vec<usize>,
    /// Where each helper stands now.
    now: Vec<usize>,
}

impl Ground {
    fn of(adviser: &Adviser<'_>, helpers: &[Helper]) -> Self {
        let numbers = adviser.train.numbers();
        let mut helpers = helpers.to_vec();
        helpers.sort_by_key(|helper| helper.vehicles.start);
        let is_helper = |place: usize| helpers.iter().any(|own| own.vehicles.contains(&place));
        let mut rest: Vec<std::ops::Range<usize>> = Vec::new();
        for unit in units(numbers) {
            let mut left = unit.filter(|place| !is_helper(*place)).peekable();
            while let Some(first) = left.next() {
                let mut end = first + 1;
                while left.next_if_eq(&end).is_some() {
                    end += 1;
                }
                rest.push(first..end);
            }
        }
        let headed = rest
            .first()
            .is_some_and(|unit| numbers[unit.start].power.is_some());
        let shape = |own: &Helper| &numbers[own.vehicles.clone()];
        let alike = helpers
            .windows(2)
            .all(|pair| shape(&pair[0]) == shape(&pair[1]));
        let ahead = |own: &Helper| {
            rest.iter()
                .filter(|unit| unit.start < own.vehicles.start)
                .count()
        };
        Self {
            now: helpers.iter().map(ahead).collect(),
            places: (usize::from(headed)..=rest.len()).collect(),
            alike,
            rest,
            helpers,
        }
    }

    /// Every cut with each helper at every `stride`-th place of its range.
    fn cuts(&self, ranges: &[(usize, usize)], stride: usize) -> Vec<Vec<usize>> {
        let mut cuts = vec![Vec::new()];
        for &(from, to) in ranges {
            let mut longer = Vec::new();
            for cut in &cuts {
                let least = match cut.last() {
                    Some(last) if self.alike => from.max(*last),
                    _ => from,
                };
                let first = least.div_ceil(stride) * stride;
                for at in (first..to).step_by(stride) {
                    let mut next: Vec<usize> = cut.clone();
                    next.push(at);
                    longer.push(next);
                }
            }
            cuts = longer;
        }
        cuts
    }

    /// The train with the helpers cut in.
    fn lineup(&self, cut: &[usize]) -> Lineup {
        let mut lineup = Vec::new();
        for ahead in 0..=self.rest.len() {
            for (helper, at) in self.helpers.iter().zip(cut) {
                if self.places[*at] == ahead {
                    lineup.extend(helper.vehicles.clone());
                }
            }
            if let Some(unit) = self.rest.get(ahead) {
                lineup.extend(unit.clone());
            }
        }
        lineup
    }

    /// The moves of the helpers that do not stay, in the order in which they stand afterwards.
    fn changes(&self, cut: &[usize], lineup: &[usize]) -> Vec<Change> {
        let mut moved: Vec<(usize, &Helper)> = self
            .helpers
            .iter()
            .zip(cut)
            .zip(&self.now)
            .filter(|((_, at), now)| self.places[**at] != **now)
            .filter_map(|((helper, _), _)| {
                let place = lineup
                    .iter()
                    .position(|own| *own == helper.vehicles.start)?;
                Some((place, helper))
            })
            .collect();
        moved.sort_by_key(|(place, _)| *place);
        let change = |(place, helper): (usize, &Helper)| Change::Move {
            vehicles: helper.origins(),
            behind: place.checked_sub(1).map(|ahead| Origin::Own(lineup[ahead])),
        };
        moved.into_iter().map(change).collect()
    }

    fn behind(&self, cut: &[usize]) -> Vec<Option<Origin>> {
        let ahead = |at: &usize| {
            let unit = self.places[*at].checked_sub(1)?;
            Some(Origin::Own(self.rest[unit].end - 1))
        };
        cut.iter().map(ahead).collect()
    }
}
