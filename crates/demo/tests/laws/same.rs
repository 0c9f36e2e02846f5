//! What every inspection has in common, and that the same asked twice is answered alike.

use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::decision::Rule;

use crate::given::{Club, cars};

#[test]
fn the_same_record_under_the_same_edition_is_judged_alike() {
    let (one, two) = (Club::demo(), Club::demo());
    for record in cars(200) {
        let (first, second) = (one.inspect(&record), two.inspect(&record));
        assert_eq!(first, second);
        assert_eq!(
            one.prescribe(&record, &first),
            two.prescribe(&record, &second)
        );
    }
}

/// Verdict and sign of the margin, by the table at the head of the decision rules.
#[test]
fn a_judged_reading_says_against_what_by_how_much_and_on_whose_word() {
    let mut club = Club::demo();
    let (mut lines, mut bad) = (0, 0);
    for rule in [Rule::Simple, Rule::Guarded, Rule::ProveEither] {
        club.book.rule = rule;
        for record in cars(200) {
            for line in club.inspect(&record).lines {
                if let Some(p) = line.conformity {
                    assert!((0.0..=1.0).contains(&p), "{line:?}");
                }
                let Some(reading) = line.reading else {
                    assert!(line.margin.is_none() && line.lower.is_none() && line.upper.is_none());
                    continue;
                };
                let limits = [line.lower, line.upper];
                assert!(limits.iter().any(Option::is_some), "{line:?}");
                let grounds = &line.grounds;
                assert!(
                    grounds.clause.is_some() || grounds.authority.is_some(),
                    "{line:?}"
                );
                let margin = line.margin.unwrap_or_else(|| panic!("{line:?}"));
                for amount in limits.iter().flatten().chain([&margin]) {
                    assert_eq!(amount.dimension(), reading.dimension(), "{line:?}");
                }
                let outside = margin.base() < 0.0;
                match line.verdict {
                    Verdict::Fit => assert!(!outside, "{line:?}"),
                    Verdict::BadOrder => assert!(outside, "{line:?}"),
                    Verdict::Watch => assert!(rule == Rule::ProveEither || !outside, "{line:?}"),
                    other => panic!("{other}: {line:?}"),
                }
                lines += 1;
                bad += usize::from(outside);
            }
        }
    }
    assert!(lines > 50_000 && bad > 1_000, "{lines} {bad}");
}
