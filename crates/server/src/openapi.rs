//! The description of everything that programs may call, made from the handlers themselves.

mod refusals;

#[cfg(test)]
mod fuzz;

use axum::Json;
use utoipa::OpenApi;

use refusals::Refusals;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Gradeworthy",
        description = "The car shop's record for programs. Sign in at /api/session and send the cookie \
                       it gives with every request. Every entry carries an identity made by its sender, \
                       so that sending it twice enters it once, and the version of the record it was \
                       made on, so that two benches never overwrite each other."
    ),
    modifiers(&Refusals),
    paths(
        crate::members::sign_in_json,
        crate::fleet::list_json,
        crate::fleet::spread_json,
        crate::fleet::what_if_json,
        crate::fleet::lots_json,
        crate::fleet::groups_json,
        crate::fleet::keep_json,
        crate::fleet::drop_group_json,
        crate::rules::rules_json,
        crate::rules::edition_json,
        crate::rules::begin_json,
        crate::rules::draft_json,
        crate::rules::change_limit_json,
        crate::rules::add_exception_json,
        crate::rules::change_text_json,
        crate::rules::drop_json,
        crate::rules::outcome_json,
        crate::rules::force_json,
        crate::story::car_json,
        crate::rip_track::list_json,
        crate::report::send_json,
        crate::bench::room_json,
        crate::bench::keep_json,
        crate::bench::strike_json,
        crate::bench::bench_json,
        crate::bench::readings_json,
        crate::bench::release_json,
        crate::bench::rest_json,
        crate::bench::wait_json,
        crate::bench::hand_back_json,
        crate::bench::take_in_json,
        crate::bench::enter_car_json,
        crate::bench::cure_json,
        crate::bench::figures_json,
        crate::papers::label,
        crate::papers::tag,
        crate::papers::slip,
        crate::papers::record_sheet,
        crate::papers::labels,
        crate::papers::slips,
        crate::papers::statement,
        crate::papers::monthly,
        crate::papers::sheets_json,
        crate::papers::keep_sheet_json,
        crate::papers::drop_sheet_json,
        crate::papers::set_address_json,
        crate::hill::hill_json,
        crate::hill::line_json,
        crate::hill::save_line_json,
        crate::hill::locomotive_json,
        crate::hill::save_locomotive_json,
        crate::hill::make_up_json,
        crate::hill::save_make_up_json,
        crate::hill::climb_json,
        crate::hill::advice_json,
        crate::hill::film_json,
        crate::hill::scene_json,
        crate::hill::save_scene_json,
        crate::hill::play_json,
        crate::hill::play_film_json,
        crate::hill::odds_json,
        crate::jobs::state_json,
        crate::jobs::cancel_json,
        crate::jobs::result_json,
        crate::story::strike_json,
        crate::story::letter_json,
        crate::story::own_json,
        crate::story::describe_json,
        crate::story::fit_json,
        crate::fleet::fit_many_json,
        crate::story::note_json,
        crate::photo::add_json,
        crate::photo::serve_json,
        crate::consent::my_cars_json,
        crate::consent::consents_json,
        crate::consent::consent_json,
        crate::consent::ask_json,
        crate::rip_track::answer_json,
        crate::rip_track::wait_end_json,
        crate::rip_track::merge_json,
        crate::rip_track::wanted_json,
        crate::rip_track::want_json,
        crate::keeping::show_json,
        crate::keeping::copy_json,
        crate::members::api::sign_out_json,
        crate::members::api::switch_json,
        crate::members::api::account_json,
        crate::members::api::pin_json,
        crate::members::api::password_json,
        crate::members::api::leave_json,
        crate::members::api::members_json,
        crate::members::api::add_json,
        crate::members::api::change_json,
        crate::members::api::link_json,
        crate::members::api::join_json,
        crate::members::api::set_up_json,
        crate::members::api::audit_json,
        crate::exchange::send_json,
        crate::exchange::look_json,
        crate::exchange::match_json,
        crate::exchange::enter_json,
        crate::exchange::let_go_json,
        crate::exchange::cars_csv,
        crate::exchange::readings_csv,
        crate::exchange::workbook,
        crate::exchange::record_json,
    )
)]
struct Description;

/// Serves it.
pub(crate) async fn serve() -> Json<utoipa::openapi::OpenApi> {
    Json(Description::openapi())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use gradeworthy_store::Role;

    use crate::club::Club;
    use crate::routes;
    use crate::routes::tests::method;

    #[test]
    fn the_description_names_every_route_for_programs_and_no_other() {
        let club = Club::open();
        let answer = club.get(Role::Operator, "/api/openapi.json");
        let description: serde_json::Value = serde_json::from_str(&answer.body).expect("JSON");
        let mut described = BTreeSet::new();
        for (path, methods) in description["paths"].as_object().expect("paths") {
            for method in methods.as_object().expect("methods").keys() {
                described.insert((path.clone(), method.to_uppercase()));
            }
        }
        let served: BTreeSet<_> = routes::all()
            .filter(|route| route.path.starts_with("/api/") && route.path != "/api/openapi.json")
            .map(|route| (route.path.to_owned(), method(route).to_string()))
            .collect();
        assert_eq!(described, served);
    }
}
