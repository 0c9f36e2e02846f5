//! The odds of a trip, as a job: a make-up on a line, perhaps a second one that meets the same evenings,
//! perhaps with which measurement would narrow them.

use std::sync::Arc;

use gradeworthy_reports::climb::odds::{Compared, OddsReport, TRIPS, beside};
use gradeworthy_reports::climb::{Consist, OddsAnswer, OddsAsked, answer_odds};

use super::climb::{Joined, Question};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, JobId, Outcome, Progress, written};
use crate::refusal::Refusal;

/// Trips that are drawn at the most. ASSUMED: some ten minutes of a small machine for a hundred cars; more
/// would narrow the interval to a part of a per cent, which no spread here bears.
pub(crate) const TRIPS_MOST: usize = 100_000;

/// What is asked.
#[derive(Clone)]
pub(crate) struct Asked {
    pub(crate) first: Question,
    pub(crate) second: Option<Question>,
    pub(crate) trips: usize,
    pub(crate) seed: u64,
    pub(crate) narrow: bool,
}

/// Which and how, by numbers.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Numbers {
    pub(crate) line: i64,
    pub(crate) make_up: i64,
    pub(crate) with: Option<i64>,
    pub(crate) trips: Option<usize>,
    pub(crate) seed: Option<u64>,
    pub(crate) narrow: bool,
}

impl Asked {
    /// Reads what the record says now.
    pub(crate) fn read(app: &App, own: Numbers) -> Result<Self, Refusal> {
        let trips = own.trips.unwrap_or(TRIPS);
        if !(1..=TRIPS_MOST).contains(&trips) {
            let fault = format!("{trips} trips were asked for: from 1 to {TRIPS_MOST} are drawn");
            return Err(Refusal::Hill {
                faults: vec![fault],
            });
        }
        let second = own.with.map(|with| Question::read(app, own.line, with));
        Ok(Self {
            first: Question::read(app, own.line, own.make_up)?,
            second: second.transpose()?,
            trips,
            seed: own.seed.unwrap_or(1),
            narrow: own.narrow,
        })
    }

    fn id(&self) -> JobId {
        let mut more = vec![
            self.trips.to_string(),
            self.seed.to_string(),
            self.narrow.to_string(),
        ];
        more.extend(self.second.as_ref().map(|own| own.id("odds").to_string()));
        self.first.id_with("odds", &more)
    }

    /// Starts the trips, or finds them.
    pub(crate) fn start(self, app: &App, caller: &Caller) -> Result<Job, Refusal> {
        let (id, own) = (self.id(), app.clone());
        let what = format!("Odds of {}", self.first.make_up.name);
        app.jobs()
            .start(id, &what, caller.member.id, move |progress| {
                let found = self.draw(&own, progress).map_err(|why| why.to_string())?;
                Ok(Arc::new(found))
            })
    }

    fn draw(&self, app: &App, progress: &Progress) -> Result<Found, Refusal> {
        // The second is half the bar; which measurement would narrow is asked of the first only.
        let halves = if self.second.is_some() { 2 } else { 1 };
        let first = self.one(app, &self.first, self.narrow, &|done, total| {
            progress.tell(done, halves * total)
        })?;
        let second = self.second.as_ref().map(|own| {
            self.one(app, own, false, &|done, total| {
                progress.tell(total + done, 2 * total)
            })
        });
        Ok(Found {
            asked: self.clone(),
            first,
            second: second.transpose()?,
        })
    }

    fn one(
        &self,
        app: &App,
        question: &Question,
        narrow: bool,
        watch: &(dyn Fn(usize, usize) -> std::ops::ControlFlow<()> + Sync),
    ) -> Result<Side, Refusal> {
        let Joined { consist, line, .. } = question.join(app)?;
        // On one core, as a climb: the others are the benches'.
        let asked = OddsAsked {
            check: question.asked().check,
            trips: self.trips,
            seed: self.seed,
            narrow,
        };
        let answer =
            answer_odds(&consist, &line, asked, watch).map_err(|error| stock::faults(&error))?;
        if answer.odds.trips.len() < self.trips {
            return Err(Refusal::NotDone);
        }
        Ok(Side {
            name: question.make_up.name.to_string(),
            consist,
            answer,
        })
    }
}

/// One make-up and its odds.
pub(crate) struct Side {
    pub(crate) name: String,
    pub(crate) consist: Consist,
    pub(crate) answer: OddsAnswer,
}

/// What the trips came to.
pub(crate) struct Found {
    pub(crate) asked: Asked,
    pub(crate) first: Side,
    pub(crate) second: Option<Side>,
}

impl Found {
    /// The second beside the first, where there is one.
    pub(crate) fn compared(&self) -> Option<Compared<'_>> {
        let (first, second) = (&self.first, self.second.as_ref()?);
        beside((&first.name, &first.answer), (&second.name, &second.answer))
    }
}

impl Outcome for Found {
    fn json(&self) -> Result<String, Refusal> {
        let compared = self.compared();
        let report = OddsReport::new(&self.first.answer, &self.first.consist, compared.as_ref());
        written(serde_json::to_string(&report))
    }
}
