//! Lines: drawn while they are typed, with what their own check says on the drawing and as a list.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_reports::climb::{ClubLine, words};
use gradeworthy_store::{Action, ClientId, HillEdition, HillKind, Snapshot};
use gradeworthy_train::line::LineDesign;
use gradeworthy_train::line::checks::{CarKind, Finding, Outcome};
use gradeworthy_train::line::write_toml;
use maud::{Markup, html};

use super::line_rows::{self, Cell, HEAD, Imported, PARTS, Row};
use super::picture::View;
use super::save::{NewEdition, save};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Fields, Named};
use crate::{script, words as said};

/// The car that a line is held against where no train is named: 254 mm, an 85-ft car in HO.
/// ASSUMED: the longest car of most clubs; a climb holds the line against its own longest.
const LONG_CAR_M: f64 = 0.254;

/// One line as a page.
pub(crate) async fn line(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(item): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let edition = snapshot.hill_item(HillKind::Line, item)?;
        let line = stock::line(&edition)?;
        let body = html! {
            (shown(&line))
            @if caller.may(Action::ChangeLine) { p.row {
                a.button href={ "/hill/lines/" (item) "/change" } { "Change it" }
            } }
            (history(app, &snapshot, item)?)
        };
        Ok(page::room(app, &caller, &edition.name, "/hill", &body))
    })
    .await
}

/// Who entered which edition when.
pub(crate) fn history(app: &App, snapshot: &Snapshot<'_>, item: i64) -> Result<Markup, Refusal> {
    let (editions, names) = (snapshot.hill_editions(item)?, Names::of(snapshot)?);
    Ok(
        html! { section { details { summary { "Editions: " (editions.len()) }
            ul { @for own in &editions { li {
                "Edition " (own.edition) ", " (said::time(app, own.entered)) ", " (names.name(own.by))
                @if own.withdrawn { ": withdrawn" }
            } } }
        } } },
    )
}

/// The drawing, what is wrong, and what the survey says of itself.
fn shown(line: &ClubLine) -> Markup {
    let findings = line.findings(vec![CarKind {
        name: "a car of 254 mm".to_owned(),
        length: LONG_CAR_M,
        rigid_wheelbase: None,
        radius_min: None,
    }]);
    let beyond: Vec<&Finding> = findings
        .iter()
        .filter(|own| own.outcome == Outcome::Beyond)
        .collect();
    let length = line.alignment.length();
    let steepest = line
        .alignment
        .profile()
        .iter()
        .flat_map(|own| [own.grade_start.abs(), own.grade_end.abs()])
        .fold(0.0, f64::max);
    let sharpest = line
        .alignment
        .plan()
        .iter()
        .flat_map(|own| [own.curvature_start.abs(), own.curvature_end.abs()])
        .fold(0.0, f64::max);
    let view = View {
        findings: &findings,
        ..View::of(&line.alignment, &line.places, &line.design.name)
    };
    html! {
        div.line-shown {
            (view.show())
            p { (format!("{length:.1} m long, steepest grade {:.2} %", 100.0 * steepest))
                @if sharpest > 0.01 { ", sharpest " (words::curve(sharpest).trim_end_matches(" to the left")) } "." }
            @if beyond.is_empty() { p { "Its own check finds nothing beyond a limit that is stated here." } }
            @else { h2 { "What its own check says" } ul.findings { @for own in &beyond { li { "⚠ " (words::line(own)) } } } }
            @if let Some(survey) = &line.survey {
                h2 { "What the survey says of itself" } ul { @for note in survey.notes() { li { (note) } } }
            }
        }
    }
}

/// What stands in the form.
struct Form {
    item: Option<i64>,
    seen: Option<u32>,
    rows: Vec<Row>,
    readings: Option<String>,
    faults: Vec<String>,
    shown: Option<Markup>,
    /// A file that was pasted and could not be read; it stays where it can be mended.
    pasted: String,
}

impl Form {
    fn of(edition: &HillEdition) -> Result<Self, Refusal> {
        let design = stock::design(edition)?;
        Ok(Self {
            item: Some(edition.item),
            seen: Some(edition.edition),
            rows: line_rows::rows(&design),
            readings: edition.readings.as_ref().map(ToString::to_string),
            faults: Vec::new(),
            pasted: String::new(),
            shown: Some(shown(&stock::line(edition)?)),
        })
    }

