//! The RIP track for programs.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::OpenReport;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Show, Waiting, waiting};
use crate::App;
use crate::fleet::CarJson;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};

/// A car that waits.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WaitingJson {
    /// The car.
    #[serde(flatten)]
    car: CarJson,
    /// The version of its record; what is sent next names it.
    version: i64,
    /// Whether its rest is over.
    due: bool,
    /// When tonight's train needs it, RFC 3339.
    needed_at: Option<String>,
    /// Open reports of bad order, oldest first.
    reports: Vec<ReportJson>,
    /// The rest it takes: why.
    rests: Option<String>,
    /// What it waits for, oldest first.
    waits: Vec<WaitJson>,
    /// What its owner is asked, oldest first.
    asks: Vec<WaitJson>,
}

/// A report of bad order that is open.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ReportJson {
    /// Its entry, to merge it by.
    entry: i64,
    /// What is wrong.
    defect: String,
    /// Where.
    place: String,
    /// What else the finder says.
    note: String,
    /// When, RFC 3339.
    at: String,
}

/// A wait or a question that is open.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WaitJson {
    /// Its entry, to end it by.
    entry: i64,
    /// 'parts' or 'owner'; for a question about work, the kind of work.
    wait_for: String,
    /// Which parts, which question.
    what: String,
    /// Since when, RFC 3339.
    since: String,
}

impl From<&OpenReport> for ReportJson {
    fn from(own: &OpenReport) -> Self {
        Self {
            entry: own.seq.number(),
            defect: own.report.defect.to_string(),
            place: own.report.place.to_string(),
            note: own.report.note.to_string(),
            at: own.at.to_string(),
        }
    }
}

impl From<Waiting> for WaitingJson {
    fn from(own: Waiting) -> Self {
        let waits = own.holds.waits.iter().map(|wait| WaitJson {
            entry: wait.seq.number(),
            wait_for: wait.wait_for.to_string(),
            what: wait.what.to_string(),
            since: wait.since.to_string(),
        });
        let asks = own.holds.asks.iter().map(|ask| WaitJson {
            entry: ask.seq.number(),
            wait_for: ask.work.to_string(),
            what: ask.what.to_string(),
            since: ask.since.to_string(),
        });
        Self {
            car: CarJson::from(&own.row.car),
            version: own.version.number(),
            due: own.due,
            needed_at: own.row.needed_at.map(|at| at.to_string()),
            reports: own.holds.reports.iter().map(ReportJson::from).collect(),
            rests: own.holds.rest.as_ref().map(|rest| rest.why.to_string()),
            waits: waits.collect(),
            asks: asks.collect(),
        }
    }
}

#[utoipa::path(get, path = "/api/rip-track", tag = "rip track",
    responses((status = 200, body = [WaitingJson]), (status = 401, body = Problem), (status = 403, body = Problem)))]
pub(crate) async fn list_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Json<Vec<WaitingJson>>, Refusal> {
    app.wait(move |app| {
        let track = waiting(app, &caller, Show::All, usize::MAX)?;
        Ok(Json(
            track.first.into_iter().map(WaitingJson::from).collect(),
        ))
    })
    .await
}
