//! Who is calling, and whether he may: before any handler runs.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_store::{Action, Bench, Member, Permission, Session, Token};

use crate::App;
use crate::refusal::Refusal;
use crate::routes::Route;

/// Who may call a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Access {
    /// Anybody, signed in or not.
    Anyone,
    /// Every member.
    SignedIn,
    /// Members whose role may do this, be it with a second name or on their own cars only; the record
    /// looks at those conditions.
    May(Action),
}

/// The member who calls, by the session of his cookie.
#[derive(Clone, Debug)]
pub(crate) struct Caller {
    pub(crate) member: Member,
    pub(crate) session: Session,
    pub(crate) token: Token,
}

impl Caller {
    /// Whether he may do this, at least on some condition.
    pub(crate) fn may(&self, action: Action) -> bool {
        self.member.role.may(action) != Permission::No
    }
}

/// Lets a request through to its handler, or not.
pub(crate) async fn guard(
    State((app, route)): State<(App, &'static Route)>,
    mut request: Request,
    next: Next,
) -> Response {
    let access = route.access;
    let caller = match token(&app, request.headers()) {
        Some(token) => match app.clone().wait(move |app| find(app, token)).await {
            Ok(caller) => caller,
            Err(refusal) => return refusal.into_response(),
        },
        None => None,
    };
    match (access, &caller) {
        (Access::Anyone, _) | (Access::SignedIn, Some(_)) => {}
        (Access::May(action), Some(caller)) if caller.may(action) => {}
        (Access::May(action), Some(caller)) => {
            let role = caller.member.role;
            return Refusal::NotForRole { role, action }.into_response();
        }
        (Access::SignedIn | Access::May(_), None) => return ask_to_sign_in(&request),
    }
    if let Some(caller) = caller {
        request.extensions_mut().insert(caller);
    }
    let mut response = at_bench(&app, request, next).await;
    if response.status() == StatusCode::PAYLOAD_TOO_LARGE {
        let most = route.body_most;
        response
            .extensions_mut()
            .insert(Arc::new(Refusal::BodyTooLarge { most }));
    }
    response
}

/// Tells the handler which bench calls: a browser is a bench, known by a cookie of its own, so that what
/// was typed at it and not entered is found at it again, whoever signs in.
async fn at_bench(app: &App, mut request: Request, next: Next) -> Response {
    let name = bench_cookie_name(app);
    let known = cookie_value(request.headers(), name)
        .filter(|value| value.len() == BENCH_DIGITS && value.bytes().all(|b| b.is_ascii_hexdigit()))
        .map(ToOwned::to_owned);
    let fresh = match known {
        Some(_) => None,
        None => Token::random()
            .ok()
            .map(|token| token.to_hex()[..BENCH_DIGITS].to_owned()),
    };
    if let Some(bench) = known.as_deref().or(fresh.as_deref()).and_then(Bench::new) {
        request.extensions_mut().insert(bench);
    }
    let shows_bench = request.method() == Method::GET && request.uri().path().starts_with("/bench");
    let mut response = next.run(request).await;
    if let (Some(bench), true) = (fresh, shows_bench) {
        let cookie =
            format!("{name}={bench}; Path=/; HttpOnly; SameSite=Lax; Max-Age={BENCH_LASTS_S}");
        if let Ok(cookie) = HeaderValue::from_str(&cookie) {
            response.headers_mut().append(SET_COOKIE, cookie);
        }
    }
    response
}

/// Digits of a bench's name: 64 random bits, so that two never meet in one club.
const BENCH_DIGITS: usize = 16;
/// 400 days, the most a browser keeps a cookie. Source: RFC 6265bis §5.5.
const BENCH_LASTS_S: u32 = 400 * 86_400;

/// A page leads to signing in and back; a program and a form are told.
fn ask_to_sign_in(request: &Request) -> Response {
    let uri = request.uri();
    if request.method() != Method::GET || uri.path().starts_with("/api/") {
        return Refusal::NotSignedIn.into_response();
    }
    let back = uri.path_and_query().map_or("/", |own| own.as_str());
    Redirect::to(&format!("/sign-in?back={}", crate::request::encoded(back))).into_response()
}

fn find(app: &App, token: Token) -> Result<Option<Caller>, Refusal> {
    let snapshot = app.store().snapshot()?;
    let Some(session) = snapshot.session(&token, app.now())? else {
        return Ok(None);
    };
    let member = snapshot.member(session.member)?;
    Ok(member.active.then_some(Caller {
        member,
        session,
        token,
    }))
}

/// The cookie's name. The sample club has its own: cookies do not tell ports apart, and signing in
/// there must not sign anybody out here.
fn cookie_name(app: &App) -> &'static str {
    if app.settings().sample {
        "gradeworthy_sample_session"
    } else {
        "gradeworthy_session"
    }
}

fn bench_cookie_name(app: &App) -> &'static str {
    if app.settings().sample {
        "gradeworthy_sample_bench"
    } else {
        "gradeworthy_bench"
    }
}

fn token(app: &App, headers: &HeaderMap) -> Option<Token> {
    cookie_value(headers, cookie_name(app)).and_then(Token::from_hex)
}

fn cookie_value<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(own, _)| *own == name)
        .map(|(_, value)| value)
}

/// The cookie of a session.
pub(crate) fn cookie(app: &App, token: &Token) -> Option<HeaderValue> {
    let (name, token, secure) = (cookie_name(app), token.to_hex(), secure(app));
    HeaderValue::from_str(&format!(
        "{name}={token}; Path=/; HttpOnly; SameSite=Lax{secure}"
    ))
    .ok()
}

/// Under TLS a cookie never travels otherwise; on plain HTTP a browser would drop such a one.
fn secure(app: &App) -> &'static str {
    if app.settings().tls { "; Secure" } else { "" }
}

/// The cookie that takes a session's away.
pub(crate) fn no_cookie(app: &App) -> Option<HeaderValue> {
    let (name, secure) = (cookie_name(app), secure(app));
    HeaderValue::from_str(&format!(
        "{name}=; Path=/; HttpOnly; SameSite=Lax{secure}; Max-Age=0"
    ))
    .ok()
}
