//! The club's own scenes: entered or pasted as a file, kept edition after edition, played from here.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_reports::scene::words;
use gradeworthy_store::{Action, ClientId, HillEdition, HillKind};
use gradeworthy_train::scene::{Scene, Usual, read_scene, write_scene};
use maud::{Markup, html};
use serde::Deserialize;

use super::lines::history;
use super::save::{NewEdition, save};
use super::scene_page::HEAD;
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::report::client_id;
use crate::request::{Asked, Fields, Named};
use crate::script;

/// What stands in the form.
struct Form {
    item: Option<i64>,
    seen: Option<u32>,
    was: String,
    text: String,
    faults: Vec<String>,
}

impl Form {
    fn of(edition: &HillEdition) -> Self {
        Self {
            item: Some(edition.item),
            seen: Some(edition.edition),
            was: edition.name.to_string(),
            text: edition.text.to_string(),
            faults: Vec::new(),
        }
    }

    fn read(&self) -> Result<Scene, Vec<String>> {
        let faults = |error: &dyn std::fmt::Display| {
            let text = error.to_string();
            text.lines().map(str::to_owned).collect::<Vec<_>>()
        };
        read_scene(&self.text).map_err(|error| faults(&error))
    }

    fn page(&self, app: &App, caller: &Caller, below: &Markup) -> Result<Page, Refusal> {
        let (identity, may) = (ClientId::random()?, caller.may(Action::MakeUp));
        let read = self.read();
        let body = html! {
            @for fault in &self.faults { p.message role="alert" { (page::sentence(fault)) } }
            @if let Some(item) = self.item { (play(app, item)?) }
            @if let (Some(_), Ok(scene)) = (self.item, &read) { (told(scene)) }
            form method="post" action="/hill/scenes" {
                input type="hidden" name="client_id" value=(identity);
                @if let Some(item) = self.item { input type="hidden" name="item" value=(item); }
                @if let Some(seen) = self.seen { input type="hidden" name="seen" value=(seen); }
                input type="hidden" name="was" value=(self.was);
                details.import open { summary { "The scene as a file" }
                    p.more { "What happens when, and to whom. Who is all, head end, cut in, rear end, or a list of "
                        "locomotives; what they do is run, stop, lose power, get power back." }
                    label.field.wide { span { "The file's text" }
                        textarea name="text" rows="18" spellcheck="false" readonly[!may] { (self.text) } }
                }
                @if may { p.row {
                    button name="what" value="save" { "Save it" }
                    @if self.item.is_some() { button.quiet name="what" value="withdraw" { "Withdraw it" } }
                } }
            }
            (below)
            (script::HILL.load())
        };
        let title = match (&read, self.item) {
            (Ok(scene), Some(_)) => scene.name.clone(),
            _ => "Enter a scene".to_owned(),
        };
        Ok(page::room(app, caller, &title, "/hill", &body))
    }
}

/// What happens, in sentences.
fn told(scene: &Scene) -> Markup {
    html! { section { h2 { "What happens" }
        p { (page::sentence(&words::began(scene.start, scene.head_at))) }
        ul { @for change in &scene.changes { li { (page::sentence(&words::done(change))) } } }
        @if let Some(note) = &scene.note { p.more { (note) } }
    } }
}

/// Asks for this scene of a train on a line.
fn play(app: &App, item: i64) -> Result<Markup, Refusal> {
    let snapshot = app.store().snapshot()?;
    let pairs = |kind| -> Result<Vec<(String, String)>, Refusal> {
        let all = snapshot.hill(kind)?;
        Ok(all
            .iter()
            .map(|own| (own.item.to_string(), own.name.to_string()))
            .collect())
    };
    let (trains, lines) = (pairs(HillKind::MakeUp)?, pairs(HillKind::Line)?);
    Ok(html! { @if !trains.is_empty() && !lines.is_empty() {
        form.row method="get" action="/hill/scene" {
            input type="hidden" name="scene" value=(item);
            (choice("Train", "train", "", trains.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
            (choice("Line", "line", "", lines.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
            (text_field(HEAD, "head", "", false))
            button { "Play it" }
        }
    } })
}

/// Which scene a new one begins with.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Like {
    /// The word of one that every hill knows.
    #[serde(default)]
    like: String,
}

/// A form with a scene that every hill knows, to be made one's own.
pub(crate) async fn scene_new(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(like): Asked<Like>,
) -> Result<Page, Refusal> {
    /// Where its head stands until somebody says, m.
    const SOMEWHERE: f64 = 10.0;
    let usual = Usual::ALL.into_iter().find(|own| own.word() == like.like);
    let form = Form {
        item: None,
        seen: None,
        was: String::new(),
        text: write_scene(&usual.unwrap_or(Usual::Power).scene(SOMEWHERE)),
        faults: Vec::new(),
    };
    form.page(&app, &caller, &html! {})
}

/// One scene.
pub(crate) async fn scene_show(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(item): Named<i64>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let edition = snapshot.hill_item(HillKind::Scene, item)?;
        let history = history(app, &snapshot, item)?;
        drop(snapshot);
        Form::of(&edition).page(app, &caller, &history)
    })
    .await
}

/// Saves or withdraws. What cannot be read stays in the form.
pub(crate) async fn scene_send(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let mut form = Form {
            item: fields.get("item").parse().ok(),
            seen: fields.get("seen").parse().ok(),
            was: fields.get("was").to_owned(),
            text: fields.get("text").replace("\r\n", "\n") + "\n",
            faults: Vec::new(),
        };
        let withdrawn = fields.get("what") == "withdraw";
        let scene = match form.read() {
            Ok(scene) => scene,
            Err(faults) => {
                form.faults = faults;
                return Ok(form.page(app, &caller, &html! {})?.into_response());
            }
        };
        // Another name is another scene; the old one stays.
        let same = form.was.eq_ignore_ascii_case(scene.name.trim());
        let new = NewEdition {
            client_id: client_id(fields.get("client_id"))?,
            kind: HillKind::Scene,
            name: scene.name,
            seen: form.seen.filter(|_| same),
            text: form.text,
            readings: None,
            withdrawn,
        };
        let saved = save(app, &caller, new)?;
        let to = if withdrawn {
            "/hill".to_owned()
        } else {
            format!("/hill/scenes/{}", saved.item)
        };
        Ok(Redirect::to(&to).into_response())
    })
    .await
}
