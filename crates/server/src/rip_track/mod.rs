//! The RIP track: every car that waits, why, and until when; due ones first, then those that tonight's
//! trains want. What ends a wait is entered here.

mod api;
mod forms;
mod wanted;

#[cfg(test)]
mod tests;

pub(crate) use api::{__path_list_json, list_json};
pub(crate) use forms::{
    __path_answer_json, __path_merge_json, __path_wait_end_json, MergeSent, WaitEndSent,
    answer_json, merge_json, wait_end_json,
};
pub(crate) use wanted::{__path_want_json, __path_wanted_json, want, want_json, wanted_json};

use axum::Extension;
use axum::extract::State;
use gradeworthy_store::{
    Action, Holds, Permission, RipOrder, RipRow, Snapshot, Standing, Version, WaitFor,
};
use maud::{Markup, html};
use serde::Deserialize;

use crate::App;
use crate::fleet;
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page};
use crate::refusal::Refusal;
use crate::request::{Asked, encoded};
use crate::words;

/// A car that waits, with everything that holds it up.
struct Waiting {
    row: RipRow,
    due: bool,
    version: Version,
    holds: Holds,
}

/// Cars on the page at first. ASSUMED: more than a work night gets through.
const SHOWN: usize = 60;

/// Which cars are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Show {
    All,
    Due,
    Wanted,
    BadOrder,
    Resting,
    Parts,
    Consent,
}

impl Show {
    const ALL: [(Self, &'static str); 7] = [
        (Self::All, "all"),
        (Self::Due, "due"),
        (Self::Wanted, "needed tonight"),
        (Self::BadOrder, "bad order"),
        (Self::Resting, "resting"),
        (Self::Parts, "parts wanted"),
        (Self::Consent, "consent wanted"),
    ];

    fn from_name(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|own| own.1 == name)
            .map(|own| own.0)
    }

    fn takes(self, row: &RipRow, due: bool) -> bool {
        let standing = &row.car.standing;
        match self {
            Self::All => true,
            Self::Due => due,
            Self::Wanted => row.needed_at.is_some(),
            Self::BadOrder => matches!(standing, Standing::BadOrdered),
            Self::Resting => matches!(standing, Standing::Resting { .. }),
            Self::Parts => matches!(standing, Standing::WaitingForParts { .. }),
            Self::Consent => matches!(standing, Standing::WaitingForOwner { .. }),
        }
    }
}

/// How many cars wait of each kind, and the first of those wanted in full.
struct Track {
    counts: [usize; Show::ALL.len()],
    first: Vec<Waiting>,
}

fn waiting(app: &App, caller: &Caller, show: Show, most: usize) -> Result<Track, Refusal> {
    let snapshot = app.store().snapshot()?;
    let now = app.now();
    let all = caller.member.role.may(Action::SeeFleet) == Permission::Yes;
    let mut rows = snapshot.rip_track(RipOrder::DueFirst { now })?;
    rows.retain(|row| all || row.car.owner_member == Some(caller.member.id));
    // Due first, then needed tonight; the record's own order, the oldest first, stays among equals.
    rows.sort_by_key(|row| (!row.is_due(now), row.needed_at.is_none(), row.needed_at));
    let counts = Show::ALL.map(|(show, _)| {
        let taken = rows.iter().filter(|row| show.takes(row, row.is_due(now)));
        taken.count()
    });
    rows.retain(|row| show.takes(row, row.is_due(now)));
    rows.truncate(most);
    let first = rows.into_iter().map(|row| look(&snapshot, row, now));
    Ok(Track {
        counts,
        first: first.collect::<Result<_, _>>()?,
    })
}

fn look(snapshot: &Snapshot<'_>, row: RipRow, now: jiff::Timestamp) -> Result<Waiting, Refusal> {
    let car = row.car.car;
    Ok(Waiting {
        due: row.is_due(now),
        version: snapshot.version(car)?,
        holds: snapshot.holds(car)?,
        row,
    })
}

