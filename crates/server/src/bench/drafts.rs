//! What is typed and not entered: kept on the server while it is typed, found again at the same bench.

use axum::extract::State;
use axum::http::StatusCode;
use axum::{Extension, Json};
use gradeworthy_store::{Bench, CarId, Draft, FleetFilter, FleetRow, RipOrder, Snapshot, Standing};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::App;
use crate::fleet::CarJson;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, Named, Sent};

/// A field as it stands.
#[derive(Deserialize)]
pub(crate) struct DraftSent {
    field: String,
    text: String,
}

fn put(
    app: &App,
    caller: &Caller,
    bench: Bench,
    car: i64,
    sent: DraftSent,
) -> Result<StatusCode, Refusal> {
    app.store().keep_draft(Draft {
        bench,
        car: CarId::from_number(car),
        field: sent.field.into(),
        text: sent.text.into(),
        by: caller.member.id,
        at: app.now(),
    })?;
    Ok(StatusCode::NO_CONTENT)
}

/// Keeps a field from the page.
pub(crate) async fn keep(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Extension(bench): Extension<Bench>,
    Named(car): Named<i64>,
    Sent(sent): Sent<DraftSent>,
) -> Result<StatusCode, Refusal> {
    app.wait(move |app| put(app, &caller, bench, car, sent))
        .await
}

/// A field as it stands at a bench; an empty text takes it away.
#[derive(Deserialize, ToSchema)]
pub(crate) struct KeepSent {
    /// The bench, by a name of the sender's choice.
    bench: String,
    /// The field.
    field: String,
    /// What stands in it.
    text: String,
}

fn named(bench: &str) -> Result<Bench, Refusal> {
    Bench::new(bench).ok_or(Refusal::Unfilled { what: "the bench" })
}

#[utoipa::path(post, path = "/api/bench/{car}/drafts", params(("car" = i64, Path)), request_body = KeepSent, tag = "bench",
    responses((status = 204), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn keep_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Sent(sent): Sent<KeepSent>,
) -> Result<StatusCode, Refusal> {
    app.wait(move |app| {
        let KeepSent { bench, field, text } = sent;
        put(app, &caller, named(&bench)?, car, DraftSent { field, text })
    })
    .await
}

/// A car that was left with fields typed and not entered.
pub(crate) struct Left {
    pub(crate) row: FleetRow,
    pub(crate) fields: Vec<(String, String)>,
}

/// The cars left half done at a bench, the latest first.
pub(crate) fn left(snapshot: &Snapshot<'_>, bench: &Bench) -> Result<Vec<Left>, Refusal> {
    let mut left = Vec::new();
    for car in snapshot.left_at(bench)? {
        let drafts = snapshot.drafts(bench, car)?.into_iter();
        left.push(Left {
            row: snapshot.car(car)?,
            fields: drafts
                .map(|own| (own.field.into(), own.text.into()))
                .collect(),
        });
    }
    Ok(left)
}

#[derive(Deserialize)]
pub(crate) struct RoomAsked {
    bench: Option<String>,
}

/// The bench without a car.
#[derive(Serialize, ToSchema)]
pub(crate) struct RoomJson {
    /// Cars at the bench.
    at_bench: Vec<CarJson>,
    /// Cars whose rest is over.
    due: Vec<CarJson>,
    /// Cars left half done at the bench that was named.
    left: Vec<LeftJson>,
}

/// A car that was left with fields typed and not entered.
#[derive(Serialize, ToSchema)]
pub(crate) struct LeftJson {
    /// The car.
    car: CarJson,
    /// Fields with what stands in them.
    fields: Vec<(String, String)>,
}

/// Cars of a list, at the most. ASSUMED: more cars than lie at any bench.
const SHOWN: u32 = 200;

#[utoipa::path(get, path = "/api/bench", params(("bench" = Option<String>, Query)), tag = "bench",
    responses((status = 200, body = RoomJson), (status = 403, body = Problem)))]
pub(crate) async fn room_json(
    State(app): State<App>,
    Asked(asked): Asked<RoomAsked>,
) -> Result<Json<RoomJson>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let standing = Some(Standing::AtBench.name());
        let filter = FleetFilter {
            standing,
            ..FleetFilter::default()
        };
        let here = snapshot.fleet(&filter, None, SHOWN)?;
        let now = app.now();
        let due = snapshot.rip_track(RipOrder::DueFirst { now })?;
        let due = due.iter().filter(|row| row.is_due(now));
        let left = match &asked.bench {
            Some(bench) => left(&snapshot, &named(bench)?)?,
            None => Vec::new(),
        };
        let left = left.into_iter().map(|own| LeftJson {
            car: CarJson::from(&own.row),
            fields: own.fields,
        });
        Ok(Json(RoomJson {
            at_bench: here.iter().map(CarJson::from).collect(),
            due: due.map(|row| CarJson::from(&row.car)).collect(),
            left: left.collect(),
        }))
    })
    .await
}
