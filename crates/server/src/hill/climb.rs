//! The climb of a make-up on a line, as a job: records joined, the hill asked, every place kept.

use std::ops::ControlFlow;
use std::sync::Arc;

use gradeworthy_reports::climb::{
    Answer, Asked, Consist, LEAST_MARGIN, Line, Stock, answer_watched, join, spare_power, wire,
    words,
};
use gradeworthy_store::{CarId, HillEdition, HillKind};
use gradeworthy_train::consist::{Locomotive, TrainOrder};
use gradeworthy_train::line::NamedSpan;
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{
    Check, Cores, JERK_ALLOWANCE, Passage, Snapshot as There, passage, snapshot,
};
use gradeworthy_train::vehicle::Vehicle;
use gradeworthy_workbench::checks::inspect;

use super::bytes::{Bytes, single};
use super::stock::{self, Seat, Who};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, JobId, Outcome, Progress, written};
use crate::refusal::Refusal;

/// Distance between places of the head, m. ASSUMED: fine beside a truck's wheelbase of some 20 mm.
const STEP_M: f64 = 0.01;
/// Places of the moving picture at the most.
const PLACES_MOST: usize = 10_000;

/// What a climb works on, as it stands in the record.
#[derive(Clone)]
pub(crate) struct Question {
    pub(crate) line: HillEdition,
    pub(crate) make_up: HillEdition,
    pub(crate) order: TrainOrder,
    pub(crate) seats: Vec<Seat>,
    pub(crate) power: Vec<(HillEdition, Locomotive)>,
    inputs: Vec<String>,
}

impl Question {
    /// Reads what the record says now.
    pub(crate) fn read(app: &App, line: i64, make_up: i64) -> Result<Self, Refusal> {
        let snapshot = app.store().snapshot()?;
        let line = snapshot.hill_item(HillKind::Line, line)?;
        let make_up = snapshot.hill_item(HillKind::MakeUp, make_up)?;
        let order = stock::order(&make_up)?;
        let power = stock::power(&snapshot)?;
        let seats = stock::seats(&snapshot, &order.members, &power)?;
        let mut inputs = vec![
            format!("{} {}", line.item, line.edition),
            format!("{} {}", make_up.item, make_up.edition),
            app.today().to_string(),
            app.books()
                .holding(&snapshot, app.today())?
                .edition
                .to_string(),
        ];
        inputs.extend(
            power
                .iter()
                .map(|(own, _)| format!("{} {}", own.item, own.edition)),
        );
        for seat in &seats {
            inputs.push(match &seat.who {
                Who::Car(row) => format!("{} {}", row.car, snapshot.version(row.car)?.number()),
                _ => seat.member.name.clone(),
            });
        }
        Ok(Self {
            line,
            make_up,
            order,
            seats,
            power,
            inputs,
        })
    }

    /// The name of the work on it.
    pub(crate) fn id(&self, kind: &str) -> JobId {
        self.id_with(kind, &[])
    }

    /// The same of work that is asked more than a train and a line.
    pub(crate) fn id_with(&self, kind: &str, more: &[String]) -> JobId {
        JobId::of(kind, self.inputs.iter().chain(more).map(String::as_str))
    }

    /// Starts the climb, or finds it.
    pub(crate) fn start(self, app: &App, caller: &Caller) -> Result<Job, Refusal> {
        let id = self.id("climb");
        let what = format!("{} on {}", self.make_up.name, self.line.name);
        let own = app.clone();
        app.jobs()
            .start(id, &what, caller.member.id, move |progress| {
                let climb = self.climb(&own, progress).map_err(|why| why.to_string())?;
                Ok(Arc::new(climb))
            })
    }

    /// The train joined to its records, and the line as its longest vehicle finds it.
    pub(crate) fn join(&self, app: &App) -> Result<Joined, Refusal> {
        let unknown: Vec<_> = self.seats.iter().filter(|seat| !seat.is_known()).collect();
        if !unknown.is_empty() {
            let faults = unknown.iter().filter_map(|seat| seat.trouble()).collect();
            return Err(Refusal::Hill { faults });
        }
        let line = stock::line(&self.line)?;
        let (consist, roster) = self.consist(app, line.gauge_m())?;
        Ok(Joined {
            line: line.for_train(&consist),
            consist,
            roster,
        })
    }

