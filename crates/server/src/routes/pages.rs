//! What browsers ask for: pages, forms, and the files that belong to them.

use axum::routing::on;
use gradeworthy_store::Action;

use super::{
    AUDIT, BAD_ORDER, CHANGE, CONSENT, FLEET, GET, HAND, HILL, HOLD, IMPORT, KEEP, LINE, MAKE_UP,
    MEMBERS, MERGE, PHOTO, POST, POWER, READ, RELEASE, RULES, Route, SEE, STRIKE, WANT, WHOLE,
    file_row, first_page, hill_row, photo_row, row, text_row,
};
use crate::bench::Ending;
use crate::entry::by_form;
use crate::guard::Access::{Anyone, May, SignedIn};
use crate::{
    bench, consent, exchange, fleet, hill, icon, keeping, members, papers, photo, report,
    rip_track, rules, script, story, stylesheet,
};

/// One row each.
pub(super) const PAGES: &[Route] = &[
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
    row(GET, "/rip-track", SEE, |m| on(m, rip_track::list)),
    row(GET, "/report", BAD_ORDER, |m| on(m, report::form)),
    photo_row("/report", BAD_ORDER, |m| on(m, report::send)),
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
    row(GET, "/fleet/fit", CHANGE, |m| on(m, fleet::fit_page)),
    row(POST, "/fleet/fit", CHANGE, |m| on(m, fleet::fit_many)),
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
];
