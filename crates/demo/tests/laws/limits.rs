//! A tighter limit never betters a verdict, and a worse instrument never makes a car fit.

use gradeworthy_demo::rule_book;
use gradeworthy_units::{Length, Mass};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::Inspection;
use gradeworthy_workbench::record::{Answer, Check, Measure, Record, Value};
use gradeworthy_workbench::rules::{Limit, RuleBook};

use crate::given::{Club, Draw, cars, times};

/// A fifth of the way in from either limit.
fn tighten(limit: &mut Limit, part: f64) {
    match (limit.lower, limit.upper) {
        (Some(lower), Some(upper)) => {
            let (low, high) = (lower.base(), upper.base());
            let by = part * (high - low) / 2.0;
            limit.lower = Some(times(lower, (low + by) / low));
            limit.upper = Some(times(upper, (high - by) / high));
        }
        (Some(lower), None) => limit.lower = Some(times(lower, 1.0 + part)),
        (None, Some(upper)) => limit.upper = Some(times(upper, 1.0 - part)),
        (None, None) => {}
    }
}

fn limits(book: &mut RuleBook) -> impl Iterator<Item = &mut Limit> {
    book.scales.iter_mut().flat_map(|scale| {
        let own = scale.limits.iter_mut();
        let classes = scale.classes.iter_mut().flat_map(|class| &mut class.limits);
        own.chain(classes).map(|(_, limit)| limit)
    })
}

/// Every line, check and the car itself: none is better under the second inspection.
fn none_better(record: &Record, loose: &Inspection, tight: &Inspection) {
    assert_eq!(loose.lines.len(), tight.lines.len(), "{}", record.car.mark);
    for (one, other) in loose.lines.iter().zip(&tight.lines) {
        assert_eq!((one.aspect, one.place), (other.aspect, other.place));
        assert!(
            other.verdict >= one.verdict,
            "{}: {one:?} {other:?}",
            record.car.mark
        );
    }
    for check in Check::ALL {
        assert!(
            tight.of(check) >= loose.of(check),
            "{}: {check}: {} became {}",
            record.car.mark,
            loose.of(check),
            tight.of(check)
        );
    }
    assert!(tight.verdict >= loose.verdict, "{}", record.car.mark);
}

/// Cars as they are, with tags that are excused things, with readings missing and with stale ones.
fn tagged() -> impl Iterator<Item = Record> {
    let mut draw = Draw::of(5);
    cars(250).map(move |mut record| {
        if draw.below(2) == 0 {
            record
                .car
                .tags
                .push(["collector", "open top", "grandfathered"][draw.below(3)].into());
        }
        if draw.below(2) == 0 {
            let gone = draw.below(record.entries.len());
            record.entries.remove(gone);
        }
        if draw.below(3) == 0 {
            let kinds = gradeworthy_workbench::cures::CureKind::ALL;
            let after_entries = draw.below(record.entries.len());
            record.note_done(kinds[draw.below(kinds.len())], None);
            record.done[0].after_entries = after_entries;
        }
        record
    })
}

#[test]
fn tightening_a_limit_never_betters_a_verdict() {
    let loose = Club::demo();
    let mut tight = Club::demo();
    limits(&mut tight.book).for_each(|limit| tighten(limit, 0.2));
    let weight = tight
        .book
        .scales
        .iter_mut()
        .filter_map(|scale| scale.weight.as_mut());
    for rule in weight {
        rule.under = Mass::from_grams_rounded(rule.under.grams() * 0.6).expect("small");
        rule.over = rule
            .over
            .and_then(|over| Mass::from_grams_rounded(over.grams() * 0.6));
    }
    let mut worse = 0;
    for record in tagged() {
        let (one, other) = (loose.inspect(&record), tight.inspect(&record));
        none_better(&record, &one, &other);
        worse += usize::from(
            one.lines
                .iter()
                .map(|line| line.verdict)
                .ne(other.lines.iter().map(|line| line.verdict)),
        );
    }
    assert!(worse > 200, "{worse}");
}

