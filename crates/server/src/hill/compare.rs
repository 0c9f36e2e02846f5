//! Two make-ups on one line: what differs, in a sentence, and the figures in a table.

use std::collections::BTreeSet;

use gradeworthy_reports::climb::words;
use maud::{Markup, html};

use super::climb::Climb;

/// Names that are listed one by one; more are counted.
const LISTED: usize = 4;

/// Which is better, by how much, and what stands elsewhere, in one sentence.
pub(crate) fn difference(one: &Climb, other: &Climb) -> String {
    let names = |climb: &Climb| -> Vec<String> {
        let members = climb.question.order.members.iter();
        members.map(|own| own.name.clone()).collect()
    };
    let (ours, theirs) = (&one.question.make_up.name, &other.question.make_up.name);
    let gain = one.margin() - other.margin();
    let (margin, against) = (words::number(one.margin()), words::number(other.margin()));
    let what = changed(&names(other), &names(one));
    let from = format!("'{theirs}'");
    // Two decimals are shown; what does not show there is no difference.
    let compared = if gain.abs() < 0.005 {
        format!("'{ours}' leaves as much as {from}, {margin}")
    } else {
        let word = if gain > 0.0 { "more" } else { "less" };
        let gain = words::number(gain.abs());
        format!("'{ours}' leaves {gain} {word} than {from}: {margin} against {against}")
    };
    match what {
        Some(what) => format!("{compared}; {what}."),
        None => format!("{compared}; every vehicle stands in the same place."),
    }
}

/// What was done to the first order to make the second; nothing where they are the same.
fn changed(before: &[String], after: &[String]) -> Option<String> {
    let (old, new): (BTreeSet<_>, BTreeSet<_>) = (before.iter().collect(), after.iter().collect());
    let out: Vec<&String> = before.iter().filter(|own| !new.contains(own)).collect();
    let added: Vec<&String> = after.iter().filter(|own| !old.contains(own)).collect();
    let stay = |all: &[String], other: &BTreeSet<&String>| -> Vec<String> {
        all.iter()
            .filter(|own| other.contains(own))
            .cloned()
            .collect()
    };
    let moved = moved(&stay(before, &new), &stay(after, &old));
    let moved: Vec<&String> = moved.iter().collect();
    let mut said = Vec::new();
    match moved.as_slice() {
        [] => {}
        [only] => {
            let place = |all: &[String]| {
                all.iter()
                    .position(|own| own == *only)
                    .map_or(0, |at| at + 1)
            };
            said.push(format!(
                "{only} stands at place {} instead of {}",
                place(after),
                place(before)
            ));
        }
        many => said.push(format!("{} elsewhere", stand(many))),
    }
    if !out.is_empty() {
        said.push(format!("without {}", listed(&out)));
    }
    if !added.is_empty() {
        said.push(format!("with {}", listed(&added)));
    }
    (!said.is_empty()).then(|| said.join(", "))
}

fn stand(names: &[&String]) -> String {
    format!("{} stand", listed(names))
}

fn listed(names: &[&String]) -> String {
    if names.len() > LISTED {
        return format!("{} vehicles", names.len());
    }
    let names: Vec<&str> = names.iter().map(|own| own.as_str()).collect();
    match names.as_slice() {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// The fewest vehicles whose moves make the second order out of the first, of the same vehicles: those
/// outside the longest run of vehicles that keeps its order.
fn moved(before: &[String], after: &[String]) -> Vec<String> {
    let place = |name: &String| before.iter().position(|own| own == name).unwrap_or(0);
    let places: Vec<usize> = after.iter().map(place).collect();
    // For each vehicle the longest run that ends with it, and the one before it in that run.
    let mut best: Vec<(usize, Option<usize>)> = Vec::with_capacity(places.len());
    for (index, own) in places.iter().enumerate() {
        let before = (0..index).filter(|other| places[*other] < *own);
        let longest = before.max_by_key(|other| best[*other].0);
        best.push((longest.map_or(1, |other| best[other].0 + 1), longest));
    }
    let mut kept = BTreeSet::new();
    let mut at = (0..places.len()).max_by_key(|index| best[*index].0);
    while let Some(index) = at {
        kept.insert(index);
        at = best[index].1;
    }
    let rest = after.iter().enumerate();
    rest.filter(|(index, _)| !kept.contains(index))
        .map(|(_, name)| name.clone())
        .collect()
}

/// Two make-ups side by side.
pub(crate) fn beside(one: &Climb, other: &Climb) -> Markup {
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
            } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Vec<String> {
        text.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn what_differs_is_said_as_one_would_say_it_at_the_bench() {
        let check = |before: &str, after: &str, expected: Option<&str>| {
            let said = changed(&names(before), &names(after));
            assert_eq!(said.as_deref(), expected, "{before} to {after}");
        };
        check("L A B C D", "L A B C D", None);
        check(
            "L A B C D",
            "L B C D A",
            Some("A stands at place 5 instead of 2"),
        );
        check(
            "L A B C D",
            "L D A B C",
            Some("D stands at place 2 instead of 5"),
        );
        check(
            "L A B C D E",
            "L C D E A B",
            Some("A and B stand elsewhere"),
        );
        check("L A B C D", "L A C", Some("without B and D"));
        check("L A B", "L A X B", Some("with X"));
        check(
            "L A B C",
            "L C A X",
            Some("C stands at place 2 instead of 4, without B, with X"),
        );
        check("L A B C D E F G", "L", Some("without 7 vehicles"));
    }
}
