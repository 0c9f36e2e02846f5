//! The bench without a car: what lies on it, what is due, and a car that comes for the first time.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_standards::Scale;
use gradeworthy_store::{Action, Bench, ClientId, FleetFilter, NewCar, RipOrder, Standing};
use gradeworthy_workbench::record::{Car, CarMark, CarType};
use maud::{Markup, html};

use super::drafts::left;
use super::figures::{FIGURES, figures};
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::Fields;
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
        let body = html! {
            (members::hand_over(&members, &caller, "/bench"))
            @if !left.is_empty() { h2 { "Left in hand here" } ul.list { @for own in &left { li {
                a.car href={ "/bench/" (own.row.car) } {
                    span.mark { (own.row.mark) }
                    span.what { (fleet::what(&own.row)) }
                    span.where { (unfinished(own.fields.len())) }
                } } } } }
            section { h2 { "Take a car in hand" }
                form.row method="get" action="/fleet" role="search" {
                    label.field { span { "Marks or number" }
                        input type="search" name="mark" autocomplete="off" autofocus; }
                    button { "Find it" }
                } }
            @if !due.is_empty() { h2 { "Due for the second look" } (fleet::car_list(app, &due)) }
            h2 { "At the bench" }
            @if here.is_empty() { p { "No car is at the bench." } } @else { (fleet::car_list(app, &here)) }
            @if caller.may(Action::EnterCar) { (new_car_form()?) }
        };
        Ok(page::room(app, &caller, "Bench", "/bench", &body))
    })
    .await
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

/// Enters a car and takes it in hand.
pub(crate) async fn enter_car(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let typed = fields.need("mark", "marks and number")?;
        let not = |found: &str, expected| Refusal::NotAChoice {
            found: found.to_owned(),
            expected,
        };
        let mark =
            CarMark::new(typed).map_err(|_| not(typed, "car's name of at most 40 letters"))?;
        let scale = fields.need("scale", "the scale")?;
        let scale = scale.parse::<Scale>().map_err(|_| not(scale, "scale"))?;
        let filled = |name| Some(fields.get(name)).filter(|text| !text.is_empty());
        let mut car = Car::new(mark, scale);
        car.car_type = filled("car_type").map(CarType::new);
        car.owner = filled("owner").map(Into::into);
        car.description = filled("description").map(Into::into);
        let snapshot = app.store().snapshot()?;
        figures(
            &mut car.figures,
            car.scale,
            &*app.books().holding(&snapshot, app.today())?,
            &fields,
        )?;
        let members = snapshot.members()?;
        let owner = members
            .iter()
            .find(|own| own.name.eq_ignore_ascii_case(fields.get("owner")));
        let receipt = app.store().new_car(NewCar {
            client_id: client_id(fields.get("client_id"))?,
            by: caller.member.id,
            at: app.now(),
            car,
            owner: owner.map(|own| own.id),
        })?;
        Ok(Redirect::to(&format!("/bench/{}", receipt.car)))
    })
    .await
}
