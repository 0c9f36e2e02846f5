//! What a changed rule book would do, in words and as lists: shared by a limit tried and a draft tried.

use gradeworthy_fleet::{BenchTimes, Change, WhatIf};
use gradeworthy_reports::words::{System, amount};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::RuleBook;
use maud::{Markup, html};
use serde::Serialize;
use std::sync::Arc;
use utoipa::ToSchema;

use crate::held::Known;
use crate::page;

/// Cars named on a page under one heading; programs get them all. ASSUMED: more are read by nobody.
const NAMED: usize = 200;

/// How long the cars that would fail will keep the benches.
struct BenchTime {
    seconds: f64,
    /// Checks whose time is assumed, as the record does not tell it.
    assumed: Vec<Check>,
    learned: Vec<Check>,
}

impl BenchTime {
    /// Each check that would fail is cured and made once more; the cure's own time is not known.
    fn of(answer: &WhatIf, times: &BenchTimes) -> Self {
        let mut counts = [0_u32; Check::ALL.len()];
        for change in answer.fails() {
            for (check, _, after) in change.checks() {
                counts[check as usize] += u32::from(after == Verdict::BadOrder);
            }
        }
        let needed = |check: &Check| counts[*check as usize] > 0;
        let needed = Check::ALL.into_iter().filter(needed);
        let (learned, assumed): (Vec<_>, Vec<_>) =
            needed.partition(|check| times.of(*check).learned_from > 0);
        let all = learned.iter().chain(&assumed);
        let seconds = all.map(|own| times.of(*own).seconds * f64::from(counts[*own as usize]));
        Self {
            seconds: seconds.sum(),
            assumed,
            learned,
        }
    }

    fn words(&self, times: &BenchTimes) -> String {
        if self.seconds <= 0.0 {
            return "No car would have to come to the bench.".to_owned();
        }
        let minutes = (self.seconds / 60.0).ceil();
        let spent = if minutes < 120.0 {
            format!("{minutes:.0} minutes")
        } else {
            format!("{:.1} hours", minutes / 60.0)
        };
        let mut text = format!(
            "Making the failing checks once more takes some {spent} at the bench, cures not counted, \
             since the record does not hold how long they take."
        );
        for check in &self.learned {
            let own = times.of(*check);
            text += &format!(
                " {check}: {:.0} s a car, the median of {} times in the record.",
                own.seconds, own.learned_from
            );
        }
        if !self.assumed.is_empty() {
            let names: Vec<_> = self.assumed.iter().map(|own| own.name()).collect();
            text += &format!(
                " {}: assumed to take {:.0} s a car, as the record does not tell.",
                names.join(", "),
                gradeworthy_fleet::ASSUMED_CHECK_SECONDS
            );
        }
        text
    }
}

fn cars(count: usize) -> String {
    if count == 1 {
        "1 car".to_owned()
    } else {
        format!("{count} cars")
    }
}

/// The answer in one sentence.
fn sentence(answer: &WhatIf) -> String {
    let (fails, comes_back) = (answer.fails().count(), answer.comes_back().count());
    let others = answer.others().count();
    format!(
        "{} would fail, {} would come back, {} would have another verdict in some check; {} would stay as they are.",
        cars(fails),
        cars(comes_back),
        cars(others),
        answer.cars - answer.changes.len()
    )
}

/// The answer as a part of a page.
pub(crate) fn show(known: &Known, answer: &WhatIf, book: &Arc<RuleBook>) -> Markup {
    let time = BenchTime::of(answer, &known.times);
    html! {
        p role="status" { strong { (sentence(answer)) } }
        p { (time.words(&known.times)) }
        (list(known, "They would fail", answer.fails(), book))
        (list(known, "They would come back", answer.comes_back(), book))
        (list(known, "They would have another verdict in some check", answer.others(), book))
    }
}

