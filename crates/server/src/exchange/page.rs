//! Taking a sheet in, as pages: choose the file, look at it, match its columns, enter it.

use axum::Extension;
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_sheets::column_letters;
use gradeworthy_sheets::intake::{ColumnRead, Refusal as Refused, SheetReport, known_headings};
use gradeworthy_store::{Difference, ImportRow, Snapshot};
use maud::{Markup, html};
use serde::Deserialize;

use super::api::scale;
use super::look::{self, Entered, Entering, Look};
use super::uploads::Upload;
use crate::App;
use crate::guard::Caller;
use crate::jobs::{self, Job, Stage};
use crate::members::Names;
use crate::page::{self, Page, choice};
use crate::refusal::Refusal;
use crate::request::{Asked, Fields, Named};
use crate::words;

/// Lines of a list that are shown; the rest is counted. ASSUMED: who sees a hundred faults mends the
/// sheet and sends it again.
const SHOWN: usize = 100;
/// Files listed that were taken in.
const PAST: u32 = 12;

#[derive(Deserialize)]
pub(crate) struct FormAsked {
    entered: Option<String>,
}

/// The page on which a file is chosen.
pub(crate) async fn form(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(asked): Asked<FormAsked>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let scales = [("", "as the sheet says")].into_iter();
        let scales = scales.chain(["HO", "N", "O", "S", "TT", "Z"].map(|name| (name, name)));
        let body = html! {
            @if asked.entered.is_some() {
                @if let Some(last) = snapshot.imports(1)?.first() {
                    p.done role="status" { "Entered: " (came_of(last)) "." }
                }
            }
            section {
                form method="post" action="/fleet/import" enctype="multipart/form-data" {
                    label.field { span { "A sheet of cars or readings: .csv, .txt or .xlsx" }
                        input type="file" name="file" required accept=".csv,.tsv,.txt,.xlsx"; }
                    (choice("Scale of cars whose row gives none", "scale", "", scales))
                    button { "Look at it" }
                }
                p.more { "Nothing is entered yet: the next page says what the sheet holds, what cannot \
                          be read and what would change." }
            }
            (past(app, &snapshot)?)
            p.row { a.button.quiet href="/fleet/export" { "Write the record out" } " "
                a.button.quiet href="/fleet" { "Back to the fleet" } }
        };
        Ok(page::room(app, &caller, "Take a sheet in", "/fleet", &body))
    })
    .await
}

fn past(app: &App, snapshot: &Snapshot<'_>) -> Result<Markup, Refusal> {
    let (rows, names) = (snapshot.imports(PAST)?, Names::of(snapshot)?);
    Ok(html! {
        @if !rows.is_empty() {
            section { h2 { "Taken in before" }
                ul { @for row in &rows { li {
                    (row.file_name) ", " (words::time(app, row.at)) ", " (names.name(row.by)) ": "
                    (came_of(row))
                } } }
            }
        }
    })
}

fn came_of(row: &ImportRow) -> String {
    let own = row.receipt;
    format!(
        "{}, {} known, {} and cures",
        cars(own.new_cars, "new car"),
        own.known_cars,
        cars(own.facts, "reading")
    )
}

fn cars(count: usize, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

/// Takes the file and leads to its page.
pub(crate) async fn send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    mut parts: Multipart,
) -> Result<Redirect, Refusal> {
    let (mut file, mut scale_text) = (None, String::new());
    let unreadable = |error: axum::extract::multipart::MultipartError| {
        crate::request::unreadable(error.status(), error.body_text())
    };
    while let Some(part) = parts.next_field().await.map_err(unreadable)? {
        match part.name() {
            Some("file") => {
                let name = part.file_name().unwrap_or_default().to_owned();
                let bytes = part.bytes().await.map_err(unreadable)?;
                file = Some((name, bytes));
            }
            Some("scale") => scale_text = part.text().await.map_err(unreadable)?,
            Some(_) | None => {}
        }
    }
    app.wait(move |app| {
        let (name, bytes) = file.unwrap_or_default();
        if name.is_empty() && bytes.is_empty() {
            return Err(Refusal::Unfilled { what: "the file" });
        }
        let scale = scale(&scale_text)?;
        // A file that is no sheet at all is refused before it is kept.
        gradeworthy_sheets::read(&bytes)?;
        let by = caller.member.id;
        let id = app.uploads().keep(by, app.now(), &name, &bytes, scale)?;
        Ok(Redirect::to(&format!("/fleet/import/{id}")))
    })
    .await
}

/// What a file holds and what it would change; while it is read or entered, how far that is.
pub(crate) async fn show(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let upload = app.uploads().find(caller.member.id, &id)?;
        match upload.entering {
            Some(job) => match app.jobs().find(job) {
                Ok(job) => entering(app, &caller, &upload, &job),
                Err(_) => looked(app, &caller, &upload, None),
            },
            None => looked(app, &caller, &upload, None),
        }
    })
    .await
}

