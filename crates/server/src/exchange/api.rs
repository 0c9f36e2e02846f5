//! Taking a sheet in, for programs.

use axum::body::Bytes;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use gradeworthy_sheets::intake::{Refusal as Refused, SheetReport};
use gradeworthy_standards::Scale;
use gradeworthy_store::ImportReceipt;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::look::{self, Entered, Entering, Look};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, JobJson, Stage};
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, Named, Sent};

/// What is said of a file that is sent.
#[derive(Deserialize, IntoParams)]
pub(crate) struct FileSent {
    /// Its name, for the record of what was taken in.
    name: Option<String>,
    /// The scale of cars whose row gives none.
    scale: Option<String>,
}

/// A file that was looked at; nothing of it is entered yet.
#[derive(Serialize, ToSchema)]
pub(crate) struct LookJson {
    /// Its address under /api/imports.
    id: String,
    /// Its name.
    name: String,
    /// What it would change, to be sent back when it is entered.
    seen: String,
    /// Cars that the record has not.
    new_cars: usize,
    /// Readings and cures that would be entered.
    facts: usize,
    /// Readings and cures that are there already.
    there_already: usize,
    /// When this very file was taken in before, RFC 3339.
    taken_in_before: Option<String>,
    /// Its sheets.
    sheets: Vec<SheetJson>,
    /// What it says of a known car otherwise than the record, which stays.
    differences: Vec<DifferenceJson>,
    /// Marks that more than one car bears; what the file says of them is left out.
    doubtful: Vec<String>,
}

/// A sheet.
#[derive(Serialize, ToSchema)]
pub(crate) struct SheetJson {
    /// Its name, where it has one.
    name: Option<String>,
    /// Rows with something in them.
    rows_in: usize,
    /// Rows that are taken.
    rows_taken: usize,
    /// Rows that are refused.
    rows_refused: usize,
    /// Columns and what they are read as.
    columns: Vec<ColumnJson>,
    /// What had to be decided.
    notes: Vec<String>,
    /// Every refused cell and row.
    refusals: Vec<RefusedJson>,
}

/// A column.
#[derive(Serialize, ToSchema)]
pub(crate) struct ColumnJson {
    /// Its index, from 0.
    column: usize,
    /// Its heading.
    heading: String,
    /// What it is read as; none where its cells are remarks.
    read_as: Option<String>,
}

/// A cell or row that is not taken.
#[derive(Serialize, ToSchema)]
pub(crate) struct RefusedJson {
    /// Where.
    place: String,
    /// The heading over it.
    heading: String,
    /// What was found.
    found: String,
    /// What was expected.
    expected: String,
    /// Whether its whole row is refused.
    whole_row: bool,
}

/// A figure or word that differs.
#[derive(Serialize, ToSchema)]
pub(crate) struct DifferenceJson {
    /// The car.
    car: i64,
    /// Its marks.
    mark: String,
    /// What differs.
    what: String,
    /// What the record says.
    in_record: String,
    /// What the file says.
    in_file: String,
}

impl LookJson {
    pub(super) fn new(id: &str, name: &str, look: &Look) -> Self {
        let differences = look.differences.iter().map(|own| DifferenceJson {
            car: own.car.number(),
            mark: own.mark.to_string(),
            what: own.what.to_owned(),
            in_record: own.in_record.to_string(),
            in_file: own.in_file.to_string(),
        });
        Self {
            id: id.to_owned(),
            name: name.to_owned(),
            seen: look.seen(),
            new_cars: look.new_cars,
            facts: look.facts,
            there_already: look.there_already,
            taken_in_before: look.before.as_ref().map(|own| own.at.to_string()),
            sheets: look.intake.sheets.iter().map(SheetJson::from).collect(),
            differences: differences.collect(),
            doubtful: look.doubtful.iter().map(ToString::to_string).collect(),
        }
    }
}

impl From<&SheetReport> for SheetJson {
    fn from(sheet: &SheetReport) -> Self {
        let columns = sheet.columns.iter().map(|own| ColumnJson {
            column: own.column,
            heading: own.heading.clone(),
            read_as: own.read_as.clone(),
        });
        Self {
            name: sheet.name.clone(),
            rows_in: sheet.rows_in,
            rows_taken: sheet.rows_taken,
            rows_refused: sheet.rows_refused,
            columns: columns.collect(),
            notes: sheet.notes.clone(),
            refusals: sheet.refusals.iter().map(RefusedJson::from).collect(),
        }
    }
}

impl From<&Refused> for RefusedJson {
    fn from(own: &Refused) -> Self {
        Self {
            place: own.place.to_string(),
            heading: own.heading.clone(),
            found: own.found.clone(),
            expected: own.expected.clone(),
            whole_row: own.whole_row,
        }
    }
}

pub(super) fn scale(text: &str) -> Result<Option<Scale>, Refusal> {
    if text.is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(|_| Refusal::NotAChoice {
        found: text.to_owned(),
        expected: "scale",
    })
}

