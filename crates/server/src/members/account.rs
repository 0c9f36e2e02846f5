//! What a member does about himself: switch at the bench, PIN, password, leave every device.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_store::{Member, Secret};
use maud::{Markup, html};

use super::first_start::new_password;
use super::sign_in::{Entrance, enter, gone, throttle, with_cookie};
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, secret_field};
use crate::refusal::Refusal;
use crate::request::{Fields, Peer, own_path};
use crate::words;

/// The member's own page.
pub(crate) async fn account(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let sessions = snapshot.sessions(caller.member.id, app.now())?;
        let signed_off = snapshot.signed_off(caller.member.id)?;
        let others = with_pin(&snapshot.members()?, &caller);
        let body = html! {
            (switch_form(&others))
            section {
                h2 { "You" }
                p { (caller.member.name) ", " (caller.member.role) "." }
                @if !signed_off.is_empty() {
                    p { "Signed off for " (signed_off.iter().map(|c| c.name()).collect::<Vec<_>>().join(", ")) "." }
                }
                p { a.aside href="/my-cars" { "Your own cars" } ": what may be done to them, and what is asked of you." }
                form method="post" action="/sign-out" { button { "Sign out here" } }
            }
            section {
                h2 { "Open sessions" }
                ul { @for session in &sessions {
                    li { (session.device) ", since " (words::time(app, session.opened))
                         ", until " (words::time(app, session.expires)) }
                } }
                form method="post" action="/account/leave" { button.quiet { "Sign out everywhere" } }
            }
            section {
                h2 { "PIN" }
                p { "A short PIN lets you take over a bench where somebody is signed in. "
                    @if caller.member.has_pin { "You have one; an empty field takes it away." }
                    @else { "You have none yet." } }
                form method="post" action="/account/pin" {
                    (secret_field("Your password", "password", "current-password"))
                    label.field { span { "New PIN, at least 4 digits" }
                        input type="password" name="pin" inputmode="numeric" autocomplete="off"; }
                    button { "Set the PIN" }
                }
            }
            section {
                h2 { "Password" }
                form method="post" action="/account/password" {
                    (secret_field("The old password", "old", "current-password"))
                    (secret_field("The new one, at least 8 characters", "password", "new-password"))
                    (secret_field("The same again", "again", "new-password"))
                    button { "Change it and sign out everywhere" }
                }
            }
        };
        Ok(page::room(app, &caller, "Your account", "/account", &body))
    })
    .await
}

fn with_pin(members: &[Member], caller: &Caller) -> Vec<Member> {
    let others = members
        .iter()
        .filter(|own| own.active && own.has_pin && own.id != caller.member.id);
    others.cloned().collect()
}

fn switch_form(others: &[Member]) -> Markup {
    html! {
        section {
            h2 { "Somebody else takes over" }
            @if others.is_empty() {
                p { "Nobody else has set a PIN. Each does so on this page, signed in." }
            } @else {
                form.row method="post" action="/switch" {
                    (page::choice("Who", "name", "", others.iter().map(|own| (&*own.name, &*own.name))))
                    label.field { span { "PIN" }
                        input type="password" name="pin" inputmode="numeric" autocomplete="off" required; }
                    button { "Take over" }
                }
            }
        }
    }
}

/// Who is at the bench, and who takes over there: two taps and the PIN.
pub(crate) fn hand_over(members: &[Member], caller: &Caller, back: &str) -> Markup {
    let others = with_pin(members, caller);
    html! {
        details.hands { summary { (caller.member.name) " is at the bench" }
            @if others.is_empty() {
                p { "Somebody who sets a PIN under his account can take over here with it." }
            } @else {
                form method="post" action="/switch" {
                    input type="hidden" name="back" value=(back);
                    fieldset { legend { "Who takes over?" } div.ticks { @for own in &others { label.tick {
                        input type="radio" name="name" value=(own.name) required;
                        span { (own.name) }
                    } } } }
                    div.row {
                        label.field { span { "PIN" }
                            input type="password" name="pin" inputmode="numeric" autocomplete="off" required; }
                        button { "Take over" }
                    }
                }
            }
        }
    }
}

/// Another member takes over this bench with his PIN. His session ends when the one would have that was
/// opened here with a password: a PIN alone never keeps a bench open longer.
pub(crate) async fn switch(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    peer: Peer,
    fields: Fields,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let entrance = Entrance {
            name: fields.need("name", "the name")?,
            secret: Secret::Pin(fields.secret("pin")),
            device: &caller.session.device,
            until: Some(caller.session.expires),
        };
        let (token, _) = enter(app, &entrance)?;
        app.store().log_out(&caller.token)?;
        let to = Redirect::to(own_path(fields.get("back")));
        Ok(with_cookie(app, &token, to.into_response()))
    })
    .await
}

/// Sets or takes away the PIN.
pub(crate) async fn set_pin(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    peer: Peer,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let (password, pin) = (fields.secret("password"), fields.secret("pin"));
        let pin = (!pin.is_empty()).then_some(pin);
        if app
            .store()
            .set_pin(caller.member.id, password, pin, app.now())?
        {
            Ok(Redirect::to("/account"))
        } else {
            Err(Refusal::WrongSecret)
        }
    })
    .await
}

/// Sets another password; every session ends.
pub(crate) async fn set_password(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    peer: Peer,
    fields: Fields,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let (old, new) = (fields.secret("old"), new_password(&fields)?);
        if app
            .store()
            .set_password(caller.member.id, old, new, app.now())?
        {
            Ok(gone(app))
        } else {
            Err(Refusal::WrongSecret)
        }
    })
    .await
}

/// Ends every session of the caller.
pub(crate) async fn leave_everywhere(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        app.store()
            .log_out_everywhere(caller.member.id, app.now())?;
        Ok(gone(app))
    })
    .await
}
