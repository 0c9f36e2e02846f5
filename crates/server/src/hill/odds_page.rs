//! The odds of a trip as a page: how likely trouble is and between what that lies, what it comes from, what
//! was drawn, a second make-up beside it, and which measurement would tell most.

use axum::Extension;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use gradeworthy_reports::climb::odds::{
    CONFIDENCE, NARROW_TRIPS, SpreadTold, TRIPS, causes, headline, measurements, spreads,
};
use gradeworthy_reports::climb::words;
use gradeworthy_store::HillKind;
use maud::{Markup, html};
use serde::Deserialize;

use super::climb_page::believe;
use super::odds::{Asked as Question, Found, Numbers, TRIPS_MOST};
use super::waiting::on_its_way;
use crate::App;
use crate::guard::Caller;
use crate::page::{self, choice};
use crate::refusal::Refusal;
use crate::request::Asked;

/// What is looked at.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Wanted {
    line: i64,
    train: i64,
    /// Another make-up to compare with; empty for none.
    #[serde(default)]
    with: String,
    trips: Option<usize>,
    seed: Option<u64>,
    /// 'yes' to say which measurement would narrow the odds.
    #[serde(default)]
    narrow: String,
}

impl Wanted {
    fn numbers(&self) -> Result<Numbers, Refusal> {
        let with = match self.with.as_str() {
            "" => None,
            own => Some(own.parse().map_err(|_| {
                let fault = format!("'{own}' is no make-up to compare with: choose one");
                Refusal::Hill {
                    faults: vec![fault],
                }
            })?),
        };
        Ok(Numbers {
            line: self.line,
            make_up: self.train,
            with,
            trips: self.trips,
            seed: self.seed,
            narrow: self.narrow == "yes",
        })
    }
}

/// The page; while the trips are drawn, how far they are.
pub(crate) async fn odds(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Refusal> {
    app.wait(move |app| {
        let job = Question::read(app, wanted.numbers()?)?.start(app, &caller)?;
        let Some(found) = job.found::<Found>() else {
            let both = (wanted.line, wanted.train);
            return Ok(on_its_way(app, &caller, both, &job, "of the trips drawn"));
        };
        let (question, side) = (&found.asked.first, &found.first);
        let body = html! {
            (show(&found))
            (ask(app, &wanted)?)
            (drawn(&spreads(&side.consist)))
            (believe(&bench(&found)))
            section { h2 { "Go on" } p.row {
                a.button.quiet href={ "/hill/climb?line=" (wanted.line) "&train=" (wanted.train) } { "Its climb" }
                a.button.quiet href={ "/hill/trains/" (wanted.train) } { "Change the make-up" }
            } }
        };
        let title = format!("Odds of {} on {}", side.name, question.line.name);
        Ok(page::room(app, &caller, &title, "/hill", &body).into_response())
    })
    .await
}

/// Cars that may not run stand first; what the bench has to say belongs to the climb.
fn bench(found: &Found) -> Vec<String> {
    let seats = found.asked.first.seats.iter();
    seats.filter_map(super::stock::Seat::trouble).collect()
}

fn show(found: &Found) -> Markup {
    let (answer, consist) = (&found.first.answer, &found.first.consist);
    let quantile = |p| answer.odds.margin_quantile(p).map(words::number);
    let quantiles = quantile(0.05).zip(quantile(0.5)).zip(quantile(0.95));
    html! {
        p.headline { (page::sentence(&headline(answer))) }
        (scale(found))
        p.more { "Trouble: any limit is passed somewhere on the way. The interval is the exact one: it misses the true "
            "odds in at most " (format!("{:.0}", 100.0 * (1.0 - CONFIDENCE))) " of a hundred such questions, given the spreads below. "
            "A crawling train with its couplings stretched; margins against models, no promise." }
        @if let Some(compared) = found.compared() {
            section #compared { h2 { "The two make-ups" }
                ul { @for said in compared.sentences() { li { (page::sentence(&said)) } } }
                p.more { "Both meet the same evenings: the same rail, and the same error of each car wherever it stands." }
            }
        }
        section { h2 { "What goes wrong" }
            @if answer.odds.troubled() == 0 { p { "Nothing, in " (answer.odds.trips.len()) " trips." } }
            @else { ul { @for said in causes(answer, consist) { li { (page::sentence(&said)) } } } }
            @if let Some(((low, middle), high)) = quantiles {
                p { "The margin is " (middle) " in the middle of all trips, below " (low) " in one of twenty and above "
                    (high) " in one of twenty." }
            }
        }
        @if answer.asked.narrow {
            section #narrow { h2 { "Measure next" }
                ul { @for said in measurements(answer) { li { (page::sentence(&said)) } } } }
        }
    }
}

