//! The rule book as a club meets it: the starter reads, mistakes are named, editions compare.
#![expect(
    clippy::panic,
    reason = "a starter that does not read has to stop every test here"
)]

use gradeworthy_standards::Scale;
use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::{
    LimitPlace, Limited, NewException, RuleBook, STARTER, as_edition, compare, set_exception,
    set_limit,
};
use jiff::civil::date;

fn starter() -> RuleBook {
    RuleBook::starter().unwrap_or_else(|error| panic!("{error}"))
}

/// The starter with one passage exchanged, and what the reader says of it.
fn said_of(from: &str, to: &str) -> String {
    assert!(STARTER.contains(from), "the starter no longer says {from}");
    let text = STARTER.replacen(from, to, 1);
    RuleBook::read(&text)
        .expect_err("the change is a mistake")
        .to_string()
}

#[test]
fn the_starter_is_complete_for_ho_and_n() {
    let book = starter();
    for scale in [Scale::HO, Scale::N] {
        let rules = book
            .scale(scale)
            .unwrap_or_else(|| panic!("no rules for {scale}"));
        assert!(rules.wheels.is_some() && rules.weight.is_some(), "{scale}");
        for limited in Limited::all() {
            // Axle length is the shop's own sampler; free play, screw play, side bearings and side
            // balance have no published or customary figure to start from.
            let left_to_the_club = [
                Limited::AxleLength,
                Limited::FreePlay,
                Limited::ScrewPlay,
                Limited::SideBearingGap,
                Limited::SideBalance,
            ];
            let there = rules.limit(None, limited).is_some();
            assert_eq!(
                there,
                !left_to_the_club.contains(&limited),
                "{scale} {limited}"
            );
        }
    }
    assert!(book.scale(Scale::S).is_some() && book.scale(Scale::O).is_some());
}

#[test]
fn every_limit_of_the_starter_says_on_whose_word() {
    for rules in starter().scales {
        let of_classes = rules.classes.iter().flat_map(|class| &class.limits);
        for (limited, limit) in rules.limits.iter().chain(of_classes) {
            let word = limit.authority.to_string();
            assert!(
                word.len() > "published ()".len(),
                "{} {limited}: {word}",
                rules.scale
            );
        }
    }
}

#[test]
fn doubt_reaches_what_rests_on_what_was_disturbed() {
    use gradeworthy_workbench::cures::CureKind;
    let doubt = starter().doubt;
    // Common practice, no source: a changed wheelset puts gauge, fit, roll, seating, heights and
    // weight in doubt, and what rests on those.
    let in_doubt = doubt.in_doubt_after(CureKind::WheelsetChanged);
    for check in [
        Check::Wheelsets,
        Check::AxleFit,
        Check::Spin,
        Check::Seating,
        Check::CouplerHeight,
        Check::Weight,
        Check::Balance,
        Check::CarRoll,
    ] {
        assert!(in_doubt.contains(check), "{check}");
    }
    assert!(!in_doubt.contains(Check::CouplerAction));
    let cleaned = doubt.in_doubt_after(CureKind::WheelsCleaned);
    assert_eq!(
        cleaned.iter().collect::<Vec<_>>(),
        [Check::Spin, Check::CarRoll]
    );
}

#[test]
fn mistakes_are_named_with_line_key_and_remedy() {
    let cases = [
        (
            "tolerance = \"0.010 in\"",
            "tolerance = \"0.010\"",
            "limit.coupler height.tolerance: found '0.010' without a unit; \
             expected a length with its unit",
        ),
        (
            "tolerance = \"0.010 in\"",
            "tolerence = \"0.010 in\"",
            "tolerence: found a key that means nothing here",
        ),
        (
            "min = \"30 deg\"",
            "min = \"30 g\"",
            "'g' measures weight; angle is wanted",
        ),
        (
            "rule = \"prove either\"",
            "rule = \"hope\"",
            "found 'hope'; expected one of 'simple'",
        ),
        (
            "effective = 2026-11-25",
            "effective = \"soon\"",
            "expected a date such as 2026-11-25",
        ),
        (
            "until = 2027-12-31",
            "until = 31",
            "expected a date such as 2026-11-25",
        ),
        (
            "standing = \"club\"",
            "standing = \"gospel\"",
            "found 'gospel'",
        ),
        (
            "waives = [\"balance\"]",
            "waives = [\"paint\"]",
            "found 'paint'; expected one of 'look-over'",
        ),
        ("[scale.N]", "[scale.Q]", "scale.Q: found"),
        (
            "standards = [\"NMRA S-4.2 old\"]",
            "standards = [\"NMRA S-4.2 new\"]",
            "found 'NMRA S-4.2 new'; expected one of 'NMRA S-4.2 old'",
        ),
        (
            "span_clearance = \"0.05 mm\"",
            "span_clearance = \"9 mm\"",
            "no wheelset can meet both",
        ),
        ("format = 1", "format = 2", "format: found 2; expected 1"),
        ("format = 1", "format = ", "the file: found"),
    ];
    for (from, to, said) in cases {
        let error = said_of(from, to);
        assert!(error.contains(said), "{to}\n{error}");
        assert!(error.contains("line "), "{error}");
    }
}

