//! A climb as a page: the verdict in a sentence, the train on the line, what bears on every car, the
//! worst spots, and what to change.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_reports::climb::advice::Together;
use gradeworthy_reports::climb::{wire, words};
use gradeworthy_store::{Action, HillKind};
use gradeworthy_train::margins::Mode;
use gradeworthy_train::sweep::Snapshot as There;
use gradeworthy_train::vehicle::{Provenance, Quantity};
use maud::{Markup, html};
use serde::Deserialize;

use super::advice_page::Section;
use super::climb::{Climb, Question};
use super::scene_page::play_form;
use super::stage::{self, Stage, left};
use super::waiting::on_its_way;
use super::{advice, compare};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{self, Job, JobId};
use crate::page::{self, choice};
use crate::refusal::Refusal;
use crate::request::{Asked, Fields, Named};
use crate::script;

/// What is looked at.
#[derive(Clone, Copy, Debug, Deserialize)]
pub(crate) struct Wanted {
    pub(crate) line: i64,
    pub(crate) train: i64,
    /// Place of the head, m.
    at: Option<f64>,
    /// A vehicle, from 0.
    car: Option<usize>,
    /// Another make-up to compare with.
    pub(crate) with: Option<i64>,
    /// So many helpers are to be placed together; begins the search, or goes on with one that was ended.
    together: Option<u8>,
}

impl Wanted {
    /// Helpers placed together.
    pub(crate) const fn together(&self) -> Together {
        match self.together {
            Some(1) => Together::One,
            Some(3) => Together::Three,
            _ => Together::Two,
        }
    }

    /// The address of the climb itself.
    pub(crate) fn address(&self) -> String {
        let with = self
            .with
            .map_or_else(String::new, |own| format!("&with={own}"));
        format!("/hill/climb?line={}&train={}{with}", self.line, self.train)
    }
}

/// The page; while the climb is worked out, how far it is.
pub(crate) async fn climb(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let job = Question::read(app, wanted.line, wanted.train)?.start(app, &caller)?;
        let other = match wanted.with {
            Some(with) => Some(Question::read(app, wanted.line, with)?.start(app, &caller)?),
            None => None,
        };
        let both = [Some(&job), other.as_ref()];
        if let Some(open) = both
            .into_iter()
            .flatten()
            .find(|job| Climb::of(job).is_none())
        {
            let (line, train) = (wanted.line, wanted.train);
            return Ok(on_its_way(
                app,
                &caller,
                (line, train),
                open,
                "of the way up",
            ));
        }
        let found = Climb::of(&job).ok_or(Refusal::NotDone)?;
        let other = other
            .as_ref()
            .and_then(|job| Some((Climb::of(job)?, job.id)));
        let search = search(app, &caller, &found, wanted)?;
        let section = Section {
            caller: &caller,
            climb: &found,
            wanted,
            job: search.as_ref(),
        };
        let body = html! {
            (show(&section, &job, other.as_ref().map(|(climb, id)| (&**climb, *id)))?)
            (compare_form(app, wanted)?)
            (script::HILL.load())
        };
        let title = format!("{} on {}", found.question.make_up.name, found.line.name);
        let shown = page::room(app, &caller, &title, "/hill", &body);
        Ok(shown.into_response())
    })
    .await
}

/// The search for advice: begun where the train fails or where it is asked for, else the one there is.
fn search(
    app: &App,
    caller: &Caller,
    climb: &Arc<Climb>,
    wanted: Wanted,
) -> Result<Option<Job>, Refusal> {
    let together = wanted.together();
    let there = advice::find(app, &climb.question, together);
    let wished = wanted.together.is_some() || there.is_none() && !climb.is_enough();
    if wished {
        return advice::start(app, caller, Arc::clone(climb), together).map(Some);
    }
    Ok(there)
}

/// Ends a climb or a search from its page; of a search it leads back to the climb.
pub(crate) async fn end(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(job): Named<String>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    jobs::cancel(&app, &caller, jobs::named(&job)?)?;
    let number = |name: &str| fields.get(name).parse::<i64>().ok();
    let to = match number("line").zip(number("train")) {
        Some((line, train)) => format!("/hill/climb?line={line}&train={train}#advice"),
        None => "/hill".to_owned(),
    };
    Ok(Redirect::to(&to))
}

