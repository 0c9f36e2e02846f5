//! What becomes of the car in hand: admitted, admitted with a limit, to rest, to wait, back to its owner.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_store::{
    Action, Append, Basis, CarId, ClientId, Fact, LogIn, Member, MemberId, Permission, Receipt,
    RecordedInspection, Role, Secret, Standing, Version, WaitFor,
};
use jiff::civil::DateTime;
use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::ToSchema;

use super::desk::Desk;
use super::readings::derived;
use super::{InHand, take};
use crate::App;
use crate::guard::Caller;
use crate::page::{self, text_field};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Fields, Named};

/// How the work on a car ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ending {
    /// It joins the fleet, with a limit or without.
    Release,
    /// It rests until a second look.
    Rest,
    /// It waits for parts or for its owner.
    Wait,
    /// It goes back to its owner.
    HandBack,
    /// It comes back from its owner.
    TakeIn,
}

/// An ending as sent; each kind reads its own fields.
#[derive(Debug, Default, Deserialize, ToSchema)]
#[serde(default)]
pub(crate) struct EndingSent {
    /// The sender's identity of it, 32 hexadecimal digits.
    pub(crate) client_id: String,
    /// The version of the record that the sender had seen.
    pub(crate) version: i64,
    /// Release: what the car may not do; empty for a car without limit.
    pub(crate) limit: String,
    /// Release: what else is to be said; for a lead, the reason of an exception.
    pub(crate) note: String,
    /// Rest: until when, in the shop's time, '2026-11-26T19:00'.
    pub(crate) until: String,
    /// Wait: 'parts' or 'owner'.
    pub(crate) wait_for: String,
    /// Wait: which parts, which question. Rest, back to owner: why.
    pub(crate) why: String,
    /// The name of the member who answers for it beside the sender, where one is needed.
    pub(crate) second: String,
    /// That member's PIN or password.
    pub(crate) second_secret: String,
}

impl EndingSent {
    fn of_form(fields: &Fields) -> Result<Self, Refusal> {
        let text = |name| fields.get(name).to_owned();
        Ok(Self {
            client_id: text("client_id"),
            version: super::page::version(fields)?.number(),
            limit: text("limit"),
            note: text("note"),
            until: text("until"),
            wait_for: text("wait_for"),
            why: text("why"),
            second: text("second"),
            second_secret: fields.secret("second_secret").to_owned(),
        })
    }
}

/// Ends the work on a car.
pub(crate) fn end(
    app: &App,
    caller: &Caller,
    car: CarId,
    kind: Ending,
    sent: &EndingSent,
) -> Result<Receipt, Refusal> {
    let hand = take(app, &app.store().snapshot()?, car)?;
    let id = client_id(&sent.client_id)?;
    let facts = facts(app, caller, &hand, kind, sent)?;
    let named = facts
        .into_iter()
        .map(|fact| (derived(id, fact.kind()), fact));
    Ok(app.store().append(Append {
        car,
        by: caller.member.id,
        second: second(app, sent)?,
        at: app.now(),
        basis: Basis::Seen(Version::from_number(sent.version)),
        facts: named.collect(),
        drafts_done: None,
    })?)
}

fn facts(
    app: &App,
    caller: &Caller,
    hand: &InHand,
    kind: Ending,
    sent: &EndingSent,
) -> Result<Vec<Fact>, Refusal> {
    let why = sent.why.as_str();
    Ok(match kind {
        Ending::Release => {
            let exception = caller.member.role == Role::Lead && !sent.note.trim().is_empty();
            let hindrances = hand.hindrances(app);
            if !hindrances.is_empty() && !exception {
                return Err(Refusal::NotAdmissible { why: hindrances });
            }
            let limit = sent.limit.trim();
            let recorded = RecordedInspection::of(&hand.inspection, hand.own.version);
            vec![
                Fact::Inspected(recorded.into()),
                Fact::Released {
                    restriction: (!limit.is_empty()).then(|| limit.into()),
                    note: sent.note.trim().into(),
                },
            ]
        }
        Ending::Rest => vec![Fact::Rested {
            not_before: shop_time(app, &sent.until)?,
            why: why.into(),
        }],
        Ending::Wait => {
            let wait_for =
                WaitFor::from_name(&sent.wait_for).ok_or_else(|| Refusal::NotAChoice {
                    found: sent.wait_for.clone(),
                    expected: "thing a car waits for (parts or owner)",
                })?;
            vec![Fact::Waiting {
                wait_for,
                what: why.into(),
            }]
        }
        Ending::HandBack => vec![Fact::HandedBack { why: why.into() }],
        Ending::TakeIn => vec![Fact::TakenIn { why: why.into() }],
    })
}

pub(crate) fn shop_time(app: &App, text: &str) -> Result<Timestamp, Refusal> {
    let local = text.parse::<DateTime>().ok();
    let at = local.and_then(|local| app.settings().zone.to_timestamp(local).ok());
    at.ok_or_else(|| Refusal::NotAChoice {
        found: text.to_owned(),
        expected: "day and time, such as 2026-11-26T19:00",
    })
}

/// The second name, if one was given: he proves that he is there with his PIN or password, in a session
/// that is closed at once.
pub(crate) fn second(app: &App, sent: &EndingSent) -> Result<Option<MemberId>, Refusal> {
    /// A password has at least eight characters; what is shorter is a PIN.
    const PIN_MOST: usize = 7;
    let name = sent.second.trim();
    if name.is_empty() {
        return Ok(None);
    }
    let text = sent.second_secret.as_str();
    let secret = if text.chars().count() <= PIN_MOST {
        Secret::Pin(text)
    } else {
        Secret::Password(text)
    };
    let now = app.now();
    let until = now
        .saturating_add(SignedDuration::from_secs(1))
        .unwrap_or(now);
    match app
        .store()
        .log_in(name, secret, "second name", now, until)?
    {
        LogIn::Open(token, session) => {
            app.store().log_out(&token)?;
            Ok(Some(session.member))
        }
        LogIn::Wrong => Err(Refusal::WrongSecret),
        LogIn::LockedOut { until } => Err(Refusal::LockedOut { until, now }),
    }
}

