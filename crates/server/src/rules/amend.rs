//! What is changed in a draft, from a form or from a program: one limit, one exception, the whole text.
//!
//! Form and JSON become one [`Amendment`], which rewrites the draft's text and keeps it, if nobody has
//! written it since.

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_store::{RuleDraft, ShelfAct};
use gradeworthy_workbench::rules::{
    AmendError, LimitPlace, NewException, RuleBook, compare, set_exception, set_limit,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::draft::{day, shelf, text_of, to};
use crate::App;
use crate::guard::Caller;
use crate::refusal::{Problem, Refusal};
use crate::request::{Fields, Named, Sent};

/// A change of a draft.
enum Amendment {
    Limit(LimitSent),
    Exception(ExceptionSent),
    Text(String),
}

/// A limit as it is to be. What is left empty stays as it is, and '-' takes it out of the book.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct LimitSent {
    /// The scale, as the book writes it: 'HO'.
    scale: String,
    /// The class of car; the scale's own limit if empty.
    #[serde(default)]
    class: String,
    /// The limit: 'coupler height', or 'weight'.
    limit: String,
    /// At least so much, with its unit.
    #[serde(default)]
    min: String,
    /// At most.
    #[serde(default)]
    max: String,
    /// The value aimed at.
    #[serde(default)]
    nominal: String,
    /// So far from it either way.
    #[serde(default)]
    tolerance: String,
    /// The caution band inside.
    #[serde(default)]
    caution: String,
    /// On whose word: 'club', 'published', …
    standing: String,
    /// Publication, edition, table; or who decided, when.
    #[serde(default)]
    source: String,
}

/// An exception to be added; it takes the place of one for the same tag.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct ExceptionSent {
    /// The tag of the cars it is for.
    tag: String,
    /// The checks in which bad order becomes watch.
    waives: Vec<String>,
    /// What is asked in return.
    note: String,
    /// The last day it holds, '2027-01-31'; for good if empty.
    #[serde(default)]
    until: String,
    /// On whose word.
    standing: String,
    /// The source.
    #[serde(default)]
    source: String,
}

impl LimitSent {
    fn of(fields: &Fields) -> Result<Self, Refusal> {
        let own = |name| fields.get(name).to_owned();
        Ok(Self {
            scale: fields.need("scale", "the scale")?.to_owned(),
            class: own("class"),
            limit: fields.need("limit", "the limit")?.to_owned(),
            min: own("min"),
            max: own("max"),
            nominal: own("nominal"),
            tolerance: own("tolerance"),
            caution: own("caution"),
            standing: own("standing"),
            source: own("source"),
        })
    }

    fn apply(&self, text: &str) -> Result<String, Refusal> {
        let class = self.class.trim();
        let place = LimitPlace {
            scale: self.scale.trim(),
            class: (!class.is_empty()).then_some(class),
            limit: self.limit.trim(),
        };
        let given = [
            ("min", &self.min),
            ("max", &self.max),
            ("nominal", &self.nominal),
            ("tolerance", &self.tolerance),
            ("caution", &self.caution),
        ];
        let mut keys: Vec<(&str, &str)> = Vec::new();
        for (key, text) in given {
            match text.trim() {
                "" => {}
                "-" => keys.push((key, "")),
                text => keys.push((key, text)),
            }
        }
        if keys.is_empty() {
            return Err(Refusal::Unfilled {
                what: "what the limit is to be",
            });
        }
        keys.push((
            "standing",
            filled(&self.standing, "on whose word the limit stands")?,
        ));
        keys.push(("source", self.source.trim()));
        amended(set_limit(text, place, &keys))
    }
}

impl ExceptionSent {
    fn of(fields: &Fields) -> Self {
        let own = |name| fields.get(name).to_owned();
        let waives = fields.iter().filter(|(name, _)| *name == "waives");
        Self {
            tag: own("tag"),
            waives: waives.map(|(_, value)| value.to_owned()).collect(),
            note: own("note"),
            until: own("until"),
            standing: own("standing"),
            source: own("source"),
        }
    }

