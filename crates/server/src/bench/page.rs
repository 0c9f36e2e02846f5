//! The bench page: one car, one check open, big fields, the verdict of each reading beside its cure.

use std::collections::HashMap;

use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_store::{Bench, CarId, Conflict, Error, Version};
use gradeworthy_workbench::record::{Check, Kind};
use maud::{Markup, html};
use serde::Deserialize;

use super::desk::{Desk, Part};
use super::fields::{self, Typed, instrument_field, sure_field};
use super::readings::{self, Sending, TypedReading, spot};
use super::{InHand, Pass, take};
use crate::App;
use crate::guard::Caller;
use crate::members::{self, Names};
use crate::page::{self, Page};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Asked, Fields, Named};
use crate::{fleet, photo, script, story, words};

#[derive(Deserialize)]
pub(crate) struct Open {
    check: Option<String>,
    pass: Option<String>,
    after: Option<String>,
}

/// The car in hand, with one check open.
pub(crate) async fn bench(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Extension(bench): Extension<Bench>,
    Named(car): Named<i64>,
    Asked(open): Asked<Open>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let snapshot = app.store().snapshot()?;
        let hand = take(app, &snapshot, car)?;
        let pass = Pass::from_name(open.pass.as_deref().unwrap_or_default());
        let asked = open.check.as_deref().and_then(Check::from_name);
        let drafts = snapshot.drafts(&bench, car)?;
        let kept = |own: gradeworthy_store::DraftField| (own.field.into(), own.text.into());
        let typed = Typed {
            values: drafts.into_iter().map(kept).collect(),
            ..Typed::default()
        };
        let members = snapshot.members()?;
        let desk = Desk {
            app,
            caller: &caller,
            snapshot: &snapshot,
            members: &members,
            check: asked.unwrap_or_else(|| hand.next(pass)),
            hand: &hand,
            pass,
            just: None,
        };
        show(&desk, open.after.as_deref(), &typed)
    })
    .await
}

/// Takes readings from the form: entered, all of them, or shown again with what is wrong.
pub(crate) async fn read(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Extension(bench): Extension<Bench>,
    Named(car): Named<i64>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let snapshot = app.store().snapshot()?;
        let hand = take(app, &snapshot, car)?;
        let pass = Pass::from_name(fields.get("pass"));
        let check = Check::from_name(fields.get("check")).unwrap_or_else(|| hand.next(pass));
        let sending = sending(&hand, &fields)?;
        let members = snapshot.members()?;
        let mut desk = Desk {
            app,
            caller: &caller,
            snapshot: &snapshot,
            members: &members,
            hand: &hand,
            check,
            pass,
            just: None,
        };
        let here = desk.address(check, pass);
        let Some(last) = sending.readings.last() else {
            return Ok(Redirect::to(&here).into_response());
        };
        let faults = readings::faults(app, &snapshot, &hand, &sending.readings)?;
        let mut typed = Typed {
            faults: faults.into_iter().collect(),
            ..Typed::default()
        };
        let status = if typed.faults.is_empty() {
            match readings::enter(app, &caller, &hand, Some(&bench), &sending) {
                Ok(_) => {
                    let after = last.field();
                    return Ok(Redirect::to(&format!("{here}&after={after}#next")).into_response());
                }
                Err(Refusal::Record(Error::Conflict(conflict))) => {
                    typed.message = Some(meanwhile(app, &conflict)?);
                    StatusCode::CONFLICT
                }
                Err(refusal) => return Err(refusal),
            }
        } else {
            typed.message =
                Some(html! { "Nothing was entered yet. Mend the marked fields and send again." });
            StatusCode::UNPROCESSABLE_ENTITY
        };
        let value = |one: &TypedReading| (one.field(), one.text.clone());
        typed.values = sending
            .readings
            .iter()
            .map(value)
            .collect::<HashMap<_, _>>();
        let snapshot = app.store().snapshot()?;
        let hand = take(app, &snapshot, car)?;
        desk.snapshot = &snapshot;
        desk.hand = &hand;
        Ok((status, show(&desk, None, &typed)?).into_response())
    })
    .await
}

/// What another bench entered while something was typed here.
pub(super) fn meanwhile(app: &App, conflict: &Conflict) -> Result<Markup, Refusal> {
    let names = Names::of(&app.store().snapshot()?)?;
    Ok(html! {
        "Another bench entered something on this car while you typed. Look at it; what you typed is still \
         here, and sending it again enters it after that:"
        ul { @for event in &conflict.since { li {
            (words::time(app, event.at)) ", " (names.name(event.by)) ": "
            (story::sentence(app, &names, &event.fact))
        } } }
    })
}

fn sending(hand: &InHand, fields: &Fields) -> Result<Sending, Refusal> {
    let mut readings = Vec::new();
    for (name, text) in fields.iter().filter(|(_, text)| !text.is_empty()) {
        let Some((measure, place)) = spot(name) else {
            continue;
        };
        let instrument = match measure.kind() {
            Kind::Quantity(dimension) => instrument(hand, fields.get(&instrument_field(dimension))),
            Kind::Answer => None,
        };
        readings.push(TypedReading {
            measure,
            place,
            text: text.to_owned(),
            instrument,
            // What is confirmed is the very text that was questioned, and no other.
            sure: fields.get(&sure_field(name)) == text,
        });
    }
    Ok(Sending {
        client_id: client_id(fields.get("client_id"))?,
        seen: version(fields)?,
        readings,
    })
}

/// An instrument that the rule book knows, by its name.
pub(super) fn instrument(hand: &InHand, name: &str) -> Option<String> {
    hand.book.instrument(name).map(|own| own.name.to_string())
}

/// The version that the sender had seen.
pub(super) fn version(fields: &Fields) -> Result<Version, Refusal> {
    let text = fields.get("version");
    let number = text.parse().map_err(|_| Refusal::NotAChoice {
        found: text.to_owned(),
        expected: "version of a car's record",
    })?;
    Ok(Version::from_number(number))
}

fn show(desk: &Desk<'_>, after: Option<&str>, typed: &Typed) -> Result<Page, Refusal> {
    let hand = desk.hand;
    let parts = desk.parts()?;
    let part = |id: &str| {
        let found = parts.iter().find(|part: &&Part| part.id == id);
        found.map(|part| &part.html)
    };
    let check = page::sentence(desk.check.name());
    let photographs = desk.snapshot.photographs(hand.row.car)?;
    let here = desk.address(desk.check, desk.pass);
    let body = html! {
        div.car-head {
            p { (fleet::what(&hand.row)) }
            p { a.button.quiet href={ "/cars/" (hand.row.car) } { "Its story" } }
            (members::hand_over(desk.members, desk.caller, &here))
        }
        (part("standing").unwrap_or(&html! {}))
        @if let Some(message) = &typed.message { div.message role="alert" { (message) } }
        div.bench {
            (part("checks").unwrap_or(&html! {}))
            div {
                section {
                    h2 { (check.trim_end_matches('.')) }
                    (fields::form(desk, after, typed)?)
                    @for id in ["judged", "onward", "picture"] { (part(id).unwrap_or(&html! {})) }
                }
                @for id in ["becomes", "lately"] { (part(id).unwrap_or(&html! {})) }
                (photo::section(desk.app, desk.caller, &hand.row, &photographs, &here)?)
            }
        }
        (script::BENCH.load())
    };
    let mark = hand.row.mark.as_str();
    Ok(page::room(desk.app, desk.caller, mark, "/bench", &body))
}
