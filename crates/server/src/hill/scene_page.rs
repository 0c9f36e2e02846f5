//! A scene as a page: the verdict in a sentence, the train as it moves with its slack, the force at every
//! coupling over time, and the worst moments, each a way to look at it.

use std::fmt::Write;

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use gradeworthy_reports::climb::words::{number, who};
use gradeworthy_reports::scene::{plot, words};
use gradeworthy_store::HillKind;
use gradeworthy_train::scene::{Coupled, Usual};
use maud::{Markup, PreEscaped, html};
use serde::Deserialize;

use super::climb_page::believe;
use super::picture::{Bars, Drawn, View, key, strip};
use super::scene::{Asked as Question, Play, Which};
use super::waiting::on_its_way;
use crate::App;
use crate::guard::Caller;
use crate::jobs::Job;
use crate::page::{self, choice, text_field};
use crate::refusal::Refusal;
use crate::request::Asked;
use crate::script;

/// What is looked at.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Wanted {
    line: i64,
    train: i64,
    scene: String,
    /// Place of the head at the start, m, as typed; empty where nobody says.
    #[serde(default)]
    head: String,
    /// A moment, s; the worst one where none is named.
    time: Option<f64>,
}

impl Wanted {
    fn head(&self) -> Result<Option<f64>, Refusal> {
        let text = self.head.trim();
        if text.is_empty() {
            return Ok(None);
        }
        let read = text.replace(',', ".").parse();
        read.map(Some).map_err(|_| {
            let fault = format!(
                "the place of the head is '{text}': write it in metres, such as 42.5, or leave it empty"
            );
            Refusal::Hill {
                faults: vec![fault],
            }
        })
    }

    fn fields(&self) -> Markup {
        html! {
            input type="hidden" name="line" value=(self.line);
            input type="hidden" name="train" value=(self.train);
            input type="hidden" name="scene" value=(self.scene);
            input type="hidden" name="head" value=(self.head);
        }
    }

    /// The address of one moment.
    fn at(&self, time: f64) -> String {
        let (line, train) = (self.line, self.train);
        let scene = crate::request::encoded(&self.scene);
        let head = crate::request::encoded(&self.head);
        format!("/hill/scene?line={line}&train={train}&scene={scene}&head={head}&time={time:.3}")
    }
}

/// The page; while the scene is played, how far it is.
pub(crate) async fn scene(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let which = Which::read(&wanted.scene)?;
        let both = (wanted.line, wanted.train);
        let job = Question::read(app, both, which, wanted.head()?)?.start(app, &caller)?;
        let Some(play) = job.found::<Play>() else {
            return Ok(on_its_way(app, &caller, both, &job, "of it played"));
        };
        let body = html! {
            (show(&play, &job, &wanted))
            (believe(&play.question.notices(&play.consist, &play.line)))
            section { h2 { "Go on" }
                p.row {
                    a.button.quiet href={ "/hill/climb?line=" (wanted.line) "&train=" (wanted.train) } { "Its climb" }
                    a.button.quiet href={ "/hill/trains/" (wanted.train) } { "Change the make-up" }
                    @if let Which::Own(item) = which {
                        a.button.quiet href={ "/hill/scenes/" (item) } { "Look at the scene" } }
                }
                (play_form(app, wanted.line, wanted.train, Some(play.answer.scene.head_at))?)
            }
            (script::HILL.load())
        };
        let title = format!("{}: {}", play.answer.scene.name, play.question.make_up.name);
        Ok(page::room(app, &caller, &title, "/hill", &body).into_response())
    })
    .await
}

/// Every scene there is, as choices: word or number, and name.
pub(crate) fn scenes(app: &App) -> Result<Vec<(String, String)>, Refusal> {
    let own = app.store().snapshot()?.hill(HillKind::Scene)?;
    let usual = Usual::ALL.map(|own| (own.word().to_owned(), own.name().to_owned()));
    let own = own
        .iter()
        .map(|own| (own.item.to_string(), own.name.to_string()));
    Ok(usual.into_iter().chain(own).collect())
}

/// Asks for a scene of this train on this line.
pub(crate) fn play_form(
    app: &App,
    line: i64,
    train: i64,
    head: Option<f64>,
) -> Result<Markup, Refusal> {
    let scenes = scenes(app)?;
    let head = head.map_or_else(String::new, |own| format!("{own:.2}"));
    Ok(html! {
        form.row method="get" action="/hill/scene" {
            input type="hidden" name="line" value=(line);
            input type="hidden" name="train" value=(train);
            (choice("Scene", "scene", "", scenes.iter().map(|(word, name)| (word.as_str(), name.as_str()))))
            (text_field(HEAD, "head", &head, false))
            button.quiet { "Play it" }
        }
    })
}

