//! What to change in a make-up, as a job of its own, each piece as an order that can be saved.

use std::sync::Arc;

use gradeworthy_reports::climb::words;
use gradeworthy_train::advice::{Advice, Adviser, Change, Coupled, Go, MakeUp, Origin, Reached};
use gradeworthy_train::consist::{TrainOrder, read_train, write_train};
use serde::Serialize;

use super::climb::{Climb, told};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, Outcome, Progress};
use crate::refusal::Refusal;

/// Moves that are looked for at once. ASSUMED: more than three and a train is made up anew.
const MOVES_MOST: usize = 3;

/// One piece of advice.
#[derive(Debug, Serialize)]
pub(crate) struct Proposal {
    /// What to do, one sentence a change.
    pub(crate) said: Vec<String>,
    /// The margin then.
    pub(crate) margin: f64,
    /// That less the margin now.
    pub(crate) gain: f64,
    /// The train then, as a train file.
    pub(crate) train: String,
}

/// What was found.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Proposals {
    /// The most useful first.
    pub(crate) advice: Vec<Proposal>,
}

impl Outcome for Proposals {
    fn json(&self) -> Result<String, Refusal> {
        serde_json::to_string(self).map_err(|error| Refusal::Fault {
            what: error.to_string(),
        })
    }
}

impl Proposals {
    /// Those of a job, if it is one of advice and done.
    pub(crate) fn of(job: &Job) -> Option<Arc<Self>> {
        job.found()
    }
}

/// Starts looking for advice on a climb that is known, or finds the search.
pub(crate) fn start(app: &App, caller: &Caller, climb: Arc<Climb>) -> Result<Job, Refusal> {
    let id = climb.question.id("advice");
    let what = format!("advice on {}", climb.question.make_up.name);
    app.jobs()
        .start(id, &what, caller.member.id, move |progress| {
            Ok(Arc::new(look(&climb, progress)?))
        })
}

fn look(climb: &Climb, progress: &Progress) -> Result<Proposals, String> {
    let (train, track) = (&climb.consist.train, &climb.line.alignment);
    let watcher = |own: gradeworthy_train::advice::Progress| {
        if told(progress, own.done, own.total) {
            Go::On
        } else {
            Go::Stop
        }
    };
    let adviser = Adviser::new(train, track, &climb.answer.sweep, &watcher)
        .map_err(|error| error.to_string())?;
    let mut found: Vec<Advice> = Vec::new();
    let least = climb.answer.asked.least_margin;
    let fewest = adviser.fewest_moves(least, MOVES_MOST);
    found.extend(fewest.advice);
    // Moving cars is quicker than moving power; helpers are looked at where cars are not enough.
    let helpers = match fewest.reached {
        Reached::NotReached => adviser.helpers(Coupled::AsTheyAre),
        Reached::AsItIs | Reached::Fewest | Reached::WithAtLeast(_) => Vec::new(),
    };
    for helper in &helpers {
        let one = std::slice::from_ref(helper);
        let cuts = adviser.cuts(one, 1).map_err(|error| error.to_string())?;
        found.extend(cuts.advised.best);
    }
    if !told(progress, 1, 1) {
        return Err("the search was ended".to_owned());
    }
    let mut advice: Vec<Proposal> = found
        .iter()
        .filter_map(|own| proposal(climb, own))
        .collect();
    advice.sort_by(|a, b| {
        let enough = |own: &Proposal| own.margin >= least;
        let fewer = a.said.len().cmp(&b.said.len());
        enough(b)
            .cmp(&enough(a))
            .then(b.margin.total_cmp(&a.margin))
            .then(fewer)
    });
    advice.dedup_by(|a, b| a.train == b.train);
    Ok(Proposals { advice })
}

/// The advice as an order; none where it would tear a block apart.
fn proposal(climb: &Climb, advice: &Advice) -> Option<Proposal> {
    let makeup = MakeUp::of(&climb.consist.train);
    let after = Change::apply_all(&advice.changes, &makeup).ok()?;
    let order = &climb.question.order;
    let place = |origin: Origin| match origin {
        Origin::Own(place) => order.members.get(place).cloned(),
        Origin::Roster(_) => None,
    };
    let members: Option<Vec<_>> = after.order().into_iter().map(place).collect();
    let order = TrainOrder {
        members: members?,
        ..order.clone()
    };
    let train = write_train(&order);
    read_train(&train).ok()?;
    Some(Proposal {
        said: advice
            .changes
            .iter()
            .map(|change| say(climb, change))
            .collect(),
        margin: advice.margin,
        gain: advice.gain,
        train,
    })
}

fn say(climb: &Climb, change: &Change) -> String {
    let name = |origin: &Origin| match origin {
        Origin::Own(place) => climb.consist.members[*place].name.clone(),
        Origin::Roster(place) => format!("locomotive {} of the roster", place + 1),
    };
    let list = |all: &[Origin]| all.iter().map(name).collect::<Vec<_>>().join(", ");
    match change {
        Change::Move { vehicles, behind } => match behind {
            Some(behind) => format!("Move {} behind {}", list(vehicles), name(behind)),
            None => format!("Move {} to the head", list(vehicles)),
        },
        Change::Reorder { vehicles } => format!("Put in this order: {}", list(vehicles)),
        Change::SetOut { vehicle } => format!("Set out {}", name(vehicle)),
        Change::CutIn { behind, .. } => match behind {
            Some(behind) => format!("Cut in a locomotive behind {}", name(behind)),
            None => "Put a locomotive at the head".to_owned(),
        },
        Change::Repair {
            vehicle, quantity, ..
        } => format!("Mend {}: {}", name(vehicle), words::quantity(*quantity).0),
    }
}
