//! The bench without a car: what lies on it, what is due, and a car that comes for the first time.

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_standards::Scale;
use gradeworthy_store::{
    Action, Bench, ClientId, FleetFilter, NewCar, Receipt, RipOrder, Snapshot, Standing,
};
use gradeworthy_workbench::record::{Car, CarMark, CarType};
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::ToSchema;

use super::drafts::left;
use super::figures::{FIGURES, fill_in};
use super::{Pass, address};
use crate::App;
use crate::entry::no_choice;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::report::{ReceiptJson, client_id};
use crate::request::{Sent, Typed};
use crate::{fleet, members};

/// Cars shown of each list. ASSUMED: what fits on a bench.
const SHOWN: u32 = 12;

/// The bench's own page.
pub(crate) async fn room(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Extension(bench): Extension<Bench>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let left = left(&snapshot, &bench)?;
        let members = snapshot.members()?;
        let standing = Some(Standing::AtBench.name());
        let filter = FleetFilter { standing, ..FleetFilter::default() };
        let here = snapshot.fleet(&filter, None, SHOWN)?;
        let now = app.now();
        let due = snapshot.rip_track(RipOrder::DueFirst { now })?;
        let due: Vec<_> = due.into_iter().filter(|row| row.is_due(now)).map(|row| row.car).take(SHOWN as usize).collect();
        let new_record = snapshot.fleet(&FleetFilter::default(), None, 1)?.is_empty();
        let body = html! {
            (members::hand_over(&members, &caller, "/bench"))
            @if new_record { (begin(&caller)) }
            @if !left.is_empty() { h2 { "Left in hand here" } ul.list { @for own in &left { li {
                a.car href={ "/bench/" (own.row.car) } {
                    span.mark { (own.row.mark) }
                    span.what { (fleet::what(&own.row)) }
                    span.where { (unfinished(own.fields.len())) }
                } } } } }
            @if !new_record { section { h2 { "Take a car in hand" }
                form.row method="get" action="/fleet" role="search" {
                    label.field { span { "Marks or number" }
                        input type="search" name="q" autocomplete="off" autofocus; }
                    button { "Find it" }
                } } }
            @if !due.is_empty() { h2 { "Due for the second look" } (fleet::car_list(app, &due)) }
            @if !new_record { h2 { "At the bench" }
                @if here.is_empty() { p { "No car is at the bench." } } @else { (fleet::car_list(app, &here)) } }
            @if caller.may(Action::EnterCar) { (new_car_form()?) }
        };
        Ok(page::room(app, &caller, "Bench", "/bench", &body))
    })
    .await
}

/// What to do in a record without a car.
fn begin(caller: &Caller) -> Markup {
    html! {
        section { h2 { "There is no car yet" }
            p { "Enter the first one below: its marks are enough, and the bench says what it needs next." }
            p { "Or begin otherwise:" }
            p.row {
                @if caller.may(Action::ImportFile) {
                    a.button.quiet href="/fleet/import" { "Take in a sheet of cars" } }
                @if caller.may(Action::ManageMembers) { a.button.quiet href="/members" { "Make members" } }
                a.button.quiet href="/rules" { "See what cars are judged by" }
            }
        }
    }
}

fn unfinished(count: usize) -> String {
    match count {
        1 => "1 field typed and not entered".to_owned(),
        many => format!("{many} fields typed and not entered"),
    }
}

fn new_car_form() -> Result<Markup, Refusal> {
    let scales = ["HO", "N", "O", "S", "TT", "Z"].map(|name| (name, name));
    Ok(html! {
        section { h2 { "A car that comes for the first time" }
            form method="post" action="/bench" {
                input type="hidden" name="client_id" value=(ClientId::random()?);
                div.row {
                    (text_field("Marks and number", "mark", "", true))
                    (choice("Scale", "scale", "HO", scales))
                    (text_field("AAR type letters", "car_type", "", false))
                }
                div.row {
                    (text_field("Owner", "owner", "", false))
                    (text_field("What it is", "description", "", false))
                }
                div.row { @for (label, name) in FIGURES { (text_field(label, name, "", false)) } }
                p.more { "Figures may stay empty; the checks that need one will say so. A bare number is in \
                          the rule book's unit." }
                button { "Enter it" }
            } }
    })
}

/// A car that comes for the first time.
#[derive(Debug, Default, Deserialize, ToSchema)]
#[serde(default)]
pub(crate) struct NewCarSent {
    /// The sender's identity of it, 32 hexadecimal digits; sending it twice enters it once.
    client_id: String,
    /// Marks and number, at most 40 letters.
    mark: String,
    /// The scale: 'HO', 'N', …
    scale: String,
    /// AAR type letters; empty where not known.
    car_type: String,
    /// Its owner; the name of a member makes it his.
    owner: String,
    /// What it is.
    description: String,
    /// Over the ends of the body, with its unit: '5.5 in'; this and what follows may stay empty.
    body_length: String,
    /// Between the truck centres.
    truck_centres: String,
    /// Between the axles of a truck.
    truck_wheelbase: String,
    /// From a truck centre to the coupler face.
    overhang: String,
    /// The code of its wheels: '110'.
    wheel_code: String,
}

impl NewCarSent {
    fn car(&self, app: &App, snapshot: &Snapshot<'_>) -> Result<Car, Refusal> {
        let need = |text: &'_ str, what| match text.trim() {
            "" => Err(Refusal::Unfilled { what }),
            text => Ok(text.to_owned()),
        };
        let typed = need(&self.mark, "marks and number")?;
        let mark = CarMark::new(typed.as_str())
            .map_err(|_| no_choice(&typed, "car's name of at most 40 letters"))?;
        let scale = need(&self.scale, "the scale")?;
        let scale = scale
            .parse::<Scale>()
            .map_err(|_| no_choice(&scale, "scale"))?;
        let filled = |text: &'_ str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        let mut car = Car::new(mark, scale);
        car.car_type = filled(&self.car_type).map(|own| CarType::new(&own));
        car.owner = filled(&self.owner).map(Into::into);
        car.description = filled(&self.description).map(Into::into);
        let book = app.books().holding(snapshot, app.today())?;
        let typed = [
            &*self.body_length,
            &self.truck_centres,
            &self.truck_wheelbase,
            &self.overhang,
            &self.wheel_code,
        ];
        fill_in(&mut car.figures, scale, &book, typed)?;
        Ok(car)
    }
}

fn enter(app: &App, caller: &Caller, sent: &NewCarSent) -> Result<Receipt, Refusal> {
    let snapshot = app.store().snapshot()?;
    let car = sent.car(app, &snapshot)?;
    let members = snapshot.members()?;
    let owner = members
        .iter()
        .find(|own| own.name.eq_ignore_ascii_case(sent.owner.trim()));
    Ok(app.store().new_car(NewCar {
        client_id: client_id(&sent.client_id)?,
        by: caller.member.id,
        at: app.now(),
        car,
        owner: owner.map(|own| own.id),
    })?)
}

/// Enters a car and takes it in hand.
pub(crate) async fn enter_car(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Typed(sent): Typed<NewCarSent>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let receipt = enter(app, &caller, &sent)?;
        Ok(Redirect::to(&address(receipt.car, None, Pass::Whole)))
    })
    .await
}

#[utoipa::path(post, path = "/api/bench", request_body = NewCarSent, tag = "bench",
    responses((status = 200, body = ReceiptJson), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn enter_car_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<NewCarSent>,
) -> Result<Json<ReceiptJson>, Refusal> {
    app.wait(move |app| Ok(Json(enter(app, &caller, &sent)?.into())))
        .await
}
