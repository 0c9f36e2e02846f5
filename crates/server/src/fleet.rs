//! The fleet: every car, searched and paged; for an owner, his own.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::{
    Action, CarId, FleetCursor, FleetFilter, FleetRow, Permission, Snapshot, Standing,
};
use gradeworthy_workbench::record::CarMark;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, choice};
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, encoded};
use crate::words;

/// Cars on a page. ASSUMED: three screens of a tablet; a page of the record costs the same at any size.
const PAGE: u32 = 50;

/// What is searched for.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
pub(crate) struct Search {
    /// A part of marks or number.
    mark: Option<String>,
    /// A part of the owner's name.
    owner: Option<String>,
    /// Where it stands, by name.
    state: Option<String>,
    /// Marks of the last car of the page before.
    after_mark: Option<String>,
    /// Identity of the last car of the page before.
    after_car: Option<i64>,
}

impl Search {
    /// Searching by marks or number alone.
    pub(crate) fn of_mark(mark: &str) -> Self {
        let mark = Some(mark.to_owned());
        Self {
            mark,
            ..Self::default()
        }
    }

    fn filter(&self, caller: &Caller) -> Result<FleetFilter, Refusal> {
        let filled = |text: &Option<String>| {
            let text = text.as_deref().unwrap_or("").trim();
            (!text.is_empty()).then(|| text.into())
        };
        let own = caller.member.role.may(Action::SeeFleet) != Permission::Yes;
        let state = self.state.as_deref().filter(|state| !state.is_empty());
        let standing = state.map(|state| {
            let known = Standing::NAMES.into_iter().find(|name| *name == state);
            known.ok_or_else(|| Refusal::NotAChoice {
                found: state.to_owned(),
                expected: "state of a car",
            })
        });
        Ok(FleetFilter {
            mark_part: filled(&self.mark),
            owner_part: filled(&self.owner),
            owner_member: own.then_some(caller.member.id),
            standing: standing.transpose()?,
            ..FleetFilter::default()
        })
    }

    fn after(&self) -> Option<FleetCursor> {
        let mark = CarMark::new(self.after_mark.as_deref()?).ok()?;
        let car = CarId::from_number(self.after_car?);
        Some(FleetCursor { mark, car })
    }

    /// The address of the page after the car `last`.
    fn onward(&self, last: &FleetRow) -> String {
        let text = |text: &Option<String>| encoded(text.as_deref().unwrap_or(""));
        format!(
            "/fleet?mark={}&owner={}&state={}&after_mark={}&after_car={}",
            text(&self.mark),
            text(&self.owner),
            text(&self.state),
            encoded(last.mark.as_str()),
            last.car
        )
    }
}

/// The cars of a page, and whether there are more.
pub(crate) fn find(
    app: &App,
    caller: &Caller,
    search: &Search,
) -> Result<(Vec<FleetRow>, bool), Refusal> {
    let snapshot = app.store().snapshot()?;
    let filter = search.filter(caller)?;
    let mut rows = snapshot.fleet(&filter, search.after().as_ref(), PAGE + 1)?;
    let more = rows.len() > PAGE as usize;
    rows.truncate(PAGE as usize);
    Ok((rows, more))
}

/// A car that the caller may see: any, or his own.
pub(crate) fn see(
    snapshot: &Snapshot<'_>,
    caller: &Caller,
    car: CarId,
) -> Result<FleetRow, Refusal> {
    let row = snapshot.car(car)?;
    match caller.member.role.may(Action::SeeCar) {
        Permission::Yes => Ok(row),
        Permission::OwnCars if row.owner_member == Some(caller.member.id) => Ok(row),
        Permission::OwnCars => Err(Refusal::NotOwnCar),
        Permission::SignedOff | Permission::WithSecond | Permission::No => {
            let role = caller.member.role;
            let action = Action::SeeCar;
            Err(Refusal::NotForRole { role, action })
        }
    }
}

/// The fleet as a page.
pub(crate) async fn list(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let (rows, more) = find(app, &caller, &search)?;
        let body = html! {
            (search_form(&search))
            (exchange_links(&caller))
            @if rows.is_empty() { p { "No car fits. Take something out of the search." } }
            @else { (car_list(app, &rows)) }
            @if let (true, Some(last)) = (more, rows.last()) {
                p { a.button href=(search.onward(last)) { "The next " (PAGE) } }
            }
        };
        Ok(page::room(app, &caller, "Fleet", "/fleet", &body))
    })
    .await
}