    /// What the order asks of its train.
    pub(crate) fn asked(&self) -> Asked {
        asked(&self.order)
    }

    /// What a lead must know before he believes an answer: cars that may not run, bench, line.
    pub(crate) fn notices(&self, consist: &Consist, line: &Line) -> Vec<String> {
        let seats = self.seats.iter().filter_map(Seat::trouble);
        let bench = consist.members.iter().flat_map(words::bench);
        let track = line.findings.iter();
        seats
            .chain(bench)
            .chain(track.map(|own| format!("Line: {}", words::line(own))))
            .collect()
    }

    fn climb(&self, app: &App, progress: &Progress) -> Result<Climb, Refusal> {
        let Joined {
            consist,
            line,
            roster,
        } = self.join(app)?;
        let named = |error: &dyn std::fmt::Display| stock::faults(&error.to_string());
        let asked = self.asked();
        // The climb is told first, the picture after it: two halves of one bar.
        let answer = answer_watched(&consist, &line, asked, &|done, total| {
            progress.tell(done, 2 * total)
        });
        let answer = answer.map_err(|error| named(&error))?;
        let picture = |done, total| progress.tell(total + done, 2 * total);
        let passage = passage(
            &consist.train,
            &line.alignment,
            &asked.check,
            PLACES_MOST,
            &picture,
        );
        Ok(Climb {
            answer,
            line,
            passage: passage.map_err(|error| named(&error))?,
            cars: self.seats.iter().map(car).collect(),
            question: self.clone(),
            consist,
            roster,
        })
    }

    /// The train joined to its bench records, and the locomotives that are not in it.
    fn consist(&self, app: &App, gauge_m: Option<f64>) -> Result<(Consist, Vec<Vehicle>), Refusal> {
        let snapshot = app.store().snapshot()?;
        let book = app.books().holding(&snapshot, app.today())?;
        let mut cars = Vec::new();
        for seat in &self.seats {
            if let Who::Car(row) = &seat.who {
                let record = snapshot.record(row.car)?.record;
                let judged = inspect(&record, &book, &app.settings().shop, app.today());
                cars.push((record, judged));
            }
        }
        let power: Vec<_> = self.power.iter().map(|(_, own)| own.clone()).collect();
        let stock = Stock {
            cars: &cars,
            marks: &[],
            power: &power,
            book: &book,
            gauge_m,
        };
        let consist = join(&self.order, stock).map_err(|error| stock::faults(&error))?;
        let spare = spare_power(&self.order, stock).map_err(|error| stock::faults(&error))?;
        Ok((consist, spare))
    }
}

/// A train as its records have it, on the line as its longest vehicle finds it.
pub(crate) struct Joined {
    pub(crate) consist: Consist,
    pub(crate) line: Line,
    /// The locomotives that are not in the train.
    pub(crate) roster: Vec<Vehicle>,
}

fn car(seat: &Seat) -> Option<CarId> {
    match &seat.who {
        Who::Car(row) => Some(row.car),
        Who::Locomotive | Who::Nobody | Who::Several(_) | Who::Both => None,
    }
}

fn asked(order: &TrainOrder) -> Asked {
    let mut check = Check::new(order.condition.unwrap_or(Condition::Running), STEP_M);
    check.law = order.curve_drag.unwrap_or_default();
    check.slack = order.slack.unwrap_or_default();
    check.cores = Cores::One;
    Asked {
        check,
        least_margin: order.least_margin.unwrap_or(LEAST_MARGIN),
        jerk_allowance: order.jerk_allowance.unwrap_or(JERK_ALLOWANCE),
        piece_m: 0.05,
    }
}

/// A climb that was worked out.
pub(crate) struct Climb {
    pub(crate) question: Question,
    pub(crate) consist: Consist,
    /// The locomotives that are not in the train.
    pub(crate) roster: Vec<Vehicle>,
    pub(crate) line: Line,
    pub(crate) answer: Answer,
    pub(crate) passage: Passage,
    /// The record's car of each vehicle, where it is one.
    pub(crate) cars: Vec<Option<CarId>>,
}

