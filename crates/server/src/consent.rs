//! The owner's word: what may be done to his cars, what he is asked, and what he answers.
//!
//! Consent is given or refused by kind of work.
//! Work that was refused is not recorded as done (the record itself sees to that); work that nobody
//! asked about is warned of, since common practice (no source) is to ask before cutting, gluing or
//! exchanging anything on somebody else's car.

use axum::Extension;
use axum::Json;
use axum::extract::State;
use gradeworthy_store::{
    Action, CarId, Fact, FleetFilter, FleetRow, Holds, Permission, Snapshot, Version, WaitFor, Work,
};
use maud::{Markup, html};
use serde::Serialize;
use utoipa::ToSchema;

use crate::App;
use crate::entry::{About, Entry, Envelope, entry, entry_json, form, is_own, no_choice};
use crate::fleet::{self, CarJson};
use crate::guard::Caller;
use crate::page::{self, Page, choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::Named;

entry! {
    /// The owner's word on a kind of work.
    ConsentSent {
        /// The kind of work: 'cleaning', 'wheels', 'trucks', 'couplers', 'weights' or 'body'.
        work: String,
        /// 'allow' or 'refuse'.
        answer: String,
        /// What he says with it; where the sender is not the owner, who gave the word and how.
        word: String,
    }
}

impl Entry for ConsentSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let granted = match self.answer.as_str() {
            "allow" => true,
            "refuse" => false,
            other => return Err(no_choice(other, "answer (allow or refuse)")),
        };
        let word = self.word.trim().into();
        Ok(vec![Fact::Consented {
            work: work(&self.work)?,
            granted,
            word,
        }])
    }

    fn onward(&self, car: CarId) -> String {
        format!("/cars/{car}#consent")
    }
}

entry! {
    /// A question to the owner about a kind of work.
    AskSent {
        /// The kind of work.
        work: String,
        /// What is to be done, and why.
        what: String,
    }
}

impl Entry for AskSent {
    fn envelope(&self) -> Envelope<'_> {
        self.carried()
    }

    fn facts(&self, _: &About<'_>) -> Result<Vec<Fact>, Refusal> {
        let what = self.what.trim().into();
        Ok(vec![Fact::Asked {
            work: work(&self.work)?,
            what,
        }])
    }

    fn onward(&self, car: CarId) -> String {
        format!("/cars/{car}#consent")
    }
}

entry_json!(
    consent_json,
    "/api/cars/{car}/consents",
    ConsentSent,
    "consent"
);
entry_json!(ask_json, "/api/cars/{car}/asks", AskSent, "consent");

fn work(name: &str) -> Result<Work, Refusal> {
    Work::from_name(name).ok_or_else(|| no_choice(name, "kind of work"))
}

/// The owner's word on one kind of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Word {
    Allowed,
    Refused,
    Asked,
    NotAsked,
}

impl Word {
    fn on(work: Work, words: &[(Work, bool)], holds: &Holds) -> Self {
        if holds.asks.iter().any(|ask| ask.work == work) {
            return Self::Asked;
        }
        match words.iter().find(|own| own.0 == work) {
            Some((_, true)) => Self::Allowed,
            Some((_, false)) => Self::Refused,
            None => Self::NotAsked,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Allowed => "allowed",
            Self::Refused => "refused",
            Self::Asked => "asked, not answered",
            Self::NotAsked => "not asked",
        }
    }

    fn chip(self) -> Markup {
        let (class, sign) = match self {
            Self::Allowed => ("fit", "✓"),
            Self::Refused => ("bad", "✕"),
            Self::Asked => ("stale", "?"),
            Self::NotAsked => ("unread", "○"),
        };
        html! { span class={ "chip " (class) } { span aria-hidden="true" { (sign) } " " (self.name()) } }
    }
}

/// A warning before work of these kinds on a car that belongs to somebody: what he refuses, and what he
/// has not been asked about. Nothing where he allows all of it, and on a car that is nobody's.
pub(crate) fn warning(words: &[(Work, bool)], row: &FleetRow, works: &[Work]) -> Option<String> {
    let owner = row.owner.as_deref().map(ToOwned::to_owned);
    let owner = owner.or(row.owner_member.map(|_| "its owner".to_owned()))?;
    let of = |wanted: Option<bool>| {
        let said = |work: &Work| words.iter().find(|own| own.0 == *work).map(|own| own.1);
        let names = works.iter().filter(|work| said(work) == wanted);
        names.map(|work| work.name()).collect::<Vec<_>>().join(", ")
    };
    let (refused, unasked) = (of(Some(false)), of(None));
    let mut warnings = Vec::new();
    if !refused.is_empty() {
        warnings.push(format!(
            "{owner} refuses work on {refused}; it cannot be entered"
        ));
    }
    if !unasked.is_empty() {
        warnings.push(format!(
            "{owner} has not been asked about work on {unasked}"
        ));
    }
    (!warnings.is_empty()).then(|| warnings.join("; "))
}