#[test]
fn the_line_of_a_mistake_is_the_line_in_the_file() {
    let error = said_of("tolerance = \"0.010 in\"", "tolerance = \"0.010\"");
    let line = 1 + STARTER
        .lines()
        .position(|line| line == "tolerance = \"0.010 in\"")
        .expect("there");
    assert!(error.contains(&format!("line {line},")), "{line}\n{error}");
}

#[test]
fn two_editions_differ_exactly_in_what_was_changed() {
    let older = starter();
    assert_eq!(compare(&older, &older), []);
    let text = STARTER
        .replacen("tolerance = \"0.010 in\"", "tolerance = \"0.008 in\"", 1)
        .replacen("edition = 1", "edition = 2", 1);
    let newer = RuleBook::read(&text).unwrap_or_else(|error| panic!("{error}"));
    let changes = compare(&older, &newer);
    assert_eq!(changes.len(), 1, "{changes:?}");
    assert_eq!(changes[0].path, "HO / coupler height");
    assert!(
        changes[0]
            .before
            .as_deref()
            .is_some_and(|text| text.contains("9.668 mm"))
    );
    assert!(
        changes[0]
            .after
            .as_deref()
            .is_some_and(|text| text.contains("9.719 mm"))
    );
}

/// A changed text keeps its comments and says the change and nothing else.
#[test]
fn a_limit_and_an_exception_are_changed_in_the_text_and_nothing_else_is() {
    let place = LimitPlace {
        scale: "HO",
        class: None,
        limit: "coupler height",
    };
    let keys = [
        ("tolerance", "0.006 in"),
        ("standing", "club"),
        ("source", ""),
    ];
    let text = set_limit(STARTER, place, &keys).unwrap_or_else(|error| panic!("{error}"));
    assert!(text.starts_with(STARTER.lines().next().expect("a comment")));
    let (old, new) = (
        starter(),
        RuleBook::read(&text).unwrap_or_else(|error| panic!("{error}")),
    );
    let paths: Vec<_> = compare(&old, &new)
        .into_iter()
        .map(|own| own.path)
        .collect();
    assert_eq!(paths, ["HO / coupler height"]);
    // A class that has no such limit of its own gets one.
    let place = LimitPlace {
        class: Some("flat cars"),
        ..place
    };
    let keys = [("min", "9.7 mm"), ("standing", "club")];
    let text = set_limit(&text, place, &keys).unwrap_or_else(|error| panic!("{error}"));
    let exception = NewException {
        tag: "summer visitor",
        waives: &["droop", "coupler height"],
        note: "until it goes home",
        until: Some(date(2027, 9, 30)),
        standing: "club",
        source: "",
    };
    let text = set_exception(&text, &exception).unwrap_or_else(|error| panic!("{error}"));
    let again = set_exception(&text, &exception).unwrap_or_else(|error| panic!("{error}"));
    let text = as_edition(&again, 2, date(2027, 1, 1)).unwrap_or_else(|error| panic!("{error}"));
    let newest = RuleBook::read(&text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    assert_eq!((newest.edition, newest.effective), (2, date(2027, 1, 1)));
    let paths: Vec<_> = compare(&new, &newest)
        .into_iter()
        .map(|own| own.path)
        .collect();
    assert_eq!(
        paths,
        [
            "HO / flat cars / coupler height",
            "exception / summer visitor"
        ]
    );
    let flats = newest.scale(Scale::HO).expect("HO");
    let flats = flats
        .classes
        .iter()
        .find(|own| &*own.name == "flat cars")
        .expect("flats");
    assert!(
        flats
            .limits
            .iter()
            .any(|(own, _)| *own == Limited::CouplerHeight)
    );
}

#[test]
fn what_cannot_be_changed_says_why() {
    let place = LimitPlace {
        scale: "HO",
        class: Some("submarines"),
        limit: "droop",
    };
    let error = set_limit(STARTER, place, &[]).expect_err("no such class");
    assert!(
        error.to_string().contains("class 'submarines' of scale HO"),
        "{error}"
    );
    let error = as_edition("= =", 2, date(2027, 1, 1)).expect_err("no TOML");
    assert!(error.to_string().contains("no TOML"), "{error}");
}