/// The label of the field for the head's place.
pub(crate) const HEAD: &str = "Head at, m (may be left empty)";

fn show(play: &Play, job: &Job, wanted: &Wanted) -> Markup {
    let answer = &play.answer;
    let worst = answer.spots.first().map_or(0.0, |own| own.1.time);
    let picture = answer.played.sample_near(wanted.time.unwrap_or(worst));
    let samples = &answer.played.solution.samples;
    let (time, until) = (samples.time[picture], samples.time[samples.len() - 1]);
    let (train, couplings) = (drawn(play, picture), play.marks(picture));
    let coupled = answer.played.coupled(picture);
    let said = moment_in_words(play, picture, &coupled);
    let is_power: Vec<bool> = play
        .consist
        .members
        .iter()
        .map(|own| own.is_power)
        .collect();
    let (least, most) = samples
        .force
        .iter()
        .fold((0.0_f64, 0.1_f64), |(least, most), own| {
            (least.min(*own), most.max(own.abs()))
        });
    let view = View {
        stretch: Some(play.stretch()),
        train: &train,
        couplings: &couplings,
        ..View::of(&play.line.alignment, &play.line.places, &said)
    };
    let forces = Bars {
        name: "Force at each coupling: draft up, buff down",
        class: "force",
        values: samples.forces(picture),
        most,
        below: (least / most).abs().max(0.15),
        asked: None,
    };
    html! {
        (verdict(play))
        section.climb.scene data-film={ "/api/hill/plays/" (job.id) "/film" } {
            (view.show())
            form.run method="get" action="/hill/scene" {
                (wanted.fields())
                label.field { span { "Seconds into the scene" }
                    input.at type="number" name="time" step="any" min="0" max=(format!("{until:.3}"))
                        value=(format!("{time:.3}")); }
                button.go { "Show that moment" }
            }
            p.where aria-live="polite" { (said) }
            (legend(&coupled))
            div.scroll role="region" aria-label="Slack and force along the train" tabindex="0" {
                (strip(&is_power, &coupled, &said))
                (forces.show())
            }
            div.scroll.drawn role="region" aria-label="Force over time" tabindex="0" {
                // A chart of `reports` is markup already, written there with every name in it escaped.
                (PreEscaped(plot::on_page(answer, &play.consist, time)))
            }
        }
        (moments(play, wanted))
        (happens(play))
        (table(play, picture, &coupled))
    }
}

fn verdict(play: &Play) -> Markup {
    let answer = &play.answer;
    let apart = answer.parts.len() > 1;
    let asked = play.question.asked().least_margin;
    let (class, sign, word) = if apart {
        ("bad", "✕", "it comes apart")
    } else if answer.margin() < 0.0 {
        ("bad", "✕", "a limit is passed")
    } else if answer.margin() >= asked {
        ("fit", "✓", "at or above what is asked")
    } else {
        ("watch", "△", "below what is asked")
    };
    html! {
        p.verdict { span class={ "chip " (class) } { span aria-hidden="true" { (sign) }
            " margin " (number(answer.margin())) ", " (word) } }
        p.headline { (page::sentence(&words::verdict(answer, &play.consist, &play.line))) }
        p.more { "Asked for: " (number(asked)) ". " (page::sentence(&format!("{}; {}; margins against models, no promise",
            words::began(answer.scene.start, answer.scene.head_at), words::stop(answer, &play.consist)))) }
    }
}

/// How each vehicle is drawn: its kind, and whether it is among the worst.
fn drawn(play: &Play, picture: usize) -> Vec<Drawn> {
    let places = play.answer.played.solution.samples.places(picture);
    let worst = play.answer.spots.first().map(|own| own.0.vehicle);
    let each = places
        .iter()
        .zip(play.halves())
        .zip(&play.consist.members)
        .enumerate();
    each.map(|(index, ((at, half), member))| Drawn {
        bolster_s: [at + half, at - half],
        class: match (worst == Some(index), member.is_power) {
            (true, _) => "car mark little",
            (false, true) => "car power",
            (false, false) => "car",
        },
    })
    .collect()
}

const fn word(coupled: Coupled) -> &'static str {
    match coupled {
        Coupled::Stretched => "stretched",
        Coupled::Loose => "in its slack",
        Coupled::RunIn => "run in",
        Coupled::Apart => "apart",
    }
}

