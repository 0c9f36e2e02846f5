//! The hill for programs: the same lists, editions, climbs and advice as the pages.

use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use gradeworthy_store::{HillEdition, HillKind};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::advice;
use super::advice_page::together;
use super::climb::{Climb, Question, film};
use super::picture::film_points;
use super::save::{NewEdition, save};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{self, JobJson};
use crate::refusal::{Problem, Refusal};
use crate::report::client_id;
use crate::request::{Named, Sent};

/// An edition of a line, a locomotive, a make-up or a scene.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct EditionJson {
    /// Its number in addresses.
    item: i64,
    /// Its name.
    name: String,
    /// The edition; the next one names it as seen.
    edition: u32,
    /// Its text: a line file, a power file of one locomotive, a train file, a scene file.
    text: String,
    /// The readings of a surveyed line.
    readings: Option<String>,
    /// When it was entered, RFC 3339.
    entered: String,
}

impl From<HillEdition> for EditionJson {
    fn from(own: HillEdition) -> Self {
        Self {
            item: own.item,
            name: own.name.into(),
            edition: own.edition,
            text: own.text.into(),
            readings: own.readings.map(Into::into),
            entered: own.entered.to_string(),
        }
    }
}

/// Everything that climbs are made of.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct HillJson {
    lines: Vec<EditionJson>,
    locomotives: Vec<EditionJson>,
    make_ups: Vec<EditionJson>,
    scenes: Vec<EditionJson>,
}

#[utoipa::path(get, path = "/api/hill", tag = "hill",
    responses((status = 200, body = HillJson), (status = 401, body = Problem), (status = 403, body = Problem)))]
pub(crate) async fn hill_json(State(app): State<App>) -> Result<Json<HillJson>, Refusal> {
    app.wait(|app| {
        let snapshot = app.store().snapshot()?;
        let all = |kind| -> Result<Vec<EditionJson>, Refusal> {
            Ok(snapshot
                .hill(kind)?
                .into_iter()
                .map(EditionJson::from)
                .collect())
        };
        Ok(Json(HillJson {
            lines: all(HillKind::Line)?,
            locomotives: all(HillKind::Locomotive)?,
            make_ups: all(HillKind::MakeUp)?,
            scenes: all(HillKind::Scene)?,
        }))
    })
    .await
}

pub(super) async fn one(app: App, kind: HillKind, item: i64) -> Result<Json<EditionJson>, Refusal> {
    app.wait(move |app| Ok(Json(app.store().snapshot()?.hill_item(kind, item)?.into())))
        .await
}

#[utoipa::path(get, path = "/api/hill/lines/{item}", params(("item" = i64, Path)), tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn line_json(
    State(app): State<App>,
    Named(item): Named<i64>,
) -> Result<Json<EditionJson>, Refusal> {
    one(app, HillKind::Line, item).await
}

#[utoipa::path(get, path = "/api/hill/power/{item}", params(("item" = i64, Path)), tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn locomotive_json(
    State(app): State<App>,
    Named(item): Named<i64>,
) -> Result<Json<EditionJson>, Refusal> {
    one(app, HillKind::Locomotive, item).await
}

#[utoipa::path(get, path = "/api/hill/trains/{item}", params(("item" = i64, Path)), tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn make_up_json(
    State(app): State<App>,
    Named(item): Named<i64>,
) -> Result<Json<EditionJson>, Refusal> {
    one(app, HillKind::MakeUp, item).await
}

/// An edition to be entered.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct EditionSent {
    /// The sender's identity of it, 32 hexadecimal digits; sending it twice enters it once.
    client_id: String,
    /// Its name.
    name: String,
    /// The edition that the sender has seen; nothing for a new name.
    #[serde(default)]
    seen: Option<u32>,
    /// Its text, in the format of the files that the command line reads.
    text: String,
    /// The readings of a surveyed line, as a table.
    #[serde(default)]
    readings: Option<String>,
    /// Whether it is hereby withdrawn.
    #[serde(default)]
    withdrawn: bool,
}

