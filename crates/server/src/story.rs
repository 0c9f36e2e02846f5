//! One car: where it stands, and everything that happened to it, as a story that can be read.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_reports::words::{System, amount};
use gradeworthy_store::{Action, CarEvent, CarId, Fact, Ownership, RecordedInspection, Version};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::{Entry, Value};
use maud::{Markup, html};
use serde::Serialize;
use utoipa::ToSchema;

use crate::App;
use crate::fleet::{self, CarJson};
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page};
use crate::refusal::{Problem, Refusal};
use crate::request::{Named, encoded};
use crate::words;

/// One car as a page.
pub(crate) async fn car(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, car)?;
        let names = Names::of(&snapshot)?;
        let mut events = snapshot.history(car, Version::from_number(0), None)?;
        events.reverse();
        let body = html! {
            p { (fleet::what(&row)) }
            p { (page::standing(app, &row.standing)) " " span.more { "· " (fleet::since(app, &row)) } }
            p.row {
                @if caller.may(Action::EnterReading) { a.button href={ "/bench/" (car) } { "Take to the bench" } }
                @if caller.may(Action::BadOrder) {
                    a.button.quiet href={ "/report?mark=" (encoded(row.mark.as_str())) } { "Bad-order it" } }
                a.button.quiet href={ "/cars/" (car) "/papers" } { "Print its papers" }
            }
            section { h2 { "Its story, the latest first" } ol.story {
                @for chapter in chapters(&events) { (tell(app, &names, chapter)) }
            } }
        };
        Ok(page::room(app, &caller, row.mark.as_str(), "/fleet", &body))
    })
    .await
}

/// Events that are told together: readings entered by one member at one time.
fn chapters(events: &[CarEvent]) -> impl Iterator<Item = &[CarEvent]> {
    events.chunk_by(|one, next| {
        let read = |event: &CarEvent| matches!(event.fact, Fact::Read(_)) && event.struck.is_none();
        read(one) && read(next) && one.by == next.by && one.at == next.at
    })
}

fn tell(app: &App, names: &Names, chapter: &[CarEvent]) -> Markup {
    let Some(event) = chapter.first() else {
        return html! {};
    };
    html! {
        li {
            time datetime=(event.at) { (words::time(app, event.at)) }
            " · " (names.name(event.by))
            @if let Some(second) = event.second { " with " (names.name(second)) }
            div {
                @if chapter.len() > 1 {
                    details { summary { "Read " (chapter.len()) " things" }
                        ul { @for one in chapter { li { (sentence(app, names, &one.fact)) } } } }
                } @else if let Some(struck) = &event.struck {
                    s { (sentence(app, names, &event.fact)) }
                    " Struck by " (names.name(struck.by)) ": " (struck.why)
                } @else if let Fact::Inspected(inspection) = &event.fact {
                    (judged(inspection))
                } @else {
                    (sentence(app, names, &event.fact))
                }
            }
        }
    }
}

fn judged(inspection: &RecordedInspection) -> Markup {
    let bad = inspection
        .lines
        .iter()
        .filter(|line| line.verdict == Verdict::BadOrder);
    html! {
        "Judged under edition " (inspection.edition) ": " (page::verdict(inspection.verdict))
        ul { @for line in bad { li {
            (line.place) ": " (line.aspect)
            @if let Some(reading) = line.reading { " " (amount(reading, System::Both)) }
            " " span.more { (line.grounds) }
        } } }
    }
}

fn reading(entry: &Entry) -> String {
    let value = match &entry.value {
        Value::Quantity(typed) if typed.unit_was_typed => typed.text.to_string(),
        Value::Quantity(typed) => format!("{} {}", typed.text, typed.unit.symbol()),
        Value::Answer(answer) => answer.to_string(),
    };
    let with = entry.instrument.as_deref().map(|own| format!(" by {own}"));
    format!(
        "{} at {}: {value}{}",
        entry.measure,
        entry.place,
        with.unwrap_or_default()
    )
}

