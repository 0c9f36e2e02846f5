//! Every route: method, path, who may, handler. The router is made of this table, and so is the test
//! that calls every route as every role. What is not here is not served.

mod pages;
mod programs;

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use axum::routing::{MethodFilter, MethodRouter};
use gradeworthy_store::{Action, Role};

use crate::guard::Access::{self, May};
use crate::guard::Caller;
use crate::{App, exchange};

/// One route.
pub(crate) struct Route {
    pub(crate) method: MethodFilter,
    pub(crate) path: &'static str,
    pub(crate) access: Access,
    pub(crate) handler: fn(MethodFilter) -> MethodRouter<App>,
    /// The most bytes of a request.
    pub(crate) body_most: usize,
}

/// The most bytes of a request. ASSUMED: the longest form, a bench page with every field filled, has
/// some ten thousand.
pub(crate) const BODY_MOST: usize = 64 * 1024;
/// The most bytes of a request with a photograph. A photograph of more than 16 MiB is refused, in words
/// and after it was read to its end; beyond this the connection is closed.
pub(crate) const PHOTO_BODY_MOST: usize = 64 * 1024 * 1024;

pub(super) const fn row(
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
        body_most: BODY_MOST,
    }
}

/// The most bytes of a line, a power file or a train. ASSUMED: a survey of ten thousand points.
pub(crate) const HILL_BODY_MOST: usize = 1024 * 1024;

/// A route that takes a line, a power file or a train.
pub(super) const fn hill_row(
    path: &'static str,
    access: Access,
    handler: fn(MethodFilter) -> MethodRouter<App>,
) -> Route {
    Route {
        body_most: HILL_BODY_MOST,
        ..row(POST, path, access, handler)
    }
}

/// The most bytes of a rule book sent as a form. ASSUMED: the starter has some 30,000 bytes, half as much
/// again when a form has encoded it, and a club's own may grow fivefold.
pub(crate) const RULES_BODY_MOST: usize = 256 * 1024;

/// A route that takes a rule book.
pub(super) const fn text_row(
    path: &'static str,
    access: Access,
    handler: fn(MethodFilter) -> MethodRouter<App>,
) -> Route {
    Route {
        body_most: RULES_BODY_MOST,
        ..row(POST, path, access, handler)
    }
}

/// A route that takes a sheet.
pub(super) const fn file_row(
    path: &'static str,
    access: Access,
    handler: fn(MethodFilter) -> MethodRouter<App>,
) -> Route {
    Route {
        body_most: exchange::FILE_BYTES_MOST,
        ..row(POST, path, access, handler)
    }
}

/// A route that takes a photograph.
pub(super) const fn photo_row(
    path: &'static str,
    access: Access,
    handler: fn(MethodFilter) -> MethodRouter<App>,
) -> Route {
    Route {
        body_most: PHOTO_BODY_MOST,
        ..row(POST, path, access, handler)
    }
}

pub(super) const GET: MethodFilter = MethodFilter::GET;
pub(super) const POST: MethodFilter = MethodFilter::POST;
pub(super) const SEE: Access = May(Action::SeeCar);
pub(super) const BAD_ORDER: Access = May(Action::BadOrder);
pub(super) const READ: Access = May(Action::EnterReading);
pub(super) const RELEASE: Access = May(Action::Release);
pub(super) const HOLD: Access = May(Action::Hold);
pub(super) const HAND: Access = May(Action::Hand);
pub(super) const FLEET: Access = May(Action::SeeFleet);
pub(super) const RULES: Access = May(Action::EditRules);
pub(super) const HILL: Access = May(Action::SeeLine);
pub(super) const LINE: Access = May(Action::ChangeLine);
pub(super) const POWER: Access = May(Action::ChangePower);
pub(super) const MAKE_UP: Access = May(Action::MakeUp);
pub(super) const IMPORT: Access = May(Action::ImportFile);
/// The whole record holds members and their doings, which are the lead's to hand on.
pub(super) const WHOLE: Access = May(Action::KeepBackups);
pub(super) const MEMBERS: Access = May(Action::ManageMembers);
pub(super) const CHANGE: Access = May(Action::ChangeCar);
pub(super) const CONSENT: Access = May(Action::Consent);
pub(super) const PHOTO: Access = May(Action::AddPhoto);
pub(super) const MERGE: Access = May(Action::MergeReports);
/// One's own mistakes; for somebody else's the record asks for more.
pub(super) const STRIKE: Access = May(Action::StrikeOwn);
pub(super) const WANT: Access = May(Action::SetWanted);
pub(super) const KEEP: Access = May(Action::KeepBackups);
pub(super) const AUDIT: Access = May(Action::SeeAudit);

/// Every route there is.
pub(crate) fn all() -> impl Iterator<Item = &'static Route> {
    pages::PAGES.iter().chain(programs::PROGRAMS)
}

/// Leads each member to the room where he works.
async fn first_page(State(_): State<App>, Extension(caller): Extension<Caller>) -> Redirect {
    Redirect::to(match caller.member.role {
        Role::Lead | Role::Inspector | Role::Apprentice => "/bench",
        Role::Operator => "/report",
        Role::Owner => "/my-cars",
        Role::TrackLead => "/hill",
    })
}

#[cfg(test)]
mod security;
#[cfg(test)]
pub(crate) mod tests;
