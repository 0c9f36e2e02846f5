//! Coming in with name and password, and going out.

use axum::extract::State;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Json};
use gradeworthy_store::{LogIn, Secret, Session, Token};
use jiff::{SignedDuration, Timestamp};
use maud::html;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::App;
use crate::guard::{self, Caller};
use crate::page::{self, Field, Page, secret_field};
use crate::refusal::Refusal;
use crate::request::{Asked, Fields, Peer, Sent, own_path};

/// How long a session lasts. ASSUMED: a long club night; shorter asks for the password at the bench
/// with glue on the fingers, longer leaves the bench open for whoever comes next morning.
const SESSION_LASTS: SignedDuration = SignedDuration::from_hours(12);

/// Somebody who wants to come in.
pub(super) struct Entrance<'a> {
    pub(super) name: &'a str,
    pub(super) secret: Secret<'a>,
    pub(super) device: &'a str,
    /// Until when, if sooner than usual.
    pub(super) until: Option<Timestamp>,
}

impl<'a> Entrance<'a> {
    pub(super) fn password(name: &'a str, password: &'a str) -> Self {
        Self {
            name,
            secret: Secret::Password(password),
            device: "browser",
            until: None,
        }
    }
}

/// Opens a session, or says why not.
pub(super) fn enter(app: &App, entrance: &Entrance<'_>) -> Result<(Token, Session), Refusal> {
    let now = app.now();
    let usual = now.saturating_add(SESSION_LASTS).unwrap_or(now);
    let expires = entrance.until.map_or(usual, |until| until.min(usual));
    let answer = app.store().log_in(
        entrance.name,
        entrance.secret,
        entrance.device,
        now,
        expires,
    )?;
    match answer {
        LogIn::Open(token, session) => Ok((token, session)),
        LogIn::Wrong => Err(Refusal::WrongSecret),
        LogIn::LockedOut { until } => Err(Refusal::LockedOut { until, now }),
    }
}

/// Opens a session and leads to a page, with the cookie.
pub(super) fn open(app: &App, entrance: &Entrance<'_>, to: &str) -> Result<Response, Refusal> {
    let (token, _) = enter(app, entrance)?;
    Ok(with_cookie(app, &token, Redirect::to(to).into_response()))
}

pub(super) fn with_cookie(app: &App, token: &Token, mut response: Response) -> Response {
    if let Some(cookie) = guard::cookie(app, token) {
        response.headers_mut().insert(SET_COOKIE, cookie);
    }
    response
}

/// Ends the session that a browser had before it signed in anew: nobody goes on in the old one.
fn leave(app: &App, before: Option<&Caller>) -> Result<(), Refusal> {
    match before {
        Some(before) => Ok(app.store().log_out(&before.token)?),
        None => Ok(()),
    }
}

pub(super) fn throttle(app: &App, peer: &Peer) -> Result<(), Refusal> {
    let now = app.now();
    let tried = app.throttle().try_at(peer.0, now);
    tried.map_err(|until| Refusal::TooManyTries { until, now })
}

#[derive(Deserialize)]
pub(crate) struct SignInAsked {
    back: Option<String>,
    set: Option<String>,
}

/// The form.
pub(crate) async fn sign_in_form(State(app): State<App>, Asked(asked): Asked<SignInAsked>) -> Page {
    let back = own_path(asked.back.as_deref().unwrap_or("/"));
    let body = html! {
        @if asked.set.is_some() { p.done role="status" { "The password is set. Sign in with it." } }
        form method="post" action="/sign-in" {
            input type="hidden" name="back" value=(back);
            (Field { label: "Name", name: "name", kind: "text", value: "",
                     autocomplete: "username", required: true }.show())
            (secret_field("Password", "password", "current-password"))
            button { "Sign in" }
        }
        details {
            summary { "Forgotten or locked out?" }
            p { "After five wrong tries a member waits a quarter of an hour. The lead can unlock him at \
                 once, or give him a new link to set another password." }
            p { "A lead who has lost his own password asks whoever keeps the machine to start " code {
                "gradeworthy serve --let-in NAME" } ", which prints a link for him." }
        }
    };
    page::outside(&app, "Sign in", &body)
}

/// Name and password from a form.
pub(crate) async fn sign_in(
    State(app): State<App>,
    before: Option<Extension<Caller>>,
    peer: Peer,
    fields: Fields,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let name = fields.need("name", "the name")?;
        let entrance = Entrance::password(name, fields.secret("password"));
        let answer = open(app, &entrance, own_path(fields.get("back")))?;
        leave(app, before.as_deref())?;
        Ok(answer)
    })
    .await
}

/// Name and password from a program.
#[derive(Deserialize, ToSchema)]
pub(crate) struct SignIn {
    /// The member's name.
    name: String,
    /// His password.
    password: String,
    /// What the session is listed as.
    device: Option<String>,
}

/// An open session; the cookie that carries it comes with the answer.
#[derive(Serialize, ToSchema)]
pub(crate) struct Opened {
    /// The member.
    member: i64,
    /// Until when, RFC 3339.
    expires: String,
}

impl From<Session> for Opened {
    fn from(session: Session) -> Self {
        Self {
            member: session.member.number(),
            expires: session.expires.to_string(),
        }
    }
}

#[utoipa::path(post, path = "/api/session", request_body = SignIn, tag = "session",
    responses((status = 200, body = Opened), (status = 401, body = crate::refusal::Problem),
              (status = 429, body = crate::refusal::Problem)))]
pub(crate) async fn sign_in_json(
    State(app): State<App>,
    before: Option<Extension<Caller>>,
    peer: Peer,
    Sent(sent): Sent<SignIn>,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let mut entrance = Entrance::password(&sent.name, &sent.password);
        entrance.device = sent.device.as_deref().unwrap_or("program");
        let (token, session) = enter(app, &entrance)?;
        leave(app, before.as_deref())?;
        let opened = Json(Opened::from(session)).into_response();
        Ok(with_cookie(app, &token, opened))
    })
    .await
}

/// Ends this session.
pub(crate) async fn sign_out(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        app.store().log_out(&caller.token)?;
        Ok(gone(app))
    })
    .await
}

/// Leads to the sign-in page without a cookie.
pub(super) fn gone(app: &App) -> Response {
    let mut response = Redirect::to("/sign-in").into_response();
    if let Some(cookie) = guard::no_cookie(app) {
        response.headers_mut().insert(SET_COOKIE, cookie);
    }
    response
}
