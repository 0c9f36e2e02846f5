//! An edition as a page: every setting, on whose word it stands, how far to trust it, and how it stood in
//! earlier editions.

use std::collections::BTreeMap;

use axum::Extension;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use gradeworthy_store::{Action, Permission, RuleBookEdition, RuleDraft, Snapshot};
use gradeworthy_workbench::rules::{BookLine, RuleBook};
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;

use super::exceptions;
use crate::App;
use crate::books::number_holding;
use crate::guard::Caller;
use crate::members::Names;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::request::{Asked, Named};
use crate::script;

/// Which edition, and which settings of it.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct BookAsked {
    edition: Option<u32>,
    words: String,
}

/// How a setting stood from one edition on.
pub(super) struct Stood {
    pub(super) edition: u32,
    /// The first day of that edition.
    pub(super) from: Date,
    pub(super) text: Option<String>,
    pub(super) authority: Option<String>,
}

/// How every setting stood, by path, oldest first.
pub(super) type History = BTreeMap<String, Vec<Stood>>;

/// Every change of every setting through the editions up to `edition`, by path, oldest first.
pub(super) fn history(
    app: &App,
    snapshot: &Snapshot<'_>,
    books: &[RuleBookEdition],
    edition: u32,
) -> Result<History, Refusal> {
    let mut stood = History::new();
    for book in books.iter().filter(|book| book.edition <= edition) {
        let mut gone: Vec<String> = stood.keys().cloned().collect();
        for line in app.books().edition(snapshot, book.edition)?.lines() {
            gone.retain(|path| *path != line.path);
            let changes = stood.entry(line.path).or_default();
            let same = changes.last().is_some_and(|last| {
                last.text.as_ref() == Some(&line.text) && last.authority == line.authority
            });
            if !same {
                changes.push(Stood {
                    edition: book.edition,
                    from: book.effective,
                    text: Some(line.text),
                    authority: line.authority,
                });
            }
        }
        for path in gone {
            let changes = stood.entry(path).or_default();
            if changes.last().is_some_and(|last| last.text.is_some()) {
                changes.push(Stood {
                    edition: book.edition,
                    from: book.effective,
                    text: None,
                    authority: None,
                });
            }
        }
    }
    Ok(stood)
}

/// The rule book as a page.
pub(crate) async fn book(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(asked): Asked<BookAsked>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let books = snapshot.rule_books()?;
        let in_force = number_holding(&snapshot, app.today())?;
        let edition = asked.edition.unwrap_or(in_force);
        let shown = snapshot.rule_book(edition)?;
        let names = Names::of(&snapshot)?;
        let drafts = snapshot.rule_drafts()?;
        let rules = app.books().edition(&snapshot, edition)?;
        let history = history(app, &snapshot, &books, edition)?;
        drop(snapshot);
        let lapsing = caller.member.role.may(Action::SeeFleet) == Permission::Yes;
        let body = html! {
            (heading(&shown, in_force, &names))
            @if lapsing && edition == in_force { (exceptions::section(app, &rules)?) }
            @if caller.may(Action::EditRules) { (drafts_section(&drafts, &names, in_force)) }
            (settings(&rules, &history, &asked))
            (gone(&history))
            (editions(&books, in_force, &names))
            (script::FLEET.load())
        };
        Ok(page::room(app, &caller, "Rule book", "/rules", &body))
    })
    .await
}

fn heading(shown: &RuleBookEdition, in_force: u32, names: &Names) -> Markup {
    let state = match shown.edition.cmp(&in_force) {
        std::cmp::Ordering::Equal => "in force",
        std::cmp::Ordering::Less => "no longer in force; verdicts given under it stay as they are",
        std::cmp::Ordering::Greater => "not yet in force",
    };
    html! {
        p { strong { (shown.title) ", edition " (shown.edition) } ", from " (shown.effective) ": " (state)
            ". Entered by " (names.name(shown.by)) "." }
        p { a.button.quiet href={ "/rules/editions/" (shown.edition) "/rules.toml" } { "Download it as TOML" } }
    }
}

fn drafts_section(drafts: &[RuleDraft], names: &Names, in_force: u32) -> Markup {
    html! {
        section {
            h2 { "The next edition" }
            @if !drafts.is_empty() { ul.lines { @for draft in drafts { li {
                a.button.quiet href={ "/rules/drafts/" (draft.id) } { (draft.name) }
                span.more { "on edition " (draft.base_edition) ", changed by " (names.name(draft.by)) }
            } } } }
            form method="post" action="/rules/drafts" {
                (text_field("Begin a draft called", "name", "", true))
                details {
                    summary { "From a TOML file of yours instead of edition " (in_force) }
                    label.field { span { "Its text" } textarea name="text" rows="8" spellcheck="false" data-file-text="toml" {} }
                }
                button { "Begin" }
            }
        }
    }
}

