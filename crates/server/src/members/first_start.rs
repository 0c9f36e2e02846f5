//! The first start: a one-time address by which the lead makes himself, and the links by which every
//! other member sets his password.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_store::{ClubAct, ClubCommand, MemberId, Role, Token};
use gradeworthy_workbench::rules::STARTER;
use jiff::SignedDuration;
use maud::html;

use super::sign_in::{Entrance, open, throttle};
use crate::App;
use crate::page::{self, Page, secret_field, text_field};
use crate::refusal::Refusal;
use crate::request::{Fields, Named, Peer};

/// How long a set-up link may be used. ASSUMED: from one club night to the next, and a day.
pub(crate) const LINK_LASTS: SignedDuration = SignedDuration::from_hours(8 * 24);

/// The path by which the first lead makes himself; nothing once there is a lead.
#[must_use]
pub fn set_up_address(app: &App) -> Option<String> {
    let token = app.settings().set_up.as_ref()?;
    Some(format!("/set-up/{}", token.to_hex()))
}

/// A one-time path by which a member sets a new password: the way back for one who has forgotten his,
/// for whoever keeps the machine.
///
/// # Errors
/// The words of why not: no such member, or the record refused.
pub fn let_in(app: &App, name: &str) -> Result<String, String> {
    let make = || -> Result<Option<String>, Refusal> {
        let members = app.store().snapshot()?.members()?;
        let lead = members
            .iter()
            .find(|member| member.active && member.role == Role::Lead);
        let wanted = members
            .iter()
            .find(|member| member.active && member.name.eq_ignore_ascii_case(name.trim()));
        let (Some(lead), Some(member)) = (lead, wanted) else {
            return Ok(None);
        };
        let token = issue(app, lead.id, member.id)?;
        club(app, lead.id, ClubAct::Unlock { member: member.id })?;
        Ok(Some(format!("/join/{}", token.to_hex())))
    };
    match make() {
        Ok(Some(path)) => Ok(path),
        Ok(None) => Err(format!("there is no active member called '{name}'")),
        Err(refusal) => Err(refusal.to_string()),
    }
}

/// Makes a new link for a member; those before it no longer work.
pub(super) fn issue(app: &App, by: MemberId, member: MemberId) -> Result<Token, Refusal> {
    let token = Token::random()?;
    let expires = app.now().saturating_add(LINK_LASTS).unwrap_or(app.now());
    let act = ClubAct::IssueToken {
        member,
        token: token.hash(),
        expires,
    };
    club(app, by, act)?;
    Ok(token)
}

pub(crate) fn club(app: &App, by: MemberId, act: ClubAct) -> Result<Option<MemberId>, Refusal> {
    let at = app.now();
    let by = Some(by);
    Ok(app.store().club(ClubCommand { by, at, act })?)
}

/// The form of the set-up address.
pub(crate) async fn set_up_form(
    State(app): State<App>,
    Named(token): Named<String>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        check_set_up(app, &token)?;
        let body = html! {
            p { "This record is new and has no members. Whoever fills in this form becomes its lead: \
                 he owns the rule book, the instruments, exceptions and members." }
            p { "The record begins with the starter rule book, edition 1. Every figure in it names its \
                 source; replace it with your club's own edition when you have one." }
            form method="post" {
                (text_field("Your name", "name", "", true))
                (secret_field("Password, at least 8 characters", "password", "new-password"))
                (secret_field("The same again", "again", "new-password"))
                button { "Become the lead" }
            }
        };
        Ok(page::outside(app, "Set up the club's record", &body))
    })
    .await
}

fn check_set_up(app: &App, token: &str) -> Result<(), Refusal> {
    let right = app.settings().set_up.as_ref();
    // Compared by hash, so that the time taken tells nothing of how much of it was right.
    let shown = Token::from_hex(token).map(|token| token.hash());
    if shown.is_none() || shown != right.map(Token::hash) {
        return Err(Refusal::SetUpOver);
    }
    if app.store().snapshot()?.members()?.is_empty() {
        Ok(())
    } else {
        Err(Refusal::SetUpOver)
    }
}

/// Makes the lead, gives the record its first rule book, and signs the lead in.
pub(crate) async fn set_up(
    State(app): State<App>,
    Named(token): Named<String>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let name = fields.need("name", "your name")?;
        let password = new_password(&fields)?;
        become_lead(app, &token, name, password)?;
        let entrance = Entrance::password(name, password);
        open(app, &entrance, "/bench")
    })
    .await
}

/// Makes the lead of a new record, and gives the record its first rule book.
pub(super) fn become_lead(
    app: &App,
    token: &str,
    name: &str,
    password: &str,
) -> Result<(), Refusal> {
    check_set_up(app, token)?;
    let link = Token::random()?;
    let at = app.now();
    let act = ClubAct::AddMember {
        name: name.into(),
        role: Role::Lead,
        token: link.hash(),
        expires: at.saturating_add(LINK_LASTS).unwrap_or(at),
    };
    let lead = app.store().club(ClubCommand { by: None, at, act })?;
    let lead = lead.ok_or(Refusal::SetUpOver)?;
    app.store().redeem(&link, password, at)?;
    if app.store().snapshot()?.rule_books()?.is_empty() {
        let text = STARTER.into();
        club(app, lead, ClubAct::AddRuleBook { text })?;
    }
    Ok(())
}

/// Both fields, if they agree and are long enough to be kept. Checked before anybody is made.
pub(super) fn new_password(fields: &Fields) -> Result<&str, Refusal> {
    let password = fields.secret("password");
    if password != fields.secret("again") {
        return Err(Refusal::PasswordsDiffer);
    }
    long_enough(password)
}

/// A password that the record will take.
pub(super) fn long_enough(password: &str) -> Result<&str, Refusal> {
    let found = password.chars().count();
    if found < PASSWORD_LEAST {
        let (what, least) = ("password", PASSWORD_LEAST);
        return Err(gradeworthy_store::Error::SecretTooShort { what, least, found }.into());
    }
    Ok(password)
}

/// The record's own least, asked for before a member is made who then could not come in.
const PASSWORD_LEAST: usize = 8;

/// The form behind a member's link.
pub(crate) async fn join_form(State(app): State<App>, Named(_): Named<String>) -> Page {
    let body = html! {
        p { "The lead made this link for you. It works once: set a password, then sign in with your name." }
        form method="post" {
            (secret_field("Password, at least 8 characters", "password", "new-password"))
            (secret_field("The same again", "again", "new-password"))
            button { "Set the password" }
        }
    };
    page::outside(&app, "Set your password", &body)
}

/// Sets a member's password with his link. Slowed down as signing in is: the slow hash comes first.
pub(crate) async fn join(
    State(app): State<App>,
    peer: Peer,
    Named(token): Named<String>,
    fields: Fields,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let token = Token::from_hex(&token).ok_or(gradeworthy_store::Error::TokenRefused)?;
        app.store()
            .redeem(&token, new_password(&fields)?, app.now())?;
        Ok(Redirect::to("/sign-in?set=yes").into_response())
    })
    .await
}
