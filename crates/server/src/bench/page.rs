//! The bench page: one car, one check open, big fields, the verdict of each reading beside its cure.

use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_reports::words::{self as say, System, amount};
use gradeworthy_store::{CarId, ClientId, Error, PlacedReading, Snapshot, Version};
use gradeworthy_units::Dimension;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Line;
use gradeworthy_workbench::cures::Action;
use gradeworthy_workbench::record::{Answer, Check, Kind, Measure, Place, Value};
use maud::{Markup, html};
use serde::Deserialize;

use super::readings::{self, Sending, TypedReading, field, spot};
use super::{InHand, ending, take};
use crate::App;
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Asked, Fields, Named};
use crate::{fleet, story, words};

#[derive(Deserialize)]
pub(crate) struct Open {
    check: Option<String>,
    after: Option<String>,
}

/// What the page shows besides the record: what was typed and could not be entered.
#[derive(Default)]
struct Typed {
    message: Option<Markup>,
    values: Vec<(String, String)>,
    faults: Vec<(String, String)>,
}

/// The car in hand, with one check open.
pub(crate) async fn bench(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    Asked(open): Asked<Open>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let hand = take(app, &snapshot, CarId::from_number(car))?;
        let asked = open.check.as_deref().and_then(Check::from_name);
        let check = asked.unwrap_or_else(|| hand.next());
        show(
            app,
            &caller,
            &snapshot,
            &hand,
            check,
            open.after.as_deref(),
            &Typed::default(),
        )
    })
    .await
}

/// Takes readings from the form: entered, all of them, or shown again with what is wrong.
pub(crate) async fn read(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        let hand = take(app, &app.store().snapshot()?, car)?;
        let check = Check::from_name(fields.get("check")).unwrap_or_else(|| hand.next());
        let sending = sending(&hand, &fields)?;
        let here = format!(
            "/bench/{car}?check={}",
            crate::request::encoded(check.name())
        );
        let Some(last) = sending.readings.last() else {
            return Ok(Redirect::to(&here).into_response());
        };
        let mut typed = Typed {
            faults: readings::faults(app, &hand, &sending.readings),
            ..Typed::default()
        };
        let status = if typed.faults.is_empty() {
            match readings::enter(app, &caller, &hand, &sending) {
                Ok(_) => {
                    let after = field(last.measure, last.place);
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
        let value = |one: &TypedReading| (field(one.measure, one.place), one.text.clone());
        typed.values = sending.readings.iter().map(value).collect();
        let snapshot = app.store().snapshot()?;
        let hand = take(app, &snapshot, car)?;
        let page = show(app, &caller, &snapshot, &hand, check, None, &typed)?;
        Ok((status, page).into_response())
    })
    .await
}

fn meanwhile(app: &App, conflict: &gradeworthy_store::Conflict) -> Result<Markup, Refusal> {
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
            Kind::Quantity(dimension) => {
                let name = fields.get(&instrument_field(dimension));
                hand.book.instrument(name).map(|own| own.name.to_string())
            }
            Kind::Answer => None,
        };
        readings.push(TypedReading {
            measure,
            place,
            text: text.to_owned(),
            instrument,
        });
    }
    Ok(Sending {
        client_id: client_id(fields.get("client_id"))?,
        seen: version(fields)?,
        readings,
    })
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

fn instrument_field(dimension: Dimension) -> String {
    format!("instrument.{dimension}").to_lowercase()
}

fn show(
    app: &App,
    caller: &Caller,
    snapshot: &Snapshot<'_>,
    hand: &InHand,
    check: Check,
    after: Option<&str>,
    typed: &Typed,
) -> Result<Page, Refusal> {
    let past = snapshot.latest_readings(hand.row.car)?;
    let members = snapshot.members()?;
    let body = html! {
        p { (fleet::what(&hand.row)) " · " a href={ "/cars/" (hand.row.car) } { "its story" } }
        p { (page::verdict(hand.inspection.verdict)) " under edition " (hand.inspection.edition) " · "
            (page::standing(app, &hand.row.standing)) }
        @if let Some(message) = &typed.message { div.message role="alert" { (message) } }
        div.bench {
            section.side { h2 { "Checks" } (checks(hand, check)) }
            div {
                section {
                    h2 { (page::sentence(check.name()).trim_end_matches('.')) " " (page::verdict(hand.inspection.of(check))) }
                    (lines(hand, check))
                    (cures(hand, check)?)
                    (form(app, hand, check, &past, after, typed)?)
                }
                (ending::forms(app, caller, hand, &members)?)
            }
        }
    };
    Ok(page::room(
        app,
        caller,
        hand.row.mark.as_str(),
        "/bench",
        &body,
    ))
}

