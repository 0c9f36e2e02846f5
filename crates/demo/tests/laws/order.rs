//! The order of entries changes nothing when everything was read once.

use gradeworthy_workbench::checks::Finding;

use crate::given::{Club, Draw, cars};

#[test]
fn the_order_of_reading_changes_nothing() {
    let club = Club::demo();
    let mut draw = Draw::of(3);
    for record in cars(300) {
        let mut record = record;
        // Two instruments that the rule book does not know are said, in an order of their own.
        let count = record.entries.len();
        for name in ["borrowed caliper", "kitchen scale"] {
            record.entries[draw.below(count)].instrument = Some(name.into());
        }
        let inspection = club.inspect(&record);
        assert!(
            !inspection
                .findings
                .iter()
                .any(|own| matches!(own, Finding::Repeated { .. }))
        );
        let cures = club.prescribe(&record, &inspection);
        for _ in 0..3 {
            let mut other = record.clone();
            draw.shuffle(&mut other.entries);
            let found = club.inspect(&other);
            assert_eq!(found, inspection, "{}", record.car.mark);
            assert_eq!(club.prescribe(&other, &found), cures, "{}", record.car.mark);
        }
    }
}