/// The part of a car's page about its owner's word.
pub(crate) fn section(
    caller: &Caller,
    snapshot: &Snapshot<'_>,
    row: &FleetRow,
    version: Version,
) -> Result<Markup, Refusal> {
    let (words, holds) = (snapshot.consents(row.car)?, snapshot.holds(row.car)?);
    let own = is_own(caller, row);
    let by_mouth = !own && caller.member.role.may(Action::Consent) == Permission::Yes;
    let works = || Work::ALL.iter().map(|work| (work.name(), work.name()));
    let ask = html! {
        div.row {
            (choice("Kind of work", "work", "wheels", works()))
            (text_field("What is to be done, and why", "what", "", true))
            button.quiet { "Ask the owner" }
        }
    };
    let mouth = html! {
        p.more { "Say who gave the word and how: the story shows it, and that you entered it." }
        div.row {
            (choice("Kind of work", "work", "wheels", works()))
            (choice("His word", "answer", "allow", [("allow", "he allows it"), ("refuse", "he refuses it")]))
            (text_field("Who said so, and how", "word", "", true))
            button.quiet { "Enter his word" }
        }
    };
    Ok(html! {
        section id="consent" { h2 { "The owner's word" }
            (open(caller, row, version, &holds)?)
            ul.lines { @for work in Work::ALL { li {
                (Word::on(*work, &words, &holds).chip()) span { (work) }
            } } }
            @if own { details { summary { "Allow or refuse a kind of work" }
                (form(row.car, version, "consents", &answer_fields(None))?) } }
            @if caller.may(Action::Hold) { details { summary { "Ask the owner" }
                (form(row.car, version, "asks", &ask)?) } }
            @if by_mouth { details { summary { "His word, given by mouth" }
                (form(row.car, version, "consents", &mouth)?) } }
        }
    })
}

/// Fields for the owner's own word, on one kind of work or on one of his choice.
fn answer_fields(asked: Option<Work>) -> Markup {
    let works = Work::ALL.iter().map(|work| (work.name(), work.name()));
    html! {
        @if let Some(work) = asked { input type="hidden" name="work" value=(work); }
        @else { (choice("Kind of work", "work", "wheels", works)) }
        (text_field("What you want to say with it (may stay empty)", "word", "", false))
        div.row {
            button name="answer" value="allow" { "Allow it" }
            button.quiet name="answer" value="refuse" { "Refuse it" }
        }
    }
}

/// What is asked and not answered, with the answer where the caller owes it.
fn open(
    caller: &Caller,
    row: &FleetRow,
    version: Version,
    holds: &Holds,
) -> Result<Markup, Refusal> {
    let own = is_own(caller, row);
    let questions = holds
        .waits
        .iter()
        .filter(|wait| wait.wait_for == WaitFor::Owner);
    let mut parts = Vec::new();
    for ask in &holds.asks {
        parts.push(html! {
            p { strong { "Consent wanted: work on " (ask.work) ". " } (ask.what) }
            @if own { (form(row.car, version, "consents", &answer_fields(Some(ask.work)))?) }
        });
    }
    for wait in questions {
        let answer = html! {
            input type="hidden" name="wait" value=(wait.seq);
            (text_field("Your answer", "note", "", true))
            button { "Answer" }
        };
        parts.push(html! {
            p { strong { "Asked: " } (wait.what) }
            @if own { (form(row.car, version, "answers", &answer)?) }
        });
    }
    Ok(html! { @for part in parts { div.asked { (part) } } })
}

/// The most cars on an owner's page. ASSUMED: no member owns more; a longer list says that it is cut.
const OWN_MOST: u32 = 500;

struct Own {
    row: FleetRow,
    version: Version,
    holds: Holds,
    words: Vec<(Work, bool)>,
}

/// The caller's own cars, those about which he is asked something first.
fn own_cars(app: &App, caller: &Caller) -> Result<Vec<Own>, Refusal> {
    let snapshot = app.store().snapshot()?;
    let filter = FleetFilter {
        owner_member: Some(caller.member.id),
        ..FleetFilter::default()
    };
    let mut cars = Vec::new();
    for row in snapshot.fleet(&filter, None, OWN_MOST)? {
        cars.push(Own {
            version: snapshot.version(row.car)?,
            holds: snapshot.holds(row.car)?,
            words: snapshot.consents(row.car)?,
            row,
        });
    }
    cars.sort_by_key(|own| !own.is_asked());
    Ok(cars)
}

impl Own {
    fn is_asked(&self) -> bool {
        let question = |wait: &gradeworthy_store::OpenWait| wait.wait_for == WaitFor::Owner;
        !self.holds.asks.is_empty() || self.holds.waits.iter().any(question)
    }
}

