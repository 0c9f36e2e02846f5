//! The frame of every page, and the few parts that all rooms share.

use axum::http::header::REFRESH;
use axum::http::{HeaderValue, StatusCode};
use axum::response::{Html, IntoResponse, Response};
use gradeworthy_reports::drawing::Drawing;
use gradeworthy_store::{Action, Standing};
use gradeworthy_workbench::Verdict;
use maud::{DOCTYPE, Markup, Render, html};

use crate::guard::Caller;
use crate::refusal::Onward;
use crate::{App, icon, keeping, script, stylesheet, words};

/// A page as an answer.
#[derive(Debug)]
pub(crate) struct Page(pub(crate) Markup);

impl IntoResponse for Page {
    fn into_response(self) -> Response {
        Html(self.0.into_string()).into_response()
    }
}

/// A page that the browser asks for again in a second, while something is being worked out.
pub(crate) fn again_soon(mut page: Response) -> Response {
    let second = HeaderValue::from_static("1");
    page.headers_mut().insert(REFRESH, second);
    page
}

/// A room in the row at the top: address, name, and what one must be allowed to go there.
const ROOMS: &[(&str, &str, Action)] = &[
    ("/bench", "Bench", Action::EnterReading),
    ("/rip-track", "RIP track", Action::SeeCar),
    ("/fleet", "Fleet", Action::SeeFleet),
    ("/rules", "Rule book", Action::SeeFleet),
    ("/my-cars", "My cars", Action::Consent),
    ("/hill", "Hill", Action::SeeLine),
    ("/report", "Report", Action::BadOrder),
    ("/members", "Members", Action::ManageMembers),
    ("/audit", "Audit", Action::SeeAudit),
    ("/keeping", "Keeping", Action::KeepBackups),
];

/// A picture with the words that stand for it.
pub(crate) struct Picture<'a>(pub(crate) &'a Drawing);

impl Render for Picture<'_> {
    /// A drawing is markup already, written by `reports` with everything in it escaped.
    fn render_to(&self, buffer: &mut String) {
        buffer.push_str(&self.0.svg);
    }
}

/// A page for a member who is signed in.
pub(crate) fn room(app: &App, caller: &Caller, title: &str, here: &str, body: &Markup) -> Page {
    let rooms = html! {
        nav aria-label="Rooms" {
            @for (href, name, _) in ROOMS.iter().filter(|room| goes_to(caller, room)) {
                a href=(href) aria-current=[(*href == here).then_some("page")] { (name) }
            }
        }
        a.who href="/account" aria-current=[(here == "/account").then_some("page")] {
            span.name { (caller.member.name) } " " small { (caller.member.role) }
        }
    };
    let body = html! { (keeping::banner(app, caller)) (body) };
    Page(frame(app, title, &rooms, &body))
}

/// Whether a room stands in a member's row. His own cars are a room of their own only for one who does
/// not see the fleet; for the others the way there is on their account.
fn goes_to(caller: &Caller, (href, _, action): &(&str, &str, Action)) -> bool {
    caller.may(*action) && (*href != "/my-cars" || !caller.may(Action::SeeFleet))
}

/// A page for somebody who is not.
pub(crate) fn outside(app: &App, title: &str, body: &Markup) -> Page {
    Page(frame(app, title, &html! {}, body))
}

fn frame(app: &App, title: &str, top: &Markup, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Gradeworthy" }
                link rel="stylesheet" href={ "/style/" (stylesheet::name()) };
                link rel="icon" type="image/svg+xml" href=(icon::PATH);
                (script::PAGE.load())
            }
            body {
                a.skip href="#main" { "Skip to the page" }
                header.top {
                    a.product href="/" { "Gradeworthy" }
                    (top)
                }
                @if app.settings().sample {
                    p.sample { strong { "Sample club." } " Every car, member and reading here is invented." }
                }
                main id="main" { h1 { (title) } (body) }
            }
        }
    }
}

