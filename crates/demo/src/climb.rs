//! The invented hill: a line, its power, and a train of the club's cars made up wrongly and rightly.
//!
//! **Invented, like everything here.** The train takes the first cars of the fleet that the bench
//! lets run, and the empty flat of the stories: near the head in the wrong make-up, in the rear third in the
//! mended one. Nothing else differs between the two.

use gradeworthy_train::consist::{Member, TrainOrder, write_train};
use gradeworthy_train::statics::{Condition, CurveDragLaw};
use gradeworthy_train::sweep::{JERK_ALLOWANCE, SlackRule};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, inspect};
use gradeworthy_workbench::record::{Check, Record};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::{Date, date};

/// The line of Marrow Pass.
pub const LINE: &str = include_str!("../data/line.toml");

/// Its locomotives.
pub const POWER: &str = include_str!("../data/power.toml");

/// Scenes on it, each by the word it is asked for with.
pub const SCENES: [(&str, &str); 4] = [
    ("start", include_str!("../data/scenes/start.toml")),
    ("helper", include_str!("../data/scenes/helper.toml")),
    ("power", include_str!("../data/scenes/power.toml")),
    ("stop", include_str!("../data/scenes/stop.toml")),
];

/// The day on which the demo's train is made up: after every bench night of its cars.
pub const DAY: Date = date(2026, 11, 25);

/// The empty flat of the stories: the bench only watches it, the hill says where it may not run.
pub const FLAT: &str = "WQX 110";

/// Cars of the train.
const CARS: usize = 72;

/// Where the flat stands, counted from 0 among the cars.
const NEAR_THE_HEAD: usize = 4;
const IN_THE_REAR_THIRD: usize = 60;

/// Locomotives, with the number of cars ahead of each.
const CUT_IN: [(&str, usize); 6] = [
    ("MP 601", 0),
    ("MP 602", 0),
    ("MP 603", 0),
    ("MP 611", 40),
    ("MP 612", 40),
    ("MP 621", CARS),
];

/// Where the light car stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MakeUp {
    /// Near the head.
    Wrong,
    /// In the rear third.
    Mended,
}

/// The train of `fleet`, as a train file; shorter where the fleet has too few cars that may run.
#[must_use]
pub fn train(fleet: &[Record], make_up: MakeUp) -> String {
    let cars = runnable(fleet);
    let mut marks: Vec<_> = cars.iter().map(|car| car.car.mark.to_string()).collect();
    if fleet.iter().any(|car| car.car.mark.as_str() == FLAT) {
        let place = match make_up {
            MakeUp::Wrong => NEAR_THE_HEAD,
            MakeUp::Mended => IN_THE_REAR_THIRD,
        };
        marks.insert(place.min(marks.len()), FLAT.to_owned());
    }
    let mut members = Vec::new();
    for index in 0..=marks.len() {
        let here = CUT_IN
            .iter()
            .filter(|(_, ahead)| (*ahead).min(marks.len()) == index);
        members.extend(here.map(|(engine, _)| member(engine)));
        members.extend(marks.get(index).map(|mark| member(mark)));
    }
    write_train(&TrainOrder {
        name: Some("Marrow Pass drag (invented)".to_owned()),
        members,
        blocks: Vec::new(),
        condition: Some(Condition::Running),
        slack: Some(SlackRule::ByForce),
        curve_drag: Some(CurveDragLaw::PerCurvature),
        jerk_allowance: Some(JERK_ALLOWANCE),
        least_margin: Some(0.1),
        note: Some("Everything in this file is invented.".to_owned()),
    })
}

fn member(name: &str) -> Member {
    Member {
        name: name.to_owned(),
        reversed: false,
        line: 0,
    }
}

/// The cars that the bench lets run, as many as the train needs beside the flat.
fn runnable(fleet: &[Record]) -> Vec<&Record> {
    let (Ok(book), Ok(shop)) = (RuleBook::read(&crate::rule_book()), Shop::read(crate::SHOP))
    else {
        return Vec::new();
    };
    let is_told_elsewhere = |record: &Record| {
        crate::STORIES
            .iter()
            .any(|own| own.mark == record.car.mark.as_str())
    };
    let runs = |record: &&Record| {
        let inspection = inspect(record, &book, &shop, DAY);
        // A car on watch may run, but not with trucks that barely swing, nor under an exception
        // that asks for a place in the train: these are other stories.
        let excused = |finding: &Finding| matches!(finding, Finding::Excused { .. });
        matches!(inspection.verdict, Verdict::Fit | Verdict::Watch)
            && inspection.of(Check::TruckSwing) == Verdict::Fit
            && !inspection.findings.iter().any(excused)
            && !is_told_elsewhere(record)
    };
    fleet.iter().filter(runs).take(CARS - 1).collect()
}

#[cfg(test)]
mod tests {
    use gradeworthy_train::scene::{Scene, Usual, read_scene};

    use super::*;

    /// The files say in full what a page asks for by a word.
    #[test]
    fn the_scenes_on_file_are_those_that_every_hill_knows() {
        for (usual, (word, text)) in Usual::ALL.into_iter().zip(SCENES) {
            assert_eq!(usual.word(), word);
            let own = read_scene(text).expect("it reads");
            let expected = Scene {
                note: own.note.clone(),
                ..usual.scene(own.head_at)
            };
            assert_eq!(own, expected);
        }
    }
}