    fn apply(&self, text: &str) -> Result<String, Refusal> {
        let waives: Vec<&str> = self.waives.iter().map(|own| own.trim()).collect();
        if waives.is_empty() {
            return Err(Refusal::Unfilled {
                what: "the checks that are waived",
            });
        }
        let until = match self.until.trim() {
            "" => None,
            text => Some(day(text)?),
        };
        let new = NewException {
            tag: filled(&self.tag, "the tag")?,
            waives: &waives,
            note: filled(&self.note, "what is asked in return")?,
            until,
            standing: filled(&self.standing, "on whose word the exception stands")?,
            source: self.source.trim(),
        };
        amended(set_exception(text, &new))
    }
}

fn filled<'a>(text: &'a str, what: &'static str) -> Result<&'a str, Refusal> {
    match text.trim() {
        "" => Err(Refusal::Unfilled { what }),
        text => Ok(text),
    }
}

pub(super) fn amended(result: Result<String, AmendError>) -> Result<String, Refusal> {
    result.map_err(|error| Refusal::Reading {
        faults: vec![error.to_string()],
    })
}

/// The revision that a form was made on.
pub(super) fn seen(fields: &Fields) -> Result<i64, Refusal> {
    let text = fields.need("seen", "the revision of the draft")?;
    text.parse().map_err(|_| Refusal::NotAChoice {
        found: text.to_owned(),
        expected: "revision of a draft",
    })
}

/// Writes a draft anew, if it is still as it was seen.
fn amend(
    app: &App,
    caller: &Caller,
    draft: i64,
    seen: i64,
    amendment: Amendment,
) -> Result<(), Refusal> {
    let text = app.store().snapshot()?.rule_draft(draft)?.text;
    let text = match amendment {
        Amendment::Limit(own) => own.apply(&text)?,
        Amendment::Exception(own) => own.apply(&text)?,
        Amendment::Text(text) => text,
    };
    let text = text.into();
    shelf(app, caller, ShelfAct::ChangeDraft { draft, seen, text })?;
    Ok(())
}

async fn by_form(
    app: App,
    caller: Caller,
    draft: i64,
    fields: Fields,
    amendment: fn(&Fields) -> Result<Amendment, Refusal>,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        amend(app, &caller, draft, seen(&fields)?, amendment(&fields)?)?;
        Ok(to(draft))
    })
    .await
}

/// Changes one limit of a draft.
pub(crate) async fn change_limit(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    let limit = |fields: &Fields| LimitSent::of(fields).map(Amendment::Limit);
    by_form(app, caller, draft, fields, limit).await
}

/// Adds an exception to a draft.
pub(crate) async fn add_exception(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    let exception = |fields: &Fields| Ok(Amendment::Exception(ExceptionSent::of(fields)));
    by_form(app, caller, draft, fields, exception).await
}

/// Puts a whole text in the place of a draft's.
pub(crate) async fn change_text(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    let text = |fields: &Fields| Ok(Amendment::Text(text_of(fields)));
    by_form(app, caller, draft, fields, text).await
}

/// A limit of a draft to be changed.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct ChangeLimitSent {
    /// The revision that was looked at.
    revision: i64,
    #[serde(flatten)]
    limit: LimitSent,
}

/// An exception to be added to a draft.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct AddExceptionSent {
    /// The revision that was looked at.
    revision: i64,
    #[serde(flatten)]
    exception: ExceptionSent,
}

/// A whole text for a draft.
#[derive(Debug, Deserialize, ToSchema)]
pub(crate) struct ChangeTextSent {
    /// The revision that was looked at.
    revision: i64,
    /// The text, TOML.
    text: String,
}