/// As they stand beside each other in words and in the key.
const SHOWN: [Coupled; 4] = [
    Coupled::Stretched,
    Coupled::Loose,
    Coupled::RunIn,
    Coupled::Apart,
];

fn count(coupled: &[Coupled], of: Coupled) -> usize {
    coupled.iter().filter(|own| **own == of).count()
}

fn moment_in_words(play: &Play, picture: usize, coupled: &[Coupled]) -> String {
    let samples = &play.answer.played.solution.samples;
    let mut said = format!("{:.2} s into the scene.", samples.time[picture]);
    let counts = SHOWN.map(|own| format!("{} {}", count(coupled, own), word(own)));
    write!(said, " Couplings: {}.", counts.join(", ")).unwrap_or_default();
    let forces = samples.forces(picture).iter().enumerate();
    let name = |k: usize| &play.consist.members[k].name;
    if let Some((k, force)) = forces.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())) {
        let kind = if *force < 0.0 { "buff" } else { "draft" };
        let (ahead, behind) = (name(k), name(k + 1));
        write!(
            said,
            " Hardest: {kind} {:.2} N between {ahead} and {behind}.",
            force.abs()
        )
        .unwrap_or_default();
    }
    said
}

fn legend(coupled: &[Coupled]) -> Markup {
    html! { ul.key aria-label="How couplings stand" { @for own in SHOWN { li {
        (key(own)) span { (word(own)) ": " b data-coupled=(Coupled::ALL.iter().position(|each| *each == own).unwrap_or(0)) {
            (count(coupled, own)) } }
    } } } }
}

fn moments(play: &Play, wanted: &Wanted) -> Markup {
    let (answer, consist) = (&play.answer, &play.consist);
    let solution = &answer.played.solution;
    let hardest = [
        solution.hardest_draft().map(|own| own.1.draft_time),
        solution.hardest_buff().map(|own| own.1.buff_time),
    ];
    let hardest = hardest
        .into_iter()
        .flatten()
        .zip(words::hardest(answer, consist));
    let apart = solution.partings.iter().map(|own| own.time);
    let others: Vec<(f64, String)> = hardest
        .chain(apart.zip(words::partings(answer, consist)))
        .collect();
    html! { section { h2 { "Worst moments" }
        ol.spots { @for (spot, margin) in &answer.spots { li {
            a.spot href=(wanted.at(margin.time)) data-time=(margin.time) {
                strong { (number(spot.margin())) } " " (words::moment(spot, margin, consist)) }
        } } }
        ul.spots { @for (time, said) in &others { li {
            a.spot href=(wanted.at(*time)) data-time=(time) { (page::sentence(said)) } } } }
    } }
}

fn happens(play: &Play) -> Markup {
    let answer = &play.answer;
    html! { section { h2 { "What happens" }
        ul { @for change in &answer.scene.changes { li { (page::sentence(&words::done(change))) } } }
        p.more { (page::sentence(&words::assumed(answer))) }
        p.more { "Pictures stand " (format!("{:.0} ms", 1e3 * between(play))) " apart; the hardest moments are kept between them." }
    } }
}

fn between(play: &Play) -> f64 {
    let times = &play.answer.played.solution.samples.time;
    times
        .windows(2)
        .next()
        .map_or(0.0, |pair| pair[1] - pair[0])
}

/// Everything at one moment as a table.
fn table(play: &Play, picture: usize, coupled: &[Coupled]) -> Markup {
    let samples = &play.answer.played.solution.samples;
    let (places, speeds) = (samples.places(picture), samples.speeds(picture));
    let forces = samples.forces(picture);
    let signed = |value: f64, decimals: usize| format!("{value:.decimals$}").replace('-', "−");
    html! { section { details { summary { "The train as a table" }
        p { "At " (format!("{:.2} s", samples.time[picture])) "." }
        div.scroll role="region" aria-label="The train" tabindex="0" { table.train {
            tr { th { "Place" } th { "Vehicle" } th { "Middle at, m" } th { "Speed, m/s" } th { "Coupling behind" }
                th { "Force behind, N" } th { "Least margin of the scene" } }
            @for (index, member) in play.consist.members.iter().enumerate() { tr data-name=(member.name) {
                td.number { (index + 1) }
                td { (who(member).trim_end_matches(',')) }
                td.number { (signed(places[index], 2)) }
                td.number { (signed(speeds[index], 3)) }
                td { (coupled.get(index).map_or("", |own| word(*own))) }
                td.number { (forces.get(index).map_or_else(String::new, |own| signed(*own, 2))) }
                td.number { (play.answer.played.margins[index].map_or_else(String::new, |own| number(own.margin()))) }
            } }
        } }
    } } }
}