/// A page that says why something was refused.
pub(crate) fn refused(
    app: &App,
    status: StatusCode,
    message: &str,
    onward: Onward,
    back: Option<&str>,
) -> Markup {
    let title = match status {
        StatusCode::NOT_FOUND => "Not here",
        StatusCode::FORBIDDEN => "Not allowed",
        StatusCode::CONFLICT => "Somebody was quicker",
        StatusCode::UNAUTHORIZED => "Not signed in",
        status if status.is_server_error() => "Something is wrong here",
        _ => "That did not go through",
    };
    let href = match (onward.href, back) {
        ("", Some(back)) => back,
        ("", None) => "/",
        (href, _) => href,
    };
    let body = html! {
        p.message role="alert" { (sentence(message)) }
        p { a.button href=(href) { (onward.what) } }
    };
    frame(app, title, &html! {}, &body)
}

/// A message as a sentence: errors are worded in lower case without a full stop.
pub(crate) fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string());
    let end = if message.ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    first.unwrap_or_default() + letters.as_str() + end
}

/// A verdict: sign, word and colour, so that any one of them is enough.
pub(crate) fn verdict(verdict: Verdict) -> Markup {
    let (class, sign) = match verdict {
        Verdict::Fit => ("fit", "✓"),
        Verdict::Watch => ("watch", "△"),
        Verdict::NotChecked => ("unread", "○"),
        Verdict::Stale => ("stale", "↻"),
        Verdict::BadOrder => ("bad", "✕"),
    };
    html! { span class={ "chip " (class) } { span aria-hidden="true" { (sign) } " " (verdict.word()) } }
}

/// Where a car stands, with its time or reason.
pub(crate) fn standing(app: &App, standing: &Standing) -> Markup {
    let (class, sign) = match standing {
        Standing::Admitted => ("fit", "✓"),
        Standing::Limited { .. } => ("watch", "△"),
        Standing::AtBench => ("unread", "○"),
        Standing::BadOrdered => ("bad", "✕"),
        Standing::Resting { .. }
        | Standing::WaitingForParts { .. }
        | Standing::WaitingForOwner { .. } => ("stale", "◷"),
        Standing::BackToOwner { .. } => ("unread", "←"),
    };
    let more = match standing {
        Standing::Limited { restriction } => restriction.to_string(),
        Standing::Resting { not_before } => format!("until {}", words::time(app, *not_before)),
        Standing::WaitingForParts { what } | Standing::WaitingForOwner { what } => what.to_string(),
        Standing::BackToOwner { why } => why.to_string(),
        Standing::AtBench | Standing::Admitted | Standing::BadOrdered => String::new(),
    };
    html! {
        span class={ "chip " (class) } { span aria-hidden="true" { (sign) } " " (standing.name()) }
        @if !more.is_empty() { " " span.more { (more) } }
    }
}

/// A labelled field.
pub(crate) struct Field<'a> {
    pub(crate) label: &'a str,
    pub(crate) name: &'a str,
    pub(crate) kind: &'a str,
    pub(crate) value: &'a str,
    pub(crate) autocomplete: &'a str,
    pub(crate) required: bool,
}

impl Field<'_> {
    pub(crate) fn show(&self) -> Markup {
        html! {
            label.field {
                span { (self.label) }
                input type=(self.kind) name=(self.name) value=(self.value)
                    autocomplete=(self.autocomplete) required[self.required];
            }
        }
    }
}

/// A plain field of text.
pub(crate) fn text_field(label: &str, name: &str, value: &str, required: bool) -> Markup {
    let (kind, autocomplete) = ("text", "off");
    Field {
        label,
        name,
        kind,
        value,
        autocomplete,
        required,
    }
    .show()
}

/// A field for a password or PIN.
pub(crate) fn secret_field(label: &str, name: &str, autocomplete: &str) -> Markup {
    let (kind, value, required) = ("password", "", true);
    Field {
        label,
        name,
        kind,
        value,
        autocomplete,
        required,
    }
    .show()
}

/// A choice among a few words.
pub(crate) fn choice<'a>(
    label: &str,
    name: &str,
    chosen: &str,
    choices: impl IntoIterator<Item = (&'a str, &'a str)>,
) -> Markup {
    html! {
        label.field {
            span { (label) }
            select name=(name) {
                @for (value, word) in choices {
                    option value=(value) selected[value == chosen] { (word) }
                }
            }
        }
    }
}
