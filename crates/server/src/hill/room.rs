//! The room: which train, on which line; and what there is of both.

use axum::Extension;
use axum::extract::State;
use gradeworthy_reports::climb::odds::TRIPS;
use gradeworthy_store::{Action, HillKind};
use maud::html;

use super::odds::TRIPS_MOST;
use super::picture::View;
use super::scene_page::{HEAD, scenes};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::Refusal;
use crate::script;

/// The hill as a page.
pub(crate) async fn room(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let lines = snapshot.hill(HillKind::Line)?;
        let trains = snapshot.hill(HillKind::MakeUp)?;
        let power = stock::power(&snapshot)?;
        let pairs = |all: &[gradeworthy_store::HillEdition]| -> Vec<(String, String)> {
            all.iter().map(|own| (own.item.to_string(), own.name.to_string())).collect()
        };
        let own_scenes = snapshot.hill(HillKind::Scene)?;
        let scene_names = scenes(app)?;
        let (line_names, train_names) = (pairs(&lines), pairs(&trains));
        let first = lines.first().and_then(|own| Some((own, stock::line(own).ok()?)));
        let body = html! {
            @if let Some((edition, line)) = &first {
                (View::of(&line.alignment, &line.places, &edition.name).show())
            }
            section { h2 { "Will it climb?" }
                @if lines.is_empty() || trains.is_empty() || power.is_empty() {
                    p { "A climb needs a line, a locomotive and a make-up. Still to be entered: "
                        (missing(lines.is_empty(), power.is_empty(), trains.is_empty())) "." }
                } @else {
                    form.row method="get" action="/hill/climb" {
                        (choice("Train", "train", "", train_names.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                        (choice("Line", "line", "", line_names.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                        button { "Run it up the hill" }
                    }
                }
            }
            @if !lines.is_empty() && !trains.is_empty() && !power.is_empty() {
                section { h2 { "What does its slack do?" }
                    form.row method="get" action="/hill/scene" {
                        (choice("Train", "train", "", train_names.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                        (choice("Line", "line", "", line_names.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                        (choice("Scene", "scene", "", scene_names.iter().map(|(word, name)| (word.as_str(), name.as_str()))))
                        (text_field(HEAD, "head", "", false))
                        button { "Play it" }
                    }
                }
                section { h2 { "How likely is trouble?" }
                    form.row method="get" action="/hill/odds" {
                        (choice("Train", "train", "", train_names.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                        (choice("Line", "line", "", line_names.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                        label.field { span { "Trips" } input type="number" name="trips" min="1" max=(TRIPS_MOST) value=(TRIPS); }
                        button { "Draw the trips" }
                    }
                }
            }
            section { h2 { "Make-ups" }
                ul.links { @for own in &trains { li { a.inrow href={ "/hill/trains/" (own.item) } { (own.name) } } } }
                @if caller.may(Action::MakeUp) { p { a.button href="/hill/trains/new" { "Make up a train" } } }
            }
            section { h2 { "Lines" }
                ul.links { @for own in &lines { li { a.inrow href={ "/hill/lines/" (own.item) } { (own.name) } } } }
                @if caller.may(Action::ChangeLine) { p { a.button href="/hill/lines/new" { "Enter a line" } } }
            }
            section { h2 { "Scenes" }
                @if own_scenes.is_empty() { p { "The club has none of its own yet." } }
                ul.links { @for own in &own_scenes { li { a.inrow href={ "/hill/scenes/" (own.item) } { (own.name) } } } }
                @if caller.may(Action::MakeUp) { p { a.button href="/hill/scenes/new" { "Enter a scene" } } }
            }
            section { h2 { "Power" }
                p { (power.len()) " locomotives." }
                p { a.button.quiet href="/hill/power" { "Look at the power" } }
            }
            (script::HILL.load())
        };
        Ok(page::room(app, &caller, "Hill", "/hill", &body))
    })
    .await
}

fn missing(line: bool, power: bool, train: bool) -> String {
    let all = [
        (line, "a line"),
        (power, "a locomotive"),
        (train, "a make-up"),
    ];
    let names: Vec<_> = all
        .iter()
        .filter(|(is, _)| *is)
        .map(|(_, name)| *name)
        .collect();
    names.join(", ")
}
