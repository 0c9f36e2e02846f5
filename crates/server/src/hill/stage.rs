//! The train on its line at one place of the head, or two trains at the same place beside each other:
//! drawings, the place of the head, and what bears on every vehicle there.
//!
//! The page's script finds each train's parts by their `data-stage`.

use gradeworthy_reports::climb::words;
use gradeworthy_train::margins::{Mode, Use};
use gradeworthy_train::sweep::Snapshot as There;
use maud::{Markup, html};

use super::climb::Climb;
use super::climb_page::{Wanted, two};
use super::picture::{Bars, Drawn, View};
use crate::jobs::JobId;
use crate::refusal::Refusal;

/// A climb at a place of the head.
pub(crate) struct Stage<'a> {
    climb: &'a Climb,
    job: JobId,
    pub(crate) there: There,
    /// The vehicle that is marked.
    limiting: usize,
}

impl<'a> Stage<'a> {
    /// The train with its head at a place, or as near to it as it comes.
    pub(crate) fn at(
        climb: &'a Climb,
        job: JobId,
        head_s: f64,
        limiting: Option<usize>,
    ) -> Result<Self, Refusal> {
        Ok(Self {
            climb,
            job,
            there: climb.there(head_s)?,
            limiting: limiting.unwrap_or(climb.answer.margin.worst.vehicle),
        })
    }

    fn drawing(&self, number: usize, is_one_of_two: bool) -> Markup {
        let climb = self.climb;
        let (drawn, said) = (drawn(self), place_in_words(climb, &self.there));
        let view = View {
            findings: &climb.line.findings,
            train: &drawn,
            ..View::of(&climb.line.alignment, climb.places(), &said)
        };
        html! {
            div.stage data-stage=(number) {
                @if is_one_of_two {
                    h2 { (climb.question.make_up.name) }
                    p { (chip(climb)) }
                    (view.show_slim())
                } @else { (view.show()) }
            }
        }
    }

    fn charts(&self, number: usize, scale: (f64, f64), is_one_of_two: bool) -> Markup {
        let climb = self.climb;
        let names: Vec<&str> = climb
            .consist
            .members
            .iter()
            .map(|own| own.name.as_str())
            .collect();
        let forces = &self.there.balance.forces;
        let forces = &forces[..self.there.uses.len().min(forces.len())];
        let margins: Vec<f64> = self.there.uses.iter().map(left).collect();
        let forces = Bars {
            name: "Coupler force ahead of each vehicle: draft up, buff down",
            class: "force",
            values: forces,
            most: scale.0,
            below: scale.1,
            asked: None,
        };
        let lefts = Bars {
            name: "Margin of each vehicle here, and what is asked (dashed)",
            class: "left",
            values: &margins,
            most: 1.0,
            below: 0.35,
            asked: Some(climb.answer.asked.least_margin),
        };
        html! {
            div.charts data-stage=(number) data-film={ "/api/hill/climbs/" (self.job) "/film" }
                data-least=(climb.answer.asked.least_margin) data-names=(names.join("|")) {
                @if is_one_of_two { h3 { (climb.question.make_up.name) } }
                p.where aria-live="polite" { (place_in_words(climb, &self.there)) }
                (forces.show()) (lefts.show())
            }
        }
    }
}

/// The drawings with one place of the head for all of them, and the charts under it.
pub(crate) fn show(stages: &[Stage<'_>], wanted: Wanted) -> Markup {
    let two_of_them = stages.len() > 1;
    let scale = forces(stages);
    let (first, last) = reach(stages);
    let at = stages.first().map_or(0.0, |own| own.there.head_s);
    let class = if two_of_them { "pair" } else { "single" };
    html! {
        section.climb {
            div class=(class) { @for (number, own) in stages.iter().enumerate() { (own.drawing(number, two_of_them)) } }
            form.run method="get" action="/hill/climb" data-first=(first) data-last=(last) {
                input type="hidden" name="line" value=(wanted.line);
                input type="hidden" name="train" value=(wanted.train);
                @if let Some(with) = wanted.with { input type="hidden" name="with" value=(with); }
                label.field { span { "Place of the head, m" }
                    input.at type="number" name="at" step="0.01" min=(two(first)) max=(two(last)) value=(two(at)); }
                button.go { "Put the train there" }
            }
            div class=(class) { @for (number, own) in stages.iter().enumerate() {
                (own.charts(number, scale, two_of_them)) } }
        }
    }
}

/// From where to where the heads can be.
fn reach(stages: &[Stage<'_>]) -> (f64, f64) {
    let heads = stages.iter().flat_map(|own| {
        let heads = &own.climb.passage.head_s;
        heads.first().into_iter().chain(heads.last()).copied()
    });
    let both = heads.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
        (a.min(v), b.max(v))
    });
    if both.0.is_finite() { both } else { (0.0, 0.0) }
}

/// One scale of force for both, so that bars can be compared: the greatest of all climbs, and how far below
/// the axis the bars reach, as a part of that.
fn forces(stages: &[Stage<'_>]) -> (f64, f64) {
    let all = stages.iter().flat_map(|own| &own.climb.passage.force_n);
    let (least, most) = all.fold((0.0_f32, 0.1_f32), |(least, most), own| {
        (least.min(*own), most.max(own.abs()))
    });
    let below = f64::from(least / most).abs();
    (f64::from(most), below.max(0.15))
}

/// The verdict in a few words, with a sign.
pub(crate) fn chip(climb: &Climb) -> Markup {
    let (class, sign, word) = if climb.margin() < 0.0 {
        ("bad", "✕", "a limit is passed")
    } else if climb.is_enough() {
        ("fit", "✓", "at or above what is asked")
    } else {
        ("watch", "△", "below what is asked")
    };
    html! { span class={ "chip " (class) } { span aria-hidden="true" { (sign) }
    " margin " (words::number(climb.margin())) ", " (word) } }
}

/// How each vehicle is drawn: its kind and how much is left for it here.
fn drawn(stage: &Stage<'_>) -> Vec<Drawn> {
    let (climb, there, limiting) = (stage.climb, &stage.there, stage.limiting);
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
pub(crate) fn left(uses: &[Use; Mode::ALL.len()]) -> f64 {
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
