//! One car and its story for programs.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::{CarId, Version};
use serde::Serialize;
use utoipa::ToSchema;

use super::sentence::sentence;
use crate::App;
use crate::fleet::{self, CarJson};
use crate::guard::Caller;
use crate::members::Names;
use crate::refusal::{Problem, Refusal};
use crate::request::Named;

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
    /// Who struck it later, when and why; nothing for an entry that counts.
    struck: Option<StruckJson>,
}

/// How an entry was struck.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct StruckJson {
    /// When, RFC 3339.
    at: String,
    /// Who.
    by: String,
    /// Why.
    why: String,
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
            struck: event.struck.as_ref().map(|note| StruckJson {
                at: note.at.to_string(),
                by: names.name(note.by).to_owned(),
                why: note.why.to_string(),
            }),
        });
        Ok(Json(StoryJson {
            car: CarJson::from(&row),
            version: snapshot.version(car)?.number(),
            events: events.collect(),
        }))
    })
    .await
}