/// A file that is being entered, or was.
fn entering(app: &App, caller: &Caller, upload: &Upload, job: &Job) -> Result<Response, Refusal> {
    match &job.stage {
        Stage::Done(_) => {
            app.uploads().let_go(caller.member.id, &upload.id);
            Ok(Redirect::to("/fleet/import?entered=yes").into_response())
        }
        Stage::Waiting(_) | Stage::Running(..) => Ok(on_its_way(app, caller, upload, job)),
        Stage::Failed(why) => looked(app, caller, upload, Some(why)),
        Stage::Cancelled => looked(app, caller, upload, Some(look::ENDED)),
    }
}

/// A job on a file that has not ended: how far it is, and an end to it. The page asks again by itself.
fn on_its_way(app: &App, caller: &Caller, upload: &Upload, job: &Job) -> Response {
    let (words, share) = match job.stage {
        Stage::Running(done, total) if total > 0 => {
            (format!("{} % done.", 100 * done / total), (done, total))
        }
        Stage::Waiting(ahead) if ahead > 0 => (
            format!("{} ahead of it.", cars(ahead, "other piece of work")),
            (0, 100),
        ),
        _ => ("It is just beginning.".to_owned(), (0, 100)),
    };
    let body = html! {
        p.progress role="status" { (job.what) ": " (words) }
        progress aria-label="Done" value=(share.0) max=(share.1) {}
        p.more { "Nothing is entered before all of it is." }
        form method="post" action={ "/fleet/import/" (upload.id) "/end" } {
            button.quiet { "End it and enter nothing" }
        }
    };
    let shown = page::room(app, caller, &upload.name, "/fleet", &body);
    page::again_soon(shown.into_response())
}

fn looked(
    app: &App,
    caller: &Caller,
    upload: &Upload,
    message: Option<&str>,
) -> Result<Response, Refusal> {
    let job = look::look(app, caller, upload.clone())?;
    let job = app.jobs().wait(job.id, look::PAGE_PATIENCE)?;
    let here = format!("/fleet/import/{}", upload.id);
    let let_go = html! {
        form method="post" action={ (here) "/let-go" } {
            button.quiet { "Let this file go and enter nothing" }
        }
    };
    let body = match look::looked(&job) {
        Ok(None) => return Ok(on_its_way(app, caller, upload, &job)),
        Ok(Some(looked)) => html! {
            @if let Some(message) = message { div.message role="alert" { (page::sentence(message)) } }
            (body(app, &looked.look, upload, &here))
            (let_go)
        },
        Err(why) => {
            // Whoever asks again may have it read again.
            app.jobs().forget(job.id);
            html! {
                div.message role="alert" { (page::sentence(&why.message(app))) }
                p.row { a.button href=(here) { "Look at it again" } (let_go) }
            }
        }
    };
    Ok(page::room(app, caller, &upload.name, "/fleet", &body).into_response())
}

fn body(app: &App, look: &Look, upload: &Upload, here: &str) -> Markup {
    html! {
        @if let Some(before) = &look.before {
            p.message { "This very file was taken in " (words::time(app, before.at)) "." }
        }
        (account(look))
        (enter_form(here, look))
        (problems(look))
        (differences(&look.differences))
        (columns(here, look, upload))
    }
}

/// What stands in the file, counted.
fn account(look: &Look) -> Markup {
    let total = |count: fn(&SheetReport) -> usize| look.intake.total(count);
    html! {
        section {
            h2 { "What it holds" }
            ul {
                li { (cars(total(|own| own.rows_in), "row")) ": " (total(|own| own.rows_taken)) " taken, "
                    (total(|own| own.rows_refused)) " refused; "
                    (total(|own| own.rows_blank)) " blank" }
                li { (cars(look.cars, "car")) ", " (look.new_cars) " of them new" }
                li { (look.facts) " readings and cures to enter, "
                    (look.there_already) " there already" }
                @for note in look.intake.sheets.iter().flat_map(|own| &own.notes) { li.more { (note) } }
            }
        }
    }
}

fn enter_form(here: &str, look: &Look) -> Markup {
    let problems = look.problem_count();
    html! {
        section {
            h2 { "Enter it" }
            @if look.is_empty() {
                p { "There is nothing in it that the record has not." }
            } @else {
                form method="post" action={ (here) "/enter" } {
                    input type="hidden" name="seen" value=(look.seen());
                    @if problems > 0 {
                        p.caution { (cars(problems, "thing")) " in it cannot be taken; they are listed \
                            below. Mend the sheet and send it again, or enter the rest without them." }
                        label.tick { input type="checkbox" name="leave_out" value="yes" required;
                            span { "Leave them out" } }
                    }
                    p { button { "Enter " (cars(look.new_cars, "new car")) " and "
                        (cars(look.facts, "reading")) } }
                    p.more { "All of it is entered, or nothing." }
                }
            }
        }
    }
}

