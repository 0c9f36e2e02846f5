//! Any text as a shop file: refused with a reason, or a shop out of which cars can be cured.

use gradeworthy_demo::{SEED, STORIES, rule_book};
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::prescribe;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::date;

pub(crate) fn run(bytes: &[u8]) {
    let Ok(text) = str::from_utf8(bytes) else {
        return;
    };
    match Shop::read(text) {
        Err(error) => assert!(!error.problems.is_empty() && !error.to_string().is_empty()),
        Ok(shop) => {
            let book = RuleBook::read(&rule_book()).expect("the demo's rule book reads");
            for story in STORIES {
                let record = story.record(SEED);
                let inspection = inspect(&record, &book, &shop, date(2026, 11, 25));
                drop(prescribe(&record, &book, &shop, &inspection));
            }
        }
    }
}
