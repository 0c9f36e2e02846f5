//! The bench without a car: what lies on it, what is due, and a car that comes for the first time.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_standards::Scale;
use gradeworthy_store::{Action, ClientId, FleetFilter, NewCar, RipOrder, Standing};
use gradeworthy_units::{Amount, Length, Reader};
use gradeworthy_workbench::record::{Car, CarMark, CarType};
use gradeworthy_workbench::rules::RuleBook;
use maud::{Markup, html};

use super::rule_book;
use crate::App;
use crate::fleet;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::Fields;

/// Cars shown of each list. ASSUMED: what fits on a bench.
const SHOWN: u32 = 12;

/// The bench's own page.
pub(crate) async fn room(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let standing = Some(Standing::AtBench.name());
        let filter = FleetFilter { standing, ..FleetFilter::default() };
        let here = snapshot.fleet(&filter, None, SHOWN)?;
        let now = app.now();
        let due = snapshot.rip_track(RipOrder::DueFirst { now })?;
        let due: Vec<_> = due.into_iter().filter(|row| row.is_due(now)).map(|row| row.car).take(SHOWN as usize).collect();
        let body = html! {
            section { h2 { "Take a car in hand" }
                form.row method="get" action="/fleet" role="search" {
                    label.field { span { "Marks or number" }
                        input type="search" name="q" autocomplete="off" autofocus; }
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

/// What is measured once and for all.
const FIGURES: [(&str, &str); 5] = [
    ("Body length", "body_length"),
    ("Truck centres", "truck_centres"),
    ("Wheelbase of a truck", "truck_wheelbase"),
    ("Truck centre to coupler face", "overhang"),
    ("Wheel code", "wheel_code"),
];

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
        figures(&mut car, &rule_book(app, &snapshot)?, &fields)?;
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

fn figures(car: &mut Car, book: &RuleBook, fields: &Fields) -> Result<(), Refusal> {
    let reader = Reader::new(book.bare.length).with_ratio(car.scale.ratio());
    let mut faults = Vec::new();
    let mut length = |label: &str, name: &str| {
        let text = fields.get(name);
        if text.is_empty() {
            return None;
        }
        match reader.read(text).map(|typed| typed.amount) {
            Ok(Amount::Length(length)) if length > Length::ZERO => return Some(length),
            Ok(_) => faults.push(format!("{label}: a length of more than nothing is wanted")),
            Err(error) => faults.push(format!("{label}: {error}")),
        }
        None
    };
    let [body, centres, wheelbase, overhang, code] = FIGURES;
    car.figures.body_length = length(body.0, body.1);
    car.figures.truck_centres = length(centres.0, centres.1);
    car.figures.truck_wheelbase = length(wheelbase.0, wheelbase.1);
    car.figures.overhang = [length(overhang.0, overhang.1); 2];
    let text = fields.get(code.1);
    if !text.is_empty() {
        match text.parse::<u16>() {
            Ok(number) if number > 0 => car.figures.wheel_code = Some(number),
            Ok(_) | Err(_) => faults.push(format!("{}: '{text}' is no code such as 110", code.0)),
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Reading { faults })
    }
}
