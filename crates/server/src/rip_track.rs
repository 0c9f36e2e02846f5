//! The RIP track: every car that waits, why, and until when; due ones first.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::{Action, OpenReport, Permission, RipOrder, RipRow};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::App;
use crate::fleet::{self, CarJson};
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page};
use crate::refusal::{Problem, Refusal};
use crate::request::Asked;
use crate::words;

struct Waiting {
    row: RipRow,
    due: bool,
    reports: Vec<OpenReport>,
}

/// Cars on the page at first. ASSUMED: more than a work night gets through.
const SHOWN: usize = 60;

/// How many cars wait, how many of them are due, and the first of them in full.
struct Track {
    count: usize,
    due: usize,
    first: Vec<Waiting>,
}

fn waiting(app: &App, caller: &Caller, most: usize) -> Result<Track, Refusal> {
    let snapshot = app.store().snapshot()?;
    let now = app.now();
    let all = caller.member.role.may(Action::SeeFleet) == Permission::Yes;
    let mut rows = snapshot.rip_track(RipOrder::DueFirst { now })?;
    rows.retain(|row| all || row.car.owner_member == Some(caller.member.id));
    let (count, due) = (
        rows.len(),
        rows.iter().filter(|row| row.is_due(now)).count(),
    );
    rows.truncate(most);
    let mut first = Vec::with_capacity(rows.len());
    for row in rows {
        let reports = snapshot.open_reports(row.car.car)?;
        let due = row.is_due(now);
        first.push(Waiting { row, due, reports });
    }
    Ok(Track { count, due, first })
}

#[derive(Deserialize)]
pub(crate) struct Wanted {
    all: Option<String>,
}

/// The RIP track as a page.
pub(crate) async fn list(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let most = wanted.all.map_or(SHOWN, |_| usize::MAX);
        let track = waiting(app, &caller, most)?;
        let names = Names::of(&app.store().snapshot()?)?;
        let body = html! {
            p { (track.count) " cars wait; " (track.due) " are due for the second look." }
            @if track.count == 0 { p { "The track is empty." } }
            @else { p { a.button.quiet href="/papers/slips" { "Print the bad-order slips" } } }
            ul.cards { @for own in &track.first { (card(app, &caller, &names, own)) } }
            @if track.first.len() < track.count { p { a.button href="/rip-track?all=yes" { "Show all " (track.count) } } }
        };
        Ok(page::room(app, &caller, "RIP track", "/rip-track", &body))
    })
    .await
}

fn card(app: &App, caller: &Caller, names: &Names, own: &Waiting) -> Markup {
    let car = &own.row.car;
    html! {
        li.card {
            h2 { a href={ "/cars/" (car.car) } { (car.mark) } " " small { (fleet::what(car)) } }
            p {
                @if own.due { strong { "Due now. " } }
                (page::standing(app, &car.standing)) " " span.more { "· " (fleet::since(app, car)) }
                @if let Some(needed) = own.row.needed_at { " · wanted " (words::time(app, needed)) }
            }
            @if !own.reports.is_empty() {
                ul { @for report in &own.reports { li {
                    (report.report.defect) ", " (report.report.place)
                    @if !report.report.note.is_empty() { ": " (report.report.note) }
                    " " span.more { (names.name(report.by)) ", " (words::ago(app, report.at)) }
                } } }
            }
            p.row {
                @if caller.may(Action::EnterReading) {
                    a.button.quiet href={ "/bench/" (car.car) } { "Take to the bench" }
                }
                a.button.quiet href={ "/cars/" (car.car) "/papers" } { "Papers" }
            }
        }
    }
}

/// A car that waits.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WaitingJson {
    /// The car.
    #[serde(flatten)]
    car: CarJson,
    /// Whether its rest is over.
    due: bool,
    /// Open reports of bad order, oldest first.
    reports: Vec<ReportJson>,
}

/// A report of bad order that is open.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ReportJson {
    /// What is wrong.
    defect: String,
    /// Where.
    place: String,
    /// What else the finder says.
    note: String,
    /// When, RFC 3339.
    at: String,
}

#[utoipa::path(get, path = "/api/rip-track", tag = "rip track",
    responses((status = 200, body = [WaitingJson]), (status = 401, body = Problem), (status = 403, body = Problem)))]
pub(crate) async fn list_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Json<Vec<WaitingJson>>, Refusal> {
    app.wait(move |app| {
        let track = waiting(app, &caller, usize::MAX)?;
        let list = track.first.into_iter().map(|own| WaitingJson {
            car: CarJson::from(&own.row.car),
            due: own.due,
            reports: own.reports.iter().map(ReportJson::from).collect(),
        });
        Ok(Json(list.collect()))
    })
    .await
}

impl From<&OpenReport> for ReportJson {
    fn from(own: &OpenReport) -> Self {
        Self {
            defect: own.report.defect.to_string(),
            place: own.report.place.to_string(),
            note: own.report.note.to_string(),
            at: own.at.to_string(),
        }
    }
}
