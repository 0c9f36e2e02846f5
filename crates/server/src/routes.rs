//! Every route: method, path, who may, handler. The router is made of this table, and so is the test
//! that calls every route as every role. What is not here is not served.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use axum::routing::{MethodFilter, MethodRouter, on};
use gradeworthy_store::{Action, Role};

use crate::bench::{self, Ending};
use crate::entry::by_form;
use crate::guard::Access::{self, Anyone, May, SignedIn};
use crate::guard::Caller;
use crate::members::api as for_members;
use crate::{
    App, consent, exchange, fleet, hill, icon, jobs, keeping, members, openapi, papers, photo,
    report, rip_track, rules, script, story, stylesheet,
};

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
        body_most: BODY_MOST,
    }
}

/// The most bytes of a line, a power file or a train. ASSUMED: a survey of ten thousand points.
pub(crate) const HILL_BODY_MOST: usize = 1024 * 1024;

/// A route that takes a line, a power file or a train.
const fn hill_row(
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
const fn text_row(
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
const fn file_row(
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
const fn photo_row(
    path: &'static str,
    access: Access,
    handler: fn(MethodFilter) -> MethodRouter<App>,
) -> Route {
    Route {
        body_most: PHOTO_BODY_MOST,
        ..row(POST, path, access, handler)
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
const FLEET: Access = May(Action::SeeFleet);
const RULES: Access = May(Action::EditRules);
const HILL: Access = May(Action::SeeLine);
const LINE: Access = May(Action::ChangeLine);
const POWER: Access = May(Action::ChangePower);
const MAKE_UP: Access = May(Action::MakeUp);
const IMPORT: Access = May(Action::ImportFile);
/// The whole record holds members and their doings, which are the lead's to hand on.
const WHOLE: Access = May(Action::KeepBackups);
const MEMBERS: Access = May(Action::ManageMembers);
const CHANGE: Access = May(Action::ChangeCar);
const CONSENT: Access = May(Action::Consent);
const PHOTO: Access = May(Action::AddPhoto);
const MERGE: Access = May(Action::MergeReports);
/// One's own mistakes; for somebody else's the record asks for more.
const STRIKE: Access = May(Action::StrikeOwn);
const WANT: Access = May(Action::SetWanted);
const KEEP: Access = May(Action::KeepBackups);
const AUDIT: Access = May(Action::SeeAudit);

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
    row(GET, "/audit", AUDIT, |m| on(m, members::audit)),
    row(GET, "/fleet", SEE, |m| on(m, fleet::list)),
    row(GET, "/fleet/spread", SEE, |m| on(m, fleet::spread_page)),
    row(GET, "/fleet/what-if", FLEET, |m| on(m, fleet::what_if_page)),
    row(GET, "/fleet/lots", FLEET, |m| on(m, fleet::lots_page)),
    row(POST, "/fleet/groups", FLEET, |m| on(m, fleet::keep)),
    row(POST, "/fleet/groups/{group}/drop", FLEET, |m| {
        on(m, fleet::drop_group)
    }),
    row(GET, "/rules", SEE, |m| on(m, rules::book)),
    row(GET, "/rules/editions/{edition}/rules.toml", SEE, |m| {
        on(m, rules::download)
    }),
    text_row("/rules/drafts", RULES, |m| on(m, rules::begin)),
    row(GET, "/rules/drafts/{draft}", RULES, |m| on(m, rules::page)),
    row(GET, "/rules/drafts/{draft}/rules.toml", RULES, |m| {
        on(m, rules::download_draft)
    }),
    row(POST, "/rules/drafts/{draft}/limit", RULES, |m| {
        on(m, rules::change_limit)
    }),
    row(POST, "/rules/drafts/{draft}/exception", RULES, |m| {
        on(m, rules::add_exception)
    }),
    text_row("/rules/drafts/{draft}/text", RULES, |m| {
        on(m, rules::change_text)
    }),
    row(POST, "/rules/drafts/{draft}/force", RULES, |m| {
        on(m, rules::put_in_force)
    }),
    row(POST, "/rules/drafts/{draft}/drop", RULES, |m| {
        on(m, rules::drop_draft)
    }),
    row(GET, "/api/fleet/spread", SEE, |m| on(m, fleet::spread_json)),
    row(GET, "/api/fleet/what-if", FLEET, |m| {
        on(m, fleet::what_if_json)
    }),
    row(GET, "/api/fleet/lots", FLEET, |m| on(m, fleet::lots_json)),
    row(GET, "/api/fleet/groups", FLEET, |m| {
        on(m, fleet::groups_json)
    }),
    row(POST, "/api/fleet/groups", FLEET, |m| {
        on(m, fleet::keep_json)
    }),
    row(POST, "/api/fleet/groups/{group}/drop", FLEET, |m| {
        on(m, fleet::drop_group_json)
    }),
    row(GET, "/api/rules", SEE, |m| on(m, rules::rules_json)),
    row(GET, "/api/rules/editions/{edition}", SEE, |m| {
        on(m, rules::edition_json)
    }),
    text_row("/api/rules/drafts", RULES, |m| on(m, rules::begin_json)),
    row(GET, "/api/rules/drafts/{draft}", RULES, |m| {
        on(m, rules::draft_json)
    }),
    row(POST, "/api/rules/drafts/{draft}/limit", RULES, |m| {
        on(m, rules::change_limit_json)
    }),
    row(POST, "/api/rules/drafts/{draft}/exception", RULES, |m| {
        on(m, rules::add_exception_json)
    }),
    text_row("/api/rules/drafts/{draft}/text", RULES, |m| {
        on(m, rules::change_text_json)
    }),
    row(POST, "/api/rules/drafts/{draft}/drop", RULES, |m| {
        on(m, rules::drop_json)
    }),
    row(GET, "/api/rules/drafts/{draft}/outcome", RULES, |m| {
        on(m, rules::outcome_json)
    }),
    row(POST, "/api/rules/drafts/{draft}/force", RULES, |m| {
        on(m, rules::force_json)
    }),
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
    row(GET, "/api/papers/sheets", RULES, |m| {
        on(m, papers::sheets_json)
    }),
    row(POST, "/api/papers/sheets", RULES, |m| {
        on(m, papers::keep_sheet_json)
    }),
    row(POST, "/api/papers/sheets/drop", RULES, |m| {
        on(m, papers::drop_sheet_json)
    }),
    row(POST, "/api/papers/address", RULES, |m| {
        on(m, papers::set_address_json)
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
    photo_row("/report", BAD_ORDER, |m| on(m, report::send)),
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
        on(m, by_form::<bench::CureSent>)
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
    row(POST, "/bench/{car}/figures", CHANGE, |m| {
        on(m, by_form::<bench::FiguresSent>)
    }),
    row(POST, "/bench/{car}/strikes", READ, |m| on(m, bench::strike)),
    row(GET, "/api/bench", READ, |m| on(m, bench::room_json)),
    row(POST, "/api/bench", May(Action::EnterCar), |m| {
        on(m, bench::enter_car_json)
    }),
    row(
        POST,
        "/api/bench/{car}/cures",
        May(Action::RecordCure),
        |m| on(m, bench::cure_json),
    ),
    row(POST, "/api/bench/{car}/figures", CHANGE, |m| {
        on(m, bench::figures_json)
    }),
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
    row(POST, "/api/cars/{car}/take-in", HAND, |m| {
        on(m, bench::take_in_json)
    }),
    row(GET, "/hill", HILL, |m| on(m, hill::room)),
    row(GET, "/hill/climb", HILL, |m| on(m, hill::climb)),
    hill_row("/hill/advice", MAKE_UP, |m| on(m, hill::apply)),
    hill_row("/hill/jobs/{job}/end", HILL, |m| on(m, hill::end)),
    row(GET, "/hill/lines/new", LINE, |m| on(m, hill::line_new)),
    row(GET, "/hill/lines/{item}", HILL, |m| on(m, hill::line)),
    row(GET, "/hill/lines/{item}/change", LINE, |m| {
        on(m, hill::line_form)
    }),
    hill_row("/hill/lines", LINE, |m| on(m, hill::line_send)),
    row(GET, "/hill/power", HILL, |m| on(m, hill::power)),
    row(GET, "/hill/power/new", POWER, |m| on(m, hill::power_new)),
    row(GET, "/hill/power/{item}", HILL, |m| on(m, hill::locomotive)),
    hill_row("/hill/power", POWER, |m| on(m, hill::power_send)),
    row(GET, "/hill/trains/new", MAKE_UP, |m| on(m, hill::train_new)),
    row(GET, "/hill/trains/{item}", HILL, |m| on(m, hill::train)),
    hill_row("/hill/trains", MAKE_UP, |m| on(m, hill::train_send)),
    row(GET, "/hill/scene", HILL, |m| on(m, hill::scene)),
    row(GET, "/hill/scenes/new", MAKE_UP, |m| on(m, hill::scene_new)),
    row(GET, "/hill/scenes/{item}", HILL, |m| {
        on(m, hill::scene_show)
    }),
    hill_row("/hill/scenes", MAKE_UP, |m| on(m, hill::scene_send)),
    row(GET, "/hill/odds", HILL, |m| on(m, hill::odds)),
    row(GET, "/api/hill", HILL, |m| on(m, hill::hill_json)),
    row(GET, "/api/hill/lines/{item}", HILL, |m| {
        on(m, hill::line_json)
    }),
    hill_row("/api/hill/lines", LINE, |m| on(m, hill::save_line_json)),
    row(GET, "/api/hill/power/{item}", HILL, |m| {
        on(m, hill::locomotive_json)
    }),
    hill_row("/api/hill/power", POWER, |m| {
        on(m, hill::save_locomotive_json)
    }),
    row(GET, "/api/hill/trains/{item}", HILL, |m| {
        on(m, hill::make_up_json)
    }),
    hill_row("/api/hill/trains", MAKE_UP, |m| {
        on(m, hill::save_make_up_json)
    }),
    row(GET, "/api/hill/scenes/{item}", HILL, |m| {
        on(m, hill::scene_json)
    }),
    hill_row("/api/hill/scenes", MAKE_UP, |m| {
        on(m, hill::save_scene_json)
    }),
    hill_row("/api/hill/plays", HILL, |m| on(m, hill::play_json)),
    row(GET, "/api/hill/plays/{job}/film", HILL, |m| {
        on(m, hill::play_film_json)
    }),
    hill_row("/api/hill/odds", HILL, |m| on(m, hill::odds_json)),
    hill_row("/api/hill/climbs", HILL, |m| on(m, hill::climb_json)),
    hill_row("/api/hill/advice", HILL, |m| on(m, hill::advice_json)),
    row(GET, "/api/hill/climbs/{job}/film", HILL, |m| {
        on(m, hill::film_json)
    }),
    row(GET, "/api/jobs/{job}", HILL, |m| on(m, jobs::state_json)),
    row(POST, "/api/jobs/{job}/cancel", HILL, |m| {
        on(m, jobs::cancel_json)
    }),
    row(GET, "/api/jobs/{job}/result", HILL, |m| {
        on(m, jobs::result_json)
    }),
    row(GET, "/my-cars", CONSENT, |m| on(m, consent::my_cars)),
    row(GET, "/cars/{car}/change", CHANGE, |m| on(m, story::change)),
    row(GET, "/cars/{car}/entries/{entry}", SEE, |m| {
        on(m, story::entry)
    }),
    row(POST, "/cars/{car}/strikes", STRIKE, |m| {
        on(m, by_form::<story::StrikeSent>)
    }),
    row(POST, "/cars/{car}/letterings", CHANGE, |m| {
        on(m, by_form::<story::LetterSent>)
    }),
    row(POST, "/cars/{car}/owners", CHANGE, |m| {
        on(m, by_form::<story::OwnSent>)
    }),
    row(POST, "/cars/{car}/descriptions", CHANGE, |m| {
        on(m, by_form::<story::DescribeSent>)
    }),
    row(POST, "/cars/{car}/fittings", CHANGE, |m| {
        on(m, by_form::<story::FitSent>)
    }),
    row(POST, "/cars/{car}/notes", May(Action::Note), |m| {
        on(m, by_form::<story::NoteSent>)
    }),
    row(POST, "/cars/{car}/consents", CONSENT, |m| {
        on(m, by_form::<consent::ConsentSent>)
    }),
    row(POST, "/cars/{car}/asks", HOLD, |m| {
        on(m, by_form::<consent::AskSent>)
    }),
    row(POST, "/cars/{car}/answers", CONSENT, |m| {
        on(m, by_form::<rip_track::WaitEndSent>)
    }),
    row(POST, "/cars/{car}/wait-ends", HOLD, |m| {
        on(m, by_form::<rip_track::WaitEndSent>)
    }),
    row(POST, "/cars/{car}/merges", MERGE, |m| {
        on(m, by_form::<rip_track::MergeSent>)
    }),
    row(POST, "/rip-track/wanted", WANT, |m| on(m, rip_track::want)),
    row(GET, "/cars/{car}/photos/{entry}", SEE, |m| {
        on(m, photo::serve)
    }),
    photo_row("/cars/{car}/photos", PHOTO, |m| on(m, photo::add)),
    row(GET, "/keeping", KEEP, |m| on(m, keeping::show)),
    row(POST, "/keeping/copies", KEEP, |m| on(m, keeping::copy)),
    row(GET, "/api/my-cars", CONSENT, |m| {
        on(m, consent::my_cars_json)
    }),
    row(GET, "/api/cars/{car}/consents", SEE, |m| {
        on(m, consent::consents_json)
    }),
    row(POST, "/api/cars/{car}/consents", CONSENT, |m| {
        on(m, consent::consent_json)
    }),
    row(POST, "/api/cars/{car}/asks", HOLD, |m| {
        on(m, consent::ask_json)
    }),
    row(POST, "/api/cars/{car}/answers", CONSENT, |m| {
        on(m, rip_track::answer_json)
    }),
    row(POST, "/api/cars/{car}/wait-ends", HOLD, |m| {
        on(m, rip_track::wait_end_json)
    }),
    row(POST, "/api/cars/{car}/merges", MERGE, |m| {
        on(m, rip_track::merge_json)
    }),
    row(POST, "/api/cars/{car}/strikes", STRIKE, |m| {
        on(m, story::strike_json)
    }),
    row(POST, "/api/cars/{car}/letterings", CHANGE, |m| {
        on(m, story::letter_json)
    }),
    row(POST, "/api/cars/{car}/owners", CHANGE, |m| {
        on(m, story::own_json)
    }),
    row(POST, "/api/cars/{car}/descriptions", CHANGE, |m| {
        on(m, story::describe_json)
    }),
    row(POST, "/api/cars/{car}/fittings", CHANGE, |m| {
        on(m, story::fit_json)
    }),
    row(POST, "/api/cars/{car}/notes", May(Action::Note), |m| {
        on(m, story::note_json)
    }),
    row(GET, "/api/cars/{car}/photos/{entry}", SEE, |m| {
        on(m, photo::serve_json)
    }),
    photo_row("/api/cars/{car}/photos", PHOTO, |m| on(m, photo::add_json)),
    row(GET, "/api/wanted", WANT, |m| on(m, rip_track::wanted_json)),
    row(POST, "/api/wanted", WANT, |m| on(m, rip_track::want_json)),
    row(GET, "/api/keeping", KEEP, |m| on(m, keeping::show_json)),
    row(POST, "/api/keeping/copies", KEEP, |m| {
        on(m, keeping::copy_json)
    }),
    row(POST, "/api/session/end", SignedIn, |m| {
        on(m, for_members::sign_out_json)
    }),
    row(POST, "/api/session/switch", SignedIn, |m| {
        on(m, for_members::switch_json)
    }),
    row(GET, "/api/account", SignedIn, |m| {
        on(m, for_members::account_json)
    }),
    row(POST, "/api/account/pin", SignedIn, |m| {
        on(m, for_members::pin_json)
    }),
    row(POST, "/api/account/password", SignedIn, |m| {
        on(m, for_members::password_json)
    }),
    row(POST, "/api/account/leave", SignedIn, |m| {
        on(m, for_members::leave_json)
    }),
    row(GET, "/api/members", MEMBERS, |m| {
        on(m, for_members::members_json)
    }),
    row(POST, "/api/members", MEMBERS, |m| {
        on(m, for_members::add_json)
    }),
    row(POST, "/api/members/{member}", MEMBERS, |m| {
        on(m, for_members::change_json)
    }),
    row(POST, "/api/members/{member}/links", MEMBERS, |m| {
        on(m, for_members::link_json)
    }),
    row(POST, "/api/join/{token}", Anyone, |m| {
        on(m, for_members::join_json)
    }),
    row(POST, "/api/set-up/{token}", Anyone, |m| {
        on(m, for_members::set_up_json)
    }),
    row(GET, "/api/audit", AUDIT, |m| on(m, for_members::audit_json)),
    row(GET, "/fleet/fit", CHANGE, |m| on(m, fleet::fit_page)),
    row(POST, "/fleet/fit", CHANGE, |m| on(m, fleet::fit_many)),
    row(POST, "/api/fleet/fittings", CHANGE, |m| {
        on(m, fleet::fit_many_json)
    }),
    row(GET, "/fleet/import", IMPORT, |m| on(m, exchange::form)),
    file_row("/fleet/import", IMPORT, |m| on(m, exchange::send)),
    row(GET, "/fleet/import/{id}", IMPORT, |m| on(m, exchange::show)),
    row(POST, "/fleet/import/{id}/columns", IMPORT, |m| {
        on(m, exchange::match_columns)
    }),
    row(POST, "/fleet/import/{id}/enter", IMPORT, |m| {
        on(m, exchange::enter)
    }),
    row(POST, "/fleet/import/{id}/end", IMPORT, |m| {
        on(m, exchange::end)
    }),
    row(POST, "/fleet/import/{id}/let-go", IMPORT, |m| {
        on(m, exchange::let_go)
    }),
    row(GET, "/fleet/export", FLEET, |m| {
        on(m, exchange::write_out_page)
    }),
    row(GET, "/fleet/export/cars.csv", FLEET, |m| {
        on(m, exchange::cars_csv)
    }),
    row(GET, "/fleet/export/readings.csv", FLEET, |m| {
        on(m, exchange::readings_csv)
    }),
    row(GET, "/fleet/export/record.xlsx", FLEET, |m| {
        on(m, exchange::workbook)
    }),
    row(GET, "/fleet/export/record.json", WHOLE, |m| {
        on(m, exchange::record_json)
    }),
    file_row("/api/imports", IMPORT, |m| on(m, exchange::send_json)),
    row(GET, "/api/imports/{id}", IMPORT, |m| {
        on(m, exchange::look_json)
    }),
    row(POST, "/api/imports/{id}/columns", IMPORT, |m| {
        on(m, exchange::match_json)
    }),
    row(POST, "/api/imports/{id}/enter", IMPORT, |m| {
        on(m, exchange::enter_json)
    }),
    row(POST, "/api/imports/{id}/let-go", IMPORT, |m| {
        on(m, exchange::let_go_json)
    }),
    row(GET, "/api/exports/cars.csv", FLEET, |m| {
        on(m, exchange::cars_csv)
    }),
    row(GET, "/api/exports/readings.csv", FLEET, |m| {
        on(m, exchange::readings_csv)
    }),
    row(GET, "/api/exports/record.xlsx", FLEET, |m| {
        on(m, exchange::workbook)
    }),
    row(GET, "/api/exports/record.json", WHOLE, |m| {
        on(m, exchange::record_json)
    }),
    row(GET, "/api/openapi.json", Anyone, |m| on(m, openapi::serve)),
];

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