fn checks(hand: &InHand, open: Check) -> Markup {
    html! {
        ol.checks { @for check in Check::ALL {
            li { a href={ "/bench/" (hand.row.car) "?check=" (crate::request::encoded(check.name())) }
                aria-current=[(check == open).then_some("step")] {
                span { (check.name()) @if hand.book.bench.required.contains(&check) { " *" } }
                (page::verdict(hand.inspection.of(check)))
            } }
        } }
        p.more { "* no car is admitted without it" }
    }
}

/// What is not fit stands open; what is fit is one line that unfolds.
fn lines(hand: &InHand, check: Check) -> Markup {
    let (fit, other): (Vec<_>, Vec<_>) = hand
        .inspection
        .lines_of(check)
        .partition(|line| line.verdict == Verdict::Fit);
    html! {
        @if !other.is_empty() { (line_list(hand, &other)) }
        @if !fit.is_empty() {
            details { summary { (fit.len()) " fit, with their margins" } (line_list(hand, &fit)) }
        }
    }
}

fn line_list(hand: &InHand, lines: &[&Line]) -> Markup {
    html! {
        ul.lines { @for line in lines { li {
            (page::verdict(line.verdict))
            span { (line_words(hand, line)) }
            span.more { (line.grounds) }
        } } }
    }
}

/// A judged line as a sentence; a line of the look-over in the words of the rule book.
fn line_words(hand: &InHand, line: &Line) -> String {
    match look_over(hand, line.place) {
        Some(words) => words.to_owned(),
        None => say::line(line, System::Both),
    }
}

fn look_over(hand: &InHand, place: Place) -> Option<&str> {
    let Place::Item(item) = place else {
        return None;
    };
    let index = usize::from(item).checked_sub(1)?;
    hand.book.bench.look_over.get(index).map(|words| &**words)
}

fn cures(hand: &InHand, check: Check) -> Result<Markup, Refusal> {
    let own: Vec<_> = hand
        .cures
        .iter()
        .filter(|cure| cure.check == check)
        .collect();
    if own.is_empty() {
        return Ok(html! {});
    }
    let mut ids = Vec::with_capacity(own.len());
    for _ in &own {
        ids.push(ClientId::random()?);
    }
    Ok(html! {
        h3 { "What puts it right" }
        ol.cures { @for (cure, id) in own.iter().zip(&ids) { li {
            p { (page::sentence(&say::cure(cure, System::Both))) }
            @if let Some(then) = say::then(cure) { p { "Then: " (then) "." } }
            @if let Some(caution) = &cure.caution { p.caution { "Caution: " (caution) } }
            @if !matches!(cure.action, Action::Lacking(_)) { form method="post" action={ "/bench/" (hand.row.car) "/cures" } {
                input type="hidden" name="client_id" value=(id);
                input type="hidden" name="version" value=(hand.own.version);
                input type="hidden" name="check" value=(check.name());
                input type="hidden" name="cure" value=(cure.kind.name());
                input type="hidden" name="place" value=(words::place_key(cure.place));
                input type="hidden" name="note" value=(say::cure(cure, System::Both));
                @if let Some(days) = cure.rest_days { input type="hidden" name="rest_days" value=(days); }
                button.quiet { "This was done" }
            } }
        } } }
    })
}

