//! What the lead does about members, and the trail of who changed what.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_store::{ClubAct, Member, MemberId, Role, Token};
use gradeworthy_workbench::record::Check;
use jiff::Timestamp;
use maud::{Markup, html};

use super::first_start::{LINK_LASTS, club, issue};
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::request::{Fields, Host, Named};
use crate::words;

/// Every member, and the form for another.
pub(crate) async fn list(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let mut rows = Vec::new();
        for member in snapshot.members()? {
            let signed_off = snapshot.signed_off(member.id)?;
            rows.push(row(app, &member, &signed_off));
        }
        let body = html! {
            section {
                h2 { "A new member" }
                form.row method="post" {
                    (text_field("Name", "name", "", true))
                    (choice("Role", "role", "inspector", Role::ALL.iter().map(|role| (role.name(), role.name()))))
                    button { "Add and make a link" }
                }
            }
            section { h2 { "Members" } ul.cards { @for row in rows { (row) } } }
        };
        Ok(page::room(app, &caller, "Members", "/members", &body))
    })
    .await
}

fn row(app: &App, member: &Member, signed_off: &[Check]) -> Markup {
    let locked = member.locked_until.filter(|until| *until > app.now());
    html! {
        li.card {
            h3 { (member.name) " " small { (member.role) @if !member.active { ", has left" } } }
            p {
                @if member.has_password { "Has set a password. " } @else { "Has not set a password yet. " }
                @if let Some(until) = locked { strong { "Locked out until " (words::time(app, until)) ". " } }
            }
            details {
                summary { "Change" }
                form.row method="post" action={ "/members/" (member.id) } {
                    input type="hidden" name="act" value="role";
                    (choice("Role", "to", member.role.name(), Role::ALL.iter().map(|role| (role.name(), role.name()))))
                    button.quiet { "Set the role" }
                }
                form.row method="post" action={ "/members/" (member.id) } {
                    input type="hidden" name="act" value="name";
                    (text_field("Name", "to", &member.name, true))
                    button.quiet { "Set the name" }
                }
                form.row method="post" action={ "/members/" (member.id) } {
                    button.quiet name="act" value="link" { "New link" }
                    button.quiet name="act" value="unlock" { "Unlock" }
                    button.quiet name="act" value="end" { "End sessions" }
                    @if member.active { button.quiet name="act" value="leave" { "Has left" } }
                    @else { button.quiet name="act" value="return" { "Is back" } }
                }
                @if member.role == Role::Inspector { (sign_offs(member.id, signed_off)) }
            }
        }
    }
}

fn sign_offs(member: MemberId, signed_off: &[Check]) -> Markup {
    html! {
        form method="post" action={ "/members/" (member) } {
            input type="hidden" name="act" value="sign offs";
            fieldset {
                legend { "Signed off for" }
                div.ticks { @for check in Check::ALL {
                    label.tick {
                        input type="checkbox" name="check" value=(check.name()) checked[signed_off.contains(&check)];
                        span { (check.name()) }
                    }
                } }
            }
            button.quiet { "Keep these" }
        }
    }
}

fn role(fields: &Fields) -> Result<Role, Refusal> {
    let name = fields.need("role", "the role")?;
    Role::from_name(name).ok_or_else(|| Refusal::NotAChoice {
        found: name.to_owned(),
        expected: "role",
    })
}

/// Adds a member and shows the link by which he sets his password, once.
pub(crate) async fn add(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Host(host): Host,
    fields: Fields,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let name = fields.need("name", "the name")?;
        let token = Token::random()?;
        let act = ClubAct::AddMember {
            name: name.into(),
            role: role(&fields)?,
            token: token.hash(),
            expires: app.now().saturating_add(LINK_LASTS).unwrap_or(app.now()),
        };
        club(app, caller.member.id, act)?;
        Ok(link_page(app, &caller, &host, name, &token))
    })
    .await
}