fn settings(rules: &RuleBook, history: &History, asked: &BookAsked) -> Markup {
    let words: Vec<String> = asked
        .words
        .split_whitespace()
        .map(str::to_lowercase)
        .collect();
    let lines: Vec<BookLine> = rules
        .lines()
        .into_iter()
        .filter(|line| {
            let path = line.path.to_lowercase();
            words.iter().all(|word| path.contains(word))
        })
        .collect();
    html! {
        section {
            h2 { "Every setting" }
            form.row method="get" role="search" data-instant="settings" {
                input type="hidden" name="edition" value=(rules.edition);
                label.field { span { "Words of its name: HO coupler height" }
                    input type="search" name="words" value=(asked.words) autocomplete="off"; }
                button { "Find" }
            }
            div id="settings" {
                p role="status" { @if lines.len() == 1 { "One setting" } @else { (lines.len()) " settings" } }
                dl.settings { @for line in &lines {
                    dt { (line.path) }
                    dd {
                        (line.text)
                        @if let Some(authority) = &line.authority { div.more { (authority)
                            @if let Some(standing) = line.standing { " — " (standing.confidence()) } } }
                        (before(history.get(&line.path).map_or(&[][..], Vec::as_slice)))
                    }
                } }
            }
        }
    }
}

/// Since when a setting stands so, and how it stood before.
fn before(stood: &[Stood]) -> Markup {
    let Some((now, earlier)) = stood.split_last() else {
        return html! {};
    };
    let since = html! { "So since edition " (now.edition) ", " (now.from) };
    if earlier.is_empty() {
        return html! { div.more { (since) } };
    }
    html! {
        details { summary { (since) "; before" } (stood_list(earlier)) }
    }
}

fn stood_list(stood: &[Stood]) -> Markup {
    html! {
        ul { @for own in stood.iter().rev() { li {
            "from edition " (own.edition) ", " (own.from) ": "
            @match &own.text { Some(text) => (text), None => "not in the book" }
            @if let Some(authority) = &own.authority { " " span.more { (authority) } }
        } } }
    }
}

/// Settings that earlier editions had and this one has no more.
fn gone(history: &History) -> Markup {
    let is_gone = |stood: &&Vec<Stood>| stood.last().is_some_and(|last| last.text.is_none());
    let count = history.values().filter(is_gone).count();
    if count == 0 {
        return html! {};
    }
    html! {
        section {
            details {
                summary { h2 { "No longer in the book: " @if count == 1 { "one setting" } @else { (count) " settings" } } }
                dl.settings { @for (path, stood) in history.iter().filter(|(_, own)| is_gone(own)) {
                    dt { (path) } dd { (stood_list(stood)) }
                } }
            }
        }
    }
}

fn editions(books: &[RuleBookEdition], in_force: u32, names: &Names) -> Markup {
    html! {
        section {
            h2 { "Editions" }
            div.scroll { table {
                thead { tr { th { "Edition" } th { "From" } th { "Title" } th { "Entered by" } } }
                tbody { @for book in books.iter().rev() { tr {
                    td { a href={ "/rules?edition=" (book.edition) } { (book.edition) } }
                    td { (book.effective) @if book.edition == in_force { " (in force)" } }
                    td { (book.title) }
                    td { (names.name(book.by)) }
                } } }
            } }
        }
    }
}

/// An edition's text as a file.
pub(crate) async fn download(
    State(app): State<App>,
    Named(edition): Named<u32>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let book = app.store().snapshot()?.rule_book(edition)?;
        Ok(as_file(
            &format!("rules-edition-{edition}.toml"),
            &book.text,
        ))
    })
    .await
}

pub(super) fn as_file(name: &str, text: &str) -> Response {
    let headers = [
        (CONTENT_TYPE, "application/toml; charset=utf-8".to_owned()),
        (
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
    ];
    (headers, text.to_owned()).into_response()
}

/// A choice of scales of a book.
pub(super) fn scales(book: &RuleBook) -> Markup {
    choice(
        "Scale",
        "scale",
        "",
        book.scales
            .iter()
            .map(|own| (own.scale.name(), own.scale.name())),
    )
}
