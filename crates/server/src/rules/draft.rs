//! A draft of the next edition: changed on the page or as text, tried on the fleet, put in force on a day.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Redirect, Response};
use gradeworthy_fleet::Query;
use gradeworthy_store::{RuleDraft, ShelfAct, ShelfCommand};
use gradeworthy_workbench::authority::Standing;
use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::{Change, Limited, RuleBook, as_edition, compare};
use jiff::civil::Date;
use maud::{Markup, html};

use super::amend::{amended, seen};
use super::edition::{as_file, scales};
use crate::App;
use crate::books::number_holding;
use crate::fleet;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::{Fields, Named};
use crate::script;

pub(super) fn shelf(app: &App, caller: &Caller, act: ShelfAct) -> Result<i64, Refusal> {
    let (by, at) = (caller.member.id, app.now());
    Ok(app.store().shelf(ShelfCommand { by, at, act })?)
}

/// Begins a draft on the edition in force, or with a text of its own.
pub(super) fn begin_with(
    app: &App,
    caller: &Caller,
    name: &str,
    text: &str,
) -> Result<i64, Refusal> {
    let snapshot = app.store().snapshot()?;
    let base = snapshot.rule_book(number_holding(&snapshot, app.today())?)?;
    drop(snapshot);
    let text = if text.trim().is_empty() {
        base.text
    } else {
        text.into()
    };
    let act = ShelfAct::BeginDraft {
        name: name.into(),
        base_edition: base.edition,
        text,
    };
    shelf(app, caller, act)
}

/// Begins a draft from the form.
pub(crate) async fn begin(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let name = fields.need("name", "the name of the draft")?;
        let draft = begin_with(app, &caller, name, &text_of(&fields))?;
        Ok(to(draft))
    })
    .await
}

/// The text of a form with its own line ends: a browser sends CR LF whatever stood there (WHATWG HTML, form
/// submission).
pub(super) fn text_of(fields: &Fields) -> String {
    fields.secret("text").replace("\r\n", "\n")
}

pub(super) fn to(draft: i64) -> Redirect {
    Redirect::to(&format!("/rules/drafts/{draft}"))
}

/// The draft as a page.
pub(crate) async fn page(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let draft = snapshot.rule_draft(draft)?;
        let books = snapshot.rule_books()?;
        let base = app.books().edition(&snapshot, draft.base_edition)?;
        drop(snapshot);
        let newest = books.last().map_or(app.today(), |book| book.effective);
        let body = match RuleBook::read(&draft.text) {
            Err(error) => html! {
                p.message role="alert" { "This text cannot be put in force yet. " (error.to_string()) }
                (text_form(&draft))
                (drop_form(&draft))
            },
            Ok(book) => {
                let changes = compare(&base, &book);
                html! {
                    p { "A draft on edition " (draft.base_edition) ". Verdicts already given stay under their editions, whatever becomes of it." }
                    (changes_section(&changes))
                    (outcome(app, &book)?)
                    (limit_form(&draft, &book))
                    (exception_form(&draft))
                    (text_form(&draft))
                    (force_form(&draft, app.today().max(newest), changes.is_empty()))
                    (drop_form(&draft))
                }
            }
        };
        let body = html! { (body) (script::FLEET.load()) };
        let title = format!("Draft: {}", draft.name);
        Ok(page::room(app, &caller, &title, "/rules", &body))
    })
    .await
}

fn changes_section(changes: &[Change]) -> Markup {
    let side = |text: &Option<String>| text.clone().unwrap_or_else(|| "not in the book".to_owned());
    html! {
        section {
            h2 { "What it changes" }
            @if changes.is_empty() { p { "Nothing so far." } }
            @else { dl.settings { @for change in changes {
                dt { (change.path) }
                dd { s { (side(&change.before)) } " → " strong { (side(&change.after)) } }
            } } }
        }
    }
}

/// What the draft would do to every car, were it in force today.
fn outcome(app: &App, book: &RuleBook) -> Result<Markup, Refusal> {
    app.with_fleet(|known| {
        let tried = Arc::new(book.clone());
        let rows = known.fleet.find(&Query::default());
        let answer = known.fleet.what_if(&tried, &rows);
        Ok(html! {
            section { h2 { "Tried on the fleet as of today" } (fleet::show_outcome(known, &answer, &tried)) }
        })
    })
}

fn hidden(draft: &RuleDraft) -> Markup {
    html! { input type="hidden" name="seen" value=(draft.revision); }
}

fn standings() -> impl Iterator<Item = (&'static str, &'static str)> {
    Standing::ALL
        .into_iter()
        .map(|own| (own.words(), own.words()))
}

fn limit_form(draft: &RuleDraft, book: &RuleBook) -> Markup {
    let mut classes: Vec<&str> = Vec::new();
    for class in book.scales.iter().flat_map(|own| &own.classes) {
        if !classes.contains(&&*class.name) {
            classes.push(&class.name);
        }
    }
    let limits = Limited::all().map(|own| (own.name(), own.name()));
    html! {
        section {
            h2 { "Change a limit" }
            form method="post" action={ "/rules/drafts/" (draft.id) "/limit" } {
                (hidden(draft))
                div.row {
                    (choice("Limit", "limit", "coupler height", limits.chain([("weight", "weight")])))
                    (scales(book))
                    (choice("Class", "class", "", std::iter::once(("", "the whole scale"))
                        .chain(classes.iter().map(|own| (*own, *own)))))
                }
                div.row {
                    (text_field("At least", "min", "", false))
                    (text_field("At most", "max", "", false))
                    (text_field("Nominal", "nominal", "", false))
                    (text_field("Tolerance", "tolerance", "", false))
                    (text_field("Caution band", "caution", "", false))
                }
                p.more { "With its unit: .010 in, 0.25 mm, ½ oz. What is left empty stays; '-' takes it out." }
                div.row {
                    (choice("On whose word", "standing", "club", standings()))
                    (text_field("Source: publication, edition, table; or who decided, when", "source", "", false))
                }
                button { "Change it in the draft" }
            }
        }
    }
}

