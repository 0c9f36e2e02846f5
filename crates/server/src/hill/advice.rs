//! What to change in a train, as a patient job: each part can be read as soon as it is answered, and
//! each piece is an order that can be saved.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use gradeworthy_reports::climb::advice::{
    Part, Plan, Question as Asked, Said, Together, Topic, plan, topics, wire,
};
use gradeworthy_train::advice::{Go, Progress as Search};
use gradeworthy_train::consist::{TrainOrder, read_train, write_train};
use serde::Serialize;

use super::climb::{Climb, Question, told};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, Outcome, Progress, written};
use crate::refusal::Refusal;

/// Steps of the bar for each part of the plan.
const STEPS: usize = 100;

/// What was found, all of it or so far.
pub(crate) struct Found {
    climb: Arc<Climb>,
    plan: Plan,
}

/// A piece of advice for programs.
#[derive(Serialize)]
struct PieceOut {
    piece: String,
    said: String,
    margin: f64,
    gain: f64,
    train: String,
}

#[derive(Serialize)]
struct FoundOut {
    advice: Vec<PieceOut>,
    plan: wire::PlanOut,
}

impl Outcome for Found {
    fn json(&self) -> Result<String, Refusal> {
        let climb = &self.climb;
        let (asked, margin) = (climb.answer.asked.least_margin, climb.margin());
        let topics = self.topics();
        let said = topics.iter().flat_map(|own| &own.said);
        let out = FoundOut {
            advice: said.filter_map(|own| self.piece_out(own)).collect(),
            plan: wire::plan(&self.plan, &climb.consist, asked, margin),
        };
        written(serde_json::to_string(&out))
    }
}

impl Found {
    /// That of a job, if it is one of advice and has answered a part.
    pub(crate) fn of(job: &Job) -> Option<Arc<Self>> {
        job.found()
    }

    /// Everything under its headings.
    pub(crate) fn topics(&self) -> Vec<Topic> {
        let climb = &self.climb;
        topics(
            &self.plan,
            &climb.consist,
            climb.answer.asked.least_margin,
            climb.margin(),
        )
    }

    /// The parts that are not answered.
    pub(crate) fn missing(&self) -> Vec<Part> {
        let answered = |part: &Part| self.plan.answered.contains(part);
        Part::ALL.into_iter().filter(|own| !answered(own)).collect()
    }

    /// The order after a piece of advice.
    ///
    /// # Errors
    /// What is wrong with it: it would tear a block of the make-up apart.
    pub(crate) fn order(&self, piece: &str) -> Option<Result<TrainOrder, String>> {
        let advice = self.plan.piece(piece)?;
        let after = self.plan.after(advice, &self.climb.consist).ok()?;
        let order = after.as_order(&self.climb.question.order);
        Some(read_train(&write_train(&order)).map_err(|error| error.to_string()))
    }

    fn piece_out(&self, said: &Said) -> Option<PieceOut> {
        let piece = said.piece.clone()?;
        let (margin, gain) = said.margin_and_gain?;
        let order = self.order(&piece)?.ok()?;
        Some(PieceOut {
            piece,
            said: said.words.clone(),
            margin,
            gain,
            train: write_train(&order),
        })
    }
}

/// The word for a search in its identity.
const fn kind(together: Together) -> &'static str {
    match together {
        Together::One => "advice, one helper",
        Together::Two => "advice",
        Together::Three => "advice, three helpers",
    }
}

/// The search there is for this climb, running, done or ended.
pub(crate) fn find(app: &App, question: &Question, together: Together) -> Option<Job> {
    app.jobs().find(question.id(kind(together))).ok()
}

/// Starts looking for advice on a climb that is known, or finds the search.
pub(crate) fn start(
    app: &App,
    caller: &Caller,
    climb: Arc<Climb>,
    together: Together,
) -> Result<Job, Refusal> {
    let id = climb.question.id(kind(together));
    let what = format!("advice on {}", climb.question.make_up.name);
    app.jobs()
        .start_patient(id, &what, caller.member.id, move |progress| {
            look(&climb, together, progress)
        })
}

fn look(
    climb: &Arc<Climb>,
    together: Together,
    progress: &Progress,
) -> Result<Arc<dyn Outcome>, String> {
    let question = Asked {
        answer: &climb.answer,
        consist: &climb.consist,
        line: &climb.line,
        roster: &climb.roster,
        blocks: &climb.question.order.blocks,
        together,
    };
    let total = STEPS * Part::ALL.len();
    let parts = AtomicUsize::new(0);
    let watcher = |search: Search| {
        let own = STEPS * search.done / search.total.max(1);
        let done = STEPS * parts.load(Ordering::Relaxed) + own.min(STEPS);
        progress.give_way();
        if told(progress, done, total) {
            Go::On
        } else {
            Go::Stop
        }
    };
    let found = |plan: &Plan| -> Arc<dyn Outcome> {
        Arc::new(Found {
            climb: Arc::clone(climb),
            plan: plan.clone(),
        })
    };
    let plan = plan(question, &watcher, &mut |plan| {
        parts.store(plan.answered.len(), Ordering::Relaxed);
        progress.show(found(plan));
    });
    let plan = plan.map_err(|error| error.to_string())?;
    if plan.stopped {
        return Err("the search was ended".to_owned());
    }
    Ok(found(&plan))
}
