//! Which cars tonight's trains want, so that the RIP track shows them first.

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_store::{CarId, ClubAct, FleetFilter, Snapshot};
use gradeworthy_workbench::record::CarMark;
use jiff::Timestamp;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::App;
use crate::bench::shop_time;
use crate::guard::Caller;
use crate::members::club;
use crate::refusal::{Problem, Refusal};
use crate::request::{Sent, Typed};

/// The cars that tonight's trains want.
#[derive(Debug, Default, Deserialize, ToSchema)]
#[serde(default)]
pub(crate) struct WantedSent {
    /// Their marks and numbers, one a line; empty: none.
    cars: String,
    /// For when, in the shop's time, '2026-11-26T19:00'.
    needed: String,
}

/// A car that a train wants.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WantedJson {
    /// The car.
    car: i64,
    /// Its marks and number.
    mark: String,
    /// For when, RFC 3339.
    needed_at: String,
}

fn set(app: &App, caller: &Caller, sent: &WantedSent) -> Result<(), Refusal> {
    let snapshot = app.store().snapshot()?;
    let lines = sent
        .cars
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty());
    let (mut cars, mut faults) = (Vec::new(), Vec::new());
    for line in lines {
        match called(&snapshot, line)? {
            Some(car) => cars.push(car),
            None => faults.push(format!("no car, or more than one, is lettered '{line}'")),
        }
    }
    drop(snapshot);
    if !faults.is_empty() {
        return Err(Refusal::Reading { faults });
    }
    let needed_at = if cars.is_empty() {
        Timestamp::UNIX_EPOCH
    } else {
        shop_time(app, &sent.needed)?
    };
    club(
        app,
        caller.member.id,
        ClubAct::SetWanted { cars, needed_at },
    )?;
    Ok(())
}

/// The one car that is lettered so.
fn called(snapshot: &Snapshot<'_>, text: &str) -> Result<Option<CarId>, Refusal> {
    let Ok(mark) = CarMark::new(text) else {
        return Ok(None);
    };
    let filter = FleetFilter {
        mark_part: Some(mark.as_str().into()),
        ..FleetFilter::default()
    };
    /// A number that begins many others is looked for among so many.
    const LOOKED_AT: u32 = 200;
    let rows = snapshot.fleet(&filter, None, LOOKED_AT)?;
    let mut same = rows.iter().filter(|row| row.mark == mark);
    Ok(match (same.next(), same.next()) {
        (Some(row), None) => Some(row.car),
        _ => None,
    })
}

/// The form, filled with what is wanted now.
pub(super) fn form(app: &App) -> Result<Markup, Refusal> {
    let own = wanted(app)?;
    let marks: Vec<_> = own.iter().map(|own| own.mark.as_str()).collect();
    let evening = format!("{}T19:30", app.today());
    Ok(html! {
        section { details { summary { "What tonight's trains want: " (own.len()) }
            form method="post" action="/rip-track/wanted" {
                label.field { span { "Marks and numbers, one a line; what is not here is no longer wanted" }
                    textarea name="cars" rows="8" { (marks.join("\n")) } }
                label.field { span { "For when" } input type="datetime-local" name="needed" value=(evening); }
                button.quiet { "Set it" }
            }
        } }
    })
}

fn wanted(app: &App) -> Result<Vec<WantedJson>, Refusal> {
    let snapshot = app.store().snapshot()?;
    let mut list = Vec::new();
    for (car, needed_at) in snapshot.wanted()? {
        list.push(WantedJson {
            car: car.number(),
            mark: snapshot.car(car)?.mark.to_string(),
            needed_at: needed_at.to_string(),
        });
    }
    Ok(list)
}

/// Takes the list from the form.
pub(crate) async fn want(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Typed(sent): Typed<WantedSent>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        set(app, &caller, &sent)?;
        Ok(Redirect::to("/rip-track"))
    })
    .await
}

#[utoipa::path(post, path = "/api/wanted", request_body = WantedSent, tag = "rip track",
    responses((status = 200, body = [WantedJson]), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn want_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<WantedSent>,
) -> Result<Json<Vec<WantedJson>>, Refusal> {
    app.wait(move |app| {
        set(app, &caller, &sent)?;
        wanted(app).map(Json)
    })
    .await
}

#[utoipa::path(get, path = "/api/wanted", tag = "rip track",
    responses((status = 200, body = [WantedJson]), (status = 403, body = Problem)))]
pub(crate) async fn wanted_json(State(app): State<App>) -> Result<Json<Vec<WantedJson>>, Refusal> {
    app.wait(move |app| wanted(app).map(Json)).await
}
