//! What the terminal says of each story car of the demo, whole, wide and narrow; one car for
//! programs; the heading of the flat file.
//!
//! The texts stand in `tests/golden/`. After a change of words, run once with
//! `GRADEWORTHY_REWRITE_GOLDEN=1` and read the difference before it is committed. Where `CI` is
//! set, rewriting fails: a text that nobody has read proves nothing.

#![expect(
    clippy::panic,
    reason = "a test helper that cannot read a file has to stop the test"
)]

use std::fs;
use std::path::PathBuf;

use gradeworthy_demo::{SEED, SHOP, STORIES, Story, rule_book};
use gradeworthy_reports::text::{Style, car};
use gradeworthy_reports::wire::{CarReport, csv};
use gradeworthy_reports::words::System;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::date;

struct Told {
    record: Record,
    inspection: Inspection,
    cures: Vec<Cure>,
}

fn told(story: &Story) -> Told {
    let book = RuleBook::read(&rule_book()).unwrap_or_else(|error| panic!("{error}"));
    let shop = Shop::read(SHOP).unwrap_or_else(|error| panic!("{error}"));
    let record = story.record(SEED);
    let inspection = inspect(&record, &book, &shop, date(2026, 11, 25));
    let cures = prescribe(&record, &book, &shop, &inspection);
    Told {
        record,
        inspection,
        cures,
    }
}

fn text(told: &Told, width: usize) -> String {
    let style = Style {
        width,
        colour: false,
        system: System::Both,
        everything: false,
    };
    car(&told.record.car, &told.inspection, &told.cures, style)
}

/// Compares with the kept text, or keeps this one.
#[track_caller]
fn golden(name: &str, found: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("GRADEWORTHY_REWRITE_GOLDEN").is_some() {
        assert!(
            std::env::var_os("CI").is_none(),
            "GRADEWORTHY_REWRITE_GOLDEN is set in CI: kept texts are rewritten by hand and read"
        );
        fs::write(&path, found).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        return;
    }
    let kept = fs::read_to_string(&path).unwrap_or_else(|error| {
        panic!(
            "{}: {error}; run once with GRADEWORTHY_REWRITE_GOLDEN=1",
            path.display()
        )
    });
    assert!(
        kept == found,
        "{name} has changed; was:\n{kept}\nis now:\n{found}"
    );
}

/// `QVL 101` as a file name.
fn file(story: &Story, width: usize) -> String {
    let mark = story.mark.to_lowercase().replace(' ', "_");
    format!("{mark}_{width}.txt")
}

#[test]
fn every_story_is_told_wide_and_narrow() {
    for story in STORIES {
        let told = told(story);
        for width in [100, 60] {
            golden(&file(story, width), &text(&told, width));
        }
    }
}

#[test]
fn no_line_is_wider_than_asked() {
    for story in STORIES {
        let told = told(story);
        for width in [60, 72, 80, 100, 132] {
            for line in text(&told, width).lines() {
                assert!(line.chars().count() <= width, "{}: {line}", story.mark);
                assert_eq!(line.trim_end(), line, "{}", story.mark);
            }
        }
    }
}

/// What the reader is told does not depend on how wide the terminal is.
#[test]
fn narrow_says_what_wide_says() {
    let words = |text: &str| {
        text.split_whitespace()
            .map(ToOwned::to_owned)
            .collect::<Vec<_>>()
    };
    for story in STORIES {
        let told = told(story);
        assert_eq!(
            words(&text(&told, 60)),
            words(&text(&told, 100)),
            "{}",
            story.mark
        );
    }
}

#[test]
fn colour_is_only_paint() {
    for story in STORIES {
        let told = told(story);
        let style = Style {
            width: 100,
            colour: true,
            system: System::Both,
            everything: false,
        };
        let painted = car(&told.record.car, &told.inspection, &told.cures, style);
        let mut plain = String::new();
        let mut rest = painted.as_str();
        while let Some((before, after)) = rest.split_once('\u{1b}') {
            plain += before;
            rest = after.split_once('m').expect("a colour ends in m").1;
        }
        plain += rest;
        assert_eq!(plain, text(&told, 100));
    }
}

#[test]
fn a_car_for_programs_and_the_heading_of_the_flat_file() {
    let told = told(&STORIES[1]);
    let report = CarReport::new(
        &told.record.car,
        &told.inspection,
        &told.cures,
        System::Metric,
    );
    let json = serde_json::to_string_pretty(&report).expect("plain data") + "\n";
    golden("qvl_102.json", &json);
    let flat = csv(&[report]).expect("a text in memory");
    let heading = flat.lines().next().expect("a heading");
    golden("heading.csv", &format!("{heading}\n"));
}
