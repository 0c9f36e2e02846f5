//! Every route: method, path, who may, handler. The router is made of this table, and so is the test
//! that calls every route as every role. What is not here is not served.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use axum::routing::{MethodFilter, MethodRouter, on};
use gradeworthy_store::{Action, Role};

use crate::bench::{self, Ending};
use crate::guard::Access::{self, Anyone, May, SignedIn};
use crate::guard::Caller;
use crate::{
    App, fleet, icon, members, openapi, papers, report, rip_track, script, story, stylesheet,
};

/// One route.
pub(crate) struct Route {
    pub(crate) method: MethodFilter,
    pub(crate) path: &'static str,
    pub(crate) access: Access,
    pub(crate) handler: fn(MethodFilter) -> MethodRouter<App>,
}

const fn row(
    method: MethodFilter,
    path: &'static str,
    access: Access,
    handler: fn(MethodFilter) -> MethodRouter<App>,
) -> Route {
    Route {
        method,
        path,
        access,
        handler,
    }
}

const GET: MethodFilter = MethodFilter::GET;
const POST: MethodFilter = MethodFilter::POST;
const SEE: Access = May(Action::SeeCar);
const BAD_ORDER: Access = May(Action::BadOrder);
const READ: Access = May(Action::EnterReading);
const RELEASE: Access = May(Action::Release);
const HOLD: Access = May(Action::Hold);
const HAND: Access = May(Action::Hand);
const RULES: Access = May(Action::EditRules);
const MEMBERS: Access = May(Action::ManageMembers);

