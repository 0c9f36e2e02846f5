//! A climb as a page: the verdict in a sentence, the train on the line, what bears on every car, the
//! worst spots, and what to change.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use gradeworthy_reports::climb::{wire, words};
use gradeworthy_store::{Action, HillKind};
use gradeworthy_train::margins::Mode;
use gradeworthy_train::sweep::Snapshot as There;
use gradeworthy_train::vehicle::{Provenance, Quantity};
use maud::{Markup, html};
use serde::Deserialize;

use super::advice;
use super::advice_page::proposals;
use super::climb::{Climb, Question};
use super::picture::{Drawn, Sheet, bars};
use crate::App;
use crate::guard::Caller;
use crate::jobs::{self, Job, Stage};
use crate::page::{self, choice};
use crate::refusal::Refusal;
use crate::request::{Asked, Named};
use crate::script;

/// What is looked at.
#[derive(Clone, Copy, Debug, Deserialize)]
pub(crate) struct Wanted {
    pub(crate) line: i64,
    pub(crate) train: i64,
    /// Place of the head, m.
    at: Option<f64>,
    /// A vehicle, from 0.
    car: Option<usize>,
    /// Another make-up to compare with.
    with: Option<i64>,
}

impl Wanted {
    /// The address of the climb itself.
    pub(crate) fn address(&self) -> String {
        let with = self
            .with
            .map_or_else(String::new, |own| format!("&with={own}"));
        format!("/hill/climb?line={}&train={}{with}", self.line, self.train)
    }
}

/// The page; while the climb is worked out, how far it is.
pub(crate) async fn climb(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let job = Question::read(app, wanted.line, wanted.train)?.start(app, &caller)?;
        let other = match wanted.with {
            Some(with) => Some(Question::read(app, wanted.line, with)?.start(app, &caller)?),
            None => None,
        };
        let both = [Some(&job), other.as_ref()];
        if let Some(open) = both
            .into_iter()
            .flatten()
            .find(|job| Climb::of(job).is_none())
        {
            return Ok(on_its_way(app, &caller, wanted, open));
        }
        let found = Climb::of(&job).ok_or(Refusal::NotDone)?;
        let other = other.as_ref().and_then(Climb::of);
        let search = if found.is_enough() {
            None
        } else {
            Some(advice::start(app, &caller, Arc::clone(&found))?)
        };
        let body = html! {
            (show(&caller, &found, &job, wanted, search.as_ref())?)
            @if let Some(other) = &other { (beside(&found, other)) }
            (compare_form(app, wanted)?)
            (script::HILL.load())
        };
        let title = format!("{} on {}", found.question.make_up.name, found.line.name);
        let shown = page::room(app, &caller, &title, "/hill", &body);
        Ok(shown.into_response())
    })
    .await
}

/// A climb that waits, runs, failed or was ended.
fn on_its_way(app: &App, caller: &Caller, wanted: Wanted, job: &Job) -> Response {
    let (words, again) = match &job.stage {
        Stage::Waiting(0) => ("It is the next to be worked out.".to_owned(), true),
        Stage::Waiting(ahead) => (format!("{ahead} others are ahead of it."), true),
        Stage::Running(done, total) if *total > 0 => {
            (format!("{} % of the way up.", 100 * done / total), true)
        }
        Stage::Running(..) | Stage::Done(_) => ("The cars' records are read.".to_owned(), true),
        Stage::Failed(why) => (page::sentence(why), false),
        Stage::Cancelled => ("It was ended.".to_owned(), false),
    };
    let failed = matches!(job.stage, Stage::Failed(_));
    let share = match job.stage {
        Stage::Running(done, total) if total > 0 => Some((done, total)),
        _ => None,
    };
    let body = html! {
        p class=(if failed { "message" } else { "progress" }) role="status" { (words) }
        @if again {
            @if let Some((done, total)) = share { progress aria-label="Places done" value=(done) max=(total) {} }
            form method="post" action={ "/hill/jobs/" (job.id) "/end" } { button.quiet { "End it" } }
        } @else {
            p.row {
                a.button href={ "/hill/trains/" (wanted.train) } { "Look at the make-up" }
                a.button.quiet href={ "/hill/lines/" (wanted.line) } { "Look at the line" }
                a.button.quiet href="/hill" { "Back to the hill" }
            }
        }
    };
    let shown = page::room(app, caller, &job.what, "/hill", &body);
    let response = shown.into_response();
    if again {
        page::again_soon(response)
    } else {
        response
    }
}