fn exchange_links(caller: &Caller) -> Markup {
    html! {
        p.row {
            @if caller.may(Action::ImportFile) { a.button.quiet href="/fleet/import" { "Take a sheet in" } }
            @if caller.may(Action::SeeFleet) { a.button.quiet href="/fleet/export" { "Write the record out" } }
            a.button.quiet href="/papers" { "Print papers" }
        }
    }
}

fn search_form(search: &Search) -> Markup {
    let value = |text: &Option<String>| text.clone().unwrap_or_default();
    let states = std::iter::once(("", "any")).chain(Standing::NAMES.into_iter().map(|s| (s, s)));
    html! {
        section {
            form.row method="get" role="search" {
                label.field { span { "Marks or number" }
                    input type="search" name="mark" value=(value(&search.mark)) autocomplete="off"; }
                label.field { span { "Owner" }
                    input type="search" name="owner" value=(value(&search.owner)) autocomplete="off"; }
                (choice("State", "state", &value(&search.state), states))
                button { "Search" }
            }
        }
    }
}

/// Cars as a list of links to each.
pub(crate) fn car_list(app: &App, rows: &[FleetRow]) -> Markup {
    html! {
        ul.list { @for row in rows { li {
            a.car href={ "/cars/" (row.car) } {
                span.mark { (row.mark) }
                span.what { (what(row)) }
                span.where { (page::standing(app, &row.standing)) }
            }
        } } }
    }
}

/// What a car is and whose, in one line.
pub(crate) fn what(row: &FleetRow) -> String {
    let mut parts = vec![row.scale.name().to_owned()];
    parts.extend(
        row.car_type
            .iter()
            .map(|letters| letters.as_str().to_owned()),
    );
    parts.extend(row.description.iter().map(ToString::to_string));
    parts.extend(row.owner.iter().map(ToString::to_string));
    parts.join(" · ")
}

/// One car of a list.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CarJson {
    /// Identity.
    car: i64,
    /// Marks and number.
    mark: String,
    /// Owner, where known.
    owner: Option<String>,
    /// Scale.
    scale: String,
    /// Type letters, where known.
    car_type: Option<String>,
    /// What the record calls it.
    description: Option<String>,
    /// Where it stands.
    state: String,
    /// When a second look may be taken, for a car that rests; RFC 3339.
    not_before: Option<String>,
    /// Since when it stands there, RFC 3339.
    since: String,
}

impl From<&FleetRow> for CarJson {
    fn from(row: &FleetRow) -> Self {
        Self {
            car: row.car.number(),
            mark: row.mark.to_string(),
            owner: row.owner.as_deref().map(ToOwned::to_owned),
            scale: row.scale.name().to_owned(),
            car_type: row.car_type.as_ref().map(|own| own.as_str().to_owned()),
            description: row.description.as_deref().map(ToOwned::to_owned),
            state: row.standing.name().to_owned(),
            not_before: row.standing.not_before().map(|at| at.to_string()),
            since: row.since.to_string(),
        }
    }
}

/// A page of cars.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FleetJson {
    /// The cars, by marks.
    cars: Vec<CarJson>,
    /// Whether there are more; ask again after the last one.
    more: bool,
}

#[utoipa::path(get, path = "/api/fleet", params(Search), tag = "fleet",
    responses((status = 200, body = FleetJson), (status = 401, body = Problem), (status = 403, body = Problem)))]
pub(crate) async fn list_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
) -> Result<Json<FleetJson>, Refusal> {
    app.wait(move |app| {
        let (rows, more) = find(app, &caller, &search)?;
        let cars = rows.iter().map(CarJson::from).collect();
        Ok(Json(FleetJson { cars, more }))
    })
    .await
}

/// Since when, for a list of cars that wait.
pub(crate) fn since(app: &App, row: &FleetRow) -> String {
    let day = app.day_of(row.since);
    match words::days_between(day, app.today()) {
        ..=0 => "since today".to_owned(),
        1 => "since yesterday".to_owned(),
        _ => format!("since {day}"),
    }
}
