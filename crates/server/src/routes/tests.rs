//! Every route as every role, and as nobody.

use axum::http::{Method, StatusCode};
use gradeworthy_store::{Permission, Role};

use super::*;
use crate::club::Club;
use crate::guard::Access::{Anyone, SignedIn};
use crate::stylesheet;

/// The table holds these two methods.
pub(crate) fn method(route: &Route) -> Method {
    if route.method == GET {
        Method::GET
    } else {
        Method::POST
    }
}

/// A path of the table with something real in place of its variables.
pub(super) fn real(club: &Club, role: Option<Role>, path: &str) -> String {
    let car = match role {
        Some(Role::TrackLead) => club.track_leads_car,
        _ => club.own_car,
    };
    path.replace("{car}", &car.to_string())
        .replace("{member}", "1")
        .replace("{item}", "1")
        .replace("{job}", "0")
        .replace("{entry}", "1")
        .replace("{name}", stylesheet::name())
        .replace("{token}", "0")
        .replace("{edition}", "1")
        .replace("{draft}", "1")
        .replace("{group}", "1")
}

#[test]
fn every_route_lets_through_whom_the_table_names_and_nobody_else() {
    let club = Club::open();
    for route in all() {
        let path = real(&club, None, route.path);
        let nobody = club.call(None, method(route), &path, "").status;
        match route.access {
            Anyone => assert_ne!(nobody, StatusCode::FORBIDDEN, "{path}"),
            SignedIn | May(_) if route.method == GET && !path.starts_with("/api/") => {
                assert_eq!(nobody, StatusCode::SEE_OTHER, "{path}");
            }
            SignedIn | May(_) => assert_eq!(nobody, StatusCode::UNAUTHORIZED, "{path}"),
        }
        for role in Role::ALL {
            let path = real(&club, Some(*role), route.path);
            let answer = club.call(Some(*role), method(route), &path, "");
            let refused = answer.status == StatusCode::FORBIDDEN;
            let may = match route.access {
                Anyone | SignedIn => true,
                May(action) => role.may(action) != Permission::No,
            };
            let (method, status) = (method(route), answer.status);
            assert_eq!(
                refused, !may,
                "{role}: {method} {path} gave {status}\n{}",
                answer.body
            );
            assert!(
                !status.is_server_error(),
                "{role}: {method} {path} gave {status}"
            );
            club.sign_in_again();
        }
    }
}

#[test]
fn what_is_not_in_the_table_is_not_served() {
    let club = Club::open();
    let lead = Some(Role::Lead);
    assert_eq!(
        club.call(lead, Method::GET, "/club.sqlite", "").status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        club.call(lead, Method::GET, "/..%2fCargo.toml", "").status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        club.call(lead, Method::DELETE, "/members", "").status,
        StatusCode::METHOD_NOT_ALLOWED
    );
    assert!(
        club.call(lead, Method::GET, "/nothing", "")
            .body
            .contains("no page at this address")
    );
}

#[test]
fn no_path_stands_twice_with_one_method() {
    let mut seen = std::collections::BTreeSet::new();
    for route in all() {
        assert!(
            seen.insert((route.path, method(route).to_string())),
            "{}",
            route.path
        );
    }
}
