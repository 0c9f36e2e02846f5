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

/// Quantities that are looked at with all trips. ASSUMED: more than anybody goes and measures.
pub const KEPT: usize = 6;
/// Of so many trips, one is made for the first look at every quantity.
const SCOUT: usize = 4;

/// What knowing each quantity would change, most first: the [`KEPT`] that change most; shorter where the
/// watcher broke.
///
/// Every quantity is first tried with a quarter of `problem.trips`, the trips being the same ones for
/// all; those that narrow most then with all of them. With q quantities that costs
/// (q + 1)/4 + [`KEPT`] + 1 times as many trips as the odds, against q + 1 times in full. A quantity
/// whose worth shows only in rare trips may be missed by the first look.
///
/// # Errors
/// As [`odds`].
pub fn narrowing(
    problem: &Problem<'_>,
    draws: &dyn Draws,
    watch: &(dyn Fn(usize, usize) -> ControlFlow<()> + Sync),
) -> Result<Vec<Narrowing>, OddsError> {
    let quantities = drawn_quantities(problem);
    let cost = Cost::of(problem, quantities.len());
    let (kept, scouting, total) = (cost.kept, cost.scouting, cost.total);
    let scout = Problem {
        trips: cost.scout_trips,
        ..problem.clone()
    };
    let run = |own: &Problem<'_>, before: usize, without: &[Option<Quantity>]| {
        let mut found = Vec::new();
        for (index, known) in without.iter().enumerate() {
            let watch = |done: usize, _: usize| watch(before + index * own.trips + done, total);
            let odds = odds_without(own, *known, draws, &watch)?;
            if odds.trips.len() < own.trips {
                break;
            }
            found.push((*known, odds));
        }
        Ok::<_, OddsError>(told(problem, found))
    };
    let every = |all: &[Quantity]| {
        let known = all.iter().copied().map(Some);
        std::iter::once(None).chain(known).collect::<Vec<_>>()
    };
    let worth = if scouting > 0 {
        let mut first = run(&scout, 0, &every(&quantities))?;
        if first.len() < quantities.len() {
            return Ok(Vec::new());
        }
        first.truncate(kept);
        first.into_iter().map(|own| own.quantity).collect()
    } else {
        quantities
    };
    run(problem, scouting, &every(&worth))
}

/// How many trips [`narrowing`] makes in all.
#[must_use]
pub fn narrowing_trips(problem: &Problem<'_>) -> usize {
    Cost::of(problem, drawn_quantities(problem).len()).total
}

struct Cost {
    kept: usize,
    scout_trips: usize,
    scouting: usize,
    total: usize,
}

impl Cost {
    fn of(problem: &Problem<'_>, quantities: usize) -> Self {
        let kept = quantities.min(KEPT);
        let scout_trips = problem.trips.div_ceil(SCOUT);
        let scouting = if quantities > kept {
            (quantities + 1) * scout_trips
        } else {
            0
        };
        Self {
            kept,
            scout_trips,
            scouting,
            total: scouting + (kept + 1) * problem.trips,
        }
    }
}

/// The quantities of which any vehicle has an entry that is drawn.
fn drawn_quantities(problem: &Problem<'_>) -> Vec<Quantity> {
    let mut quantities: Vec<Quantity> = Vec::new();
    for unknown in problem.unknowns {
        let mut vehicles = problem.train.vehicles().iter();
        if !quantities.contains(&unknown.quantity) && vehicles.any(|own| unknown.moves(own)) {
            quantities.push(unknown.quantity);
        }
    }
    quantities
}

/// How much narrower each is than the first, of which nothing more is known; most first.
fn told(problem: &Problem<'_>, found: Vec<(Option<Quantity>, Odds)>) -> Vec<Narrowing> {
    let mut found = found.into_iter();
    let Some((None, all)) = found.next() else {
        return Vec::new();
    };
    let whole = width(&all);
    let mut told: Vec<Narrowing> = found
        .filter_map(|(quantity, odds)| {
            let (quantity, spread) = (quantity?, width(&odds));
            let moved = |own: &&crate::vehicle::Vehicle| {
                let mut own_unknowns = problem.unknowns.iter();
                own_unknowns.any(|unknown| unknown.quantity == quantity && unknown.moves(own))
            };
            Some(Narrowing {
                quantity,
                vehicles: problem.train.vehicles().iter().filter(moved).count(),
                spread,
                narrower_by: whole - spread,
                odds,
            })
        })
        .collect();
    told.sort_by(|a, b| b.narrower_by.total_cmp(&a.narrower_by));
    told
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