/// One fact as a sentence.
pub(crate) fn sentence(app: &App, names: &Names, fact: &Fact) -> String {
    let more = |text: &str| {
        if text.is_empty() {
            String::new()
        } else {
            format!(": {text}")
        }
    };
    match fact {
        Fact::Lettered(mark) => format!("Lettered {mark}"),
        Fact::Owned(Ownership { owner, member }) => match (owner, member) {
            (_, Some(member)) => format!("Owned by {}", names.name(*member)),
            (Some(owner), None) => format!("Owned by {owner}"),
            (None, None) => "Owner not known".to_owned(),
        },
        Fact::Described(details) => {
            let letters = details.car_type.as_ref().map_or("", |own| own.as_str());
            format!(
                "Described: {} {letters} {}",
                details.scale,
                details.description.as_deref().unwrap_or("")
            )
        }
        Fact::Fitted(fitting) => format!(
            "Fitted {}, {}: {}",
            fitting.part, fitting.place, fitting.description
        ),
        Fact::Read(entry) => format!("Read {}", reading(entry)),
        Fact::Inspected(own) => format!("Judged under edition {}: {}", own.edition, own.verdict),
        Fact::Cured(cure) => format!("Cure, {} at {}{}", cure.cure, cure.place, more(&cure.note)),
        Fact::Noted(text) => format!("Note: {text}"),
        Fact::Consented { work, granted } => {
            format!(
                "The owner {} work on {work}",
                if *granted { "allows" } else { "refuses" }
            )
        }
        Fact::Struck { struck, why } => format!("Struck entry {struck}{}", more(why)),
        Fact::BadOrdered(report) => {
            format!(
                "Bad-ordered: {}, {}{}",
                report.defect,
                report.place,
                more(&report.note)
            )
        }
        Fact::Merged { duplicate, into } => format!("Report {duplicate} is the same as {into}"),
        Fact::Rested { not_before, why } => {
            format!(
                "To rest until {}{}",
                words::time(app, *not_before),
                more(why)
            )
        }
        Fact::Waiting { wait_for, what } => format!("Waits for {wait_for}{}", more(what)),
        Fact::WaitEnded { wait, note } => format!("Wait {wait} is over{}", more(note)),
        Fact::HandedBack { why } => format!("Back to its owner{}", more(why)),
        Fact::TakenIn { why } => format!("Taken in again{}", more(why)),
        Fact::Released {
            restriction: None,
            note,
        } => format!("Admitted{}", more(note)),
        Fact::Released {
            restriction: Some(limit),
            note,
        } => format!("Admitted, limited: {limit}{}", more(note)),
        Fact::Photographed(photo) => format!("Photograph{}", more(&photo.caption)),
    }
}

/// One thing that happened.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct EventJson {
    /// Its place in the order of everything.
    seq: i64,
    /// When, RFC 3339.
    at: String,
    /// Who.
    by: String,
    /// The second name, where there was one.
    second: Option<String>,
    /// The kind.
    kind: String,
    /// What happened, as a sentence.
    what: String,
    /// Whether it was struck later.
    struck: bool,
}

/// One car with its story.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct StoryJson {
    /// The car.
    car: CarJson,
    /// The version of its record.
    version: i64,
    /// What happened, oldest first.
    events: Vec<EventJson>,
}

#[utoipa::path(get, path = "/api/cars/{car}", params(("car" = i64, Path)), tag = "fleet",
    responses((status = 200, body = StoryJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn car_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
) -> Result<Json<StoryJson>, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, car)?;
        let names = Names::of(&snapshot)?;
        let events = snapshot.history(car, Version::from_number(0), None)?;
        let events = events.iter().map(|event| EventJson {
            seq: event.seq.number(),
            at: event.at.to_string(),
            by: names.name(event.by).to_owned(),
            second: event.second.map(|second| names.name(second).to_owned()),
            kind: event.fact.kind().to_owned(),
            what: sentence(app, &names, &event.fact),
            struck: event.struck.is_some(),
        });
        Ok(Json(StoryJson {
            car: CarJson::from(&row),
            version: snapshot.version(car)?.number(),
            events: events.collect(),
        }))
    })
    .await
}
