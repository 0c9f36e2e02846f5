//! Members, the own account, sessions and the audit trail for programs.

use axum::extract::State;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use gradeworthy_store::{ClubAct, Member, MemberId, Role, Secret, Token};
use gradeworthy_workbench::record::Check;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::Names;
use super::admin::change_of;
use super::first_start::{LINK_LASTS, become_lead, club, issue, long_enough};
use super::sign_in::{Entrance, Opened, enter, throttle, with_cookie};
use crate::App;
use crate::guard::{self, Caller};
use crate::refusal::{Problem, Refusal};
use crate::request::{Asked, Named, Peer, Sent};

/// Nothing more to say than that it was done.
#[derive(Serialize, ToSchema)]
pub(crate) struct Done {
    /// Always true; what was not done is refused.
    done: bool,
}

const DONE: Json<Done> = Json(Done { done: true });

/// A session that ended, without its cookie.
fn ended(app: &App) -> Response {
    let mut response = DONE.into_response();
    if let Some(cookie) = guard::no_cookie(app) {
        let name = axum::http::header::SET_COOKIE;
        response.headers_mut().insert(name, cookie);
    }
    response
}

#[utoipa::path(post, path = "/api/session/end", tag = "session",
    responses((status = 200, body = Done), (status = 401, body = Problem)))]
pub(crate) async fn sign_out_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        app.store().log_out(&caller.token)?;
        Ok(ended(app))
    })
    .await
}

/// Who takes over a bench.
#[derive(Deserialize, ToSchema)]
pub(crate) struct SwitchSent {
    /// His name.
    name: String,
    /// His PIN.
    pin: String,
}

#[utoipa::path(post, path = "/api/session/switch", request_body = SwitchSent, tag = "session",
    responses((status = 200, body = Opened), (status = 401, body = Problem), (status = 429, body = Problem)))]
pub(crate) async fn switch_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    peer: Peer,
    Sent(sent): Sent<SwitchSent>,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let entrance = Entrance {
            name: &sent.name,
            secret: Secret::Pin(&sent.pin),
            device: &caller.session.device,
            until: Some(caller.session.expires),
        };
        let (token, session) = enter(app, &entrance)?;
        app.store().log_out(&caller.token)?;
        let opened = Json(Opened::from(session)).into_response();
        Ok(with_cookie(app, &token, opened))
    })
    .await
}

/// A session that is open.
#[derive(Serialize, ToSchema)]
pub(crate) struct SessionJson {
    /// What it is listed as.
    device: String,
    /// Since when, RFC 3339.
    opened: String,
    /// Until when, RFC 3339.
    expires: String,
}

/// The caller's own account.
#[derive(Serialize, ToSchema)]
pub(crate) struct AccountJson {
    /// Who he is.
    #[serde(flatten)]
    member: MemberJson,
    /// His open sessions, oldest first.
    sessions: Vec<SessionJson>,
}

#[utoipa::path(get, path = "/api/account", tag = "session",
    responses((status = 200, body = AccountJson), (status = 401, body = Problem)))]
pub(crate) async fn account_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Json<AccountJson>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let sessions = snapshot.sessions(caller.member.id, app.now())?;
        let sessions = sessions.iter().map(|own| SessionJson {
            device: own.device.to_string(),
            opened: own.opened.to_string(),
            expires: own.expires.to_string(),
        });
        let signed_off = snapshot.signed_off(caller.member.id)?;
        Ok(Json(AccountJson {
            member: MemberJson::new(&caller.member, &signed_off),
            sessions: sessions.collect(),
        }))
    })
    .await
}

/// A new PIN.
#[derive(Deserialize, ToSchema)]
pub(crate) struct PinSent {
    /// The caller's password.
    password: String,
    /// At least four characters; empty takes it away.
    pin: String,
}

#[utoipa::path(post, path = "/api/account/pin", request_body = PinSent, tag = "session",
    responses((status = 200, body = Done), (status = 401, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn pin_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    peer: Peer,
    Sent(sent): Sent<PinSent>,
) -> Result<Json<Done>, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let pin = Some(sent.pin.as_str()).filter(|pin| !pin.is_empty());
        let (member, now) = (caller.member.id, app.now());
        if app.store().set_pin(member, &sent.password, pin, now)? {
            Ok(DONE)
        } else {
            Err(Refusal::WrongSecret)
        }
    })
    .await
}

/// A new password.
#[derive(Deserialize, ToSchema)]
pub(crate) struct PasswordSent {
    /// The old one.
    old: String,
    /// The new one, at least eight characters.
    password: String,
}

