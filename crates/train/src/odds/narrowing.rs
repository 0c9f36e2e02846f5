//! Which measurement would narrow the odds most.
//!
//! For each quantity that is drawn, the same trips are run once more with that quantity known: held at
//! the value on the card. What is lost of the spread of margins is what knowing it would be worth.
//! The draws of everything else are the same, so chance cancels out of the difference.

use std::ops::ControlFlow;

use super::Draws;
use super::run::{Odds, OddsError, Problem, odds};
use crate::vehicle::Quantity;

/// What knowing one quantity would change.
#[derive(Clone, Debug, PartialEq)]
pub struct Narrowing {
    /// The quantity.
    pub quantity: Quantity,
    /// How many vehicles have an entry of it that is drawn.
    pub vehicles: usize,
    /// Distance between the 5 % and the 95 % margin with it known.
    pub spread: f64,
    /// How much narrower that is than with nothing more known.
    pub narrower_by: f64,
    /// The odds with it known.
    pub odds: Odds,
}

/// What knowing each quantity would change, most first; shorter where the watcher broke.
///
/// Costs `problem.trips` trips for each quantity that is drawn.
///
/// # Errors
/// As [`odds`].
pub fn narrowing(
    problem: &Problem<'_>,
    draws: &dyn Draws,
    watch: &(dyn Fn(usize, usize) -> ControlFlow<()> + Sync),
) -> Result<Vec<Narrowing>, OddsError> {
    let mut quantities: Vec<Quantity> = Vec::new();
    for unknown in problem.unknowns {
        let moved = problem.train.vehicles().iter();
        if !quantities.contains(&unknown.quantity) && moved.clone().any(|own| unknown.moves(own)) {
            quantities.push(unknown.quantity);
        }
    }
    let total = (quantities.len() + 1) * problem.trips;
    let run = |before: usize, without: Option<Quantity>| {
        let watch = |done: usize, _: usize| watch(before * problem.trips + done, total);
        odds_without(problem, without, draws, &watch)
    };
    let all = run(0, None)?;
    let whole = width(&all);
    let mut found = Vec::new();
    for (index, &quantity) in quantities.iter().enumerate() {
        let known = run(index + 1, Some(quantity))?;
        if known.trips.len() < problem.trips {
            break;
        }
        let spread = width(&known);
        let moved = |own: &&crate::vehicle::Vehicle| {
            let mut own_unknowns = problem.unknowns.iter();
            own_unknowns.any(|unknown| unknown.quantity == quantity && unknown.moves(own))
        };
        found.push(Narrowing {
            quantity,
            vehicles: problem.train.vehicles().iter().filter(moved).count(),
            spread,
            narrower_by: whole - spread,
            odds: known,
        });
    }
    found.sort_by(|a, b| b.narrower_by.total_cmp(&a.narrower_by));
    Ok(found)
}

fn width(odds: &Odds) -> f64 {
    let quantile = |p| odds.margin_quantile(p).unwrap_or(0.0);
    quantile(0.95) - quantile(0.05)
}

/// The odds with one quantity known. Draws keep their numbers, whatever is left out.
fn odds_without(
    problem: &Problem<'_>,
    known: Option<Quantity>,
    draws: &dyn Draws,
    watch: &(dyn Fn(usize, usize) -> ControlFlow<()> + Sync),
) -> Result<Odds, OddsError> {
    let kept = |index: &u64| {
        let place = usize::try_from(*index).unwrap_or(usize::MAX);
        let unknown = problem.unknowns.get(place);
        unknown.is_some_and(|unknown| Some(unknown.quantity) != known)
    };
    let places: Vec<u64> = (0..).take(problem.unknowns.len()).filter(kept).collect();
    let left: Vec<_> = problem
        .unknowns
        .iter()
        .filter(|unknown| Some(unknown.quantity) != known)
        .copied()
        .collect();
    let same = Renumbered { draws, places };
    odds(
        &Problem {
            unknowns: &left,
            ..problem.clone()
        },
        &same,
        watch,
    )
}

/// Draws of a shorter list under the numbers of the whole one.
struct Renumbered<'a> {
    draws: &'a dyn Draws,
    places: Vec<u64>,
}

impl Draws for Renumbered<'_> {
    fn uniform(&self, trip: u64, unknown: u64, vehicle: Option<&str>) -> f64 {
        let place = usize::try_from(unknown).unwrap_or(usize::MAX);
        let whole = self.places.get(place).copied().unwrap_or(unknown);
        self.draws.uniform(trip, whole, vehicle)
    }
}
