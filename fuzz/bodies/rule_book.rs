//! Any text as a rule book: refused with a reason, or a book under which cars can be judged.

use gradeworthy_demo::{SEED, SHOP, STORIES};
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::prescribe;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::date;

pub(crate) fn run(bytes: &[u8]) {
    let Ok(text) = str::from_utf8(bytes) else {
        return;
    };
    match RuleBook::read(text) {
        Err(error) => assert!(!error.problems.is_empty() && !error.to_string().is_empty()),
        Ok(book) => {
            let shop = Shop::read(SHOP).expect("the demo's shop reads");
            for story in STORIES {
                let record = story.record(SEED);
                let inspection = inspect(&record, &book, &shop, date(2026, 11, 25));
                for line in &inspection.lines {
                    assert!(line.conformity.is_none_or(|p| (0.0..=1.0).contains(&p)));
                }
                drop(prescribe(&record, &book, &shop, &inspection));
            }
        }
    }
}