#[utoipa::path(post, path = "/api/account/password", request_body = PasswordSent, tag = "session",
    responses((status = 200, body = Done, description = "Every session has ended"), (status = 401, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn password_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    peer: Peer,
    Sent(sent): Sent<PasswordSent>,
) -> Result<Response, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let (member, new) = (caller.member.id, long_enough(&sent.password)?);
        if app
            .store()
            .set_password(member, &sent.old, new, app.now())?
        {
            Ok(ended(app))
        } else {
            Err(Refusal::WrongSecret)
        }
    })
    .await
}

#[utoipa::path(post, path = "/api/account/leave", tag = "session",
    responses((status = 200, body = Done, description = "Every session has ended"), (status = 401, body = Problem)))]
pub(crate) async fn leave_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        app.store()
            .log_out_everywhere(caller.member.id, app.now())?;
        Ok(ended(app))
    })
    .await
}

/// A member of the club.
#[derive(Serialize, ToSchema)]
pub(crate) struct MemberJson {
    /// His identity.
    member: i64,
    /// His name.
    name: String,
    /// His role.
    role: String,
    /// Whether he is still a member.
    active: bool,
    /// Whether he has set a password.
    has_password: bool,
    /// Whether he has set a PIN.
    has_pin: bool,
    /// Until when he is locked out, if he is or was; RFC 3339.
    locked_until: Option<String>,
    /// The checks he is signed off for.
    signed_off: Vec<String>,
}

impl MemberJson {
    fn new(own: &Member, signed_off: &[Check]) -> Self {
        Self {
            member: own.id.number(),
            name: own.name.to_string(),
            role: own.role.to_string(),
            active: own.active,
            has_password: own.has_password,
            has_pin: own.has_pin,
            locked_until: own.locked_until.map(|at| at.to_string()),
            signed_off: signed_off.iter().map(ToString::to_string).collect(),
        }
    }
}

#[utoipa::path(get, path = "/api/members", tag = "members",
    responses((status = 200, body = [MemberJson]), (status = 403, body = Problem)))]
pub(crate) async fn members_json(State(app): State<App>) -> Result<Json<Vec<MemberJson>>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let mut list = Vec::new();
        for member in snapshot.members()? {
            list.push(MemberJson::new(&member, &snapshot.signed_off(member.id)?));
        }
        Ok(Json(list))
    })
    .await
}

/// A new member.
#[derive(Deserialize, ToSchema)]
pub(crate) struct MemberSent {
    /// His name.
    name: String,
    /// His role.
    role: String,
}

/// A one-time path by which a member sets his password; shown only now.
#[derive(Serialize, ToSchema)]
pub(crate) struct LinkJson {
    /// The member.
    member: i64,
    /// The path on this server.
    path: String,
}

fn link(member: MemberId, token: &Token) -> LinkJson {
    LinkJson {
        member: member.number(),
        path: format!("/join/{}", token.to_hex()),
    }
}

#[utoipa::path(post, path = "/api/members", request_body = MemberSent, tag = "members",
    responses((status = 200, body = LinkJson), (status = 403, body = Problem), (status = 409, body = Problem),
              (status = 422, body = Problem)))]
pub(crate) async fn add_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<MemberSent>,
) -> Result<Json<LinkJson>, Refusal> {
    app.wait(move |app| {
        let token = Token::random()?;
        let act = ClubAct::AddMember {
            name: sent.name.as_str().into(),
            role: role(&sent.role)?,
            token: token.hash(),
            expires: app.now().saturating_add(LINK_LASTS).unwrap_or(app.now()),
        };
        let member = club(app, caller.member.id, act)?;
        let what = "a member was not added".to_owned();
        let member = member.ok_or(Refusal::Fault { what })?;
        Ok(Json(link(member, &token)))
    })
    .await
}

fn role(name: &str) -> Result<Role, Refusal> {
    Role::from_name(name).ok_or_else(|| Refusal::NotAChoice {
        found: name.to_owned(),
        expected: "role",
    })
}

/// A change about a member.
#[derive(Deserialize, ToSchema)]
pub(crate) struct ChangeSent {
    /// 'role', 'name', 'unlock', 'end' (his sessions), 'leave', 'return', 'sign off' or 'withdraw'.
    act: String,
    /// The role, the name or the check, where the change needs one.
    #[serde(default)]
    to: String,
}

