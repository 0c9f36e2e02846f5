//! Groups: searches that are kept under a name, for everybody.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_store::{CarGroup, ShelfAct, ShelfCommand};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Search;
use crate::App;
use crate::guard::Caller;
use crate::members::Names;
use crate::refusal::{Problem, Refusal};
use crate::request::{Fields, Named, Sent};

/// What a group asks, in words.
pub(super) fn said(group: &CarGroup) -> String {
    Search::from_text(&group.query).map_or_else(|_| group.query.to_string(), |own| own.words())
}

/// Keeps a search under a name. It must be one that can be asked.
fn keep_as(app: &App, caller: &Caller, name: &str, query: &str) -> Result<i64, Refusal> {
    let search = Search::from_text(query)?;
    app.with_fleet(|known| search.query(&known.fleet.under().book.bare).map(drop))?;
    let act = ShelfAct::KeepGroup {
        name: name.into(),
        query: search.text().into(),
    };
    let (by, at) = (caller.member.id, app.now());
    Ok(app.store().shelf(ShelfCommand { by, at, act })?)
}

/// Keeps a group from the form.
pub(crate) async fn keep(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let name = fields.need("name", "the name of the group")?;
        let query = fields.get("query");
        keep_as(app, &caller, name, query)?;
        Ok(Redirect::to(&format!("/fleet?{query}")))
    })
    .await
}

/// Lets go of a group.
pub(crate) async fn drop_group(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(group): Named<i64>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let (by, at) = (caller.member.id, app.now());
        let act = ShelfAct::DropGroup { group };
        app.store().shelf(ShelfCommand { by, at, act })?;
        Ok(Redirect::to("/fleet"))
    })
    .await
}

#[utoipa::path(post, path = "/api/fleet/groups/{group}/drop", params(("group" = i64, Path)), tag = "fleet",
    responses((status = 204), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn drop_group_json(
    state: State<App>,
    caller: Extension<Caller>,
    group: Named<i64>,
) -> Result<StatusCode, Refusal> {
    drop(drop_group(state, caller, group).await?);
    Ok(StatusCode::NO_CONTENT)
}

/// A group of cars.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct GroupJson {
    /// Its number.
    group: i64,
    /// Its name.
    name: String,
    /// What stands after the question mark of its search.
    query: String,
    /// The same in words.
    words: String,
    /// Who made it.
    by: String,
    /// When, RFC 3339.
    made: String,
}

#[utoipa::path(get, path = "/api/fleet/groups", tag = "fleet",
    responses((status = 200, body = Vec<GroupJson>), (status = 403, body = Problem)))]
pub(crate) async fn groups_json(State(app): State<App>) -> Result<Json<Vec<GroupJson>>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let names = Names::of(&snapshot)?;
        let groups = snapshot.car_groups()?;
        let group = |own: &CarGroup| GroupJson {
            group: own.id,
            name: own.name.to_string(),
            query: own.query.to_string(),
            words: said(own),
            by: names.name(own.by).to_owned(),
            made: own.made.to_string(),
        };
        Ok(Json(groups.iter().map(group).collect()))
    })
    .await
}

/// A search to be kept.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct GroupSent {
    /// Its name.
    name: String,
    /// What stands after the question mark of its search.
    query: String,
}

/// The number of what was kept.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct KeptJson {
    /// The number.
    pub(crate) kept: i64,
}

#[utoipa::path(post, path = "/api/fleet/groups", request_body = GroupSent, tag = "fleet",
    responses((status = 200, body = KeptJson), (status = 403, body = Problem), (status = 409, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn keep_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<GroupSent>,
) -> Result<Json<KeptJson>, Refusal> {
    app.wait(move |app| {
        let kept = keep_as(app, &caller, &sent.name, &sent.query)?;
        Ok(Json(KeptJson { kept }))
    })
    .await
}
