//! What to change, as a section of a climb's page, each piece with a button that makes it up so.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_reports::climb::words;
use gradeworthy_store::{Action, ClientId, HillKind};
use gradeworthy_train::consist::{read_train, write_train};
use maud::{Markup, html};

use super::advice::Proposals;
use super::climb::Question;
use super::climb_page::Wanted;
use super::save::{NewEdition, save};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, Stage};
use crate::page;
use crate::refusal::Refusal;
use crate::request::Fields;

/// The section: what was found, or that it is being looked for.
pub(crate) fn proposals(caller: &Caller, wanted: Wanted, job: &Job) -> Markup {
    let found = Proposals::of(job);
    html! {
        section.advice #advice data-job=[(found.is_none()).then(|| format!("/api/jobs/{}", job.id))] { h2 { "What to change" }
            @match (&found, &job.stage) {
                (Some(found), _) if found.advice.is_empty() => { p {
                    "Nothing that was tried helps, neither moves nor helpers. Less train or more power is left." } }
                (Some(found), _) => { ol.proposals { @for (index, own) in found.advice.iter().enumerate() { li {
                    p { strong { @for said in &own.said { (said) ". " } }
                        "Margin " (words::number(own.margin)) ", " (words::number(own.gain)) " more than now." }
                    @if caller.may(Action::MakeUp) {
                        form method="post" action="/hill/advice" {
                            input type="hidden" name="line" value=(wanted.line);
                            input type="hidden" name="train" value=(wanted.train);
                            input type="hidden" name="piece" value=(index);
                            button { "Make it up so" }
                        }
                    }
                } } } }
                (None, Stage::Failed(why)) => { p { (page::sentence(why)) } }
                (None, _) => { p role="status" { "Looking for the fewest moves that are enough…" }
                    p { a.button.quiet href=(wanted.address()) { "Look again" } } }
            }
        }
    }
}

/// Saves a piece of advice as a make-up of its own, and leads to its climb.
pub(crate) async fn apply(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let number = |name| {
            fields
                .get(name)
                .parse::<i64>()
                .map_err(|_| Refusal::NotAChoice {
                    found: fields.get(name).to_owned(),
                    expected: "number of a line, a make-up or a piece of advice",
                })
        };
        let (line, train, piece) = (number("line")?, number("train")?, number("piece")?);
        let question = Question::read(app, line, train)?;
        let job = app.jobs().find(question.id("advice"))?;
        let found = Proposals::of(&job).ok_or(Refusal::NotDone)?;
        let piece = usize::try_from(piece)
            .ok()
            .and_then(|own| found.advice.get(own));
        let piece = piece.ok_or(Refusal::NoSuchJob)?;
        let mut order = read_train(&piece.train).map_err(|error| stock::faults(&error))?;
        let name = free_name(app, &question.make_up.name)?;
        order.name = Some(name.clone());
        let saved = save(
            app,
            &caller,
            NewEdition {
                client_id: ClientId::random()?,
                kind: HillKind::MakeUp,
                name,
                seen: None,
                text: write_train(&order),
                readings: None,
                withdrawn: false,
            },
        )?;
        Ok(Redirect::to(&format!(
            "/hill/climb?line={line}&train={}",
            saved.item
        )))
    })
    .await
}

/// The name with a number behind it that no make-up has.
pub(crate) fn free_name(app: &App, name: &str) -> Result<String, Refusal> {
    let taken = app.store().snapshot()?.hill(HillKind::MakeUp)?;
    let stem = name.rsplit_once(", try ").map_or(name, |(stem, _)| stem);
    let stem: String = stem.chars().take(70).collect();
    let mut number = 2;
    loop {
        let own = format!("{stem}, try {number}");
        if !taken
            .iter()
            .any(|other| other.name.eq_ignore_ascii_case(&own))
        {
            return Ok(own);
        }
        number += 1;
    }
}