fn form(
    app: &App,
    hand: &InHand,
    check: Check,
    past: &[PlacedReading],
    after: Option<&str>,
    typed: &Typed,
) -> Result<Markup, Refusal> {
    let spots = hand.spots(check);
    let unread = |spot: &(Measure, Place)| {
        !past
            .iter()
            .any(|own| (own.entry.measure, own.entry.place) == *spot)
    };
    let next = after
        .and_then(|after| spots.iter().position(|own| field(own.0, own.1) == after))
        .map(|at| at + 1)
        .or_else(|| spots.iter().position(unread));
    Ok(html! {
        form method="post" action={ "/bench/" (hand.row.car) } {
            input type="hidden" name="client_id" value=(ClientId::random()?);
            input type="hidden" name="version" value=(hand.own.version);
            input type="hidden" name="check" value=(check.name());
            div.readings { @for (index, spot) in spots.iter().enumerate() {
                (reading(app, hand, *spot, past, typed, next == Some(index)))
            } }
            (instruments(hand, &spots, past))
            button { "Enter what is filled in" }
            p.more { "Enter after one number is enough; empty fields are left alone." }
        }
    })
}

fn reading(
    app: &App,
    hand: &InHand,
    (measure, place): (Measure, Place),
    past: &[PlacedReading],
    typed: &Typed,
    next: bool,
) -> Markup {
    let name = field(measure, place);
    let of = |list: &[(String, String)]| {
        list.iter()
            .find(|own| own.0 == name)
            .map(|own| own.1.clone())
    };
    let (value, fault) = (of(&typed.values).unwrap_or_default(), of(&typed.faults));
    let before = past
        .iter()
        .find(|own| (own.entry.measure, own.entry.place) == (measure, place));
    let label =
        look_over(hand, place).map_or_else(|| format!("{measure}, {place}"), ToOwned::to_owned);
    let id = next.then_some("next");
    html! {
        @match measure.kind() {
            Kind::Quantity(dimension) => div.reading id=[id] {
                label { span { (label) " " small { (hand.book.bare.of(dimension).symbol()) } }
                    input type="text" name=(name) value=(value) inputmode="decimal" autocomplete="off"
                        autofocus[next] aria-invalid=[fault.as_ref().map(|_| "true")]; }
                (below(app, before, fault.as_deref()))
            },
            Kind::Answer => fieldset.reading id=[id] {
                legend { (label) }
                div.ticks { @for answer in [Answer::Good, Answer::Fair, Answer::Poor] { label.tick {
                    input type="radio" name=(name) value=(answer) checked[value == answer.to_string()];
                    span { (answer) }
                } } }
                (below(app, before, fault.as_deref()))
            },
        }
    }
}

fn below(app: &App, before: Option<&PlacedReading>, fault: Option<&str>) -> Markup {
    html! {
        @if let Some(fault) = fault { span.fault { (page::sentence(fault)) } }
        span.past {
            @if let Some(before) = before {
                "last: " @match &before.entry.value {
                    Value::Quantity(typed) => (amount(typed.amount, System::Both)),
                    Value::Answer(answer) => (answer),
                } ", " (words::ago(app, before.at))
            } @else { "not read before" }
        }
    }
}

/// One choice of instrument for each kind of quantity in the form; the one used last comes first.
fn instruments(hand: &InHand, spots: &[(Measure, Place)], past: &[PlacedReading]) -> Markup {
    let mut dimensions = Vec::new();
    for (measure, _) in spots {
        if let Kind::Quantity(dimension) = measure.kind()
            && !dimensions.contains(&dimension)
        {
            dimensions.push(dimension);
        }
    }
    let used = |dimension: Dimension| {
        let same = |own: &&PlacedReading| {
            own.entry.measure.kind() == Kind::Quantity(dimension)
                && spots.contains(&(own.entry.measure, own.entry.place))
        };
        let last = past.iter().filter(same).max_by_key(|own| own.seq);
        last.and_then(|own| own.entry.instrument.clone())
            .unwrap_or_default()
    };
    html! {
        div.row { @for dimension in dimensions {
            @let own = hand.book.instruments.iter().filter(|own| own.uncertainty.dimension() == dimension);
            @let choices = std::iter::once(("", "not said")).chain(own.map(|own| (&*own.name, &*own.name)));
            (page::choice(&format!("Instrument ({dimension})"), &instrument_field(dimension), &used(dimension), choices))
        } }
    }
}