pub(super) async fn take(
    app: App,
    caller: Caller,
    kind: HillKind,
    sent: EditionSent,
) -> Result<Json<EditionJson>, Refusal> {
    app.wait(move |app| {
        let new = NewEdition {
            client_id: client_id(&sent.client_id)?,
            kind,
            name: sent.name,
            seen: sent.seen,
            text: sent.text,
            readings: sent.readings,
            withdrawn: sent.withdrawn,
        };
        Ok(Json(save(app, &caller, new)?.into()))
    })
    .await
}

#[utoipa::path(post, path = "/api/hill/lines", request_body = EditionSent, tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn save_line_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<EditionSent>,
) -> Result<Json<EditionJson>, Refusal> {
    take(app, caller, HillKind::Line, sent).await
}

#[utoipa::path(post, path = "/api/hill/power", request_body = EditionSent, tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn save_locomotive_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<EditionSent>,
) -> Result<Json<EditionJson>, Refusal> {
    take(app, caller, HillKind::Locomotive, sent).await
}

#[utoipa::path(post, path = "/api/hill/trains", request_body = EditionSent, tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn save_make_up_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<EditionSent>,
) -> Result<Json<EditionJson>, Refusal> {
    take(app, caller, HillKind::MakeUp, sent).await
}

/// Which train on which line.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct ClimbSent {
    /// The line's item.
    line: i64,
    /// The make-up's item.
    make_up: i64,
}

#[utoipa::path(post, path = "/api/hill/climbs", request_body = ClimbSent, tag = "hill",
    responses((status = 202, body = JobJson,
        description = "Its result, by /api/jobs, is the climb as `gradeworthy climb --format json` gives it"),
              (status = 403, body = Problem), (status = 404, body = Problem), (status = 503, body = Problem)))]
pub(crate) async fn climb_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<ClimbSent>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let job = Question::read(app, sent.line, sent.make_up)?.start(app, &caller)?;
        Ok((StatusCode::ACCEPTED, Json(JobJson::from(&job))).into_response())
    })
    .await
}

/// What is to be changed in which train on which line.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct AdviceSent {
    /// The line's item.
    line: i64,
    /// The make-up's item.
    make_up: i64,
    /// How many helpers are placed together at most, 1 to 3; 2 where nothing is said, 3 takes minutes.
    #[serde(default)]
    helpers_together: Option<u8>,
}

#[utoipa::path(post, path = "/api/hill/advice", request_body = AdviceSent, tag = "hill",
    responses((status = 202, body = JobJson,
        description = "The climb must be done. The result has a list 'advice' (piece, said, margin, gain, train: a \
            file) and a 'plan' as `gradeworthy climb --advise --format json` gives it: moves, helpers, order, length, \
            power, stall, repairs, measurements. It can be read part by part while the job goes on"),
              (status = 403, body = Problem), (status = 404, body = Problem), (status = 409, body = Problem)))]
pub(crate) async fn advice_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<AdviceSent>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let wish = sent
            .helpers_together
            .map_or_else(String::new, |own| own.to_string());
        let together = together(&wish)?;
        let id = Question::read(app, sent.line, sent.make_up)?.id("climb");
        let climb = Climb::of(&app.jobs().find(id)?).ok_or(Refusal::NotDone)?;
        let job = advice::start(app, &caller, climb, together)?;
        Ok((StatusCode::ACCEPTED, Json(JobJson::from(&job))).into_response())
    })
    .await
}

#[utoipa::path(get, path = "/api/hill/climbs/{job}/film", params(("job" = String, Path)), tag = "hill",
    responses((status = 200, content_type = "application/octet-stream",
        description = "Force and margin of every vehicle at every place, little-endian: as docs/HILL.md says"),
              (status = 403, body = Problem), (status = 404, body = Problem), (status = 409, body = Problem)))]
pub(crate) async fn film_json(
    State(app): State<App>,
    Named(job): Named<String>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let climb = Climb::of(&app.jobs().find(jobs::named(&job)?)?).ok_or(Refusal::NotDone)?;
        let points = film_points(&climb.line.alignment, None);
        let kind = (CONTENT_TYPE, "application/octet-stream");
        Ok(([kind], film(&climb, &points)).into_response())
    })
    .await
}
