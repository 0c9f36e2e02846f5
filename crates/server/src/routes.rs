//! Every route: method, path, who may, handler. The router is made of this table, and so is the test
//! that calls every route as every role. What is not here is not served.

use axum::extract::State;
use axum::response::Redirect;
use axum::routing::{MethodRouter, get, post};
use axum::{Extension, http::Method};
use gradeworthy_store::{Action, Role};

use crate::guard::Access::{self, Anyone, May, SignedIn};
use crate::guard::Caller;
use crate::{App, members, stylesheet};

/// One route.
pub(crate) struct Route {
    pub(crate) method: Method,
    pub(crate) path: &'static str,
    pub(crate) access: Access,
    pub(crate) handler: fn() -> MethodRouter<App>,
}

const fn row(
    method: Method,
    path: &'static str,
    access: Access,
    handler: fn() -> MethodRouter<App>,
) -> Route {
    Route {
        method,
        path,
        access,
        handler,
    }
}

const GET: Method = Method::GET;
const POST: Method = Method::POST;
const MEMBERS: Access = May(Action::ManageMembers);

pub(crate) const ROUTES: &[Route] = &[
    row(GET, "/style/{name}", Anyone, || get(stylesheet::serve)),
    row(GET, "/set-up/{token}", Anyone, || get(members::set_up_form)),
    row(POST, "/set-up/{token}", Anyone, || post(members::set_up)),
    row(GET, "/join/{token}", Anyone, || get(members::join_form)),
    row(POST, "/join/{token}", Anyone, || post(members::join)),
    row(GET, "/sign-in", Anyone, || get(members::sign_in_form)),
    row(POST, "/sign-in", Anyone, || post(members::sign_in)),
    row(POST, "/api/session", Anyone, || post(members::sign_in_json)),
    row(GET, "/", SignedIn, || get(first_page)),
    row(POST, "/sign-out", SignedIn, || post(members::sign_out)),
    row(POST, "/switch", SignedIn, || post(members::switch)),
    row(GET, "/account", SignedIn, || get(members::account)),
    row(POST, "/account/pin", SignedIn, || post(members::set_pin)),
    row(POST, "/account/password", SignedIn, || {
        post(members::set_password)
    }),
    row(POST, "/account/leave", SignedIn, || {
        post(members::leave_everywhere)
    }),
    row(GET, "/members", MEMBERS, || get(members::list)),
    row(POST, "/members", MEMBERS, || post(members::add)),
    row(POST, "/members/{member}", MEMBERS, || post(members::change)),
    row(GET, "/audit", May(Action::SeeAudit), || get(members::audit)),
];

/// Leads each member to the room where he works.
async fn first_page(State(_): State<App>, Extension(caller): Extension<Caller>) -> Redirect {
    Redirect::to(match caller.member.role {
        Role::Lead | Role::Inspector | Role::Apprentice => "/bench",
        Role::Operator => "/report",
        Role::Owner => "/fleet",
        Role::TrackLead => "/account",
    })
}

#[cfg(test)]
mod tests;
