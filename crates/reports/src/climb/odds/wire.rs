//! The odds for programs.

use serde::Serialize;

use super::compared::Compared;
use super::{CONFIDENCE, OddsAnswer, SpreadTold, headline, spreads};
use crate::climb::join::Consist;
use crate::climb::{wire, words};

/// The odds for programs.
#[derive(Debug, Serialize)]
pub struct OddsReport {
    /// The headline.
    said: String,
    trips: usize,
    trips_asked: usize,
    seed: u64,
    troubled: usize,
    probability: f64,
    probability_low: f64,
    probability_high: f64,
    confidence: f64,
    margin_p05: Option<f64>,
    margin_p50: Option<f64>,
    margin_p95: Option<f64>,
    causes: Vec<CauseOut>,
    narrowing: Vec<NarrowingOut>,
    narrowing_trips: Option<usize>,
    spreads: Vec<SpreadTold>,
    compared: Option<ComparedOut>,
}

#[derive(Debug, Serialize)]
struct ComparedOut {
    said: Vec<String>,
    trips: usize,
    troubled_both: usize,
    troubled_first_only: usize,
    troubled_second_only: usize,
    second_probability: f64,
    second_probability_low: f64,
    second_probability_high: f64,
    difference: f64,
    difference_low: f64,
    difference_high: f64,
    confidence: f64,
}

#[derive(Debug, Serialize)]
struct CauseOut {
    mode: &'static str,
    vehicle: String,
    trips: usize,
}

#[derive(Debug, Serialize)]
struct NarrowingOut {
    quantity: &'static str,
    vehicles: usize,
    margin_spread: f64,
    narrower_by: f64,
    probability_if_known: f64,
}

impl OddsReport {
    /// The report of an answer, with what comparing it came to.
    #[must_use]
    pub fn new(answer: &OddsAnswer, consist: &Consist, compared: Option<&Compared<'_>>) -> Self {
        let found = answer.odds.probability(CONFIDENCE);
        let causes = answer.odds.causes().into_iter();
        let narrowing = answer.narrowing.iter();
        Self {
            said: headline(answer),
            trips: answer.odds.trips.len(),
            trips_asked: answer.odds.asked,
            seed: answer.asked.seed,
            troubled: answer.odds.troubled(),
            probability: found.estimate,
            probability_low: found.low,
            probability_high: found.high,
            confidence: found.confidence,
            margin_p05: answer.odds.margin_quantile(0.05),
            margin_p50: answer.odds.margin_quantile(0.5),
            margin_p95: answer.odds.margin_quantile(0.95),
            causes: causes
                .map(|(mode, vehicle, trips)| CauseOut {
                    mode: wire::mode(mode),
                    vehicle: consist.members[vehicle].name.clone(),
                    trips,
                })
                .collect(),
            narrowing: narrowing
                .map(|own| NarrowingOut {
                    quantity: words::quantity(own.quantity).0,
                    vehicles: own.vehicles,
                    margin_spread: own.spread,
                    narrower_by: own.narrower_by,
                    probability_if_known: own.odds.probability(CONFIDENCE).estimate,
                })
                .collect(),
            narrowing_trips: answer.narrowing.first().map(|own| own.odds.asked),
            spreads: spreads(consist),
            compared: compared.map(ComparedOut::new),
        }
    }
}

impl ComparedOut {
    fn new(compared: &Compared<'_>) -> Self {
        let (own, second) = (
            compared.paired,
            compared.second.odds.probability(CONFIDENCE),
        );
        Self {
            said: compared.sentences(),
            trips: own.trips,
            troubled_both: own.both,
            troubled_first_only: own.first_only,
            troubled_second_only: own.second_only,
            second_probability: second.estimate,
            second_probability_low: second.low,
            second_probability_high: second.high,
            difference: own.difference,
            difference_low: own.low,
            difference_high: own.high,
            confidence: own.confidence,
        }
    }
}
