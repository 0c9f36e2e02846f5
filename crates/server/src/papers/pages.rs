//! The pages from which papers are printed.

use axum::Extension;
use axum::extract::State;
use gradeworthy_store::{Action, CarId, KeptLabelSheet, Permission, Snapshot, Standing};
use maud::{Markup, html};

use super::club_page;
use crate::App;
use crate::fleet;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::request::Named;

/// The papers of one car.
pub(crate) async fn car_papers(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, CarId::from_number(car))?;
        let sheets = snapshot.label_sheets()?;
        let reported = !snapshot.open_reports(row.car)?.is_empty();
        let at = format!("/cars/{}", row.car);
        let body = html! {
            p { (fleet::what(&row)) }
            section { h2 { "Label for its underside" } (label_form(&format!("{at}/label"), &sheets, &html! {})) }
            section { h2 { "Shop tag" }
                p { "What was found and what to do, to hang on the car. A quarter of a page." }
                (quarter_form(&format!("{at}/tag"))) }
            @if reported { section { h2 { "Bad-order slip" }
                p { "One for each open report. A quarter of a page." }
                (quarter_form(&format!("{at}/slip"))) } }
            section { h2 { "Record sheet" }
                p { "Readings, limits, margins, drawings and history." }
                (paper_form(&format!("{at}/record-sheet"), "Print the record sheet", &html! {})) }
            p { a.button.quiet href=(at) { "Back to the car" } }
        };
        let title = format!("Papers of {}", row.mark);
        Ok(page::room(app, &caller, &title, "/papers", &body))
    })
    .await
}

/// The papers of many cars, and what the club prints on.
pub(crate) async fn papers(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let body = everything(&snapshot, &caller)?;
        Ok(page::room(app, &caller, "Papers", "/papers", &body))
    })
    .await
}

fn everything(snapshot: &Snapshot<'_>, caller: &Caller) -> Result<Markup, Refusal> {
    let sheets = snapshot.label_sheets()?;
    let all = caller.member.role.may(Action::SeeFleet) == Permission::Yes;
    let states =
        std::iter::once(("", "anywhere")).chain(Standing::NAMES.into_iter().map(|s| (s, s)));
    let which = html! {
        div.row {
            (text_field("A part of the marks", "mark", "", false))
            @if all { (text_field("Owner", "owner", "", false)) }
            (choice("Where they stand", "state", "", states))
        }
    };
    let owner = html! { @if all { (text_field("Owner, whole name; empty for your own cars", "owner", "", false)) } };
    Ok(html! {
        section { h2 { "Labels of many cars" } (label_form("/papers/labels", &sheets, &which)) }
        section { h2 { "Bad-order slips" }
            p { "One for each open report on the RIP track." }
            (quarter_form("/papers/slips")) }
        section { h2 { "Owner's statement" }
            p { "Every car of an owner: verdict, what is out, where it stands." }
            (paper_form("/papers/statement", "Print the statement", &owner)) }
        @if caller.may(Action::EditRules) {
            section { h2 { "Monthly report" }
                (paper_form("/papers/monthly", "Print the report",
                    &text_field("Month, as 2026-11; empty for this one", "month", "", false))) }
            (club_page::settings(snapshot, &sheets)?)
        }
    })
}

fn papers_choice() -> Markup {
    choice("Paper", "paper", "A4", [("A4", "A4"), ("Letter", "Letter")])
}

fn paper_form(to: &str, words: &str, more: &Markup) -> Markup {
    html! { form.row method="get" action=(to) { (more) (papers_choice()) button { (words) } } }
}

fn quarter_form(to: &str) -> Markup {
    html! {
        form.row method="get" action=(to) {
            (papers_choice())
            (choice("First quarter, row", "row", "1", [("1", "upper"), ("2", "lower")]))
            (choice("column", "column", "1", [("1", "left"), ("2", "right")]))
            button { "Print" }
        }
    }
}

fn label_form(to: &str, sheets: &[KeptLabelSheet], more: &Markup) -> Markup {
    let names = sheets.iter().map(|own| (&*own.name, &*own.name));
    let plain = std::iter::once(("", "plain paper, to be cut"));
    html! {
        form method="get" action=(to) {
            (more)
            div.row {
                (choice("Sheet of labels", "sheet", "", plain.chain(names)))
                (choice("Plain paper", "paper", "A4", [("A4", "A4"), ("Letter", "Letter")]))
            }
            div.row {
                (text_field("First label, row", "row", "1", false))
                (text_field("column", "column", "1", false))
            }
            div.row {
                label.tick { input type="checkbox" name="no_verdict" value="yes"; span { "Without the verdict" } }
                label.tick { input type="checkbox" name="outlines" value="yes";
                    span { "Outline every label, to hold a trial on plain paper against the sheet" } }
                button { "Print" }
            }
        }
    }
}