pub(crate) const ROUTES: &[Route] = &[
    row(GET, "/style/{name}", Anyone, |m| on(m, stylesheet::serve)),
    row(GET, icon::PATH, Anyone, |m| on(m, icon::serve)),
    row(GET, "/script/{name}", Anyone, |m| on(m, script::serve)),
    row(GET, "/set-up/{token}", Anyone, |m| {
        on(m, members::set_up_form)
    }),
    row(POST, "/set-up/{token}", Anyone, |m| on(m, members::set_up)),
    row(GET, "/join/{token}", Anyone, |m| on(m, members::join_form)),
    row(POST, "/join/{token}", Anyone, |m| on(m, members::join)),
    row(GET, "/sign-in", Anyone, |m| on(m, members::sign_in_form)),
    row(POST, "/sign-in", Anyone, |m| on(m, members::sign_in)),
    row(POST, "/api/session", Anyone, |m| {
        on(m, members::sign_in_json)
    }),
    row(GET, "/", SignedIn, |m| on(m, first_page)),
    row(POST, "/sign-out", SignedIn, |m| on(m, members::sign_out)),
    row(POST, "/switch", SignedIn, |m| on(m, members::switch)),
    row(GET, "/account", SignedIn, |m| on(m, members::account)),
    row(POST, "/account/pin", SignedIn, |m| on(m, members::set_pin)),
    row(POST, "/account/password", SignedIn, |m| {
        on(m, members::set_password)
    }),
    row(POST, "/account/leave", SignedIn, |m| {
        on(m, members::leave_everywhere)
    }),
    row(GET, "/members", MEMBERS, |m| on(m, members::list)),
    row(POST, "/members", MEMBERS, |m| on(m, members::add)),
    row(POST, "/members/{member}", MEMBERS, |m| {
        on(m, members::change)
    }),
    row(GET, "/audit", May(Action::SeeAudit), |m| {
        on(m, members::audit)
    }),
    row(GET, "/fleet", SEE, |m| on(m, fleet::list)),
    row(GET, "/cars/{car}", SEE, |m| on(m, story::car)),
    row(GET, "/cars/{car}/papers", SEE, |m| {
        on(m, papers::car_papers)
    }),
    row(GET, "/cars/{car}/label", SEE, |m| on(m, papers::label)),
    row(GET, "/cars/{car}/tag", SEE, |m| on(m, papers::tag)),
    row(GET, "/cars/{car}/slip", SEE, |m| on(m, papers::slip)),
    row(GET, "/cars/{car}/record-sheet", SEE, |m| {
        on(m, papers::record_sheet)
    }),
    row(GET, "/papers", SEE, |m| on(m, papers::papers)),
    row(GET, "/papers/labels", SEE, |m| on(m, papers::labels)),
    row(GET, "/papers/slips", SEE, |m| on(m, papers::slips)),
    row(GET, "/papers/statement", SEE, |m| on(m, papers::statement)),
    row(GET, "/papers/monthly", RULES, |m| on(m, papers::monthly)),
    row(POST, "/papers/sheets", RULES, |m| on(m, papers::keep_sheet)),
    row(POST, "/papers/sheets/drop", RULES, |m| {
        on(m, papers::drop_sheet)
    }),
    row(POST, "/papers/address", RULES, |m| {
        on(m, papers::set_address)
    }),
    row(GET, "/api/cars/{car}/label", SEE, |m| on(m, papers::label)),
    row(GET, "/api/cars/{car}/tag", SEE, |m| on(m, papers::tag)),
    row(GET, "/api/cars/{car}/slip", SEE, |m| on(m, papers::slip)),
    row(GET, "/api/cars/{car}/record-sheet", SEE, |m| {
        on(m, papers::record_sheet)
    }),
    row(GET, "/api/papers/labels", SEE, |m| on(m, papers::labels)),
    row(GET, "/api/papers/slips", SEE, |m| on(m, papers::slips)),
    row(GET, "/api/papers/statement", SEE, |m| {
        on(m, papers::statement)
    }),
    row(GET, "/api/papers/monthly", RULES, |m| {
        on(m, papers::monthly)
    }),
    row(GET, "/rip-track", SEE, |m| on(m, rip_track::list)),
    row(GET, "/report", BAD_ORDER, |m| on(m, report::form)),
    row(POST, "/report", BAD_ORDER, |m| on(m, report::send)),
    row(GET, "/api/fleet", SEE, |m| on(m, fleet::list_json)),
    row(GET, "/api/cars/{car}", SEE, |m| on(m, story::car_json)),
    row(GET, "/api/rip-track", SEE, |m| on(m, rip_track::list_json)),
    row(POST, "/api/cars/{car}/bad-orders", BAD_ORDER, |m| {
        on(m, report::send_json)
    }),
    row(GET, "/bench", READ, |m| on(m, bench::room)),
    row(POST, "/bench", May(Action::EnterCar), |m| {
        on(m, bench::enter_car)
    }),
    row(GET, "/bench/{car}", READ, |m| on(m, bench::bench)),
    row(POST, "/bench/{car}", READ, |m| on(m, bench::read)),
    row(POST, "/bench/{car}/cures", May(Action::RecordCure), |m| {
        on(m, bench::cured)
    }),
    row(POST, "/cars/{car}/release", RELEASE, |m| {
        on(m, |app, caller, car, fields| {
            bench::by_form(Ending::Release, app, caller, car, fields)
        })
    }),
    row(POST, "/cars/{car}/rest", HOLD, |m| {
        on(m, |app, caller, car, fields| {
            bench::by_form(Ending::Rest, app, caller, car, fields)
        })
    }),
    row(POST, "/cars/{car}/wait", HOLD, |m| {
        on(m, |app, caller, car, fields| {
            bench::by_form(Ending::Wait, app, caller, car, fields)
        })
    }),
    row(POST, "/cars/{car}/hand-back", HAND, |m| {
        on(m, |app, caller, car, fields| {
            bench::by_form(Ending::HandBack, app, caller, car, fields)
        })
    }),
    row(POST, "/cars/{car}/take-in", HAND, |m| {
        on(m, |app, caller, car, fields| {
            bench::by_form(Ending::TakeIn, app, caller, car, fields)
        })
    }),
    row(POST, "/bench/{car}/entry", READ, |m| on(m, bench::entry)),
    row(POST, "/bench/{car}/draft", READ, |m| on(m, bench::keep)),
    row(POST, "/bench/{car}/figures", May(Action::ChangeCar), |m| {
        on(m, bench::measured)
    }),
    row(POST, "/bench/{car}/strikes", READ, |m| on(m, bench::strike)),
    row(GET, "/api/bench", READ, |m| on(m, bench::room_json)),
    row(POST, "/api/bench/{car}/drafts", READ, |m| {
        on(m, bench::keep_json)
    }),
    row(POST, "/api/bench/{car}/strikes", READ, |m| {
        on(m, bench::strike_json)
    }),
    row(GET, "/api/bench/{car}", READ, |m| on(m, bench::bench_json)),
    row(POST, "/api/bench/{car}/readings", READ, |m| {
        on(m, bench::readings_json)
    }),
    row(POST, "/api/cars/{car}/release", RELEASE, |m| {
        on(m, bench::release_json)
    }),
    row(POST, "/api/cars/{car}/rest", HOLD, |m| {
        on(m, bench::rest_json)
    }),
    row(POST, "/api/cars/{car}/wait", HOLD, |m| {
        on(m, bench::wait_json)
    }),
    row(POST, "/api/cars/{car}/hand-back", HAND, |m| {
        on(m, bench::hand_back_json)
    }),
    row(GET, "/api/openapi.json", Anyone, |m| on(m, openapi::serve)),
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
pub(crate) mod tests;
