//! What a changed book would do, the quick way and by judging everything again.

use std::sync::Arc;

use gradeworthy_fleet::Fleet;
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use proptest::prelude::*;
use proptest::sample::select;

use super::given::{book_text, fleet, judged, records, under};

/// Passages of the book and what a club might put in their place.
const CHANGES: &[(&str, &str)] = &[
    ("tolerance = \"0.010 in\"", "tolerance = \"0.004 in\""),
    ("tolerance = \"0.010 in\"", "tolerance = \"0.020 in\""),
    ("tightest_radius = \"36 in\"", "tightest_radius = \"18 in\""),
    (
        "\"coupler action\", \"droop\",
  \"coupler height\", \"weight\", \"car roll\",
]
quick",
        "
]
quick",
    ),
    (
        "check_gauge_min = \"0.592 in\"",
        "check_gauge_min = \"0.594 in\"",
    ),
    ("until = 2027-01-01", "until = 2026-11-01"),
    ("until = 2026-10-01", "until = 2027-10-01"),
    (
        "waives = [\"coupler height\", \"droop\"]",
        "waives = [\"droop\"]",
    ),
    ("tag = \"grandfathered\"", "tag = \"open top\""),
    ("rule = \"prove either\"", "rule = \"simple\""),
    ("rule = \"prove either\"", "rule = \"guarded\""),
    ("guard = 1.0", "guard = 1.37"),
    ("guard = 1.0", "guard = 0.0"),
    (
        "[scale.HO.weight]\nkind = \"RP-20.1\"\ntolerance = \"0.5 oz\"",
        "[scale.HO.weight]\nkind = \"RP-20.1\"\ntolerance = \"1/20 oz\"",
    ),
    // Another target.
    (
        "[scale.HO.weight]\nkind = \"RP-20.1\"",
        "[scale.HO.weight]\nkind = \"RP-20.1\"\npercent_of = \"110 %\"",
    ),
    (
        "printed_tire_width = false\ncaution = \"0.02 mm\"",
        "printed_tire_width = false\ncaution = \"0.12 mm\"",
    ),
    // Limits that are printed no more, and one that is a club's own no more.
    ("track = \"NMRA S-3.2 old\"", "track = \"NMRA S-3.2 2010\""),
    ("check_gauge_min = \"0.592 in\"\n", ""),
    // A limit that is gone, and with it every line about it.
    (
        "[scale.HO.limit.\"droop\"]\n\
         max = \"0.010 in\"\n\
         caution = \"0.004 in\"\n\
         uncertainty = \"0.001 in\"\n\
         standing = \"assumed\"\n\
         source = \"the height tolerance itself, so that a drooping head cannot leave it; a \
         published club rule allows a quarter of the knuckle's height\"\n\
         \n",
        "",
    ),
    (
        "\"wheelset changed\" = [\"wheelsets\", \"axle fit\", \"spin\", \"seating\", \"coupler height\", \"weight\"]",
        "\"wheelset changed\" = [\"weight\"]",
    ),
    (
        "[scale.HO.limit.\"wobble\"]\nmax = \"0.10 mm\"",
        "[scale.HO.limit.\"wobble\"]\nmax = \"0.02 mm\"",
    ),
    (
        "[scale.HO.limit.\"end play\"]\nmin = \"0.05 mm\"\nmax = \"0.50 mm\"",
        "[scale.HO.limit.\"end play\"]\nmin = \"0.15 mm\"\nmax = \"0.50 mm\"",
    ),
    ("caution = \"0.02 mm\"", "caution = \"0.10 mm\""),
    ("uncertainty = \"0.01 mm\"", "uncertainty = \"0.05 mm\""),
    ("edition = 4", "edition = 9"),
];

/// The cars whose verdicts are others, each judged from its whole record under both books.
fn the_long_way(records: &[Record], old: &str, new: &str) -> Vec<usize> {
    let (old, new) = (under(old), under(new));
    let changed = |row: &usize| judged(&records[*row], &old) != judged(&records[*row], &new);
    (0..records.len()).filter(changed).collect()
}

fn the_quick_way_is_the_long_way(fleet: &Fleet, records: &[Record], new: &str) {
    let rows: Vec<_> = (0..records.len()).collect();
    let book = Arc::new(RuleBook::read(new).unwrap_or_else(|error| panic!("{error}\n{new}")));
    let quick = fleet.what_if(&book, &rows);
    let found: Vec<_> = quick.changes.iter().map(|change| change.row).collect();
    assert_eq!(found, the_long_way(records, &book_text(), new));
    let new = under(new);
    for change in &quick.changes {
        assert_eq!(change.after, judged(&records[change.row], &new));
        assert_eq!(change.before, fleet.cars()[change.row].judged);
    }
}

#[test]
fn every_change_alone_is_tried_as_if_everything_were_judged_again() {
    let (records, text) = (records(11, 250), book_text());
    let fleet = fleet(&records, &text);
    let mut unfelt = Vec::new();
    for (from, to) in CHANGES {
        assert!(text.contains(from), "the book no longer says {from}");
        let new = text.replacen(from, to, 1);
        the_quick_way_is_the_long_way(&fleet, &records, &new);
        if the_long_way(&records, &text, &new).is_empty() {
            unfelt.push(from);
        }
    }
    assert!(unfelt.len() <= 3, "felt by no car: {unfelt:#?}");
}

#[test]
fn a_tighter_height_fails_cars_and_only_the_couplers_are_judged_again() {
    let (records, text) = (records(11, 250), book_text());
    let fleet = fleet(&records, &text);
    let rows: Vec<_> = (0..records.len()).collect();
    let tighter = text.replacen("tolerance = \"0.010 in\"", "tolerance = \"0.001 in\"", 1);
    let book = Arc::new(RuleBook::read(&tighter).expect("a book"));
    let answer = fleet.what_if(&book, &rows);
    assert!(answer.fails().count() > 5);
    assert_eq!(answer.comes_back().count(), 0);
    let wider = text.replacen("tolerance = \"0.010 in\"", "tolerance = \"0.020 in\"", 1);
    let book = Arc::new(RuleBook::read(&wider).expect("a book"));
    let answer = fleet.what_if(&book, &rows);
    assert!(answer.comes_back().count() > 0);
    assert_eq!(answer.fails().count(), 0);
    // A new title and number of the edition touch no car.
    let renamed =
        Arc::new(RuleBook::read(&text.replacen("edition = 4", "edition = 5", 1)).expect("a book"));
    assert_eq!(fleet.what_if(&renamed, &rows).judged_again, 0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn several_changes_at_once_are_tried_as_if_everything_were_judged_again(
        seed in 1_u64..1000,
        picked in prop::collection::vec(select(CHANGES), 1..4),
        limit in 0_u32..4000,
    ) {
        let mut new = book_text();
        for (from, to) in picked {
            new = new.replacen(from, to, 1);
        }
        // A height limit anywhere from far too tight to no limit at all.
        let nominal = new.find("tolerance = \"0.0").map(|at| at + "tolerance = ".len());
        if let Some(at) = nominal {
            let end = at + new[at..].find('\n').unwrap_or(0);
            new.replace_range(at..end, &format!("\"{:.4} in\"", 0.0005 + f64::from(limit) * 1e-5));
        }
        let records = records(seed, 60);
        let fleet = fleet(&records, &book_text());
        the_quick_way_is_the_long_way(&fleet, &records, &new);
    }
}