fn problems(look: &Look) -> Markup {
    let refusals: Vec<&Refused> = look.intake.refusals().collect();
    html! {
        @if !look.doubtful.is_empty() {
            section { h2 { "Numbers that more than one car bears" }
                p { "Nobody can tell which car is meant. Renumber one of them, or enter these at the bench." }
                ul { @for mark in &look.doubtful { li { (mark) } } }
            }
        }
        @if !refusals.is_empty() {
            section { h2 { "What cannot be read" }
                div.scroll tabindex="0" role="region" aria-label="What cannot be read" { table {
                    thead { tr { th { "Where" } th { "Heading" } th { "Found" } th { "Wanted" } } }
                    tbody { @for own in refusals.iter().take(SHOWN) { tr {
                        td { (own.place) @if own.whole_row { " (whole row)" } }
                        td { (own.heading) } td { (own.found) } td { (own.expected) }
                    } } }
                } }
                @if refusals.len() > SHOWN { p.more { "and " (refusals.len() - SHOWN) " more" } }
            }
        }
    }
}

fn differences(differences: &[Difference]) -> Markup {
    html! {
        @if !differences.is_empty() {
            section { h2 { "What it says otherwise" }
                p { "The record stays as it is; change a car on its own page." }
                div.scroll tabindex="0" role="region" aria-label="Differences" { table {
                    thead { tr { th { "Car" } th { "What" } th { "In the record" } th { "In the file" } } }
                    tbody { @for own in differences.iter().take(SHOWN) { tr {
                        td { a href={ "/cars/" (own.car) } { (own.mark) } } td { (own.what) }
                        td { @if own.in_record.is_empty() { "nothing" } @else { (own.in_record) } }
                        td { (own.in_file) }
                    } } }
                } }
                @if differences.len() > SHOWN { p.more { "and " (differences.len() - SHOWN) " more" } }
            }
        }
    }
}

fn columns(here: &str, look: &Look, upload: &Upload) -> Markup {
    html! {
        section { h2 { "What the columns are read as" }
            p { "Change what a column is read as; empty it to leave the column out." }
            datalist id="headings" { @for own in known_headings() { option value=(own) {} } }
            form method="post" action={ (here) "/columns" } {
                @for (index, sheet) in look.intake.sheets.iter().enumerate() {
                    @if let Some(name) = &sheet.name { h3 { "Sheet " (name) } }
                    div.readings { @for own in &sheet.columns { (column(index, own)) } }
                }
                button.quiet { "Read them so" }
            }
            p.more { (upload.bytes.len() / 1024) " KiB, sent for a look; nothing of it is entered yet." }
        }
    }
}

fn column(sheet: usize, own: &ColumnRead) -> Markup {
    let letters = column_letters(u32::try_from(own.column + 1).unwrap_or(u32::MAX));
    html! {
        div.reading {
            label { span { (letters) ": " @if own.heading.is_empty() { "no heading" } @else { (own.heading) } }
                input type="text" name={ "column." (sheet) "." (own.column) } list="headings"
                    value=(own.read_as.as_deref().unwrap_or("")) autocomplete="off"; }
            span.past { @if own.sample.is_empty() { "empty" } @else { (own.sample.join("; ")) } }
        }
    }
}

/// Reads columns as the form says.
pub(crate) async fn match_columns(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    let column = |name: &str, text: &str| {
        let (sheet, column) = name.strip_prefix("column.")?.split_once('.')?;
        Some((sheet.parse().ok()?, column.parse().ok()?, text.to_owned()))
    };
    let columns = fields.iter().filter_map(|(name, text)| column(name, text));
    app.uploads()
        .match_columns(caller.member.id, &id, columns)?;
    Ok(Redirect::to(&format!("/fleet/import/{id}")))
}

/// Begins to enter a file.
pub(crate) async fn enter(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let upload = app.uploads().find(caller.member.id, &id)?;
        let order = Entering {
            seen: fields.get("seen").to_owned(),
            leave_out: fields.get("leave_out") == "yes",
        };
        let begun = look::enter(app, &caller, upload.clone(), order, look::PAGE_PATIENCE);
        let message = match begun {
            Ok(job) if job.found::<Entered>().is_some() => {
                return entering(app, &caller, &upload, &job);
            }
            Ok(_) => return Ok(Redirect::to(&format!("/fleet/import/{id}")).into_response()),
            Err(refusal @ (Refusal::SheetMovedOn | Refusal::SheetHasProblems { .. })) => {
                refusal.to_string()
            }
            Err(refusal) => return Err(refusal),
        };
        let page = looked(app, &caller, &upload, Some(&message))?;
        Ok((StatusCode::CONFLICT, page).into_response())
    })
    .await
}

/// Ends the reading or entering of a file: an ended reading lets the file go.
pub(crate) async fn end(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let upload = app.uploads().find(caller.member.id, &id)?;
        let here = format!("/fleet/import/{id}");
        if let Some(job) = upload.entering {
            jobs::cancel(app, &caller, job)?;
            return Ok(Redirect::to(&here));
        }
        let job = look::look(app, &caller, upload)?;
        app.jobs().cancel(job.id)?;
        app.uploads().let_go(caller.member.id, &id);
        Ok(Redirect::to("/fleet/import"))
    })
    .await
}

/// Lets a file go.
pub(crate) async fn let_go(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(id): Named<String>,
) -> Result<Redirect, Refusal> {
    app.uploads().find(caller.member.id, &id)?;
    app.uploads().let_go(caller.member.id, &id);
    Ok(Redirect::to("/fleet/import"))
}
