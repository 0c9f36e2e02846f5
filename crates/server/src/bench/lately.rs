//! What a member entered on the car lately, to be struck if it was a mistake: who and why are recorded,
//! and the struck entry stays readable.

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_store::{Append, Basis, CarEvent, CarId, ClientId, Fact, Receipt, Seq, Version};
use gradeworthy_workbench::record::Check;
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::ToSchema;

use super::desk::Desk;
use super::page::version;
use super::{Pass, address, readings::derived};
use crate::App;
use crate::guard::Caller;
use crate::members::Names;
use crate::refusal::{Problem, Refusal};
use crate::report::{ReceiptJson, client_id};
use crate::request::{Fields, Named, Sent};
use crate::{page, story, words};

/// How far back. ASSUMED: a club night; what is older is struck on the car's story page.
const LATELY: SignedDuration = SignedDuration::from_hours(12);
/// How many are listed. ASSUMED: a slip is noticed within a few readings.
const SHOWN: u32 = 6;
/// Why a reading is struck, one tap each.
const REASONS: [&str; 3] = ["mistyped", "measured wrongly", "another car or place"];

/// The caller's last readings of this car, the latest open to be struck.
pub(super) fn list(desk: &Desk<'_>) -> Result<Markup, Refusal> {
    let car = desk.hand.row.car;
    let now = desk.app.now();
    let since = now.saturating_sub(LATELY).unwrap_or(Timestamp::MIN);
    let by = desk.caller.member.id;
    let lately = desk.snapshot.readings_lately(car, by, since, SHOWN)?;
    let names = Names::of(desk.snapshot)?;
    let mut ids = Vec::with_capacity(lately.len());
    for _ in &lately {
        ids.push(ClientId::random()?);
    }
    let sentence = |event: &CarEvent| story::sentence(desk.app, &names, &event.fact);
    Ok(html! {
        section.lately id="lately" hidden[lately.is_empty()] {
            h2 { "Entered by you lately" }
            ul.list { @for (event, id) in lately.iter().zip(&ids) { li {
                @if let Some(strike) = &event.struck {
                    p { s { (sentence(event)) } " struck by " (names.name(strike.by)) ": " (strike.why) }
                } @else {
                    details { summary { (sentence(event)) ", " (words::time(desk.app, event.at)) }
                        form.row method="post" action={ "/bench/" (car) "/strikes" } {
                            (desk.hidden(id))
                            input type="hidden" name="seq" value=(event.seq.number());
                            span { "Strike it:" }
                            @for why in REASONS { button.quiet name="why" value=(why) {
                                (page::sentence(why).trim_end_matches('.'))
                            } }
                        } }
                }
            } } }
        }
    })
}

struct Strike<'a> {
    id: ClientId,
    seen: Version,
    seq: i64,
    why: &'a str,
}

fn enter(app: &App, caller: &Caller, car: CarId, strike: &Strike<'_>) -> Result<Receipt, Refusal> {
    let struck = Seq::from_number(strike.seq);
    let fact = Fact::Struck {
        struck,
        why: strike.why.into(),
    };
    Ok(app.store().append(Append {
        car,
        by: caller.member.id,
        second: None,
        at: app.now(),
        basis: Basis::Seen(strike.seen),
        facts: vec![(derived(strike.id, fact.kind()), fact)],
        drafts_done: None,
    })?)
}

/// Strikes an entry from the page.
pub(crate) async fn strike(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let seq = fields.get("seq");
        let strike = Strike {
            id: client_id(fields.get("client_id"))?,
            seen: version(&fields)?,
            seq: seq.parse().map_err(|_| Refusal::NotAChoice {
                found: seq.to_owned(),
                expected: "entry of the record",
            })?,
            why: fields.get("why"),
        };
        let car = CarId::from_number(car);
        enter(app, &caller, car, &strike)?;
        let check = Check::from_name(fields.get("check"));
        let here = address(car, check, Pass::from_name(fields.get("pass")));
        Ok(Redirect::to(&format!("{here}#lately")))
    })
    .await
}

/// An entry that was a mistake.
#[derive(Deserialize, ToSchema)]
pub(crate) struct StrikeSent {
    /// The sender's identity of this strike, 32 hexadecimal digits.
    client_id: String,
    /// The version of the record that the sender had seen.
    version: i64,
    /// The mistaken entry.
    seq: i64,
    /// Why it was one.
    why: String,
}

#[utoipa::path(post, path = "/api/bench/{car}/strikes", params(("car" = i64, Path)), request_body = StrikeSent, tag = "bench",
    responses((status = 200, body = ReceiptJson), (status = 403, body = Problem), (status = 404, body = Problem),
              (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn strike_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Sent(sent): Sent<StrikeSent>,
) -> Result<Json<ReceiptJson>, Refusal> {
    app.wait(move |app| {
        let strike = Strike {
            id: client_id(&sent.client_id)?,
            seen: Version::from_number(sent.version),
            seq: sent.seq,
            why: &sent.why,
        };
        enter(app, &caller, CarId::from_number(car), &strike).map(|receipt| Json(receipt.into()))
    })
    .await
}