fn show(
    section: &Section<'_>,
    job: &Job,
    other: Option<(&Climb, JobId)>,
) -> Result<Markup, Refusal> {
    let Section {
        caller,
        climb,
        wanted,
        ..
    } = *section;
    // Where the train fares worst; of two trains, where the one that fares worse does.
    let worse = other.map_or(climb, |(other, _)| {
        if other.margin() < climb.margin() {
            other
        } else {
            climb
        }
    });
    let at = wanted.at.unwrap_or(worse.answer.margin.worst.head_s);
    let limiting = wanted.car.unwrap_or(climb.answer.margin.worst.vehicle);
    let first = Stage::at(climb, job.id, at, Some(limiting))?;
    let mut stages = Vec::new();
    if let Some((other, id)) = other {
        stages.push(Stage::at(other, id, at, None)?);
    }
    stages.insert(0, first);
    Ok(html! {
        (verdict(climb))
        @if let Some((other, _)) = other { p.difference { (compare::difference(climb, other)) } }
        (stage::show(&stages, wanted))
        @if let Some((other, _)) = other { (compare::beside(climb, other)) }
        (section.show())
        (spots(climb, wanted))
        (car_panel(caller, climb, wanted, limiting))
        (notices(climb))
        (table(climb, &stages[0].there, wanted))
    })
}

pub(crate) fn two(value: f64) -> String {
    format!("{value:.2}")
}

fn verdict(climb: &Climb) -> Markup {
    html! {
        p.verdict { (stage::chip(climb)) }
        p.headline { (words::headline(&climb.answer, &climb.consist)) }
        @if !climb.is_enough() { p { (page::sentence(words::cause(climb.answer.margin.cause))) } }
        p.more { "Asked for: " (words::number(climb.answer.asked.least_margin)) ". "
            (climb.consist.car_count()) " cars, " (climb.consist.members.len() - climb.consist.car_count()) " locomotives, "
            (words::condition(climb.answer.asked.check.condition)) "; margins against models, no promise." }
    }
}

fn spots(climb: &Climb, wanted: Wanted) -> Markup {
    html! {
        section { h2 { "Worst spots" }
            ol.spots { @for spot in &climb.answer.spots { li {
                a.spot href={ (wanted.address()) "&at=" (two(spot.head_s)) "&car=" (spot.vehicle) }
                    data-at=(spot.head_s) data-car=(spot.vehicle) {
                    strong { (words::number(spot.margin())) } " " (words::spot(spot, &climb.consist))
                }
            } } }
            @if let Some(small) = &climb.answer.small { p { (page::sentence(&words::small(small))) } }
            @for car in &climb.answer.prone { p { (page::sentence(&words::prone(car, &climb.consist,
                climb.answer.asked.jerk_allowance))) } }
        }
    }
}

fn car_panel(caller: &Caller, climb: &Climb, wanted: Wanted, vehicle: usize) -> Markup {
    let Some((member, card)) = climb
        .consist
        .members
        .get(vehicle)
        .zip(climb.consist.train.vehicles().get(vehicle))
    else {
        return html! {};
    };
    let row = climb.answer.sweep.envelope.vehicle(vehicle);
    let mut peaks: Vec<_> = row.into_iter().flatten().zip(Mode::ALL).collect();
    peaks.retain(|(peak, _)| peak.used.demand > 0.0);
    peaks.sort_by(|a, b| b.0.used.ratio().total_cmp(&a.0.used.ratio()));
    let numbers = Quantity::ALL
        .into_iter()
        .filter(|own| member.is_power || !own.is_of_locomotives());
    html! {
        section #car { h2 { "Vehicle " (vehicle + 1) ": " (words::who(member).trim_end_matches(',')) }
            @if let Some((peak, mode)) = peaks.first() {
                p { "Its limit is " strong { (wire::mode(*mode)) } ": margin " (words::number(1.0 - peak.used.ratio()))
                    " with the head at " (two(peak.head_s)) " m." }
            }
            p.row {
                @if let (Some(car), true) = (climb.cars[vehicle], caller.may(Action::SeeCar)) {
                    a.button.quiet href={ "/cars/" (car) } { "Its record" }
                    @if caller.may(Action::EnterReading) { a.button.quiet href={ "/bench/" (car) } { "Take to the bench" } }
                }
                @if let Some((peak, _)) = peaks.first() {
                    a.button.quiet href={ (wanted.address()) "&at=" (two(peak.head_s)) "&car=" (vehicle) } { "See it at its worst" }
                }
            }
            details { summary { "Every way, worst first" }
                div.scroll role="region" aria-label="Ways to come to grief" tabindex="0" { table {
                    tr { th { "Way" } th { "Margin" } th { "Head at" } }
                    @for (peak, mode) in &peaks { tr {
                        td { (wire::mode(*mode)) @if !mode.ends_the_climb() { " (does not end the climb)" } }
                        td.number { (words::number(1.0 - peak.used.ratio())) } td.number { (two(peak.head_s)) " m" }
                    } }
                } }
            }
            details { summary { "Its numbers, and how each is known" }
                div.scroll role="region" aria-label="Numbers" tabindex="0" { table {
                    tr { th { "Number" } th { "Value" } th { "Known" } }
                    @for quantity in numbers { @let entry = card.entry(quantity); tr {
                        td { (words::quantity(quantity).0) }
                        td.number { (figure(entry.value)) " " (quantity.unit()) }
                        td { @match entry.provenance {
                            Provenance::Measured => "measured",
                            Provenance::ClassDefault => { "usual for its class, " (figure(entry.low)) " to " (figure(entry.high)) },
                            Provenance::Assumed => {
                                "assumed, " (figure(entry.low)) " to " (figure(entry.high)) "; "
                                (words::quantity(quantity).1) },
                        } }
                    } }
                } }
            }
        }
    }
}

