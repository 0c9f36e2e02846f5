//! Jobs for programs and for the pages' scripts.

use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use gradeworthy_store::Role;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Job, JobId, Stage};
use crate::App;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};
use crate::request::Named;

/// Where a job stands.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct JobJson {
    /// Its name: the hash of what it works on.
    pub(crate) job: String,
    /// What it is, in words.
    what: String,
    /// 'waiting', 'running', 'done', 'failed' or 'cancelled'.
    state: &'static str,
    /// How many jobs are ahead of it, while it waits.
    ahead: usize,
    /// How much is done, while it runs.
    done: usize,
    /// Of how much; 0 where that is not known yet.
    total: usize,
    /// How many parts of the result can be read already.
    parts: usize,
    /// Why it failed.
    failure: Option<String>,
}

impl From<&Job> for JobJson {
    fn from(job: &Job) -> Self {
        let mut own = Self {
            job: job.id.to_string(),
            what: job.what.to_string(),
            state: "waiting",
            ahead: 0,
            done: 0,
            total: 0,
            parts: job.parts,
            failure: None,
        };
        match &job.stage {
            Stage::Waiting(ahead) => own.ahead = *ahead,
            Stage::Running(done, total) => {
                (own.state, own.done, own.total) = ("running", *done, *total);
            }
            Stage::Done(_) => own.state = "done",
            Stage::Failed(why) => (own.state, own.failure) = ("failed", Some(why.to_string())),
            Stage::Cancelled => own.state = "cancelled",
        }
        own
    }
}

/// The job that a path names.
pub(crate) fn named(text: &str) -> Result<JobId, Refusal> {
    JobId::from_hex(text).ok_or(Refusal::NoSuchJob)
}

#[utoipa::path(get, path = "/api/jobs/{job}", params(("job" = String, Path)), tag = "jobs",
    responses((status = 200, body = JobJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn state_json(
    State(app): State<App>,
    Named(job): Named<String>,
) -> Result<Json<JobJson>, Refusal> {
    Ok(Json(JobJson::from(&app.jobs().find(named(&job)?)?)))
}

#[utoipa::path(post, path = "/api/jobs/{job}/cancel", params(("job" = String, Path)), tag = "jobs",
    responses((status = 200, body = JobJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn cancel_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(job): Named<String>,
) -> Result<Json<JobJson>, Refusal> {
    Ok(Json(JobJson::from(&cancel(&app, &caller, named(&job)?)?)))
}

/// Ends a job: the lead any, everybody else those that he started.
pub(crate) fn cancel(app: &App, caller: &Caller, id: JobId) -> Result<Job, Refusal> {
    let job = app.jobs().find(id)?;
    if job.by != caller.member.id && caller.member.role != Role::Lead {
        return Err(Refusal::NotOwnJob);
    }
    app.jobs().cancel(id)
}

#[utoipa::path(get, path = "/api/jobs/{job}/result", params(("job" = String, Path)), tag = "jobs",
    responses((status = 200, description = "What the job found, as JSON of its kind; of one with 'parts' that goes \
        on or was cancelled, what it had found until then"),
              (status = 404, body = Problem), (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn result_json(
    State(app): State<App>,
    Named(job): Named<String>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let text = done(app, named(&job)?)?.json()?;
        Ok(([(CONTENT_TYPE, "application/json")], text).into_response())
    })
    .await
}

/// The result of a job that has one, or what it has found so far.
pub(crate) fn done(app: &App, id: JobId) -> Result<std::sync::Arc<dyn super::Outcome>, Refusal> {
    let job = app.jobs().find(id)?;
    match (&job.stage, job.outcome()) {
        (Stage::Failed(why), _) => Err(Refusal::JobFailed {
            why: why.to_string(),
        }),
        (_, Some(outcome)) => Ok(std::sync::Arc::clone(outcome)),
        (_, None) => Err(Refusal::NotDone),
    }
}
