//! The odds of a trip, said and written: what a terminal, a page and a program get.

use std::ops::ControlFlow;

use gradeworthy_train::odds::{
    Draws, Narrowing, Odds, OddsError, Problem, narrowing, narrowing_trips, odds, usual,
};
use gradeworthy_train::sweep::Check;
use sha2::{Digest, Sha256};

use super::answer::Line;
use super::join::Consist;
use super::words;

mod compared;
mod spreads;
mod wire;

pub use compared::{Compared, beside};
pub use spreads::{SpreadTold, spreads};
pub use wire::OddsReport;

/// The confidence with which the odds are told.
pub const CONFIDENCE: f64 = 0.95;
/// Metres between the places that each trip looks at. ASSUMED: a car moves a margin little in a quarter
/// of a metre; every trip misses the same, so that differences between make-ups are kept.
pub const STEP_M: f64 = 0.25;
/// Trips drawn where nobody says how many.
pub const TRIPS: usize = 1_000;
/// Most trips with which the measurements are compared. ASSUMED: enough for one trip in twenty to be ten,
/// and chance cancels out of the difference; a thousand would take a page minutes.
pub const NARROW_TRIPS: usize = 200;
/// Causes and measurements told.
const TOLD: usize = 5;

/// Draws by a hash of the seed, the trip, the unknown and the vehicle's name: the same for the same
/// four, on any machine, in any order.
///
/// The first 53 bits of a SHA-256 digest ([FIPS-180-4]) as a part of 2⁵³, moved by half a step so that
/// neither 0 nor 1 is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Seeded(pub u64);