#[utoipa::path(post, path = "/api/members/{member}", params(("member" = i64, Path)), request_body = ChangeSent,
    tag = "members",
    responses((status = 200, body = MemberJson), (status = 403, body = Problem), (status = 404, body = Problem),
              (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn change_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(member): Named<i64>,
    Sent(sent): Sent<ChangeSent>,
) -> Result<Json<MemberJson>, Refusal> {
    app.wait(move |app| {
        let member = MemberId::from_number(member);
        club(
            app,
            caller.member.id,
            change_of(member, &sent.act, &sent.to)?,
        )?;
        let snapshot = app.store().snapshot()?;
        let own = snapshot.member(member)?;
        Ok(Json(MemberJson::new(&own, &snapshot.signed_off(member)?)))
    })
    .await
}

#[utoipa::path(post, path = "/api/members/{member}/links", params(("member" = i64, Path)), tag = "members",
    responses((status = 200, body = LinkJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn link_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(member): Named<i64>,
) -> Result<Json<LinkJson>, Refusal> {
    app.wait(move |app| {
        let member = MemberId::from_number(member);
        let token = issue(app, caller.member.id, member)?;
        Ok(Json(link(member, &token)))
    })
    .await
}

/// A password to be set by a one-time link.
#[derive(Deserialize, ToSchema)]
pub(crate) struct JoinSent {
    /// At least eight characters.
    password: String,
}

#[utoipa::path(post, path = "/api/join/{token}", params(("token" = String, Path)), request_body = JoinSent, tag = "members",
    responses((status = 200, body = Done), (status = 410, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn join_json(
    State(app): State<App>,
    peer: Peer,
    Named(token): Named<String>,
    Sent(sent): Sent<JoinSent>,
) -> Result<Json<Done>, Refusal> {
    throttle(&app, &peer)?;
    app.wait(move |app| {
        let token = Token::from_hex(&token).ok_or(gradeworthy_store::Error::TokenRefused)?;
        let password = long_enough(&sent.password)?;
        app.store().redeem(&token, password, app.now())?;
        Ok(DONE)
    })
    .await
}

/// The first lead of a new record.
#[derive(Deserialize, ToSchema)]
pub(crate) struct LeadSent {
    /// His name.
    name: String,
    /// At least eight characters.
    password: String,
}

#[utoipa::path(post, path = "/api/set-up/{token}", params(("token" = String, Path)), request_body = LeadSent, tag = "members",
    responses((status = 200, body = Done), (status = 410, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn set_up_json(
    State(app): State<App>,
    Named(token): Named<String>,
    Sent(sent): Sent<LeadSent>,
) -> Result<Json<Done>, Refusal> {
    app.wait(move |app| {
        let password = long_enough(&sent.password)?;
        become_lead(app, &token, sent.name.trim(), password)?;
        Ok(DONE)
    })
    .await
}

/// A span of the trail.
#[derive(Deserialize, IntoParams)]
pub(crate) struct Span {
    /// From when, RFC 3339; from the beginning where it is left out.
    from: Option<String>,
    /// Until when, RFC 3339.
    to: Option<String>,
}

/// One change of members, rules, consents, releases or entries.
#[derive(Serialize, ToSchema)]
pub(crate) struct ChangeJson {
    /// When, RFC 3339.
    at: String,
    /// Who.
    by: String,
    /// What was changed.
    change: String,
    /// About which member, if any.
    member: Option<String>,
    /// About which car, if any.
    car: Option<i64>,
    /// From what to what, or which.
    detail: String,
}

#[utoipa::path(get, path = "/api/audit", params(Span), tag = "members",
    responses((status = 200, body = [ChangeJson]), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn audit_json(
    State(app): State<App>,
    Asked(span): Asked<Span>,
) -> Result<Json<Vec<ChangeJson>>, Refusal> {
    let time = |text: Option<String>, other: Timestamp| match text {
        None => Ok(other),
        Some(text) => text.parse::<Timestamp>().map_err(|_| Refusal::NotAChoice {
            found: text,
            expected: "time such as 2026-11-26T19:00:00Z",
        }),
    };
    app.wait(move |app| {
        let from = time(span.from, Timestamp::UNIX_EPOCH)?;
        let to = time(span.to, Timestamp::MAX)?;
        let snapshot = app.store().snapshot()?;
        let names = Names::of(&snapshot)?;
        let rows = snapshot.audit(from, to)?;
        let rows = rows.iter().map(|row| ChangeJson {
            at: row.at.to_string(),
            by: names.name(row.by).to_owned(),
            change: row.change.to_string(),
            member: row.member.map(|own| names.name(own).to_owned()),
            car: row.car.map(gradeworthy_store::CarId::number),
            detail: row.detail.to_string(),
        });
        Ok(Json(rows.collect()))
    })
    .await
}
