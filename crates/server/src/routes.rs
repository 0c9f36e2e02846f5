//! Every route: method, path, who may, handler. The router is made of this table, and so is the test
//! that calls every route as every role. What is not here is not served.

use axum::extract::State;
use axum::response::Redirect;
use axum::routing::{MethodRouter, get, post};
use axum::{Extension, http::Method};
use gradeworthy_store::{Action, Role};

use crate::bench::{self, Ending};
use crate::guard::Access::{self, Anyone, May, SignedIn};
use crate::guard::Caller;
use crate::{App, fleet, members, openapi, report, rip_track, story, stylesheet};

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
const SEE: Access = May(Action::SeeCar);
const BAD_ORDER: Access = May(Action::BadOrder);
const READ: Access = May(Action::EnterReading);
const RELEASE: Access = May(Action::Release);
const HOLD: Access = May(Action::Hold);
const HAND: Access = May(Action::Hand);
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
    row(GET, "/fleet", SEE, || get(fleet::list)),
    row(GET, "/cars/{car}", SEE, || get(story::car)),
    row(GET, "/rip-track", SEE, || get(rip_track::list)),
    row(GET, "/report", BAD_ORDER, || get(report::form)),
    row(POST, "/report", BAD_ORDER, || post(report::send)),
    row(GET, "/api/fleet", SEE, || get(fleet::list_json)),
    row(GET, "/api/cars/{car}", SEE, || get(story::car_json)),
    row(GET, "/api/rip-track", SEE, || get(rip_track::list_json)),
    row(POST, "/api/cars/{car}/bad-orders", BAD_ORDER, || {
        post(report::send_json)
    }),
    row(GET, "/bench", READ, || get(bench::room)),
    row(POST, "/bench", May(Action::EnterCar), || {
        post(bench::enter_car)
    }),
    row(GET, "/bench/{car}", READ, || get(bench::bench)),
    row(POST, "/bench/{car}", READ, || post(bench::read)),
    row(POST, "/bench/{car}/cures", May(Action::RecordCure), || {
        post(bench::cured)
    }),
    row(POST, "/cars/{car}/release", RELEASE, || {
        post(|app, caller, car, fields| bench::by_form(Ending::Release, app, caller, car, fields))
    }),
    row(POST, "/cars/{car}/rest", HOLD, || {
        post(|app, caller, car, fields| bench::by_form(Ending::Rest, app, caller, car, fields))
    }),
    row(POST, "/cars/{car}/wait", HOLD, || {
        post(|app, caller, car, fields| bench::by_form(Ending::Wait, app, caller, car, fields))
    }),
    row(POST, "/cars/{car}/hand-back", HAND, || {
        post(|app, caller, car, fields| bench::by_form(Ending::HandBack, app, caller, car, fields))
    }),
    row(POST, "/cars/{car}/take-in", HAND, || {
        post(|app, caller, car, fields| bench::by_form(Ending::TakeIn, app, caller, car, fields))
    }),
    row(GET, "/api/bench/{car}", READ, || get(bench::bench_json)),
    row(POST, "/api/bench/{car}/readings", READ, || {
        post(bench::readings_json)
    }),
    row(POST, "/api/cars/{car}/release", RELEASE, || {
        post(bench::release_json)
    }),
    row(POST, "/api/cars/{car}/rest", HOLD, || {
        post(bench::rest_json)
    }),
    row(POST, "/api/cars/{car}/wait", HOLD, || {
        post(bench::wait_json)
    }),
    row(POST, "/api/cars/{car}/hand-back", HAND, || {
        post(bench::hand_back_json)
    }),
    row(GET, "/api/openapi.json", Anyone, || get(openapi::serve)),
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