impl Draws for Seeded {
    fn uniform(&self, trip: u64, unknown: u64, vehicle: Option<&str>) -> f64 {
        let digest = Sha256::new()
            .chain_update(self.0.to_le_bytes())
            .chain_update(trip.to_le_bytes())
            .chain_update(unknown.to_le_bytes())
            .chain_update([u8::from(vehicle.is_some())])
            .chain_update(vehicle.unwrap_or_default())
            .finalize();
        let mut bytes = [0; 8];
        bytes.copy_from_slice(&digest[..8]);
        let bits = u64::from_le_bytes(bytes) >> 11;
        #[expect(clippy::cast_precision_loss, reason = "53 bits are exact in a double")]
        let part = bits as f64;
        (part + 0.5) / (1_u64 << 53) as f64
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct OddsAsked {
    /// What the train does, and how many cores share the trips; places are [`STEP_M`] apart.
    pub check: Check,
    /// How many trips.
    pub trips: usize,
    /// The seed: the same one draws the same chance.
    pub seed: u64,
    /// Whether to say which measurement would narrow the odds, by at most [`NARROW_TRIPS`] trips each.
    pub narrow: bool,
}

/// The odds of a train on a line.
#[derive(Clone, Debug)]
pub struct OddsAnswer {
    /// What was asked.
    pub asked: OddsAsked,
    /// The trips.
    pub odds: Odds,
    /// What knowing each quantity would change; empty where it was not asked.
    pub narrowing: Vec<Narrowing>,
}

/// Draws the trips of a train on a line; the watcher may end it.
///
/// # Errors
/// [`OddsError`] when the train cannot stand on the line, or no trips are asked for.
pub fn answer_odds(
    consist: &Consist,
    line: &Line,
    asked: OddsAsked,
    watch: &(dyn Fn(usize, usize) -> ControlFlow<()> + Sync),
) -> Result<OddsAnswer, OddsError> {
    let unknowns = usual();
    let problem = Problem {
        train: &consist.train,
        line: &line.alignment,
        check: Check {
            step_m: STEP_M,
            ..asked.check
        },
        unknowns: &unknowns,
        trips: asked.trips,
    };
    let narrow = Problem {
        trips: asked.trips.min(NARROW_TRIPS),
        ..problem.clone()
    };
    let more = if asked.narrow {
        narrowing_trips(&narrow)
    } else {
        0
    };
    let (draws, total) = (Seeded(asked.seed), asked.trips + more);
    let found = odds(&problem, &draws, &|done, _| watch(done, total))?;
    let is_whole = found.trips.len() == asked.trips;
    Ok(OddsAnswer {
        odds: found,
        narrowing: if asked.narrow && is_whole {
            narrowing(&narrow, &draws, &|done, _| watch(asked.trips + done, total))?
        } else {
            Vec::new()
        },
        asked,
    })
}

/// Everything as sentences, most important first.
#[must_use]
pub fn sentences(answer: &OddsAnswer, consist: &Consist) -> Vec<String> {
    let mut said = vec![headline(answer)];
    said.extend(causes(answer, consist));
    let quantile = |p| answer.odds.margin_quantile(p).map(words::number);
    if let (Some(low), Some(middle), Some(high)) = (quantile(0.05), quantile(0.5), quantile(0.95)) {
        said.push(format!(
            "the margin is {middle} in the middle of all trips, below {low} in one of twenty and \
             above {high} in one of twenty"
        ));
    }
    said.extend(measurements(answer));
    if answer.odds.trips.len() < answer.odds.asked {
        said.push(format!(
            "ended after {} of {} trips",
            answer.odds.trips.len(),
            answer.odds.asked
        ));
    }
    said.push(
        "quasi-static, couplings stretched, within the spreads stated for each number; margins against \
         models, no promise"
            .to_owned(),
    );
    said
}

/// `Trouble in 63 of 1,000 trips: 6.3 %, between 4.9 and 8.0 % with 95 % confidence`.
#[must_use]
pub fn headline(answer: &OddsAnswer) -> String {
    let found = answer.odds.probability(CONFIDENCE);
    let percent = |part: f64| format!("{:.1}", 100.0 * part);
    format!(
        "Trouble in {} of {} trips: {} %, between {} and {} % with {:.0} % confidence",
        answer.odds.troubled(),
        answer.odds.trips.len(),
        percent(found.estimate),
        percent(found.low),
        percent(found.high),
        100.0 * found.confidence
    )
}

/// What the trips in trouble came to grief by, most often first.
#[must_use]
pub fn causes(answer: &OddsAnswer, consist: &Consist) -> Vec<String> {
    let causes = answer.odds.causes();
    let rest: usize = causes.iter().skip(TOLD).map(|(_, _, count)| count).sum();
    let told = causes.iter().take(TOLD).map(|(mode, vehicle, count)| {
        let member = &consist.members[*vehicle];
        format!(
            "{count} times {} {}",
            words::who(member),
            words::way(*mode, true)
        )
    });
    let more = (rest > 0).then(|| format!("{rest} times something else"));
    told.chain(more).collect()
}

/// Which measurements would narrow the margins, most first, and by how many trips that was found.
#[must_use]
pub fn measurements(answer: &OddsAnswer) -> Vec<String> {
    if !answer.asked.narrow {
        return Vec::new();
    }
    let told = answer.narrowing.iter().take(TOLD).filter_map(narrower);
    let mut said: Vec<_> = told.collect();
    if said.is_empty() {
        said.push("no single measurement would narrow the margins by a hundredth".to_owned());
    }
    if let Some(own) = answer.narrowing.first() {
        said.push(format!(
            "compared by {} of the trips each, after a first look at every quantity with a quarter of them",
            own.odds.asked
        ));
    }
    said
}

fn narrower(own: &Narrowing) -> Option<String> {
    let (name, how) = words::quantity(own.quantity);
    // Below a hundredth it does not show in a margin as it is told.
    (own.narrower_by >= 0.01).then(|| {
        format!(
            "knowing {name} ({} vehicles) would narrow the margins of nine trips in ten by {:.2}: {how}",
            own.vehicles, own.narrower_by
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_four_draw_the_same_and_any_other_draws_another() {
        let draw = |seed, trip, unknown, vehicle| Seeded(seed).uniform(trip, unknown, vehicle);
        let own = draw(1, 2, 3, Some("QVL 4"));
        assert_eq!(own.to_bits(), draw(1, 2, 3, Some("QVL 4")).to_bits());
        for other in [
            draw(2, 2, 3, Some("QVL 4")),
            draw(1, 3, 3, Some("QVL 4")),
            draw(1, 2, 4, Some("QVL 4")),
            draw(1, 2, 3, Some("QVL 5")),
            draw(1, 2, 3, None),
        ] {
            assert_ne!(own.to_bits(), other.to_bits());
        }
    }

    /// The mean of n draws lies within 4 standard errors of 1/2, their variance within 5 % of 1/12,
    /// and a tenth of them below a tenth: a uniform distribution.
    #[test]
    fn the_draws_are_even() {
        let draws: Vec<f64> = (0..20_000)
            .map(|trip| Seeded(7).uniform(trip, 0, None))
            .collect();
        let mean = draws.iter().sum::<f64>() / 20_000.0;
        let variance = draws.iter().map(|own| (own - mean).powi(2)).sum::<f64>() / 20_000.0;
        assert!(
            (mean - 0.5).abs() < 4.0 * (1.0 / 12.0 / 20_000.0_f64).sqrt(),
            "{mean}"
        );
        assert!((variance * 12.0 - 1.0).abs() < 0.05, "{variance}");
        let low = draws.iter().filter(|own| **own < 0.1).count();
        assert!((1_830..2_170).contains(&low), "{low}");
    }
}