#[test]
fn tightening_the_wheel_rules_never_betters_a_verdict() {
    let loose = Club::demo();
    let text = rule_book();
    for (from, to) in [
        (
            "span_clearance = \"0.05 mm\"",
            "span_clearance = \"0.15 mm\"",
        ),
        (
            "gauge_clearance = \"0 mm\"",
            "gauge_clearance = \"0.05 mm\"",
        ),
        ("tread_support = \"0.25 mm\"", "tread_support = \"0.60 mm\""),
        (
            "flange_clearance = \"0 mm\"",
            "flange_clearance = \"0.20 mm\"",
        ),
        (
            "check_gauge_min = \"0.592 in\"",
            "check_gauge_min = \"0.596 in\"",
        ),
        ("caution = \"0.02 mm\"", "caution = \"0.08 mm\""),
    ] {
        let book = text.replacen(from, to, 1);
        assert_ne!(book, text, "the demo's book no longer says {from}");
        let book = RuleBook::read(&book).unwrap_or_else(|error| panic!("{error}"));
        let tight = Club {
            book,
            ..Club::demo()
        };
        for record in cars(100) {
            none_better(&record, &loose.inspect(&record), &tight.inspect(&record));
        }
    }
}

#[test]
fn a_worse_instrument_never_makes_a_reading_fit() {
    let fine = Club::demo();
    let mut coarse = Club::demo();
    for own in &mut coarse.book.instruments {
        own.uncertainty = times(own.uncertainty, 3.0);
    }
    for limit in limits(&mut coarse.book) {
        limit.uncertainty = limit.uncertainty.map(|own| times(own, 3.0));
    }
    let mut fewer = 0;
    for record in cars(250) {
        let (one, other) = (fine.inspect(&record), coarse.inspect(&record));
        assert_eq!(one.lines.len(), other.lines.len());
        for (one, other) in one.lines.iter().zip(&other.lines) {
            assert!(
                other.verdict != Verdict::Fit || one.verdict == Verdict::Fit,
                "{one:?} {other:?}"
            );
            fewer += usize::from(one.verdict != other.verdict);
        }
    }
    assert!(fewer > 500, "{fewer}");
}

/// Every reading counts with the instrument it was read with, not with its neighbour's.
#[test]
fn no_line_ignores_the_instrument_of_a_reading_it_rests_on() {
    let club = Club::demo();
    let mut rough = Club::demo();
    let mut poor = rough.book.instruments[0].clone();
    poor.name = "wooden rule".into();
    poor.uncertainty = Length::from_hundredths_mm(40).into();
    rough.book.instruments.push(poor);
    let record = gradeworthy_demo::STORIES[0].record(gradeworthy_demo::SEED);
    for measure in [
        Measure::BackToBack,
        Measure::FlangeThickness,
        Measure::TireWidth,
    ] {
        let mut other = record.clone();
        for entry in &mut other.entries {
            if entry.measure == measure {
                entry.instrument = Some("wooden rule".into());
            }
        }
        let (one, other) = (club.inspect(&record), rough.inspect(&other));
        let moved = one.lines.iter().zip(&other.lines);
        let moved = moved
            .filter(|(one, other)| one.conformity != other.conformity)
            .count();
        assert!(
            moved > 0,
            "{measure} by a wooden rule is judged as if by a caliper"
        );
    }
}

/// An excuse is for what is bad order, not for what nobody read or what is stale.
#[test]
fn an_excuse_does_not_hide_what_was_not_read() {
    let club = Club::demo();
    let mut record = gradeworthy_demo::STORIES[0].record(gradeworthy_demo::SEED);
    record.car.tags = vec!["collector".into()];
    let mut last = record.entries.iter_mut().rev();
    let knuckle = last
        .find(|entry| entry.measure == Measure::Knuckle)
        .expect("read");
    knuckle.value = Value::Answer(Answer::Poor);
    assert_eq!(
        club.inspect(&record).of(Check::CouplerAction),
        Verdict::Watch
    );
    // The trip pin of one end alone is a check half done.
    let pin = record
        .entries
        .iter()
        .position(|entry| entry.measure == Measure::TripPin);
    record.entries.remove(pin.expect("read"));
    assert_eq!(
        club.inspect(&record).of(Check::CouplerAction),
        Verdict::NotChecked
    );
}
