//! Any bytes as a club's sheet, taken into records, every record judged and cured: no panic, and
//! every row accounted for.

use std::sync::LazyLock;

use gradeworthy_demo::{SHOP, rule_book};
use gradeworthy_sheets::intake::{Taking, take};
use gradeworthy_sheets::read;
use gradeworthy_standards::Scale;
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::prescribe;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::date;

static CLUB: LazyLock<(RuleBook, Shop)> = LazyLock::new(|| {
    let book = RuleBook::read(&rule_book()).expect("the demo's rule book reads");
    let shop = Shop::read(SHOP).expect("the demo's shop reads");
    (book, shop)
});

pub(crate) fn run(bytes: &[u8]) {
    let (book, shop) = &*CLUB;
    let Ok(workbook) = read(bytes) else {
        return;
    };
    let scale = Some(Scale::HO);
    let intake = take(&workbook, Taking { book, scale }, &mut |_, _| {});
    for sheet in &intake.sheets {
        assert_eq!(sheet.rows_in, sheet.rows_taken + sheet.rows_refused);
    }
    for record in &intake.records {
        let inspection = inspect(record, book, shop, date(2026, 11, 25));
        for line in &inspection.lines {
            assert!(line.conformity.is_none_or(|p| (0.0..=1.0).contains(&p)));
        }
        drop(prescribe(record, book, shop, &inspection));
    }
}
