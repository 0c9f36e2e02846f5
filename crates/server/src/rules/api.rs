//! The rule book for programs.

use std::sync::Arc;

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_fleet::Query;
use gradeworthy_workbench::rules::RuleBook;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{amend, draft, edition};
use crate::App;
use crate::books::number_holding;
use crate::fleet::OutcomeJson;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};
use crate::request::{Named, Sent};

/// An edition.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct EditionRow {
    /// Its number.
    edition: u32,
    /// Its title.
    title: String,
    /// The first day it holds.
    effective: String,
    /// Whether it holds today.
    in_force: bool,
}

/// A draft.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct DraftRow {
    /// Its number.
    draft: i64,
    /// What it is called.
    name: String,
    /// The edition it changes.
    base_edition: u32,
    /// How often it was written; what is done to it names this.
    revision: i64,
}

/// Editions and drafts.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RulesJson {
    /// Every edition, oldest first.
    editions: Vec<EditionRow>,
    /// Every draft, for those who may change rules.
    drafts: Vec<DraftRow>,
}

#[utoipa::path(get, path = "/api/rules", tag = "rules",
    responses((status = 200, body = RulesJson), (status = 403, body = Problem)))]
pub(crate) async fn rules_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Json<RulesJson>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let in_force = number_holding(&snapshot, app.today())?;
        let editions = snapshot.rule_books()?.into_iter().map(|own| EditionRow {
            edition: own.edition,
            title: own.title.into(),
            effective: own.effective.to_string(),
            in_force: own.edition == in_force,
        });
        let drafts = if caller.may(gradeworthy_store::Action::EditRules) {
            snapshot.rule_drafts()?
        } else {
            Vec::new()
        };
        let drafts = drafts.into_iter().map(|own| DraftRow {
            draft: own.id,
            name: own.name.into(),
            base_edition: own.base_edition,
            revision: own.revision,
        });
        Ok(Json(RulesJson {
            editions: editions.collect(),
            drafts: drafts.collect(),
        }))
    })
    .await
}

/// How a setting stood from one edition on.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct StoodJson {
    /// The edition.
    edition: u32,
    /// The first day of that edition.
    from: String,
    /// What it said; `null` where it was no longer in the book.
    text: Option<String>,
    /// On whose word.
    authority: Option<String>,
}

/// A setting of an edition.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SettingJson {
    /// Where it stands: 'HO / coupler height'.
    path: String,
    /// What it says.
    text: String,
    /// On whose word, where it has one of its own.
    authority: Option<String>,
    /// How far that word goes: 'published', 'assumed', …
    standing: Option<String>,
    /// How far to trust it, in a few words.
    confidence: Option<String>,
    /// How it stood through the editions, oldest first.
    history: Vec<StoodJson>,
}

/// An edition with every setting.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct EditionJson {
    /// Its number.
    edition: u32,
    /// Its title.
    title: String,
    /// The first day it holds.
    effective: String,
    /// Its text, TOML.
    text: String,
    /// Every setting.
    settings: Vec<SettingJson>,
}

#[utoipa::path(get, path = "/api/rules/editions/{edition}", params(("edition" = u32, Path)), tag = "rules",
    responses((status = 200, body = EditionJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn edition_json(
    State(app): State<App>,
    Named(number): Named<u32>,
) -> Result<Json<EditionJson>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let book = snapshot.rule_book(number)?;
        let books = snapshot.rule_books()?;
        let mut history = edition::history(app, &snapshot, &books, number)?;
        let rules = app.books().edition(&snapshot, number)?;
        drop(snapshot);
        let settings = rules.lines().into_iter().map(|line| {
            let stood = history.remove(&line.path).unwrap_or_default().into_iter();
            let stood = stood.map(|own| StoodJson {
                edition: own.edition,
                from: own.from.to_string(),
                text: own.text,
                authority: own.authority,
            });
            SettingJson {
                history: stood.collect(),
                path: line.path,
                text: line.text,
                authority: line.authority,
                standing: line.standing.map(|own| own.words().to_owned()),
                confidence: line.standing.map(|own| own.confidence().to_owned()),
            }
        });
        let settings = settings.collect();
        Ok(Json(EditionJson {
            edition: book.edition,
            title: book.title.into(),
            effective: book.effective.to_string(),
            text: book.text.into(),
            settings,
        }))
    })
    .await
}

/// A draft to be begun.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct DraftSent {
    /// What it is called.
    name: String,
    /// Its text; that of the edition in force if empty.
    #[serde(default)]
    text: String,
}

/// A draft that was begun.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BegunJson {
    /// Its number.
    draft: i64,
    /// What is wrong with its text; empty when it can be put in force.
    problems: Vec<String>,
}

#[utoipa::path(post, path = "/api/rules/drafts", request_body = DraftSent, tag = "rules",
    responses((status = 200, body = BegunJson), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn begin_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<DraftSent>,
) -> Result<Json<BegunJson>, Refusal> {
    app.wait(move |app| {
        let draft = draft::begin_with(app, &caller, &sent.name, &sent.text)?;
        let text = app.store().snapshot()?.rule_draft(draft)?.text;
        let problems = amend::problems(&RuleBook::read(&text));
        Ok(Json(BegunJson { draft, problems }))
    })
    .await
}

#[utoipa::path(get, path = "/api/rules/drafts/{draft}/outcome", params(("draft" = i64, Path)), tag = "rules",
    responses((status = 200, body = OutcomeJson), (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 422, body = Problem)))]
pub(crate) async fn outcome_json(
    State(app): State<App>,
    Named(draft): Named<i64>,
) -> Result<Json<OutcomeJson>, Refusal> {
    app.wait(move |app| {
        let text = app.store().snapshot()?.rule_draft(draft)?.text;
        let book = RuleBook::read(&text);
        let book = book.map_err(gradeworthy_store::Error::RuleBook)?;
        app.with_fleet(|known| {
            let rows = known.fleet.find(&Query::default());
            let answer = known.fleet.what_if(&Arc::new(book), &rows);
            Ok(Json(OutcomeJson::of(known, &answer)))
        })
    })
    .await
}

/// A draft to be put in force.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct ForceSent {
    /// The revision that was looked at.
    revision: i64,
    /// The first day it holds: '2027-01-31'.
    effective: String,
}

/// An edition that was put in force.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ForcedJson {
    /// Its number.
    edition: i64,
}

#[utoipa::path(post, path = "/api/rules/drafts/{draft}/force", params(("draft" = i64, Path)),
    request_body = ForceSent, tag = "rules",
    responses((status = 200, body = ForcedJson), (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn force_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    Sent(sent): Sent<ForceSent>,
) -> Result<Json<ForcedJson>, Refusal> {
    app.wait(move |app| {
        let edition = draft::force(app, &caller, draft, sent.revision, &sent.effective)?;
        Ok(Json(ForcedJson { edition }))
    })
    .await
}
