//! What programs ask for; most are twins of forms.

use axum::routing::on;
use gradeworthy_store::Action;

use super::{
    AUDIT, BAD_ORDER, CHANGE, CONSENT, FLEET, GET, HAND, HILL, HOLD, IMPORT, KEEP, LINE, MAKE_UP,
    MEMBERS, MERGE, PHOTO, POST, POWER, READ, RELEASE, RULES, Route, SEE, STRIKE, WANT, WHOLE,
    file_row, hill_row, photo_row, row, text_row,
};
use crate::guard::Access::{Anyone, May, SignedIn};
use crate::members::api as for_members;
use crate::{
    bench, consent, exchange, fleet, hill, jobs, keeping, members, openapi, papers, photo, report,
    rip_track, rules, story,
};

/// One row each.
pub(super) const PROGRAMS: &[Route] = &[
    row(POST, "/api/session", Anyone, |m| {
        on(m, members::sign_in_json)
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
    row(GET, "/api/fleet", SEE, |m| on(m, fleet::list_json)),
    row(GET, "/api/cars/{car}", SEE, |m| on(m, story::car_json)),
    row(GET, "/api/rip-track", SEE, |m| on(m, rip_track::list_json)),
    row(POST, "/api/cars/{car}/bad-orders", BAD_ORDER, |m| {
        on(m, report::send_json)
    }),
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
    row(POST, "/api/fleet/fittings", CHANGE, |m| {
        on(m, fleet::fit_many_json)
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