impl Outcome for Climb {
    fn json(&self) -> Result<String, Refusal> {
        written(wire::json(&self.answer, &self.consist, &self.line))
    }
}

impl Climb {
    /// The climb of a job, if it is one and done.
    pub(crate) fn of(job: &Job) -> Option<Arc<Self>> {
        job.found()
    }

    pub(crate) fn margin(&self) -> f64 {
        self.answer.margin.margin
    }

    /// Whether as much is left as the club asks for.
    pub(crate) fn is_enough(&self) -> bool {
        self.margin() >= self.answer.asked.least_margin
    }

    /// Everything at one place of the head, kept inside the climb.
    pub(crate) fn there(&self, head_s: f64) -> Result<There, Refusal> {
        let heads = &self.passage.head_s;
        let (first, last) = match (heads.first(), heads.last()) {
            (Some(first), Some(last)) => (*first, *last),
            _ => (0.0, 0.0),
        };
        let (train, track) = (&self.consist.train, &self.line.alignment);
        let head_s = head_s.clamp(first, last);
        snapshot(train, track, &self.answer.asked.check, head_s)
            .map_err(|error| stock::faults(&error))
    }

    pub(crate) fn places(&self) -> &[NamedSpan] {
        &self.line.places
    }
}

/// The picture's data, little-endian, for the page's script; see `scripts/src/hill/film.ts`.
///
/// A head of 32-bit numbers (places, vehicles, points of line, stations; newtons and margin of one
/// step, as floats), then floats: place of the head at each place; the line's points (s, x, y, height
/// as the drawing has them); half the distance between bolsters of each vehicle; stations (index of a
/// place); how far each vehicle is behind the head there; then 16-bit numbers, a row a place: force
/// at each vehicle's front coupler, margin of each vehicle.
pub(crate) fn film(climb: &Climb, points: &[[f32; 4]]) -> Vec<u8> {
    let kept = &climb.passage;
    let (places, vehicles) = (kept.head_s.len(), kept.vehicle_count);
    let stations = stations(places);
    let hardest = kept
        .force_n
        .iter()
        .fold(0.1_f32, |most, force| most.max(force.abs()));
    let (newtons, margin) = (hardest / 32_000.0, 1e-4_f32);
    let mut bytes = Bytes::default();
    bytes.counts(&[places, vehicles, points.len(), stations.len()]);
    bytes.float(newtons);
    bytes.float(margin);
    kept.head_s.iter().for_each(|s| bytes.float(single(*s)));
    points
        .iter()
        .flatten()
        .for_each(|value| bytes.float(*value));
    for numbers in climb.consist.train.numbers() {
        bytes.float(single(numbers.half_truck_centres));
    }
    #[expect(
        clippy::cast_precision_loss,
        reason = "an index of at most ten thousand"
    )]
    stations.iter().for_each(|index| bytes.float(*index as f32));
    for index in &stations {
        let row = kept.behind_m.iter().skip(index * vehicles).take(vehicles);
        row.for_each(|behind| bytes.float(*behind));
    }
    kept.force_n
        .iter()
        .for_each(|own| bytes.step(own / newtons));
    kept.worst_use
        .iter()
        .for_each(|used| bytes.step((1.0 - used) / margin));
    bytes.all()
}

/// Places at which the picture knows where every vehicle is; between them it goes straight.
fn stations(places: usize) -> Vec<usize> {
    /// ASSUMED: slack changes the length of a train by millimetres over metres of line.
    const COUNT: usize = 64;
    let last = places.saturating_sub(1);
    let mut all: Vec<_> = (0..=COUNT).map(|k| last * k / COUNT).collect();
    all.dedup();
    all
}

/// Never stops a search that nobody watches.
pub(crate) fn told(progress: &Progress, done: usize, total: usize) -> bool {
    progress.tell(done, total) == ControlFlow::Continue(())
}
