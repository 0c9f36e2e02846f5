//! One car: where it stands, and everything that happened to it, as a story that can be read; what is
//! changed about it, and how a mistake is struck.

mod api;
mod change;
mod entry;
mod sentence;

#[cfg(test)]
mod tests;

pub(crate) use api::{__path_car_json, car_json};
pub(crate) use change::{
    __path_describe_json, __path_fit_json, __path_letter_json, __path_note_json, __path_own_json,
    DescribeSent, FitSent, Fitted, LetterSent, NoteSent, OwnSent, describe_json, fit_fields,
    fit_json, form as change, letter_json, note_json, own_json,
};
pub(crate) use entry::{__path_strike_json, StrikeSent, show as entry, strike_json};
pub(crate) use sentence::sentence;

use axum::Extension;
use axum::extract::State;
use gradeworthy_reports::words::{System, amount};
use gradeworthy_store::{
    Action, CarEvent, CarId, Fact, FleetRow, RecordedInspection, Snapshot, Version,
};
use gradeworthy_workbench::Verdict;
use maud::{Markup, html};

use crate::App;
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page};
use crate::refusal::Refusal;
use crate::request::{Named, encoded};
use crate::{consent, fleet, photo, words};

/// One car as a page.
pub(crate) async fn car(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, CarId::from_number(car))?;
        let body = page(app, &caller, &snapshot, &row)?;
        Ok(page::room(app, &caller, row.mark.as_str(), "/fleet", &body))
    })
    .await
}

fn page(
    app: &App,
    caller: &Caller,
    snapshot: &Snapshot<'_>,
    row: &FleetRow,
) -> Result<Markup, Refusal> {
    let car = row.car;
    let names = Names::of(snapshot)?;
    let mut events = snapshot.history(car, Version::from_number(0), None)?;
    events.reverse();
    let version = snapshot.version(car)?;
    Ok(html! {
        p { (fleet::what(row)) }
        p { (page::standing(app, &row.standing)) " " span.more { "· " (fleet::since(app, row)) } }
        p.row {
            @if caller.may(Action::EnterReading) { a.button href={ "/bench/" (car) } { "Take to the bench" } }
            @if caller.may(Action::BadOrder) {
                a.button.quiet href={ "/report?mark=" (encoded(row.mark.as_str())) } { "Bad-order it" } }
            a.button.quiet href={ "/cars/" (car) "/papers" } { "Print its papers" }
            @if caller.may(Action::ChangeCar) {
                a.button.quiet href={ "/cars/" (car) "/change" } { "Change marks, owner, parts" } }
        }
        (photo::section(app, caller, row, &events, &format!("/cars/{car}"))?)
        (consent::section(caller, snapshot, row, version)?)
        section { h2 { "Its story, the latest first" }
            @if caller.may(Action::Note) { (change::note_form(car, version)?) }
            ol.story { @for chapter in chapters(&events) { (tell(app, caller, &names, chapter)) } }
        }
    })
}

/// Events that are told together: readings entered by one member at one time.
fn chapters(events: &[CarEvent]) -> impl Iterator<Item = &[CarEvent]> {
    events.chunk_by(|one, next| {
        let read = |event: &CarEvent| matches!(event.fact, Fact::Read(_)) && event.struck.is_none();
        read(one) && read(next) && one.by == next.by && one.at == next.at
    })
}

fn tell(app: &App, caller: &Caller, names: &Names, chapter: &[CarEvent]) -> Markup {
    let Some(event) = chapter.first() else {
        return html! {};
    };
    html! {
        li id={ "entry-" (event.seq) } {
            time datetime=(event.at) { (words::time(app, event.at)) }
            " · " (names.name(event.by))
            @if let Some(second) = event.second { " with " (names.name(second)) }
            @if chapter.len() > 1 {
                details { summary { "Read " (chapter.len()) " things" }
                    ul { @for one in chapter { li.told {
                        span { (sentence(app, names, &one.fact)) } (strike_link(caller, one)) } } } }
            } @else {
                div.told { div { (said(app, names, event)) } (strike_link(caller, event)) }
            }
        }
    }
}

/// What an entry says; a struck one struck through, with who struck it, when and why.
fn said(app: &App, names: &Names, event: &CarEvent) -> Markup {
    html! {
        @if let Some(struck) = &event.struck {
            s { (sentence(app, names, &event.fact)) } (picture_link(event))
            " " strong { "Struck" } " " (words::time(app, struck.at)) " by " (names.name(struck.by)) ": " (struck.why)
        } @else if let Fact::Inspected(inspection) = &event.fact {
            (judged(inspection))
        } @else {
            (sentence(app, names, &event.fact)) (picture_link(event))
        }
    }
}

fn picture_link(event: &CarEvent) -> Markup {
    html! {
        @if let Fact::Photographed(own) = &event.fact {
            " " a.aside href=(photo::address(event.car, event.seq)) { "see it" }
            span.more { " " (own.width_px) " × " (own.height_px) }
        }
    }
}

fn strike_link(caller: &Caller, event: &CarEvent) -> Markup {
    html! {
        @if entry::may_strike(caller, event) {
            a.aside href={ "/cars/" (event.car) "/entries/" (event.seq) } {
                "strike" span.unseen { " entry " (event.seq) } }
        }
    }
}

fn judged(inspection: &RecordedInspection) -> Markup {
    let bad = inspection
        .lines
        .iter()
        .filter(|line| line.verdict == Verdict::BadOrder);
    html! {
        "Judged under edition " (inspection.edition) ": " (page::verdict(inspection.verdict))
        ul { @for line in bad { li {
            (line.place) ": " (line.aspect)
            @if let Some(reading) = line.reading { " " (amount(reading, System::Both)) }
            " " span.more { (line.grounds) }
        } } }
    }
}
