//! The fleet: every car, searched, sorted and paged; for an owner, his own.

mod asked;
mod change;
mod fit;
mod groups;
mod lots;
mod outcome;
mod spread;
mod what_if;

#[cfg(test)]
mod tests;

pub(crate) use asked::Search;
pub(crate) use fit::{__path_fit_many_json, fit_many, fit_many_json, fit_page};
pub(crate) use groups::{
    __path_drop_group_json, __path_groups_json, __path_keep_json, drop_group, drop_group_json,
    groups_json, keep, keep_json,
};
pub(crate) use lots::{__path_lots_json, lots_json, lots_page};
pub(crate) use outcome::{OutcomeJson, show as show_outcome};
pub(crate) use spread::{__path_spread_json, spread_json, spread_page};
pub(crate) use what_if::{__path_what_if_json, what_if_json, what_if_page};

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_fleet::{Cursor, Row, Sort};
use gradeworthy_reports::words::{System, amount};
use gradeworthy_standards::Scale;
use gradeworthy_store::{Action, CarGroup, CarId, FleetRow, Permission, Snapshot, Standing};
use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::Check;
use maud::{Markup, html};
use serde::Serialize;
use utoipa::ToSchema;

use crate::App;
use crate::guard::Caller;
use crate::held::Known;
use crate::members::Names;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::Asked;
use crate::script;
use crate::words;
use asked::SORTS;

/// Cars on a page. ASSUMED: three screens of a tablet; a page of the fleet costs the same at any size.
const PAGE: usize = 50;

/// A page of the fleet.
struct Found {
    cars: Vec<FoundCar>,
    /// How many cars are meant, on all pages.
    count: usize,
    /// How many cars the caller may see at all.
    all: usize,
    next: Option<Cursor>,
}

struct FoundCar {
    row: FleetRow,
    verdict: Verdict,
    /// The reading that the list is sorted by or was searched for.
    reading: Option<Amount>,
}

fn find(app: &App, caller: &Caller, search: &Search) -> Result<Found, Refusal> {
    app.with_fleet(|known| {
        let query = search.query(&known.fleet.under().book.bare)?;
        let rows = known.find(caller, query);
        let (sort, falling) = search.sorted()?;
        let after = search.after()?;
        let page = known.fleet.page(&rows, sort, falling, after.as_ref(), PAGE);
        let shown = search.reading()?;
        let snapshot = app.store().snapshot()?;
        let car = |row: &Row| -> Result<FoundCar, Refusal> {
            let reading = shown.and_then(|(measure, place)| {
                let sort = Sort::Reading { measure, place };
                least(known, *row, sort)
            });
            Ok(FoundCar {
                row: snapshot.car(known.car(*row))?,
                verdict: known.fleet.cars()[*row].judged.verdict,
                reading,
            })
        };
        Ok(Found {
            cars: page.rows.iter().map(car).collect::<Result<_, _>>()?,
            count: rows.len(),
            all: known
                .find(caller, gradeworthy_fleet::Query::default())
                .len(),
            next: page.next,
        })
    })
}

/// The least of the readings that a list is sorted by.
fn least(known: &Known, row: Row, sort: Sort) -> Option<Amount> {
    let Sort::Reading { measure, place } = sort else {
        return None;
    };
    let spread = known.fleet.spread(&[row], measure, place);
    spread.readings.first().map(|(amount, _)| *amount)
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
        let found = find(app, &caller, &search)?;
        let snapshot = app.store().snapshot()?;
        let groups = snapshot.car_groups()?;
        let names = Names::of(&snapshot)?;
        let places = app.with_fleet(|known| Ok(asked::places(known.fleet.read_places())))?;
        let sees_all = caller.member.role.may(Action::SeeFleet) == Permission::Yes;
        let body = html! {
            (search_form(&search, &places))
            div id="found" { (found_cars(app, &caller, &search, &found)) }
            @if sees_all { (groups_section(&caller, &names, &groups, &search)) }
            (exchange_links(&caller))
            (script::FLEET.load())
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
        }
    }
}

/// What was found: how many, the cars, and where to go with them.
fn found_cars(app: &App, caller: &Caller, search: &Search, found: &Found) -> Markup {
    let text = search.text();
    let sees_all = caller.member.role.may(Action::SeeFleet) == Permission::Yes;
    let changes = caller.may(Action::ChangeCar);
    html! {
        p role="status" {
            strong { (found.count) } " of " (found.all) " cars: " (search.words()) "."
        }
        @if sees_all && found.count > 0 {
            p.row {
                a.button.quiet href={ "/fleet/spread?" (text) } { "How a reading is spread over them" }
                a.button.quiet href={ "/fleet/what-if?" (text) } { "What if a limit were changed" }
                a.button.quiet href="/fleet/lots" { "Parts and lots" }
                @if changes { a.button.quiet href={ "/fleet/fit?" (text) } { "Enter a part or lot on them" } }
            }
        }
        p { a.button.quiet href="/papers" { "Print papers" } }
        @if found.cars.is_empty() {
            p { "No car fits. Take something out of the search." }
        } @else {
            ul.list { @for own in &found.cars { li {
                a.car href={ "/cars/" (own.row.car) } {
                    span.mark { (own.row.mark) }
                    span.what { (what(&own.row))
                        @if let Some(reading) = own.reading {
                            " · " (search.measure) " " (amount(reading, System::Both)) } }
                    span.where { (page::verdict(own.verdict)) " " (page::standing(app, &own.row.standing)) }
                }
            } } }
        }
        @if let Some(next) = &found.next {
            p { a.button href={ "/fleet?" (search.onward(next)) } { "The next " (PAGE) } }
        }
    }
}