/// Ends the work by a form.
pub(crate) async fn by_form(
    kind: Ending,
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let car = CarId::from_number(car);
        end(app, &caller, car, kind, &EndingSent::of_form(&fields)?)?;
        Ok(Redirect::to(&format!("/cars/{car}")))
    })
    .await
}

/// The forms for every ending that the caller may choose, and what hinders.
pub(super) fn forms(desk: &Desk<'_>) -> Result<Markup, Refusal> {
    let hindrances = desk.hand.hindrances(desk.app);
    let lead = desk.caller.member.role == Role::Lead;
    let away = matches!(desk.hand.row.standing, Standing::BackToOwner { .. });
    Ok(html! {
        section id="becomes" { h2 { "What becomes of it" }
            @if hindrances.is_empty() { p.done { "The rule book admits this car." } }
            @else { div.hindered { strong { "Not to be admitted yet" }
                ul { @for own in &hindrances { li { (own) } } }
                @if lead { p { "As lead you may all the same, with the reason in the note." } } } }
            div.endings {
                @if hindrances.is_empty() || lead { (admit(desk, hindrances.is_empty())?) }
                (not_today(desk)?)
                @if away { (one(desk, "take-in", Action::Hand, "Take it in again", &html! {
                    (text_field("Why it comes again", "why", "", false))
                    button { "Take it in again" }
                })?) } @else { (one(desk, "hand-back", Action::Hand, "Back to its owner", &html! {
                    (text_field("Why it goes back", "why", "", true))
                    button { "Back to its owner" }
                })?) }
            }
        }
    })
}

/// One ending: a large button that opens what it still needs.
fn one(
    desk: &Desk<'_>,
    kind: &str,
    action: Action,
    what: &str,
    body: &Markup,
) -> Result<Markup, Refusal> {
    let id = ClientId::random()?;
    Ok(html! {
        @if desk.caller.may(action) {
            details.ending { summary { (what) }
                form method="post" action={ "/cars/" (desk.hand.row.car) "/" (kind) } { (desk.hidden(&id)) (body) }
            }
        }
    })
}

/// Into the fleet: at once where the rule book admits it, else by a lead with his reason.
fn admit(desk: &Desk<'_>, admissible: bool) -> Result<Markup, Refusal> {
    let permission = desk.caller.member.role.may(Action::Release);
    let second = second_field(desk.caller, desk.members, permission);
    let plain = ClientId::random()?;
    let action = format!("/cars/{}/release", desk.hand.row.car);
    Ok(html! {
        @if admissible && desk.caller.may(Action::Release) {
            form.admit method="post" action=(action) {
                (desk.hidden(&plain))
                @if permission == Permission::WithSecond { (second) button { "Admit" } }
                @else { button { "Admit" } (second) }
            }
            (one(desk, "release", Action::Release, "Admit with a limit", &html! {
                (text_field("What it may not do", "limit", "", true))
                (text_field("Note", "note", "", false))
                (second)
                button { "Admit with this limit" }
            })?)
        } @else {
            (one(desk, "release", Action::Release, "Admit all the same", &html! {
                (text_field("Limit; empty admits it without one", "limit", "", false))
                (text_field("The reason", "note", "", true))
                button { "Admit all the same" }
            })?)
        }
    })
}

/// To rest, or to wait for something.
fn not_today(desk: &Desk<'_>) -> Result<Markup, Refusal> {
    let permission = desk.caller.member.role.may(Action::Hold);
    let second = second_field(desk.caller, desk.members, permission);
    let tomorrow = desk.app.today().tomorrow().ok();
    let evening = tomorrow
        .map(|day| format!("{day}T19:00"))
        .unwrap_or_default();
    let kinds = WaitFor::ALL.iter().map(|own| (own.name(), own.name()));
    Ok(html! {
        (one(desk, "rest", Action::Hold, "Rest until …", &html! {
            label.field { span { "Rests until" } input type="datetime-local" name="until" value=(evening) required; }
            (text_field("Why", "why", "", false))
            (second)
            button { "Let it rest" }
        })?)
        (one(desk, "wait", Action::Hold, "To the RIP track", &html! {
            (page::choice("Waits for", "wait_for", "parts", kinds))
            (text_field("Which parts, which question", "why", "", true))
            (second)
            button { "To the RIP track" }
        })?)
    })
}

/// Who answers beside the caller: shown open where it is needed, folded where it may be.
pub(crate) fn second_field(caller: &Caller, members: &[Member], permission: Permission) -> Markup {
    let others = members.iter().filter(|own| {
        own.active && own.id != caller.member.id && matches!(own.role, Role::Lead | Role::Inspector)
    });
    let needed = permission == Permission::WithSecond;
    let names = others.map(|own| (&*own.name, &*own.name));
    let fields = html! {
        div.row {
            (page::choice("Second name", "second", "", std::iter::once(("", "nobody")).chain(names)))
            label.field { span { "His PIN or password" }
                input type="password" name="second_secret" autocomplete="off"; }
        }
    };
    html! {
        @if needed { (fields) }
        @else if caller.member.role == Role::Inspector {
            details { summary { "Second name, for a check you are not signed off for" } (fields) }
        }
    }
}
