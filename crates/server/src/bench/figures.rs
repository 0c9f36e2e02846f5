//! What is measured of a car once and for all: entered with the car, or later, when a check needs it.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_reports::words::{System, amount};
use gradeworthy_standards::Scale;
use gradeworthy_store::{Action, Append, Basis, CarId, ClientId, Details, Fact};
use gradeworthy_units::{Amount, Length, Reader};
use gradeworthy_workbench::record::{Check, Figures};
use gradeworthy_workbench::rules::RuleBook;
use maud::{Markup, html};

use super::desk::Desk;
use super::page::version;
use super::readings::derived;
use super::{Pass, take};
use crate::App;
use crate::guard::Caller;
use crate::page::text_field;
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Fields, Named, encoded};

/// What is measured once and for all.
pub(super) const FIGURES: [(&str, &str); 5] = [
    ("Body length", "body_length"),
    ("Truck centres", "truck_centres"),
    ("Wheelbase of a truck", "truck_wheelbase"),
    ("Truck centre to coupler face", "overhang"),
    ("Wheel code", "wheel_code"),
];

/// The form for what is missing or was measured again, open where the check lacks something.
pub(super) fn form(desk: &Desk<'_>, lacking: bool) -> Result<Markup, Refusal> {
    let own = &desk.hand.own.record.car.figures;
    let known = [
        own.body_length,
        own.truck_centres,
        own.truck_wheelbase,
        own.overhang[0],
    ];
    let words = |length: Length| amount(length.into(), System::Both);
    let code = own.wheel_code.map(|code| code.to_string());
    let known = known
        .map(|length| length.map(words))
        .into_iter()
        .chain([code]);
    let id = ClientId::random()?;
    Ok(html! {
        @if desk.caller.may(Action::ChangeCar) {
            details.figures open[lacking] { summary { "What is measured once" }
                form method="post" action={ "/bench/" (desk.hand.row.car) "/figures" } {
                    (desk.hidden(&id))
                    div.row { @for ((label, name), known) in FIGURES.into_iter().zip(known) {
                        div { (text_field(label, name, "", false))
                            span.past { @if let Some(known) = known { "now " (known) } @else { "not known" } } }
                    } }
                    button.quiet { "Enter these" }
                }
            }
        }
    })
}

/// Takes what was measured.
pub(crate) async fn measured(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let hand = take(app, &app.store().snapshot()?, CarId::from_number(car))?;
        let mut own = hand.own.record.car.clone();
        figures(&mut own.figures, own.scale, &hand.book, &fields)?;
        let fact = Fact::Described(Box::new(Details {
            scale: own.scale,
            car_type: own.car_type,
            description: own.description,
            tags: own.tags,
            figures: own.figures,
        }));
        let id = client_id(fields.get("client_id"))?;
        app.store().append(Append {
            car: hand.row.car,
            by: caller.member.id,
            second: None,
            at: app.now(),
            basis: Basis::Seen(version(&fields)?),
            facts: vec![(derived(id, fact.kind()), fact)],
            drafts_done: None,
        })?;
        let check = Check::from_name(fields.get("check")).map_or("", Check::name);
        let pass = Pass::from_name(fields.get("pass")).name();
        let check = encoded(check);
        Ok(Redirect::to(&format!(
            "/bench/{car}?check={check}&pass={pass}"
        )))
    })
    .await
}

/// Puts what is filled in into `own`; what is left empty stays as it was.
pub(super) fn figures(
    own: &mut Figures,
    scale: Scale,
    book: &RuleBook,
    fields: &Fields,
) -> Result<(), Refusal> {
    let reader = Reader::new(book.bare.length).with_ratio(scale.ratio());
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
    own.body_length = length(body.0, body.1).or(own.body_length);
    own.truck_centres = length(centres.0, centres.1).or(own.truck_centres);
    own.truck_wheelbase = length(wheelbase.0, wheelbase.1).or(own.truck_wheelbase);
    if let Some(both) = length(overhang.0, overhang.1) {
        own.overhang = [Some(both); 2];
    }
    let text = fields.get(code.1);
    if !text.is_empty() {
        match text.parse::<u16>() {
            Ok(number) if number > 0 => own.wheel_code = Some(number),
            Ok(_) | Err(_) => faults.push(format!("{}: '{text}' is no code such as 110", code.0)),
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Reading { faults })
    }
}
