//! Bad-ordering a car in ten seconds: which car, where, what, from a plain list or by tapping a picture.

mod form;
mod picture;

#[cfg(test)]
mod tests;

pub(crate) use form::{form, send};

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::{Append, BadOrder, Basis, CarId, ClientId, Defect, Fact, Receipt};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::App;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};
use crate::request::{Named, Sent};
use crate::words::place_from_key;

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
