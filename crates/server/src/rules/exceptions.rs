//! Exceptions before they lapse: until when each holds, and how many cars would be bad order without it.

use std::sync::Arc;

use gradeworthy_workbench::rules::{Exception, RuleBook};
use maud::{Markup, html};

use crate::App;
use crate::held::Known;
use crate::refusal::Refusal;
use crate::request::encoded;
use crate::words::days_between;

/// Days before its end from which an exception is marked. ASSUMED: two months give every owner two work nights.
const SOON_DAYS: i32 = 60;

/// An exception with the cars it concerns.
struct Concerned<'a> {
    exception: &'a Exception,
    /// Cars that carry the tag.
    carry: usize,
    /// Of all cars, those that would be bad order without it.
    need: usize,
    /// Days until its last day; negative after it.
    days: Option<i32>,
}

pub(super) fn section(app: &App, rules: &RuleBook) -> Result<Markup, Refusal> {
    app.with_fleet(|known| {
        let mut list: Vec<Concerned<'_>> = rules
            .exceptions
            .iter()
            .map(|exception| concerned(app, known, rules, exception))
            .collect();
        list.sort_by_key(|own| own.days.unwrap_or(i32::MAX));
        Ok(html! {
            section {
                h2 { "Exceptions" }
                @if list.is_empty() { p { "The rule book excuses no car." } }
                ul.lines { @for own in &list { li {
                    strong { (own.exception.tag) }
                    p { (when(own)) ": "
                        a href={ "/fleet?tag=" (encoded(&own.exception.tag)) } { (cars(own.carry)) }
                        " with this tag, " (own.need) " would be bad order without it" }
                    span.more { (own.exception.note) " · " (own.exception.authority) }
                } } }
            }
        })
    })
}

fn cars(count: usize) -> String {
    if count == 1 {
        "1 car".to_owned()
    } else {
        format!("{count} cars")
    }
}

fn when(own: &Concerned<'_>) -> String {
    match own.days {
        None => "without a last day".to_owned(),
        Some(days) if days < 0 => format!("lapsed {} days ago", -days),
        Some(0) => "△ lapses after today".to_owned(),
        Some(1) => "△ lapses in 1 day".to_owned(),
        Some(days) if days <= SOON_DAYS => format!("△ lapses in {days} days"),
        Some(days) => format!("lapses in {days} days"),
    }
}

fn concerned<'a>(
    app: &App,
    known: &Known,
    rules: &RuleBook,
    exception: &'a Exception,
) -> Concerned<'a> {
    let tagged: Vec<_> = (0..known.fleet.cars().len())
        .filter(|row| known.fleet.cars()[*row].car.has_tag(&exception.tag))
        .collect();
    let mut without = rules.clone();
    without.exceptions.retain(|own| own.tag != exception.tag);
    let answer = known.fleet.what_if(&Arc::new(without), &tagged);
    Concerned {
        exception,
        carry: tagged.len(),
        need: answer.fails().count(),
        days: exception
            .until
            .map(|until| days_between(app.today(), until)),
    }
}