/// The caller's own cars as a page.
pub(crate) async fn my_cars(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let cars = own_cars(app, &caller)?;
        let asked = cars.iter().filter(|own| own.is_asked()).count();
        let mut cards = Vec::new();
        for own in &cars {
            cards.push(card(app, &caller, own)?);
        }
        let body = html! {
            @if cars.is_empty() {
                p { "No car is entered as yours. If you have brought one, ask the lead to enter you as its owner." }
            } @else if asked == 0 {
                p { (entered(cars.len())) "Nothing is asked of you." }
            } @else {
                p { (entered(cars.len()))
                    strong { "Your word is wanted on " (asked) ":" } }
            }
            ul.cards { @for card in &cards { (card) } }
        };
        Ok(page::room(app, &caller, "My cars", "/my-cars", &body))
    })
    .await
}

fn entered(count: usize) -> String {
    if count == 1 {
        "One car is entered as yours. ".to_owned()
    } else {
        format!("{count} cars are entered as yours. ")
    }
}

fn card(app: &App, caller: &Caller, own: &Own) -> Result<Markup, Refusal> {
    let row = &own.row;
    Ok(html! {
        li.card {
            h2 { a href={ "/cars/" (row.car) } { (row.mark) } " " small { (fleet::what(row)) } }
            p { (page::standing(app, &row.standing)) " " span.more { "· " (fleet::since(app, row)) } }
            (open(caller, row, own.version, &own.holds)?)
            details { summary { "What may be done to it" }
                ul.lines { @for work in Work::ALL { li {
                    (Word::on(*work, &own.words, &own.holds).chip()) span { (work) }
                } } }
                (form(row.car, own.version, "consents", &answer_fields(None))?)
            }
            p { a.aside href={ "/cars/" (row.car) } { "Its story" } }
        }
    })
}

/// Something that is asked of an owner.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct AskedJson {
    /// The entry that asks.
    entry: i64,
    /// The kind of work; none for a question of another kind, which is answered as a wait.
    work: Option<String>,
    /// What is asked.
    what: String,
    /// Since when, RFC 3339.
    since: String,
}

/// The owner's word on a kind of work.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WordJson {
    /// The kind of work.
    work: String,
    /// 'allowed', 'refused', 'asked, not answered' or 'not asked'.
    word: String,
}

/// What an owner may say about one car, and has said.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ConsentJson {
    /// The car.
    #[serde(flatten)]
    car: CarJson,
    /// The version of its record; what is sent next names it.
    version: i64,
    /// What its owner is asked and has not answered.
    asked: Vec<AskedJson>,
    /// His word on each kind of work.
    words: Vec<WordJson>,
}

impl From<&Own> for ConsentJson {
    fn from(own: &Own) -> Self {
        let asks = own.holds.asks.iter().map(|ask| AskedJson {
            entry: ask.seq.number(),
            work: Some(ask.work.to_string()),
            what: ask.what.to_string(),
            since: ask.since.to_string(),
        });
        let questions = own
            .holds
            .waits
            .iter()
            .filter(|wait| wait.wait_for == WaitFor::Owner);
        let questions = questions.map(|wait| AskedJson {
            entry: wait.seq.number(),
            work: None,
            what: wait.what.to_string(),
            since: wait.since.to_string(),
        });
        let words = Work::ALL.iter().map(|work| WordJson {
            work: work.to_string(),
            word: Word::on(*work, &own.words, &own.holds).name().to_owned(),
        });
        Self {
            car: CarJson::from(&own.row),
            version: own.version.number(),
            asked: asks.chain(questions).collect(),
            words: words.collect(),
        }
    }
}

#[utoipa::path(get, path = "/api/my-cars", tag = "consent",
    responses((status = 200, body = [ConsentJson]), (status = 401, body = Problem)))]
pub(crate) async fn my_cars_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
) -> Result<Json<Vec<ConsentJson>>, Refusal> {
    app.wait(move |app| {
        let cars = own_cars(app, &caller)?;
        Ok(Json(cars.iter().map(ConsentJson::from).collect()))
    })
    .await
}

#[utoipa::path(get, path = "/api/cars/{car}/consents", params(("car" = i64, Path)), tag = "consent",
    responses((status = 200, body = ConsentJson), (status = 403, body = Problem), (status = 404, body = Problem)))]
pub(crate) async fn consents_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(car): Named<i64>,
) -> Result<Json<ConsentJson>, Refusal> {
    app.wait(move |app| {
        let snapshot = app.store().snapshot()?;
        let row = fleet::see(&snapshot, &caller, CarId::from_number(car))?;
        let own = Own {
            version: snapshot.version(row.car)?,
            holds: snapshot.holds(row.car)?,
            words: snapshot.consents(row.car)?,
            row,
        };
        Ok(Json(ConsentJson::from(&own)))
    })
    .await
}

#[cfg(test)]
mod tests;
