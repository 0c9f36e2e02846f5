//! One entry of a car's story, and how it is struck: the mistake stays readable and no longer counts.

use axum::Extension;
use axum::extract::State;
use gradeworthy_store::{Action, CarEvent, CarId, Error, Fact, Permission, Seq, Version};
use maud::html;

use super::said;
use crate::App;
use crate::entry::{About, Entry, Envelope, entry, entry_json, form};
use crate::fleet;
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page, text_field};
use crate::refusal::Refusal;
use crate::request::Named;
use crate::words;

entry! {
    /// A mistake to be struck.
    StrikeSent {
        /// The entry: its number in the car's story.
        entry: i64,
        /// Why it is a mistake.
        why: String,
    }
}

impl Entry for StrikeSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        Ok(vec![Fact::Struck {
            struck: Seq::from_number(self.entry),
            why: self.why.trim().into(),
        }])
    }

    fn onward(&self, car: CarId) -> String {
        format!("/cars/{car}#entry-{}", self.entry)
    }
}

entry_json!(strike_json, "/api/cars/{car}/strikes", StrikeSent, "fleet");

/// Whether the caller may strike this entry; the record looks again when he does.
pub(super) fn may_strike(caller: &Caller, event: &CarEvent) -> bool {
    let action = if event.by == caller.member.id {
        Action::StrikeOwn
    } else {
        Action::StrikeOther
    };
    let may = caller.member.role.may(action) == Permission::Yes;
    may && event.struck.is_none() && !matches!(event.fact, Fact::Struck { .. })
}

/// One entry as a page, with the form that strikes it.
pub(crate) async fn show(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named((car, entry)): Named<(i64, i64)>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let (car, seq) = (CarId::from_number(car), Seq::from_number(entry));
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, car)?;
        let before = Version::from_number(entry.saturating_sub(1));
        let event = snapshot.history(car, before, Some(1))?.into_iter().next();
        let event = event.filter(|event| event.seq == seq);
        let event = event.ok_or(Error::UnknownEvent {
            seq,
            car,
            expected: "entry",
        })?;
        let names = Names::of(&snapshot)?;
        let version = snapshot.version(car)?;
        let fields = html! {
            input type="hidden" name="entry" value=(seq);
            (text_field("Why it is a mistake", "why", "", true))
            button { "Strike it" }
            " " a.button.quiet href={ "/cars/" (car) } { "Leave it" }
        };
        let body = html! {
            section {
                p { time datetime=(event.at) { (words::time(app, event.at)) } " · " (names.name(event.by))
                    @if let Some(second) = event.second { " with " (names.name(second)) } }
                div { (said(app, &names, &event)) }
            }
            @if may_strike(&caller, &event) {
                section { h2 { "Strike it" }
                    p { "A struck entry stays in the story, struck through, with your name and the reason. It no \
                         longer counts: verdicts, standing and consent are worked out without it. \
                         Enter the right one afterwards." }
                    (form(car, version, "strikes", &fields)?)
                }
            } @else {
                p { a.button href={ "/cars/" (car) } { "Back to the car" } }
            }
        };
        let title = format!("{}, entry {seq}", row.mark);
        Ok(page::room(app, &caller, &title, "/fleet", &body))
    })
    .await
}