fn exception_form(draft: &RuleDraft) -> Markup {
    html! {
        section {
            h2 { "Add an exception" }
            form method="post" action={ "/rules/drafts/" (draft.id) "/exception" } {
                (hidden(draft))
                div.row {
                    (text_field("For cars with the tag", "tag", "", true))
                    label.field { span { "Last day (may stay empty)" } input type="date" name="until"; }
                    (choice("On whose word", "standing", "club", standings()))
                    (text_field("Source", "source", "", false))
                }
                fieldset { legend { "Bad order becomes watch in" }
                    div.ticks { @for check in Check::ALL { label.tick {
                        input type="checkbox" name="waives" value=(check.name()); span { (check) } } } } }
                (text_field("What is asked in return", "note", "", true))
                button { "Add it to the draft" }
            }
        }
    }
}

fn text_form(draft: &RuleDraft) -> Markup {
    html! {
        section {
            h2 { "The whole text" }
            p { a.button.quiet href={ "/rules/drafts/" (draft.id) "/rules.toml" } { "Download it as TOML" } }
            form method="post" action={ "/rules/drafts/" (draft.id) "/text" } {
                (hidden(draft))
                details {
                    summary { "Change the text, or put in your own" }
                    label.field { span { "TOML" }
                        textarea.book name="text" rows="24" spellcheck="false" data-file-text="toml" { (draft.text) } }
                    button { "Keep this text" }
                }
            }
        }
    }
}

fn force_form(draft: &RuleDraft, first: Date, unchanged: bool) -> Markup {
    html! {
        section {
            h2 { "Put it in force" }
            @if unchanged { p { "It changes nothing yet." } }
            @else {
                form.row method="post" action={ "/rules/drafts/" (draft.id) "/force" } {
                    (hidden(draft))
                    label.field { span { "From" }
                        input type="date" name="effective" value=(first) min=(first) required; }
                    button { "Put in force from that day" }
                }
                p.more { "An edition in force never changes. Verdicts given before that day stay under theirs." }
            }
        }
    }
}

fn drop_form(draft: &RuleDraft) -> Markup {
    html! {
        form method="post" action={ "/rules/drafts/" (draft.id) "/drop" } {
            button.quiet { "Throw the draft away" }
        }
    }
}

pub(super) fn day(text: &str) -> Result<Date, Refusal> {
    text.parse().map_err(|_| Refusal::NotAChoice {
        found: text.to_owned(),
        expected: "day; write it as 2027-01-31",
    })
}

/// Makes an edition of a draft, from a day on; gives its number.
pub(super) fn force(
    app: &App,
    caller: &Caller,
    draft: i64,
    seen: i64,
    effective: &str,
) -> Result<i64, Refusal> {
    let effective = day(effective)?;
    let snapshot = app.store().snapshot()?;
    let books = snapshot.rule_books()?;
    let text = snapshot.rule_draft(draft)?.text;
    drop(snapshot);
    let newest = books.last().ok_or(Refusal::NoRuleBook)?;
    let first = app.today().max(newest.effective);
    if effective < first {
        return Err(Refusal::Reading {
            faults: vec![format!(
                "an edition cannot hold from {effective}: verdicts were given, or will be, under edition {} until {first}",
                newest.edition
            )],
        });
    }
    let text = amended(as_edition(&text, newest.edition + 1, effective))?;
    let act = ShelfAct::PutInForce {
        draft,
        seen,
        text: text.into(),
    };
    shelf(app, caller, act)
}

/// Puts a draft in force from the form.
pub(crate) async fn put_in_force(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let effective = fields.need("effective", "the day from which it holds")?;
        let edition = force(app, &caller, draft, seen(&fields)?, effective)?;
        Ok(Redirect::to(&format!("/rules?edition={edition}")))
    })
    .await
}

/// Throws a draft away.
pub(crate) async fn drop_draft(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        shelf(app, &caller, ShelfAct::DropDraft { draft })?;
        Ok(Redirect::to("/rules"))
    })
    .await
}

/// The same for programs.
#[utoipa::path(post, path = "/api/rules/drafts/{draft}/drop", params(("draft" = i64, Path)), tag = "rules",
    responses((status = 204), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn drop_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
) -> Result<StatusCode, Refusal> {
    app.wait(move |app| {
        shelf(app, &caller, ShelfAct::DropDraft { draft })?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// A draft's text as a file.
pub(crate) async fn download_draft(
    State(app): State<App>,
    Named(draft): Named<i64>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let own = app.store().snapshot()?.rule_draft(draft)?;
        Ok(as_file(&format!("rules-draft-{draft}.toml"), &own.text))
    })
    .await
}