/// A number with four figures.
pub(crate) fn figure(value: f64) -> String {
    if value.is_finite() && value.abs() < 1e4 && (value == 0.0 || value.abs() >= 1e-3) {
        let text = format!("{value:.4}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        format!("{value:.3e}")
    }
}

fn notices(climb: &Climb) -> Markup {
    let leans: Vec<_> = climb.answer.margin.leans.iter().take(3).collect();
    html! {
        (believe(&climb.question.notices(&climb.consist, &climb.line)))
        @if !leans.is_empty() {
            section { h2 { "Measure next: the margin leans on it" }
                ul { @for lean in leans { li { (page::sentence(&words::lean(lean, climb.margin()))) } } } }
        }
    }
}

/// What a lead must know before he believes any of it.
pub(crate) fn believe(notices: &[String]) -> Markup {
    html! { @if !notices.is_empty() {
        section { h2 { "Before you believe it" } ul { @for own in notices { li { (own) } } } }
    } }
}

/// Everything in the charts as a table.
fn table(climb: &Climb, there: &There, wanted: Wanted) -> Markup {
    let envelope = &climb.answer.sweep.envelope;
    html! {
        section { details { summary { "The train as a table" }
            p { "At " (two(there.head_s)) " m of the head." }
            div.scroll role="region" aria-label="The train" tabindex="0" { table.train {
                tr { th { "Place" } th { "Vehicle" } th { "Force ahead, N" } th { "Margin here" } th { "Least margin" }
                    th { "By" } }
                @for (index, member) in climb.consist.members.iter().enumerate() {
                    @let worst = least(envelope, index);
                    tr {
                        td.number { (index + 1) }
                        td { a.inrow href={ (wanted.address()) "&at=" (two(there.head_s)) "&car=" (index) "#car" } {
                            (member.name) } }
                        td.number { (signed(there.balance.forces.get(index).copied())) }
                        td.number { (words::number(left(&there.uses[index]))) }
                        td.number { (words::number(worst.0)) }
                        td { (worst.1) }
                    }
                }
            } }
        } }
    }
}

/// A force with its sign, two decimals.
fn signed(force: Option<f64>) -> String {
    format!("{:.2}", force.unwrap_or(0.0)).replace('-', "−")
}

/// The least margin of a vehicle on the whole line, and in which way.
fn least(envelope: &gradeworthy_train::sweep::Envelope, vehicle: usize) -> (f64, &'static str) {
    let row = envelope
        .vehicle(vehicle)
        .into_iter()
        .flatten()
        .zip(Mode::ALL);
    let ending = row.filter(|(_, mode)| mode.ends_the_climb());
    let worst = ending.max_by(|a, b| a.0.used.ratio().total_cmp(&b.0.used.ratio()));
    worst.map_or((1.0, ""), |(peak, mode)| {
        (1.0 - peak.used.ratio(), wire::mode(mode))
    })
}

fn compare_form(app: &App, wanted: Wanted) -> Result<Markup, Refusal> {
    let all = app.store().snapshot()?.hill(HillKind::MakeUp)?;
    let others: Vec<_> = all.iter().filter(|own| own.item != wanted.train).collect();
    let named: Vec<_> = others
        .iter()
        .map(|own| (own.item.to_string(), own.name.to_string()))
        .collect();
    Ok(html! {
        section { h2 { "Go on" }
            p.row {
                a.button.quiet href={ "/hill/trains/" (wanted.train) } { "Change the make-up" }
                a.button.quiet href={ "/hill/lines/" (wanted.line) } { "Look at the line" }
                a.button.quiet href={ "/hill/odds?line=" (wanted.line) "&train=" (wanted.train) } { "Its odds" }
            }
            (play_form(app, wanted.line, wanted.train, wanted.at)?)
            @if !named.is_empty() {
                form.row method="get" action="/hill/climb" {
                    input type="hidden" name="line" value=(wanted.line);
                    input type="hidden" name="train" value=(wanted.train);
                    (choice("Compare with", "with", "", named.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                    button.quiet { "Put them side by side" }
                }
            }
        }
    })
}