/// The probabilities with their intervals, drawn on one scale.
fn scale(found: &Found) -> Markup {
    let sides: Vec<_> = std::iter::once(&found.first).chain(&found.second).collect();
    let all: Vec<_> = sides
        .iter()
        .map(|own| own.answer.odds.probability(CONFIDENCE))
        .collect();
    let most = all.iter().fold(0.0_f64, |most, own| most.max(own.high));
    // The scale ends at the next round percentage.
    let steps = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0];
    let until = steps.into_iter().find(|own| *own >= most).unwrap_or(1.0);
    let x = |part: f64| format!("{:.1}", 30.0 + 940.0 * part / until);
    let heights = (0_u32..).map(|k| 40.0 + 56.0 * f64::from(k));
    let bottom = 34 + 56 * sides.len();
    let said = all.iter().zip(&sides).map(|(own, side)| {
        format!(
            "{}: {:.1} %, between {:.1} and {:.1} %",
            side.name,
            100.0 * own.estimate,
            100.0 * own.low,
            100.0 * own.high
        )
    });
    let said: Vec<_> = said.collect();
    html! {
        div.scroll.drawn role="region" aria-label="Probability of trouble" tabindex="0" {
            svg.hill.odds viewBox={ "0 0 1000 " (bottom + 30) } role="img" aria-label=(said.join("; ")) {
                line.axis x1=(x(0.0)) x2=(x(until)) y1=(bottom) y2=(bottom) {}
                @for k in 0..=4_u32 { @let part = until * f64::from(k) / 4.0;
                    line.axis x1=(x(part)) x2=(x(part)) y1=(bottom - 12) y2=(bottom) {}
                    text x=(x(part)) y=(bottom + 22) text-anchor="middle" { (tick(part)) }
                }
                @for ((y, own), said) in heights.zip(&all).zip(&said) {
                    text x="36" y=(y - 14.0) { (said) }
                    line.between x1=(x(own.low)) x2=(x(own.high)) y1=(y + 6.0) y2=(y + 6.0) {}
                    @for end in [own.low, own.high] { line.between x1=(x(end)) x2=(x(end)) y1=(y - 3.0) y2=(y + 15.0) {} }
                    circle.estimate cx=(x(own.estimate)) cy=(y + 6.0) r="8" {}
                }
            }
        }
    }
}

/// A part in per cent, without idle zeros.
fn tick(part: f64) -> String {
    let text = format!("{:.4}", 100.0 * part);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{text} %")
}

/// Another number of trips, another make-up beside it, the measurements.
fn ask(app: &App, wanted: &Wanted) -> Result<Markup, Refusal> {
    let all = app.store().snapshot()?.hill(HillKind::MakeUp)?;
    let others = all.iter().filter(|own| own.item != wanted.train);
    let others = others.map(|own| (own.item.to_string(), own.name.to_string()));
    let none = (String::new(), "none".to_owned());
    let named: Vec<_> = std::iter::once(none).chain(others).collect();
    let narrow = [("", "no"), ("yes", "yes")];
    Ok(html! { section { h2 { "Ask again" }
        form.row method="get" action="/hill/odds" {
            input type="hidden" name="line" value=(wanted.line);
            input type="hidden" name="train" value=(wanted.train);
            label.field { span { "Trips" } input type="number" name="trips" min="1" max=(TRIPS_MOST)
                value=(wanted.trips.unwrap_or(TRIPS)); }
            (choice("Compare with", "with", &wanted.with, named.iter().map(|(item, name)| (item.as_str(), name.as_str()))))
            (choice("Which measurement would narrow it", "narrow", &wanted.narrow, narrow))
            label.field { span { "Seed: the same one meets the same chance" }
                input type="number" name="seed" min="0" value=(wanted.seed.unwrap_or(1)); }
            button { "Draw the trips" }
        }
        p.more { "Ten times the trips make the interval about three times narrower. The measurements are compared by "
            (NARROW_TRIPS) " trips each at the most, which takes some ten times as many again." }
    } })
}

/// Everything that was drawn, and how far each may lie.
fn drawn(spreads: &[SpreadTold]) -> Markup {
    let table = |shared: bool, caption: &str| {
        let rows: Vec<_> = spreads.iter().filter(|own| own.shared == shared).collect();
        html! {
            h3 { (caption) }
            div.scroll role="region" aria-label=(caption) tabindex="0" { table {
                tr { th { "What" } th { "Vehicles" } th { "How far it may lie" } }
                @for own in rows { tr { td { (own.quantity) } td.number { (own.vehicles) } td { (own.said) } } }
            } }
        }
    };
    html! { section { h2 { "What was drawn in every trip" }
        p { "The odds are as good as these spreads. What is assumed says so; what a club measures itself counts instead." }
        (table(true, "The same for the whole train, once a trip"))
        details { summary { "Drawn for each vehicle" } (table(false, "For each vehicle by itself")) }
    } }
}