fn link_page(app: &App, caller: &Caller, host: &str, name: &str, token: &Token) -> Page {
    let scheme = if app.settings().tls { "https" } else { "http" };
    let link = format!("{scheme}://{host}/join/{}", token.to_hex());
    let body = html! {
        p { "Give this link to " strong { (name) } ". It works once, for eight days, and is shown only now." }
        p { code.link { (link) } }
        p { a.button href="/members" { "Back to the members" } }
    };
    page::room(app, caller, "A link to hand over", "/members", &body)
}

/// One change about a member.
pub(crate) async fn change(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Host(host): Host,
    Named(member): Named<i64>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let (by, member) = (caller.member.id, MemberId::from_number(member));
        match fields.need("act", "what to change")? {
            "link" => {
                let name = app.store().snapshot()?.member(member)?.name;
                let token = issue(app, by, member)?;
                Ok(link_page(app, &caller, &host, &name, &token).into_response())
            }
            "sign offs" => {
                keep_sign_offs(app, by, member, &fields)?;
                Ok(Redirect::to("/members").into_response())
            }
            act => {
                club(app, by, change_of(member, act, fields.get("to"))?)?;
                Ok(Redirect::to("/members").into_response())
            }
        }
    })
    .await
}

/// A change of a member by its name, to something where it needs that.
pub(super) fn change_of(member: MemberId, act: &str, to: &str) -> Result<ClubAct, Refusal> {
    let not = |found: &str, expected| Refusal::NotAChoice {
        found: found.to_owned(),
        expected,
    };
    let active = |active| ClubAct::SetActive { member, active };
    let sign_off = |granted| -> Result<ClubAct, Refusal> {
        let check = Check::from_name(to).ok_or_else(|| not(to, "check"))?;
        Ok(ClubAct::SignOff {
            member,
            check,
            granted,
        })
    };
    Ok(match act {
        "role" => ClubAct::SetRole {
            member,
            role: Role::from_name(to).ok_or_else(|| not(to, "role"))?,
        },
        "name" => ClubAct::Rename {
            member,
            name: to.into(),
        },
        "unlock" => ClubAct::Unlock { member },
        "end" => ClubAct::EndSessions { member },
        "leave" => active(false),
        "return" => active(true),
        "sign off" => sign_off(true)?,
        "withdraw" => sign_off(false)?,
        other => return Err(not(other, "change of a member")),
    })
}

/// Gives and takes sign-offs so that those ticked are left; what is so already is not entered again.
fn keep_sign_offs(
    app: &App,
    by: MemberId,
    member: MemberId,
    fields: &Fields,
) -> Result<(), Refusal> {
    let own = app.store().snapshot()?.signed_off(member)?;
    for check in Check::ALL {
        let granted = fields
            .iter()
            .any(|(name, value)| name == "check" && value == check.name());
        if granted != own.contains(&check) {
            club(
                app,
                by,
                ClubAct::SignOff {
                    member,
                    check,
                    granted,
                },
            )?;
        }
    }
    Ok(())
}

/// Who changed what, the latest first.
pub(crate) async fn audit(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    /// Rows on the page. ASSUMED: a year of a small club.
    const SHOWN: usize = 500;
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let names = crate::members::Names::of(&snapshot)?;
        let mut rows = snapshot.audit(Timestamp::UNIX_EPOCH, Timestamp::MAX)?;
        let count = rows.len();
        rows.reverse();
        rows.truncate(SHOWN);
        let body = html! {
            p { (count) " changes of members and rules, releases and consents."
                @if count > SHOWN { " The latest " (SHOWN) " are shown." } }
            div.scroll { table {
                thead { tr { th { "When" } th { "Who" } th { "What" } th { "About" } th { "Detail" } } }
                tbody { @for row in &rows { tr {
                    td { (words::time(app, row.at)) }
                    td { (names.name(row.by)) }
                    td { (row.change) }
                    td {
                        @if let Some(member) = row.member { (names.name(member)) }
                        @if let Some(car) = row.car { a href={ "/cars/" (car) } { "car " (car) } }
                    }
                    td { (row.detail) }
                } } }
            } }
        };
        Ok(page::room(app, &caller, "Audit", "/audit", &body))
    })
    .await
}