/// Ends a climb or a search from its page.
pub(crate) async fn end(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Named(job): Named<String>,
) -> Result<Redirect, Refusal> {
    jobs::cancel(&app, &caller, jobs::named(&job)?)?;
    Ok(Redirect::to("/hill"))
}

fn show(
    caller: &Caller,
    climb: &Climb,
    job: &Job,
    wanted: Wanted,
    search: Option<&Job>,
) -> Result<Markup, Refusal> {
    let worst = climb.answer.margin.worst.head_s;
    let there = climb.there(wanted.at.unwrap_or(worst))?;
    let sheet = Sheet::new(&climb.line.alignment);
    let (first, last) = ends(climb);
    let limiting = wanted.car.unwrap_or(climb.answer.margin.worst.vehicle);
    let said = place_in_words(climb, &there);
    Ok(html! {
        (verdict(climb))
        section.climb data-film={ "/api/hill/climbs/" (job.id) "/film" } data-least=(climb.answer.asked.least_margin)
            data-limiting=(limiting) {
            (sheet.show(climb.places(), &climb.line.findings, &drawn(climb, &there, limiting), &said))
            form.run method="get" action="/hill/climb" {
                input type="hidden" name="line" value=(wanted.line);
                input type="hidden" name="train" value=(wanted.train);
                label.field { span { "Place of the head, m" }
                    input.at type="number" name="at" step="0.01" min=(two(first)) max=(two(last)) value=(two(there.head_s)); }
                button.go { "Put the train there" }
            }
            p.where aria-live="polite" { (said) }
            (charts(climb, &there))
        }
        @if let Some(search) = search { (proposals(caller, wanted, search)) }
        (spots(climb, wanted))
        (car_panel(caller, climb, wanted, limiting))
        (notices(climb))
        (table(climb, &there, wanted))
    })
}

fn ends(climb: &Climb) -> (f64, f64) {
    let heads = &climb.passage.head_s;
    (
        heads.first().copied().unwrap_or(0.0),
        heads.last().copied().unwrap_or(0.0),
    )
}

fn two(value: f64) -> String {
    format!("{value:.2}")
}

fn verdict(climb: &Climb) -> Markup {
    let (class, sign, word) = if climb.margin() < 0.0 {
        ("bad", "✕", "a limit is passed")
    } else if climb.is_enough() {
        ("fit", "✓", "at or above what is asked")
    } else {
        ("watch", "△", "below what is asked")
    };
    html! {
        p.verdict {
            span class={ "chip " (class) } { span aria-hidden="true" { (sign) }
                " margin " (words::number(climb.margin())) ", " (word) }
        }
        p.headline { (words::headline(&climb.answer, &climb.consist)) }
        @if !climb.is_enough() { p { (page::sentence(words::cause(climb.answer.margin.cause))) } }
        p.more { "Asked for: " (words::number(climb.answer.asked.least_margin)) ". "
            (climb.consist.car_count()) " cars, " (climb.consist.members.len() - climb.consist.car_count()) " locomotives, "
            (words::condition(climb.answer.asked.check.condition)) "; margins against models, no promise." }
    }
}

/// How each vehicle is drawn: its kind and how much is left for it here.
fn drawn(climb: &Climb, there: &There, limiting: usize) -> Vec<Drawn> {
    let least = climb.answer.asked.least_margin;
    let each = there
        .stances
        .iter()
        .zip(&climb.consist.members)
        .zip(&there.uses)
        .enumerate();
    each.map(|(index, ((stance, member), uses))| {
        let little = left(uses) < least;
        let class = match (index == limiting, little, member.is_power) {
            (true, true, _) => "car mark little",
            (true, false, _) => "car mark",
            (false, true, _) => "car little",
            (false, false, true) => "car power",
            (false, false, false) => "car",
        };
        Drawn {
            bolster_s: stance.bolster_s,
            class,
        }
    })
    .collect()
}