/// A draft as it stands.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct DraftJson {
    /// Its number.
    draft: i64,
    /// What it is called.
    name: String,
    /// The edition it changes.
    base_edition: u32,
    /// How often it was written; what is done to it names this.
    revision: i64,
    /// Its text, TOML.
    text: String,
    /// What is wrong with the text; empty when it can be put in force.
    problems: Vec<String>,
    /// What it changes.
    changes: Vec<ChangedJson>,
}

/// A setting that a draft changes.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ChangedJson {
    /// Where it stands: 'HO / coupler height'.
    path: String,
    /// As it stands in the edition; `null` where it is not in the book.
    before: Option<String>,
    /// As it stands in the draft; `null` where it is not in the book.
    after: Option<String>,
}

/// The mistakes of a text, by line and key; none when it can be put in force.
pub(super) fn problems(read: &Result<RuleBook, impl std::fmt::Display>) -> Vec<String> {
    match read {
        Ok(_) => Vec::new(),
        Err(error) => error.to_string().lines().map(ToOwned::to_owned).collect(),
    }
}

fn shown(app: &App, draft: i64) -> Result<Json<DraftJson>, Refusal> {
    let snapshot = app.store().snapshot()?;
    let own: RuleDraft = snapshot.rule_draft(draft)?;
    let base = app.books().edition(&snapshot, own.base_edition)?;
    drop(snapshot);
    let read = RuleBook::read(&own.text);
    let changes = read.as_ref().map(|book| compare(&base, book));
    let changes = changes.unwrap_or_default().into_iter();
    Ok(Json(DraftJson {
        draft,
        name: own.name.into(),
        base_edition: own.base_edition,
        revision: own.revision,
        text: own.text.into(),
        problems: problems(&read),
        changes: changes
            .map(|own| ChangedJson {
                path: own.path,
                before: own.before,
                after: own.after,
            })
            .collect(),
    }))
}

#[utoipa::path(get, path = "/api/rules/drafts/{draft}", params(("draft" = i64, Path)), tag = "rules",
    responses((status = 200, body = DraftJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn draft_json(
    State(app): State<App>,
    Named(draft): Named<i64>,
) -> Result<Json<DraftJson>, Refusal> {
    app.wait(move |app| shown(app, draft)).await
}

async fn by_program(
    app: App,
    caller: Caller,
    draft: i64,
    seen: i64,
    amendment: Amendment,
) -> Result<Json<DraftJson>, Refusal> {
    app.wait(move |app| {
        amend(app, &caller, draft, seen, amendment)?;
        shown(app, draft)
    })
    .await
}

#[utoipa::path(post, path = "/api/rules/drafts/{draft}/limit", params(("draft" = i64, Path)),
    request_body = ChangeLimitSent, tag = "rules",
    responses((status = 200, body = DraftJson), (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn change_limit_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    Sent(sent): Sent<ChangeLimitSent>,
) -> Result<Json<DraftJson>, Refusal> {
    let limit = Amendment::Limit(sent.limit);
    by_program(app, caller, draft, sent.revision, limit).await
}

#[utoipa::path(post, path = "/api/rules/drafts/{draft}/exception", params(("draft" = i64, Path)),
    request_body = AddExceptionSent, tag = "rules",
    responses((status = 200, body = DraftJson), (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn add_exception_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    Sent(sent): Sent<AddExceptionSent>,
) -> Result<Json<DraftJson>, Refusal> {
    let exception = Amendment::Exception(sent.exception);
    by_program(app, caller, draft, sent.revision, exception).await
}

#[utoipa::path(post, path = "/api/rules/drafts/{draft}/text", params(("draft" = i64, Path)),
    request_body = ChangeTextSent, tag = "rules",
    responses((status = 200, body = DraftJson), (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 413, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn change_text_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(draft): Named<i64>,
    Sent(sent): Sent<ChangeTextSent>,
) -> Result<Json<DraftJson>, Refusal> {
    let text = Amendment::Text(sent.text);
    by_program(app, caller, draft, sent.revision, text).await
}
