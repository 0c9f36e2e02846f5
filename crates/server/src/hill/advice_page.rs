//! What to change, as a section of a climb's page: each piece with a button that makes the train up so,
//! work and measurements with the way to the bench.

use axum::Extension;
use axum::extract::State;
use axum::response::Redirect;
use gradeworthy_reports::climb::advice::{Part, Said, Together, Topic};
use gradeworthy_store::{Action, ClientId, HillKind};
use gradeworthy_train::consist::write_train;
use maud::{Markup, html};

use super::advice::{self, Found};
use super::climb::{Climb, Question};
use super::climb_page::Wanted;
use super::save::{NewEdition, save};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, Stage};
use crate::page;
use crate::refusal::Refusal;
use crate::request::{Fields, encoded};

/// What the section is made of.
pub(crate) struct Section<'a> {
    pub(crate) caller: &'a Caller,
    pub(crate) climb: &'a Climb,
    pub(crate) wanted: Wanted,
    /// The search, where there is one.
    pub(crate) job: Option<&'a Job>,
}

impl Section<'_> {
    /// The section: what was found so far, and what is still looked at. Every part of it has a name,
    /// by which the page's script puts in what is new.
    pub(crate) fn show(&self) -> Markup {
        let Some(job) = self.job else {
            return html! { section.advice #advice { h2 { "What to change" }
                p { "There is as much left as is asked for. Helpers, order, length, power and repairs can be looked at \
                    all the same." }
                p { a.button.quiet href={ (self.wanted.address()) "&together=2#advice" } { "Look at what would better it" } }
            } };
        };
        let found = Found::of(job);
        let goes_on = matches!(job.stage, Stage::Waiting(_) | Stage::Running(..));
        html! {
            section.advice #advice data-job=[goes_on.then(|| format!("/api/jobs/{}", job.id))] {
                h2 { "What to change" }
                div data-part="state" { (self.state(job, found.as_deref())) }
                @if let Some(found) = &found {
                    @for topic in found.topics() { (self.topic(found, &topic)) }
                }
            }
        }
    }

    /// How far the search is, and how to end it or to go on.
    fn state(&self, job: &Job, found: Option<&Found>) -> Markup {
        let missing = found.map_or_else(|| Part::ALL.to_vec(), Found::missing);
        let names: Vec<&str> = missing.iter().map(|own| own.heading()).collect();
        let names = names.join(", ");
        html! { @match &job.stage {
            Stage::Waiting(ahead) => { p role="status" { "The search waits; " (ahead) " others are ahead of it." }
                (self.end_form(job)) }
            Stage::Running(done, total) => {
                p role="status" { "Still to come: " (names) "." }
                progress aria-label="How far the search is" value=(done) max=((*total).max(1)) {}
                (self.end_form(job))
            }
            Stage::Failed(why) => { p.message role="alert" { (page::sentence(why)) } }
            Stage::Cancelled => {
                p role="status" { "The search was ended. Not looked at: " (names) "." }
                p { a.button.quiet href={ (self.wanted.address()) "&together=" (self.together()) "#advice" } { "Go on looking" } }
            }
            Stage::Done(_) if self.wanted.together() == Together::Three => {
                p role="status" { "Everything was looked at, three helpers together too." } }
            Stage::Done(_) => {
                p role="status" { "Everything was looked at, helpers each by itself and two together." }
                p { a.button.quiet href={ (self.wanted.address()) "&together=3#advice" } {
                    "Place three helpers together, too (takes minutes)" } }
            }
        } }
    }

    const fn together(&self) -> u8 {
        self.wanted.together() as u8
    }

    fn end_form(&self, job: &Job) -> Markup {
        html! {
            form method="post" action={ "/hill/jobs/" (job.id) "/end" } {
                input type="hidden" name="line" value=(self.wanted.line);
                input type="hidden" name="train" value=(self.wanted.train);
                button.quiet { "End the search" }
            }
            noscript { p { a.button.quiet href={ (self.wanted.address()) "&together=" (self.together()) "#advice" } {
                "Look again" } } }
        }
    }

    fn topic(&self, found: &Found, topic: &Topic) -> Markup {
        html! {
            div.topic data-part=(topic.part.heading()) {
                h3 { (page::sentence(topic.part.heading()).trim_end_matches('.')) }
                ul.proposals { @for (index, own) in topic.said.iter().enumerate() { li {
                    @let id = format!("{}-{index}", topic.part.heading().replace(' ', "-"));
                    p id=(id) { (page::sentence(&own.words)) }
                    @if let Some(piece) = &own.piece { (self.follow(found, piece, &id)) }
                    @if let Some(vehicle) = own.vehicle { (self.bench(topic.part, own, vehicle)) }
                } } }
            }
        }
    }

    /// The button that makes the train up so.
    fn follow(&self, found: &Found, piece: &str, said: &str) -> Markup {
        if !self.caller.may(Action::MakeUp) {
            return html! {};
        }
        html! { @match found.order(piece) {
            None => {}
            Some(Err(_)) => { p.more { "It would part a block of this make-up: make the train up by hand, or undo the block." } }
            Some(Ok(_)) => {
                form method="post" action="/hill/advice" {
                    input type="hidden" name="line" value=(self.wanted.line);
                    input type="hidden" name="train" value=(self.wanted.train);
                    input type="hidden" name="together" value=(self.together());
                    input type="hidden" name="piece" value=(piece);
                    button aria-describedby=(said) { "Make it up so" }
                }
            }
        } }
    }

    /// The way to the bench, or to the power.
    fn bench(&self, part: Part, said: &Said, vehicle: usize) -> Markup {
        let Some(member) = self.climb.consist.members.get(vehicle) else {
            return html! {};
        };
        let car = self.climb.cars.get(vehicle).copied().flatten();
        let check = said
            .check
            .map_or_else(String::new, |own| format!("?check={}", encoded(own.name())));
        html! { p { @match car {
            Some(car) if self.caller.may(Action::EnterReading) => {
                a.button.quiet href={ "/bench/" (car) (check) } {
                    @if part == Part::Repairs { "Take " (member.name) " to the bench" } @else { "Measure it on " (member.name) }
                }
            }
            Some(car) if self.caller.may(Action::SeeCar) => {
                a.button.quiet href={ "/cars/" (car) } { "The record of " (member.name) }
            }
            Some(_) => {}
            None => { a.button.quiet href="/hill/power" { "Look at the power" } }
        } } }
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
                    expected: "number of a line or a make-up",
                })
        };
        let (line, train) = (number("line")?, number("train")?);
        let question = Question::read(app, line, train)?;
        let together = together(fields.get("together"))?;
        let job = advice::find(app, &question, together).ok_or(Refusal::NoSuchJob)?;
        let found = Found::of(&job).ok_or(Refusal::NotDone)?;
        let piece = fields.get("piece");
        let order = found.order(piece).ok_or_else(|| Refusal::NotAChoice {
            found: piece.to_owned(),
            expected: "piece of the advice on this train",
        })?;
        let mut order = order.map_err(|error| stock::faults(&error))?;
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
            "/hill/climb?line={line}&train={}&with={train}",
            saved.item
        )))
    })
    .await
}

/// How many helpers at once; two where nothing is said.
pub(crate) fn together(text: &str) -> Result<Together, Refusal> {
    match text {
        "1" => Ok(Together::One),
        "" | "2" => Ok(Together::Two),
        "3" => Ok(Together::Three),
        found => Err(Refusal::NotAChoice {
            found: found.to_owned(),
            expected: "number of helpers placed together: 1, 2 or 3",
        }),
    }
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