/// What is left for a vehicle: 1 less its greatest use.
fn left(uses: &[gradeworthy_train::margins::Use; Mode::ALL.len()]) -> f64 {
    let ending = uses
        .iter()
        .zip(Mode::ALL)
        .filter(|(_, mode)| mode.ends_the_climb());
    1.0 - ending.map(|(used, _)| used.ratio()).fold(0.0, f64::max)
}

fn place_in_words(climb: &Climb, there: &There) -> String {
    let hardest = there
        .worst()
        .map_or_else(String::new, |(vehicle, mode, used)| {
            let member = &climb.consist.members[vehicle];
            format!(
                " Least is left for {}: it {}, margin {} here.",
                words::who(member).trim_end_matches(','),
                words::way(mode, used.ratio() > 1.0),
                words::number(1.0 - used.ratio())
            )
        });
    format!("The head stands at {:.2} m.{hardest}", there.head_s)
}

fn charts(climb: &Climb, there: &There) -> Markup {
    let count = there.uses.len();
    let forces = &there.balance.forces[..count.min(there.balance.forces.len())];
    let most = climb
        .passage
        .force_n
        .iter()
        .fold(0.1_f32, |most, own| most.max(own.abs()));
    let margins: Vec<f64> = there.uses.iter().map(left).collect();
    html! {
        div.scroll.drawn role="region" aria-label="Force and margin along the train" tabindex="0" {
            (bars(forces, f64::from(most), "Coupler force ahead of each vehicle: draft up, buff down", None, "force"))
            (bars(&margins, 1.0, "Margin of each vehicle here, and what is asked (dashed)",
                Some(climb.answer.asked.least_margin), "left"))
        }
    }
}

fn spots(climb: &Climb, wanted: Wanted) -> Markup {
    html! {
        section { h2 { "Worst spots" }
            ol.spots { @for spot in &climb.answer.spots { li {
                a.spot href={ (wanted.address()) "&at=" (two(spot.head_s)) "&car=" (spot.vehicle) }
                    data-at=(spot.head_s) data-car=(spot.vehicle) {
                    strong { (words::number(spot.margin())) } " " (words::spot(spot, &climb.consist))
                }
            } } }
            @if let Some(small) = &climb.answer.small { p { (page::sentence(&words::small(small))) } }
            @for car in &climb.answer.prone { p { (page::sentence(&words::prone(car, &climb.consist,
                climb.answer.asked.jerk_allowance))) } }
        }
    }
}