    fn page(&self, app: &App, caller: &Caller) -> Result<Page, Refusal> {
        let identity = ClientId::random()?;
        let body = html! {
            div #drawing aria-live="polite" {
                @for fault in &self.faults { p.message role="alert" { (page::sentence(fault)) } }
                @if let Some(shown) = &self.shown { (shown) }
            }
            form.line-form method="post" action="/hill/lines" {
                input type="hidden" name="client_id" value=(identity);
                @if let Some(item) = self.item { input type="hidden" name="item" value=(item); }
                @if let Some(seen) = self.seen { input type="hidden" name="seen" value=(seen); }
                p.row {
                    button name="what" value="draw" { "Draw it" }
                    button name="what" value="save" { "Save it" }
                }
                (self.import())
                @let head = self.rows.iter().find(|row| row.part == "line");
                fieldset { legend { "The line" } div.cells {
                    @for cell in &HEAD { label.field { span { (cell.heading) } (input("line", 0, cell, head)) } }
                } }
                @if let Some(readings) = &self.readings {
                    label.field.wide { span { "Readings of the survey, a row each" }
                        textarea name="readings" rows="12" spellcheck="false" { (readings) } }
                    (self.part(3))
                } @else { @for index in 0..PARTS.len() { (self.part(index)) } }
                p.row {
                    button name="what" value="draw" { "Draw it" }
                    button name="what" value="save" { "Save it" }
                    @if self.item.is_some() { button.quiet name="what" value="withdraw" { "Withdraw this line" } }
                }
            }
            (script::HILL.load())
        };
        let title = if self.item.is_some() {
            "Change a line"
        } else {
            "Enter a line"
        };
        Ok(page::room(app, caller, title, "/hill", &body))
    }

    fn import(&self) -> Markup {
        html! { @if self.item.is_none() { details.import open[!self.pasted.is_empty()] {
            summary { "Take it from a file: a survey or a line file" }
            p.more { "Paste it. A survey is a table: x, y, height; or s, chord, mid_ordinate, turn with s, height. "
                "A line file is TOML or a table with a column 'section'." }
            label.field.wide { span { "The file's text" } textarea name="import" rows="6" spellcheck="false" { (self.pasted) } }
            button.quiet name="what" value="import" { "Read it" }
        } } }
    }

    fn part(&self, index: usize) -> Markup {
        let (part, heading, cells) = PARTS[index];
        let rows: Vec<&Row> = self.rows.iter().filter(|row| row.part == part).collect();
        let spare = if part == "cant" { 1 } else { 3 };
        html! { fieldset { legend { (heading) }
            div.scroll role="region" aria-label=(heading) tabindex="0" { table.pieces {
                tr { th { "No." } @for cell in cells { th { (cell.heading) } } }
                @for number in 0..rows.len() + spare { tr {
                    td.number { (number + 1) }
                    @for cell in cells { td { (input(part, number, cell, rows.get(number).copied())) } }
                } }
            } }
        } }
    }
}

fn input(part: &str, number: usize, cell: &Cell, row: Option<&Row>) -> Markup {
    let name = format!("{part}-{number}-{}", cell.key);
    let value = row.map_or("", |row| row.get(cell.key));
    let label = format!("{} of {part} {}", cell.heading, number + 1);
    html! {
        @if cell.choices.is_empty() { input type="text" name=(name) value=(value) aria-label=(label) autocomplete="off"; }
        @else { select name=(name) aria-label=(label) {
            @for choice in cell.choices { option value=(choice) selected[*choice == value] { (if choice.is_empty() {
                "–" } else { choice }) } }
        } }
    }
}

/// An empty form.
pub(crate) async fn line_new(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    let form = Form {
        item: None,
        seen: None,
        rows: Vec::new(),
        readings: None,
        faults: Vec::new(),
        shown: None,
        pasted: String::new(),
    };
    form.page(&app, &caller)
}

/// A form with a line in it.
pub(crate) async fn line_form(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(item): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let edition = app.store().snapshot()?.hill_item(HillKind::Line, item)?;
        Form::of(&edition)?.page(app, &caller)
    })
    .await
}

/// Reads, draws, saves or withdraws what a form holds. What cannot be read stays in the form.
pub(crate) async fn line_send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let mut form = Form {
            item: fields.get("item").parse().ok(),
            seen: fields.get("seen").parse().ok(),
            rows: line_rows::sent(&fields),
            readings: Some(fields.get("readings").to_owned()).filter(|own| !own.is_empty()),
            faults: Vec::new(),
            shown: None,
            pasted: String::new(),
        };
        let what = fields.get("what");
        if what == "import" && !form.import_from(fields.get("import")) {
            return Ok(form.page(app, &caller)?.into_response());
        }
        match line_rows::design(&form.rows) {
            Err(faults) => form.faults = faults,
            Ok(design) => match stock::laid(design.clone(), form.readings.as_deref()) {
                Err(Refusal::Hill { faults }) => form.faults = faults,
                Err(other) => return Err(other),
                Ok(line) if what == "save" || what == "withdraw" => {
                    drop(line);
                    let saved = form.save(app, &caller, &design, &fields)?;
                    let to = if what == "save" {
                        format!("/hill/lines/{}", saved.item)
                    } else {
                        "/hill".to_owned()
                    };
                    return Ok(Redirect::to(&to).into_response());
                }
                Ok(line) => form.shown = Some(shown(&line)),
            },
        }
        Ok(form.page(app, &caller)?.into_response())
    })
    .await
}

impl Form {
    /// Puts a pasted file into the form; says whether it could be read.
    fn import_from(&mut self, text: &str) -> bool {
        match line_rows::import(text) {
            Ok(Imported::Design(design)) => self.rows = line_rows::rows(&design),
            Ok(Imported::Survey(readings)) => self.readings = Some(readings),
            Err(Refusal::Hill { faults }) => {
                self.faults = faults;
                text.clone_into(&mut self.pasted);
                return false;
            }
            Err(_) => return false,
        }
        true
    }

    fn save(
        &self,
        app: &App,
        caller: &Caller,
        design: &LineDesign,
        fields: &Fields,
    ) -> Result<HillEdition, Refusal> {
        let snapshot = app.store().snapshot()?;
        let old = self
            .item
            .map(|item| snapshot.hill_item(HillKind::Line, item))
            .transpose()?;
        drop(snapshot);
        // Another name is another line; the old one stays.
        let same = old.is_some_and(|old| old.name.eq_ignore_ascii_case(design.name.trim()));
        save(
            app,
            caller,
            NewEdition {
                client_id: client_id(fields.get("client_id"))?,
                kind: HillKind::Line,
                name: design.name.clone(),
                seen: self.seen.filter(|_| same),
                text: write_toml(design),
                readings: self.readings.clone(),
                withdrawn: fields.get("what") == "withdraw",
            },
        )
    }
}