/// What there is to answer of a job on a file: what it found, or, where it takes long, the job itself.
fn answer<T: Serialize>(job: &Job, found: Option<T>) -> Response {
    match found {
        Some(found) => Json(found).into_response(),
        None => (StatusCode::ACCEPTED, Json(JobJson::from(job))).into_response(),
    }
}

fn looked(app: &App, caller: &Caller, id: &str) -> Result<Response, Refusal> {
    let upload = app.uploads().find(caller.member.id, id)?;
    let job = look::look(app, caller, upload)?;
    let job = app.jobs().wait(job.id, look::PROGRAM_PATIENCE)?;
    let found = look::looked(&job)?;
    let found = found
        .as_deref()
        .map(|own| LookJson::new(&own.id, &own.name, &own.look));
    Ok(answer(&job, found))
}

#[utoipa::path(post, path = "/api/imports", params(FileSent), tag = "exchange",
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, body = LookJson), (status = 202, body = JobJson),
        (status = 403, body = Problem),
        (status = 413, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn send_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(sent): Asked<FileSent>,
    bytes: Bytes,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let scale = scale(sent.scale.as_deref().unwrap_or(""))?;
        let name = sent.name.as_deref().unwrap_or("a file without a name");
        gradeworthy_sheets::read(&bytes)?;
        let by = caller.member.id;
        let id = app.uploads().keep(by, app.now(), name, &bytes, scale)?;
        looked(app, &caller, &id)
    })
    .await
}

#[utoipa::path(get, path = "/api/imports/{id}", params(("id" = String, Path)), tag = "exchange",
    responses((status = 200, body = LookJson), (status = 202, body = JobJson),
        (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn look_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
) -> Result<Response, Refusal> {
    app.wait(move |app| looked(app, &caller, &id)).await
}

/// Columns to be read otherwise.
#[derive(Deserialize, ToSchema)]
pub(crate) struct ColumnsSent {
    /// The columns.
    columns: Vec<ColumnSent>,
}

/// One column.
#[derive(Deserialize, ToSchema)]
pub(crate) struct ColumnSent {
    /// The sheet, from 0.
    sheet: usize,
    /// The column, from 0.
    column: usize,
    /// The heading that it is to be read as; an empty one leaves it out.
    read_as: String,
}

#[utoipa::path(post, path = "/api/imports/{id}/columns", params(("id" = String, Path)), tag = "exchange",
    request_body = ColumnsSent,
    responses((status = 200, body = LookJson), (status = 202, body = JobJson),
        (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn match_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
    Sent(sent): Sent<ColumnsSent>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let columns = sent.columns.into_iter();
        let columns = columns.map(|own| (own.sheet, own.column, own.read_as));
        app.uploads()
            .match_columns(caller.member.id, &id, columns)?;
        looked(app, &caller, &id)
    })
    .await
}

/// The word to enter a file.
#[derive(Deserialize, ToSchema)]
pub(crate) struct EnterSent {
    /// What the sender saw it would change.
    seen: String,
    /// Whether what cannot be read may be left out.
    leave_out: bool,
}

/// What was entered.
#[derive(Serialize, ToSchema)]
pub(crate) struct EnteredJson {
    /// Cars that are new.
    new_cars: usize,
    /// Cars that the record had and that have something new.
    known_cars: usize,
    /// Readings and cures.
    facts: usize,
}

#[utoipa::path(post, path = "/api/imports/{id}/enter", params(("id" = String, Path)), tag = "exchange",
    request_body = EnterSent,
    responses((status = 200, body = EnteredJson), (status = 202, body = JobJson),
        (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn enter_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
    Sent(sent): Sent<EnterSent>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let upload = app.uploads().find(caller.member.id, &id)?;
        let order = Entering {
            seen: sent.seen,
            leave_out: sent.leave_out,
        };
        let job = look::enter(app, &caller, upload, order, look::PROGRAM_PATIENCE)?;
        let why = match &job.stage {
            Stage::Failed(why) => Some(why.to_string()),
            Stage::Cancelled => Some(look::ENDED.to_owned()),
            Stage::Waiting(_) | Stage::Running(..) | Stage::Done(_) => None,
        };
        if let Some(why) = why {
            return Err(Refusal::JobFailed { why });
        }
        let found = job.found::<Entered>();
        if found.is_some() {
            app.uploads().let_go(caller.member.id, &id);
        }
        Ok(answer(&job, found.map(|own| EnteredJson::from(own.0))))
    })
    .await
}

impl From<ImportReceipt> for EnteredJson {
    fn from(receipt: ImportReceipt) -> Self {
        Self {
            new_cars: receipt.new_cars,
            known_cars: receipt.known_cars,
            facts: receipt.facts,
        }
    }
}

#[utoipa::path(post, path = "/api/imports/{id}/let-go", params(("id" = String, Path)), tag = "exchange",
    responses((status = 204), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn let_go_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
) -> Result<StatusCode, Refusal> {
    app.uploads().find(caller.member.id, &id)?;
    app.uploads().let_go(caller.member.id, &id);
    Ok(StatusCode::NO_CONTENT)
}