fn car_panel(caller: &Caller, climb: &Climb, wanted: Wanted, vehicle: usize) -> Markup {
    let Some((member, card)) = climb
        .consist
        .members
        .get(vehicle)
        .zip(climb.consist.train.vehicles().get(vehicle))
    else {
        return html! {};
    };
    let row = climb.answer.sweep.envelope.vehicle(vehicle);
    let mut peaks: Vec<_> = row.into_iter().flatten().zip(Mode::ALL).collect();
    peaks.retain(|(peak, _)| peak.used.demand > 0.0);
    peaks.sort_by(|a, b| b.0.used.ratio().total_cmp(&a.0.used.ratio()));
    let numbers = Quantity::ALL
        .into_iter()
        .filter(|own| member.is_power || !own.is_of_locomotives());
    html! {
        section #car { h2 { "Vehicle " (vehicle + 1) ": " (words::who(member).trim_end_matches(',')) }
            @if let Some((peak, mode)) = peaks.first() {
                p { "Its limit is " strong { (wire::mode(*mode)) } ": margin " (words::number(1.0 - peak.used.ratio()))
                    " with the head at " (two(peak.head_s)) " m." }
            }
            p.row {
                @if let (Some(car), true) = (climb.cars[vehicle], caller.may(Action::SeeCar)) {
                    a.button.quiet href={ "/cars/" (car) } { "Its record" }
                    @if caller.may(Action::EnterReading) { a.button.quiet href={ "/bench/" (car) } { "Take to the bench" } }
                }
                @if let Some((peak, _)) = peaks.first() {
                    a.button.quiet href={ (wanted.address()) "&at=" (two(peak.head_s)) "&car=" (vehicle) } { "See it at its worst" }
                }
            }
            details { summary { "Every way, worst first" }
                div.scroll role="region" aria-label="Ways to come to grief" tabindex="0" { table {
                    tr { th { "Way" } th { "Margin" } th { "Head at" } }
                    @for (peak, mode) in &peaks { tr {
                        td { (wire::mode(*mode)) @if !mode.ends_the_climb() { " (does not end the climb)" } }
                        td.number { (words::number(1.0 - peak.used.ratio())) } td.number { (two(peak.head_s)) " m" }
                    } }
                } }
            }
            details { summary { "Its numbers, and how each is known" }
                div.scroll role="region" aria-label="Numbers" tabindex="0" { table {
                    tr { th { "Number" } th { "Value" } th { "Known" } }
                    @for quantity in numbers { @let entry = card.entry(quantity); tr {
                        td { (words::quantity(quantity).0) }
                        td.number { (figure(entry.value)) " " (quantity.unit()) }
                        td { @match entry.provenance {
                            Provenance::Measured => "measured",
                            Provenance::ClassDefault => { "usual for its class, " (figure(entry.low)) " to " (figure(entry.high)) },
                            Provenance::Assumed => {
                                "assumed, " (figure(entry.low)) " to " (figure(entry.high)) "; "
                                (words::quantity(quantity).1) },
                        } }
                    } }
                } }
            }
        }
    }
}