fn list<'a>(
    known: &Known,
    title: &str,
    changes: impl Iterator<Item = &'a Change>,
    book: &Arc<RuleBook>,
) -> Markup {
    let changes: Vec<_> = changes.collect();
    if changes.is_empty() {
        return html! {};
    }
    let fails = changes[0].fails();
    html! {
        section {
            details open[changes.len() <= 50] {
                summary { h2 { (title) ": " (cars(changes.len())) } }
                ul.list { @for change in changes.iter().take(NAMED) {
                    @let own = &known.fleet.cars()[change.row];
                    li { a.car href={ "/cars/" (own.facts.key) } {
                        span.mark { (own.car.mark) }
                        span.what {
                            @for (index, (check, before, after)) in change.checks().enumerate() {
                                @if index > 0 { "; " } (check) " " (before) " → " (after) }
                            @if fails { span.more { " " (why(known, change, book)) } }
                        }
                        span.where { (page::verdict(change.before.verdict)) " → " (page::verdict(change.after.verdict)) }
                    } }
                } }
                @if changes.len() > NAMED { p { "And " (changes.len() - NAMED) " more; the answer for programs has them all." } }
            }
        }
    }
}

/// The readings on which a car would fail, with what is missing to the limit.
fn why(known: &Known, change: &Change, book: &Arc<RuleBook>) -> String {
    let under = gradeworthy_fleet::Under {
        book: Arc::clone(book),
        ..known.fleet.under().clone()
    };
    let inspection = known.fleet.inspection(&under, change.row);
    let failing = |check: Check| change.checks().any(|(own, _, _)| own == check);
    let lines = inspection
        .lines
        .iter()
        .filter(|line| line.verdict == Verdict::BadOrder && failing(line.check));
    let said = lines.filter_map(|line| {
        let reading = amount(line.reading?, System::Both);
        Some(format!("{} {}: {reading}", line.place, line.aspect))
    });
    said.take(3).collect::<Vec<_>>().join("; ")
}

/// A car whose verdicts would be others.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ChangeJson {
    /// Identity.
    car: i64,
    /// Marks and number.
    mark: String,
    /// The verdict as it is.
    before: String,
    /// The verdict as it would be.
    after: String,
    /// The checks that would change, each with both verdicts.
    checks: Vec<CheckChangeJson>,
}

/// A check whose verdict would be another.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CheckChangeJson {
    /// The check.
    check: String,
    /// Its verdict as it is.
    before: String,
    /// Its verdict as it would be.
    after: String,
}

/// What a changed rule book would do.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct OutcomeJson {
    /// Cars looked at.
    cars: usize,
    /// Cars of which something had to be judged again.
    judged_again: usize,
    /// How many would be bad order and are not.
    fails: usize,
    /// How many are bad order and would not be.
    comes_back: usize,
    /// Seconds at the bench that making the failing checks once more takes.
    bench_seconds: f64,
    /// Checks whose time was assumed and not learned from the record.
    assumed_times: Vec<String>,
    /// Every car whose verdicts would be others.
    changes: Vec<ChangeJson>,
}

impl OutcomeJson {
    pub(crate) fn of(known: &Known, answer: &WhatIf) -> Self {
        let time = BenchTime::of(answer, &known.times);
        let check = |(check, before, after): (Check, Verdict, Verdict)| CheckChangeJson {
            check: check.name().to_owned(),
            before: before.word().to_owned(),
            after: after.word().to_owned(),
        };
        let change = |own: &Change| {
            let car = &known.fleet.cars()[own.row];
            ChangeJson {
                car: car.facts.key,
                mark: car.car.mark.to_string(),
                before: own.before.verdict.word().to_owned(),
                after: own.after.verdict.word().to_owned(),
                checks: own.checks().map(check).collect(),
            }
        };
        let assumed = time.assumed.iter();
        Self {
            cars: answer.cars,
            judged_again: answer.judged_again,
            fails: answer.fails().count(),
            comes_back: answer.comes_back().count(),
            bench_seconds: time.seconds,
            assumed_times: assumed.map(|own| own.name().to_owned()).collect(),
            changes: answer.changes.iter().map(change).collect(),
        }
    }
}
