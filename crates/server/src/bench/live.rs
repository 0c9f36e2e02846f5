//! One reading from the page's script: entered, questioned, refused, or come too late, and in the same
//! answer every part of the page that it changed.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_store::{Bench, CarId, Error, Version};
use gradeworthy_workbench::record::{Check, Kind};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use super::desk::{Desk, Part};
use super::fields::{below, label};
use super::page::{instrument, meanwhile};
use super::readings::{self, Fault, Sending, TypedReading, spot};
use super::{Pass, take};
use crate::App;
use crate::guard::Caller;
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Named, Sent};

/// A field of the page as it was typed.
#[derive(Deserialize)]
pub(crate) struct EntrySent {
    client_id: String,
    version: i64,
    check: String,
    pass: String,
    field: String,
    text: String,
    #[serde(default)]
    instrument: String,
    #[serde(default)]
    sure: bool,
}

/// What became of it.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
enum Outcome {
    Entered,
    Questioned,
    Refused,
    /// Another bench was quicker.
    Conflict,
}

/// The answer to a field.
#[derive(Serialize)]
pub(crate) struct EntryAnswer {
    outcome: Outcome,
    /// The version that the next entry names.
    version: i64,
    /// What is said of it aloud.
    said: String,
    parts: Vec<PartSent>,
}

/// A part of the page, to stand in place of the one with this id.
#[derive(Serialize)]
struct PartSent {
    id: String,
    html: String,
}

impl From<Part> for PartSent {
    fn from(part: Part) -> Self {
        Self {
            id: part.id,
            html: part.html.into_string(),
        }
    }
}

/// Takes one reading.
pub(crate) async fn entry(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Extension(bench): Extension<Bench>,
    Named(car): Named<i64>,
    Sent(sent): Sent<EntrySent>,
) -> Result<Json<EntryAnswer>, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let (measure, place) = spot(&sent.field).ok_or_else(|| Refusal::NotAChoice {
            found: sent.field.clone(),
            expected: "field of the bench",
        })?;
        let (outcome, fault, message) = {
            let snapshot = app.store().snapshot()?;
            let hand = take(app, &snapshot, car)?;
            let instrument = match measure.kind() {
                Kind::Quantity(_) => instrument(&hand, &sent.instrument),
                Kind::Answer => None,
            };
            let text = sent.text.trim().to_owned();
            let sure = sent.sure;
            let reading = TypedReading {
                measure,
                place,
                text,
                instrument,
                sure,
            };
            let sending = Sending {
                client_id: client_id(&sent.client_id)?,
                seen: Version::from_number(sent.version),
                readings: vec![reading],
            };
            let faults = readings::faults(app, &snapshot, &hand, &sending.readings)?;
            drop(snapshot);
            match faults.into_iter().next() {
                Some((_, fault @ Fault::Doubted(_))) => (Outcome::Questioned, Some(fault), None),
                Some((_, fault @ Fault::Wrong(_))) => (Outcome::Refused, Some(fault), None),
                None => match readings::enter(app, &caller, &hand, Some(&bench), &sending) {
                    Ok(_) => (Outcome::Entered, None, None),
                    Err(Refusal::Record(Error::Conflict(conflict))) => {
                        (Outcome::Conflict, None, Some(meanwhile(app, &conflict)?))
                    }
                    Err(refusal) => return Err(refusal),
                },
            }
        };
        let snapshot = app.store().snapshot()?;
        let members = snapshot.members()?;
        let hand = take(app, &snapshot, car)?;
        let pass = Pass::from_name(&sent.pass);
        let desk = Desk {
            app,
            caller: &caller,
            snapshot: &snapshot,
            members: &members,
            check: Check::from_name(&sent.check).unwrap_or_else(|| hand.next(pass)),
            hand: &hand,
            pass,
            just: Some((measure, place)),
        };
        answer(&desk, (outcome, fault, message), &sent.text).map(Json)
    })
    .await
}

fn answer(
    desk: &Desk<'_>,
    (outcome, fault, message): (Outcome, Option<Fault>, Option<Markup>),
    text: &str,
) -> Result<EntryAnswer, Refusal> {
    let spot = desk.just.ok_or(Refusal::NoSuchPage)?;
    let car = desk.hand.row.car;
    let before = desk.snapshot.previous_reading(car, spot.0, spot.1, None)?;
    let marked = fault.as_ref().map(|fault| (fault, text));
    let own = below(desk, spot, before.as_ref(), marked)?;
    let name = label(desk, spot);
    let verdict = desk.hand.inspection.of(desk.check);
    let said = match (outcome, &fault) {
        (Outcome::Entered, _) => format!("{name}: {text} entered. {} is {verdict}.", desk.check),
        (Outcome::Questioned | Outcome::Refused, Some(fault)) => {
            // What more there is to say stands beside the field.
            let words = fault.words();
            let short = words.split_inclusive('?').next().unwrap_or(words);
            format!("{name}: not entered yet. {}", crate::page::sentence(short))
        }
        (Outcome::Questioned | Outcome::Refused | Outcome::Conflict, _) => {
            format!("{name}: {text} is not entered yet.")
        }
    };
    let mut parts: Vec<PartSent> = match outcome {
        Outcome::Entered | Outcome::Conflict => desk.parts()?.into_iter().map(Into::into).collect(),
        Outcome::Questioned | Outcome::Refused => Vec::new(),
    };
    parts.push(own.into());
    if let Some(message) = message {
        let html = html! { div.message id="meanwhile" role="alert" { (message) } };
        let id = "meanwhile".to_owned();
        parts.push(PartSent {
            id,
            html: html.into_string(),
        });
    }
    let version = desk.hand.own.version.number();
    Ok(EntryAnswer {
        outcome,
        version,
        said,
        parts,
    })
}