fn search_form(search: &Search, places: &[(String, String)]) -> Markup {
    let any = |word| std::iter::once(("", word));
    let states = any("any").chain(Standing::NAMES.into_iter().map(|name| (name, name)));
    let verdicts =
        || any("any").chain(Verdict::ALL.into_iter().map(|own| (own.word(), own.word())));
    let more = search
        .filled()
        .any(|(name, _)| !["q", "state", "verdict", "sort", "falling"].contains(&name));
    let sort = if search.sort.is_empty() {
        "marks"
    } else {
        &search.sort
    };
    html! {
        section {
            form method="get" action="/fleet" role="search" data-instant="found" {
                div.row {
                    label.field { span { "Any words: marks, number, owner, kind, tag, lot" }
                        input type="search" name="q" value=(search.q) autocomplete="off"; }
                    (choice("State", "state", &search.state, states))
                    (choice("Verdict today", "verdict", &search.verdict, verdicts()))
                    (choice("Sorted by", "sort", sort, SORTS))
                    button { "Search" }
                }
                details open[more] {
                    summary { "By reading, check, class, owner or part" }
                    (reading_fields(search, places))
                    div.row {
                        (choice("Check", "check", &search.check,
                            any("any").chain(Check::ALL.into_iter().map(|own| (own.name(), own.name())))))
                        (choice("with verdict", "check_verdict", &search.check_verdict, verdicts()))
                        (choice("Scale", "scale", &search.scale,
                            any("any").chain(Scale::all().map(|own| (own.name(), own.name())))))
                        (text_field("Type letters begin with", "letters", &search.letters, false))
                    }
                    div.row {
                        (text_field("Tag", "tag", &search.tag, false))
                        (text_field("Owner", "owner", &search.owner, false))
                        (text_field("Part", "part", &search.part, false))
                        (text_field("Lot, whole", "lot", &search.lot, false))
                    }
                    label.tick {
                        input type="checkbox" name="falling" value="yes" checked[!search.falling.is_empty()];
                        span { "The other way round" }
                    }
                }
            }
        }
    }
}

/// The fields that ask for a reading.
fn reading_fields(search: &Search, places: &[(String, String)]) -> Markup {
    html! {
        div.row {
            (choice("Reading", "measure", &search.measure, asked::measures()))
            (choice("at", "place", &search.place, std::iter::once(("", "any place"))
                .chain(places.iter().map(|(key, name)| (key.as_str(), name.as_str())))))
            (text_field("at least", "at_least", &search.at_least, false))
            (text_field("at most", "at_most", &search.at_most, false))
        }
    }
}

fn groups_section(caller: &Caller, names: &Names, groups: &[CarGroup], search: &Search) -> Markup {
    html! {
        section {
            h2 { "Groups" }
            @if groups.is_empty() {
                p { "A search worth keeping can be given a name, for everybody." }
            } @else {
                ul.lines { @for group in groups { li {
                    a.button.quiet href={ "/fleet?" (group.query) } { (group.name) }
                    span.more { (groups::said(group)) " · by " (names.name(group.by)) }
                    @if group.by == caller.member.id || caller.may(Action::EditRules) {
                        form method="post" action={ "/fleet/groups/" (group.id) "/drop" } {
                            button.quiet { "Let go" span.hidden { " of " (group.name) } } }
                    }
                } } }
            }
            form.row method="post" action="/fleet/groups" {
                input type="hidden" name="query" value=(search.text());
                label.field { span { "Keep this search (" (search.words()) ") as" }
                    input type="text" name="name" autocomplete="off" required; }
                button.quiet { "Keep" }
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

/// One car of a search.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FoundJson {
    #[serde(flatten)]
    car: CarJson,
    /// The verdict on it under the rule book in force today.
    verdict: String,
    /// The least of the readings asked for, in mm, g, degrees, ratio, s or N.
    reading: Option<f64>,
}

/// A page of cars.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FleetJson {
    /// The cars, in the order asked for.
    cars: Vec<FoundJson>,
    /// How many cars are meant, on all pages.
    count: usize,
    /// Whether there are more; ask again with what stands in `next`.
    more: bool,
    /// What stands after the question mark of the next page.
    next: Option<String>,
}

#[utoipa::path(get, path = "/api/fleet", params(Search), tag = "fleet",
    responses((status = 200, body = FleetJson), (status = 401, body = Problem), (status = 403, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn list_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
) -> Result<Json<FleetJson>, Refusal> {
    app.wait(move |app| {
        let found = find(app, &caller, &search)?;
        let car = |own: &FoundCar| FoundJson {
            car: CarJson::from(&own.row),
            verdict: own.verdict.word().to_owned(),
            reading: own.reading.map(Amount::base),
        };
        Ok(Json(FleetJson {
            cars: found.cars.iter().map(car).collect(),
            count: found.count,
            more: found.next.is_some(),
            next: found.next.as_ref().map(|next| search.onward(next)),
        }))
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
