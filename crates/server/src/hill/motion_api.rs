//! Scenes and odds for programs: the same jobs as the pages.

use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use gradeworthy_store::HillKind;
use serde::Deserialize;
use utoipa::ToSchema;

use super::api::{EditionJson, EditionSent, one, take};
use super::odds::{Asked as OddsAsked, Numbers};
use super::scene::{Asked as SceneAsked, Play, Which, film};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{self, JobJson};
use crate::refusal::{Problem, Refusal};
use crate::request::{Named, Sent};

#[utoipa::path(get, path = "/api/hill/scenes/{item}", params(("item" = i64, Path)), tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn scene_json(
    State(app): State<App>,
    Named(item): Named<i64>,
) -> Result<Json<EditionJson>, Refusal> {
    one(app, HillKind::Scene, item).await
}

#[utoipa::path(post, path = "/api/hill/scenes", request_body = EditionSent, tag = "hill",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn save_scene_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<EditionSent>,
) -> Result<Json<EditionJson>, Refusal> {
    take(app, caller, HillKind::Scene, sent).await
}

/// Which scene of which train on which line.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct PlaySent {
    /// The line's item.
    line: i64,
    /// The make-up's item.
    make_up: i64,
    /// 'start', 'helper', 'power', 'stop', or the item of one of the club's scenes.
    scene: String,
    /// Place of the head's front bolster at the start, m; as the scene says, else halfway up.
    #[serde(default)]
    head_place_m: Option<f64>,
}

#[utoipa::path(post, path = "/api/hill/plays", request_body = PlaySent, tag = "hill",
    responses((status = 202, body = JobJson,
        description = "Its result, by /api/jobs, is the scene as `gradeworthy scene --format json` gives it"),
              (status = 403, body = Problem), (status = 404, body = Problem), (status = 422, body = Problem),
              (status = 503, body = Problem)))]
pub(crate) async fn play_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<PlaySent>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let which = Which::read(&sent.scene)?;
        let both = (sent.line, sent.make_up);
        let asked = SceneAsked::read(app, both, which, sent.head_place_m)?;
        let job = asked.start(app, &caller)?;
        Ok((StatusCode::ACCEPTED, Json(JobJson::from(&job))).into_response())
    })
    .await
}

#[utoipa::path(get, path = "/api/hill/plays/{job}/film", params(("job" = String, Path)), tag = "hill",
    responses((status = 200, content_type = "application/octet-stream",
        description = "Place of every vehicle, force and slack of every coupling over time, little-endian: as docs/MOTION.md says"),
              (status = 403, body = Problem), (status = 404, body = Problem), (status = 409, body = Problem)))]
pub(crate) async fn play_film_json(
    State(app): State<App>,
    Named(job): Named<String>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let job = app.jobs().find(jobs::named(&job)?)?;
        let play = job.found::<Play>().ok_or(Refusal::NotDone)?;
        let kind = (CONTENT_TYPE, "application/octet-stream");
        Ok(([kind], film(&play)).into_response())
    })
    .await
}

/// How many trips of which train on which line.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct OddsSent {
    /// The line's item.
    line: i64,
    /// The make-up's item.
    make_up: i64,
    /// Another make-up's item, which meets the same evenings.
    #[serde(default)]
    with: Option<i64>,
    /// How many trips, up to 100,000; a thousand where nothing is said.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 100_000)]
    trips: Option<usize>,
    /// The seed: the same one meets the same chance.
    #[serde(default)]
    seed: Option<u64>,
    /// Whether to say which measurement would narrow the odds most.
    #[serde(default)]
    narrow: bool,
}

#[utoipa::path(post, path = "/api/hill/odds", request_body = OddsSent, tag = "hill",
    responses((status = 202, body = JobJson,
        description = "Its result, by /api/jobs, is the odds as `gradeworthy climb --odds --format json` gives them"),
              (status = 403, body = Problem), (status = 404, body = Problem), (status = 422, body = Problem),
              (status = 503, body = Problem)))]
pub(crate) async fn odds_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<OddsSent>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let numbers = Numbers {
            line: sent.line,
            make_up: sent.make_up,
            with: sent.with,
            trips: sent.trips,
            seed: sent.seed,
            narrow: sent.narrow,
        };
        let job = OddsAsked::read(app, numbers)?.start(app, &caller)?;
        Ok((StatusCode::ACCEPTED, Json(JobJson::from(&job))).into_response())
    })
    .await
}
