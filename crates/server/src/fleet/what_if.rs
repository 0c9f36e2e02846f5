//! What if a limit were changed: who would fail, who would come back, and what that means at the bench.

use std::sync::Arc;

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_standards::Scale;
use gradeworthy_workbench::rules::{Limited, RuleBook};
use maud::{Markup, html};

use super::change::LimitAsked;
use super::{OutcomeJson, Search, outcome};
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::Asked;

/// The question and its answer as a page.
pub(crate) async fn what_if_page(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
    Asked(asked): Asked<LimitAsked>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let body = app.with_fleet(|known| {
            let book = &known.fleet.under().book;
            let answer = if asked.is_asked() {
                let changed = asked.applied(book)?;
                let rows = known.find(&caller, search.query(&book.bare)?);
                let tried = Arc::new(changed.book);
                let answer = known.fleet.what_if(&tried, &rows);
                html! {
                    h2 { (changed.what) ": now " (changed.before) ", tried " (changed.after) }
                    (outcome::show(known, &answer, &tried))
                }
            } else {
                html! { p { "Choose a limit and say what it would be. Nothing is changed by asking." } }
            };
            Ok(html! {
                p { "Over " strong { (search.words()) } ", under edition " (book.edition) " as of today. "
                    a.button.quiet href={ "/fleet?" (search.text()) } { "Choose other cars" } }
                (form(&search, &asked, book))
                (answer)
            })
        })?;
        Ok(page::room(app, &caller, "What if", "/fleet", &body))
    })
    .await
}

fn form(search: &Search, asked: &LimitAsked, book: &RuleBook) -> Markup {
    let scales: Vec<Scale> = book.scales.iter().map(|own| own.scale).collect();
    let mut classes: Vec<&str> = Vec::new();
    for class in book.scales.iter().flat_map(|own| &own.classes) {
        if !classes.contains(&&*class.name) {
            classes.push(&class.name);
        }
    }
    let limits = Limited::all().map(|own| (own.name(), own.name()));
    let limit = if asked.limit.is_empty() {
        "coupler height"
    } else {
        &asked.limit
    };
    html! {
        section { form method="get" {
            @for (name, value) in search.filled() { input type="hidden" name=(name) value=(value); }
            div.row {
                (choice("Limit", "limit", limit, limits.chain([("weight", "weight (under and over the target)")])))
                (choice("Scale", "of_scale", &asked.of_scale, scales.iter().map(|own| (own.name(), own.name()))))
                (choice("Class", "class", &asked.class,
                    std::iter::once(("", "the scale's own limit")).chain(classes.iter().map(|own| (*own, *own)))))
            }
            div.row {
                (text_field("Tolerance either way: .010 in", "tolerance", &asked.tolerance, false))
                (text_field("or at least", "min", &asked.min, false))
                (text_field("at most ('-' for no limit)", "max", &asked.max, false))
                button { "Try it" }
            }
        } }
    }
}

#[utoipa::path(get, path = "/api/fleet/what-if", params(Search, LimitAsked), tag = "fleet",
    responses((status = 200, body = OutcomeJson), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn what_if_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
    Asked(asked): Asked<LimitAsked>,
) -> Result<Json<OutcomeJson>, Refusal> {
    app.wait(move |app| {
        app.with_fleet(|known| {
            let book = &known.fleet.under().book;
            let tried = Arc::new(asked.applied(book)?.book);
            let rows = known.find(&caller, search.query(&book.bare)?);
            let answer = known.fleet.what_if(&tried, &rows);
            Ok(Json(OutcomeJson::of(known, &answer)))
        })
    })
    .await
}
