//! Bad-ordering a car in ten seconds: which car, where, what, from a plain list.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::{
    Append, BadOrder, Basis, CarId, ClientId, Defect, Fact, FleetRow, Receipt,
};
use gradeworthy_workbench::record::{CarMark, End, Place};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::App;
use crate::fleet::{self, Search};
use crate::guard::Caller;
use crate::page::{self, Page, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, Fields, Named, Sent};
use crate::words::{place_from_key, place_key};

/// Places a crew can tell at a glance.
const PLACES: &[(Place, &str)] = &[
    (Place::Car, "whole car, or cannot say"),
    (Place::End(End::A), "A end"),
    (Place::End(End::B), "B end (hand brake)"),
];

#[derive(Deserialize)]
pub(crate) struct Marked {
    mark: Option<String>,
}

/// The form.
pub(crate) async fn form(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(asked): Asked<Marked>,
) -> Result<Page, Refusal> {
    let mark = asked.mark.unwrap_or_default();
    let body = blank(&mark, &ClientId::random()?, None, &[]);
    Ok(page::room(
        &app,
        &caller,
        "Report a bad order",
        "/report",
        &body,
    ))
}

fn blank(mark: &str, id: &ClientId, fault: Option<&str>, like: &[FleetRow]) -> Markup {
    html! {
        @if let Some(fault) = fault { p.message role="alert" { (fault) } }
        form method="post" action="/report" {
            input type="hidden" name="client_id" value=(id);
            @if like.is_empty() {
                label.field { span { "Marks and number; the number alone is enough" }
                    input type="text" name="mark" value=(mark) autocomplete="off" autocapitalize="characters"
                        required autofocus[mark.is_empty()]; }
            } @else {
                fieldset { legend { "Which of these?" }
                    div.ticks { @for row in like { label.tick {
                        input type="radio" name="mark" value=(row.mark) required;
                        span { strong { (row.mark) } " " (fleet::what(row)) }
                    } } }
                }
            }
            fieldset { legend { "What is wrong" }
                div.ticks { @for defect in Defect::ALL { label.tick {
                    input type="radio" name="defect" value=(defect) required;
                    span { (defect) }
                } } }
            }
            fieldset { legend { "Where" }
                div.ticks { @for (index, (place, words)) in PLACES.iter().enumerate() { label.tick {
                    input type="radio" name="place" value=(place_key(*place)) checked[index == 0];
                    span { (words) }
                } } }
            }
            (text_field("Anything else (may stay empty)", "note", "", false))
            button { "Bad-order it" }
        }
    }
}

/// The car that a crew means: the one lettered so, or the only one whose marks hold what was typed.
fn meant(
    app: &App,
    caller: &Caller,
    typed: &str,
) -> Result<Result<FleetRow, Vec<FleetRow>>, Refusal> {
    let (mut rows, _) = fleet::find(app, caller, &Search::of_mark(typed))?;
    let whole = CarMark::new(typed).ok();
    if let Some(at) = rows
        .iter()
        .position(|row| Some(&row.mark) == whole.as_ref())
    {
        return Ok(Ok(rows.swap_remove(at)));
    }
    Ok(if rows.len() == 1 {
        Ok(rows.swap_remove(0))
    } else {
        Err(rows)
    })
}

/// Takes a report from the form.
pub(crate) async fn send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let typed = fields.need("mark", "the car's marks or number")?;
        let row = match meant(app, &caller, typed)? {
            Ok(row) => row,
            Err(like) => {
                let fault = if like.is_empty() {
                    format!("No car's marks hold '{typed}'. Read them again, or try the number alone.")
                } else {
                    format!("{} cars' marks hold '{typed}'.", like.len())
                };
                let body = blank(typed, &ClientId::random()?, Some(&fault), &like);
                return Ok(page::room(app, &caller, "Report a bad order", "/report", &body));
            }
        };
        let sent = BadOrderSent {
            client_id: fields.get("client_id").to_owned(),
            defect: fields.need("defect", "what is wrong")?.to_owned(),
            place: fields.get("place").to_owned(),
            note: fields.get("note").to_owned(),
        };
        enter(app, &caller, row.car, &sent)?;
        let body = html! {
            p.done role="status" { "Reported: " strong { (row.mark) } ", " (sent.defect) ". Set the car out; the car shop sees it now." }
            p { a.button href="/report" { "Report another" } " " a.button.quiet href={ "/cars/" (row.car) } { "See the car" }
                " " a.button.quiet href={ "/cars/" (row.car) "/slip" } { "Print its slip" } }
        };
        Ok(page::room(app, &caller, "Reported", "/report", &body))
    })
    .await
}

/// A report of bad order.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct BadOrderSent {
    /// The sender's identity of it, 32 hexadecimal digits; sending it twice enters it once.
    client_id: String,
    /// What is wrong, from the list of the form: 'wheel', 'rolls stiffly', …
    defect: String,
    /// Where: 'car', 'end-A', 'axle-2', 'wheel-2-left'.
    place: String,
    /// What else there is to say.
    #[serde(default)]
    note: String,
}

fn enter(app: &App, caller: &Caller, car: CarId, sent: &BadOrderSent) -> Result<Receipt, Refusal> {
    let defect = Defect::from_name(&sent.defect).ok_or_else(|| Refusal::NotAChoice {
        found: sent.defect.clone(),
        expected: "defect of the list",
    })?;
    let place = place_from_key(&sent.place).ok_or_else(|| Refusal::NotAChoice {
        found: sent.place.clone(),
        expected: "place on a car",
    })?;
    let report = BadOrder {
        defect,
        place,
        note: sent.note.as_str().into(),
    };
    Ok(app.store().append(Append {
        car,
        by: caller.member.id,
        second: None,
        at: app.now(),
        basis: Basis::Blind,
        facts: vec![(client_id(&sent.client_id)?, Fact::BadOrdered(report))],
        drafts_done: None,
    })?)
}

/// The identity that a form or program gave its entry.
pub(crate) fn client_id(text: &str) -> Result<ClientId, Refusal> {
    ClientId::from_hex(text).ok_or_else(|| Refusal::NotAChoice {
        found: text.to_owned(),
        expected: "identity of 32 hexadecimal digits",
    })
}

/// What became of an entry.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ReceiptJson {
    /// The car.
    pub(crate) car: i64,
    /// Its version now; the next entry names it.
    pub(crate) version: i64,
    /// How many of the facts had been entered before.
    pub(crate) repeated: usize,
}

impl From<Receipt> for ReceiptJson {
    fn from(receipt: Receipt) -> Self {
        Self {
            car: receipt.car.number(),
            version: receipt.version.number(),
            repeated: receipt.repeated,
        }
    }
}

#[utoipa::path(post, path = "/api/cars/{car}/bad-orders", params(("car" = i64, Path)), request_body = BadOrderSent,
    tag = "rip track",
    responses((status = 200, body = ReceiptJson), (status = 403, body = Problem), (status = 404, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn send_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Sent(sent): Sent<BadOrderSent>,
) -> Result<Json<ReceiptJson>, Refusal> {
    app.wait(move |app| {
        let receipt = enter(app, &caller, CarId::from_number(car), &sent)?;
        Ok(Json(receipt.into()))
    })
    .await
}
