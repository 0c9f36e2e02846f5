//! An invented club, for trying the tool out: 1,200 cars, a rule book, a shop.
//!
//! **Everything here is invented.** The Marrow Pass Model Railroad Club, its hill, its members, its
//! reporting marks and every reading are made up; rates and spreads of faults too, since nobody
//! publishes any. Nothing here is evidence of anything, and no test of the tool's judgement rests
//! on it.
//!
//! The fleet is drawn from a seed: the same seed gives the same cars on every machine.

pub mod climb;
mod draw;
mod fleet;
mod keeping;
mod models;
mod sheet;
mod slip;
mod stories;

use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::STARTER;

pub use fleet::car;
pub use keeping::Keeping;
pub use sheet::csv;
pub use stories::{STORIES, Story};

/// The seed of the demo that ships with the tool.
pub const SEED: u64 = 1201;

/// How many cars the demo club has.
pub const CARS: u64 = 1200;

/// The demo club's stock, bends and spin pairs, as a shop file.
pub const SHOP: &str = include_str!("../data/shop.toml");

/// The whole fleet as the club keeps it: the story cars, then the others.
#[must_use]
pub fn fleet(seed: u64, count: u64) -> Vec<Record> {
    fleet_of(seed, count, &Keeping::KEPT)
}

/// The whole fleet, kept well or badly: the story cars, then the others.
#[must_use]
pub fn fleet_of(seed: u64, count: u64, keeping: &Keeping) -> Vec<Record> {
    let told = STORIES.iter().map(|story| story.record(seed));
    let stories = u64::try_from(STORIES.len()).unwrap_or(count);
    told.chain((stories..count.max(stories)).map(|index| car(seed, index, keeping)))
        .collect()
}

/// The demo club's rule book: the starter with the club's own decisions in it.
#[must_use]
pub fn rule_book() -> String {
    CLUB_DECISIONS
        .iter()
        .fold(STARTER.to_owned(), |text, (from, to)| {
            text.replacen(from, to, 1)
        })
}

/// What the invented club decided, as changes to the starter's text.
const CLUB_DECISIONS: &[(&str, &str)] = &[
    (
        "title = \"Starter rule book\"",
        "title = \"Marrow Pass rule book (invented)\"",
    ),
    ("edition = 1", "edition = 4"),
    ("effective = 2026-11-25", "effective = 2026-09-01"),
    (
        "flange_clearance = \"0 mm\"\ncaution = \"0.05 mm\"",
        "flange_clearance = \"0 mm\"\ncheck_gauge_min = \"0.592 in\"\nprinted_tire_width = false\ncaution = \"0.02 mm\"",
    ),
];

#[cfg(test)]
mod tests {
    use gradeworthy_workbench::rules::RuleBook;
    use gradeworthy_workbench::shop::Shop;

    use super::*;

    #[test]
    fn every_decision_of_the_club_lands_in_its_book() {
        let mut text = STARTER.to_owned();
        for (from, to) in CLUB_DECISIONS {
            assert!(text.contains(from), "the starter no longer says {from:?}");
            text = text.replacen(from, to, 1);
        }
        let book = RuleBook::read(&text).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(book.edition, 4);
    }

    #[test]
    fn the_shop_file_reads() {
        let shop = Shop::read(SHOP).unwrap_or_else(|error| panic!("{error}"));
        assert!(shop.bends.len() >= 8 && shop.spin_pairs.len() >= 8);
    }

    #[test]
    fn the_fleet_is_repeatable_and_every_mark_is_its_own() {
        let (one, two) = (fleet(SEED, 300), fleet(SEED, 300));
        assert_eq!(one, two);
        let marks: std::collections::BTreeSet<_> = fleet(SEED, CARS)
            .iter()
            .map(|record| record.car.mark.to_string())
            .collect();
        assert_eq!(marks.len(), 1200);
    }

    #[test]
    fn a_car_has_about_as_many_readings_as_a_real_sheet() {
        let counts: Vec<_> = fleet(SEED, 200)
            .iter()
            .map(|record| record.entries.len())
            .collect();
        assert!(
            counts.iter().all(|count| (60..90).contains(count)),
            "{counts:?}"
        );
    }
}