/// A number with four figures.
pub(crate) fn figure(value: f64) -> String {
    if value.is_finite() && value.abs() < 1e4 && (value == 0.0 || value.abs() >= 1e-3) {
        let text = format!("{value:.4}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        format!("{value:.3e}")
    }
}

fn notices(climb: &Climb) -> Markup {
    let all = climb.notices();
    let leans: Vec<_> = climb.answer.margin.leans.iter().take(3).collect();
    html! {
        @if !all.is_empty() {
            section { h2 { "Before you believe it" } ul { @for own in &all { li { (own) } } } }
        }
        @if !leans.is_empty() {
            section { h2 { "Measure next: the margin leans on it" }
                ul { @for lean in leans { li { (page::sentence(&words::lean(lean, climb.margin()))) } } } }
        }
    }
}

/// Everything in the charts as a table.
fn table(climb: &Climb, there: &There, wanted: Wanted) -> Markup {
    let envelope = &climb.answer.sweep.envelope;
    html! {
        section { details { summary { "The train as a table" }
            p { "At " (two(there.head_s)) " m of the head." }
            div.scroll role="region" aria-label="The train" tabindex="0" { table.train {
                tr { th { "Place" } th { "Vehicle" } th { "Force ahead, N" } th { "Margin here" } th { "Least margin" }
                    th { "By" } }
                @for (index, member) in climb.consist.members.iter().enumerate() {
                    @let worst = least(envelope, index);
                    tr {
                        td.number { (index + 1) }
                        td { a.inrow href={ (wanted.address()) "&at=" (two(there.head_s)) "&car=" (index) "#car" } {
                            (member.name) } }
                        td.number { (signed(there.balance.forces.get(index).copied())) }
                        td.number { (words::number(left(&there.uses[index]))) }
                        td.number { (words::number(worst.0)) }
                        td { (worst.1) }
                    }
                }
            } }
        } }
    }
}

/// A force with its sign, two decimals.
fn signed(force: Option<f64>) -> String {
    format!("{:.2}", force.unwrap_or(0.0)).replace('-', "−")
}

/// The least margin of a vehicle on the whole line, and in which way.
fn least(envelope: &gradeworthy_train::sweep::Envelope, vehicle: usize) -> (f64, &'static str) {
    let row = envelope
        .vehicle(vehicle)
        .into_iter()
        .flatten()
        .zip(Mode::ALL);
    let ending = row.filter(|(_, mode)| mode.ends_the_climb());
    let worst = ending.max_by(|a, b| a.0.used.ratio().total_cmp(&b.0.used.ratio()));
    worst.map_or((1.0, ""), |(peak, mode)| {
        (1.0 - peak.used.ratio(), wire::mode(mode))
    })
}

fn compare_form(app: &App, wanted: Wanted) -> Result<Markup, Refusal> {
    let all = app.store().snapshot()?.hill(HillKind::MakeUp)?;
    let others: Vec<_> = all.iter().filter(|own| own.item != wanted.train).collect();
    let named: Vec<_> = others
        .iter()
        .map(|own| (own.item.to_string(), own.name.to_string()))
        .collect();
    Ok(html! {
        section { h2 { "Go on" }
            p.row {
                a.button.quiet href={ "/hill/trains/" (wanted.train) } { "Change the make-up" }
                a.button.quiet href={ "/hill/lines/" (wanted.line) } { "Look at the line" }
            }
            @if !named.is_empty() {
                form.row method="get" action="/hill/climb" {
                    input type="hidden" name="line" value=(wanted.line);
                    input type="hidden" name="train" value=(wanted.train);
                    (choice("Compare with", "with", "", named.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
                    button.quiet { "Put them side by side" }
                }
            }
        }
    })
}

/// Two make-ups side by side.
fn beside(one: &Climb, other: &Climb) -> Markup {
    let row = |said: &str, of: &dyn Fn(&Climb) -> String| {
        html! { tr { th scope="row" { (said) } td { (of(one)) } td {
        (of(other)) } } }
    };
    let most = |climb: &Climb, sign: f32| {
        let force = climb
            .passage
            .force_n
            .iter()
            .fold(0.0_f32, |most, own| most.max(sign * own));
        format!("{force:.2} N")
    };
    html! {
        section #beside { h2 { "Side by side" }
            div.scroll role="region" aria-label="Two make-ups" tabindex="0" { table {
                tr { th { "" } th { (one.question.make_up.name) } th { (other.question.make_up.name) } }
                (row("Margin", &|own| words::number(own.margin())))
                (row("What limits it", &|own| own.answer.spots.first().map_or_else(String::new,
                    |spot| words::spot(spot, &own.consist))))
                (row("Greatest draft", &|own| most(own, 1.0)))
                (row("Greatest buff", &|own| most(own, -1.0)))
                (row("Cars and locomotives", &|own| format!("{} and {}", own.consist.car_count(),
                    own.consist.members.len() - own.consist.car_count())))
                (row("What stands elsewhere", &|own| elsewhere(own, one, other)))
            } }
        }
    }
}

/// The vehicles of a make-up that the other one lacks or has in another place, a few of them.
fn elsewhere(own: &Climb, one: &Climb, other: &Climb) -> String {
    let against = if std::ptr::eq(own, one) { other } else { one };
    let names = |climb: &Climb| {
        climb
            .question
            .order
            .members
            .iter()
            .map(|own| own.name.clone())
            .collect::<Vec<_>>()
    };
    let (here, there) = (names(own), names(against));
    // What is left when the longest common beginning and end are taken away.
    let front = here.iter().zip(&there).take_while(|(a, b)| a == b).count();
    let back = here
        .iter()
        .rev()
        .zip(there.iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let middle = here
        .get(front..here.len().saturating_sub(back).max(front))
        .unwrap_or_default();
    match middle.len() {
        0 => "nothing".to_owned(),
        1..=8 => middle.join(", "),
        count => format!(
            "{count} vehicles, from place {}: {} … {}",
            front + 1,
            middle[..2].join(", "),
            middle[count - 1]
        ),
    }
}