#[derive(Deserialize)]
pub(crate) struct Wish {
    show: Option<String>,
    all: Option<String>,
}

/// The RIP track as a page.
pub(crate) async fn list(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(wish): Asked<Wish>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let most = wish.all.map_or(SHOWN, |_| usize::MAX);
        let show = wish.show.as_deref().and_then(Show::from_name).unwrap_or(Show::All);
        let track = waiting(app, &caller, show, most)?;
        let names = Names::of(&app.store().snapshot()?)?;
        let mut cards = Vec::with_capacity(track.first.len());
        for own in &track.first {
            cards.push(card(app, &caller, &names, own)?);
        }
        let count = track.counts[show as usize];
        let name = Show::ALL[show as usize].1;
        let body = html! {
            (filters(&track, show))
            @if count == 0 { p { @if show == Show::All { "The track is empty." } @else { "No car here is " (name) "." } } }
            @else { p { a.button.quiet href="/papers/slips" { "Print the bad-order slips" } } }
            ul.cards { @for card in &cards { (card) } }
            @if cards.len() < count {
                p { a.button href={ "/rip-track?all=yes&show=" (encoded(name)) } { "Show all " (count) } } }
            @if caller.may(Action::SetWanted) { (wanted::form(app)?) }
        };
        Ok(page::room(app, &caller, "RIP track", "/rip-track", &body))
    })
    .await
}

fn filters(track: &Track, shown: Show) -> Markup {
    html! {
        nav.filters aria-label="Which cars" { @for (show, name) in Show::ALL {
            a href={ "/rip-track?show=" (encoded(name)) } aria-current=[(show == shown).then_some("true")] {
                (name) " " span.count { (track.counts[show as usize]) } }
        } }
    }
}

fn card(app: &App, caller: &Caller, names: &Names, own: &Waiting) -> Result<Markup, Refusal> {
    let car = &own.row.car;
    Ok(html! {
        li.card {
            h2 { a href={ "/cars/" (car.car) } { (car.mark) } " " small { (fleet::what(car)) } }
            @if let Some(needed) = own.row.needed_at { p { strong { "Needed " (words::time(app, needed)) } } }
            p {
                @if own.due { strong { "Due now. " } }
                (page::standing(app, &car.standing)) " " span.more { "· " (fleet::since(app, car)) }
            }
            (reasons(app, names, &own.holds))
            (forms::waits(caller, own)?)
            (forms::merge(caller, own)?)
            @if caller.may(Action::EnterReading) {
                a.button.quiet href={ "/bench/" (car.car) } {
                    @if caller.may(Action::Release) { "To the bench: look again, release" } @else { "Take to the bench" }
                }
            }
            " " a.button.quiet href={ "/cars/" (car.car) "/papers" } { "Papers" }
        }
    })
}

/// Why a car waits: what was reported, what rests, which parts, which word.
fn reasons(app: &App, names: &Names, holds: &Holds) -> Markup {
    html! {
        ul.reasons {
            @for report in &holds.reports { li {
                "Bad order: " (report.report.defect) ", " (report.report.place)
                @if !report.report.note.is_empty() { ": " (report.report.note) }
                " " span.more { (names.name(report.by)) ", " (words::ago(app, report.at)) }
            } }
            @if let Some(rest) = &holds.rest { li {
                "Rests, not before " (words::time(app, rest.not_before))
                @if !rest.why.is_empty() { ": " (rest.why) }
                " " span.more { (words::ago(app, rest.since)) }
            } }
            @for wait in &holds.waits { li {
                @match wait.wait_for { WaitFor::Parts => "Parts wanted: ", WaitFor::Owner => "The owner is asked: " }
                (wait.what) " " span.more { (words::ago(app, wait.since)) }
            } }
            @for ask in &holds.asks { li {
                strong { "Consent wanted" } ": work on " (ask.work) ": " (ask.what)
                " " span.more { (words::ago(app, ask.since)) }
            } }
        }
    }
}
