//! Searching, sorting and paging, against the same done plainly over the records.

use std::collections::BTreeSet;

use gradeworthy_fleet::{Bound, Cursor, Query, Sort, SortKey};
use gradeworthy_units::{Amount, Length};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::{Check, End, Measure, Place, Record, Value};

use super::given::{book_text, facts, fleet, records};

fn latest(record: &Record, measure: Measure, place: Place) -> Option<Amount> {
    let mut entries = record.entries.iter().rev();
    let entry = entries.find(|entry| (entry.measure, entry.place) == (measure, place))?;
    match &entry.value {
        Value::Quantity(typed) => Some(typed.amount),
        Value::Answer(_) => None,
    }
}

#[test]
fn a_query_finds_what_a_plain_search_finds() {
    let records = records(7, 300);
    let fleet = fleet(&records, &book_text());
    let low: Amount = Length::from_thousandths(385).into();
    let a_end = Place::End(End::A);
    let find = |query: Query| fleet.find(&query);
    let plainly = |fits: &dyn Fn(usize) -> bool| -> Vec<usize> {
        (0..records.len()).filter(|row| fits(*row)).collect()
    };
    let found = find(Query {
        bounds: vec![Bound {
            measure: Measure::CouplerHeight,
            place: Some(a_end),
            lower: None,
            upper: Some(low),
        }],
        ..Query::default()
    });
    let by_hand = plainly(&|row| {
        latest(&records[row], Measure::CouplerHeight, a_end).is_some_and(|own| own <= low)
    });
    assert!(!by_hand.is_empty());
    assert_eq!(found, by_hand);
    let found = find(Query {
        words: Query::words_of("hopper MEMBER 1"),
        letters: Some("ht".into()),
        ..Query::default()
    });
    let by_hand = plainly(&|row| {
        let car = &records[row].car;
        let text = format!("{} {}", car.mark, car.description.as_deref().unwrap_or(""));
        let owner = car.owner.as_deref().unwrap_or("");
        text.to_lowercase().contains("hopper")
            && owner.contains("member")
            && (owner.contains('1') || text.contains('1'))
            && car
                .car_type
                .as_ref()
                .is_some_and(|own| own.as_str() == "HT")
    });
    assert!(!by_hand.is_empty());
    assert_eq!(found, by_hand);
    let found = find(Query {
        verdict: Some(Verdict::BadOrder),
        checks: vec![(Check::Droop, Verdict::BadOrder)],
        ..Query::default()
    });
    let by_hand = plainly(&|row| {
        let own = fleet.cars()[row].judged;
        own.verdict == Verdict::BadOrder && own.of(Check::Droop) == Verdict::BadOrder
    });
    assert!(!by_hand.is_empty());
    assert_eq!(found, by_hand);
    let found = find(Query {
        part: Some("wheelset".into()),
        lot: Some("A7".into()),
        owner_member: Some(0),
        ..Query::default()
    });
    let by_hand = plainly(&|row| {
        let facts = facts(row, &records[row]);
        facts.owner_member == Some(0)
            && facts
                .parts
                .iter()
                .any(|own| own.lot.as_deref() == Some("A7"))
    });
    assert!(!by_hand.is_empty());
    assert_eq!(found, by_hand);
}

#[test]
fn pages_hold_every_car_once_in_order_whatever_they_are_sorted_by() {
    let records = records(7, 230);
    let fleet = fleet(&records, &book_text());
    let rows: Vec<_> = (0..records.len()).collect();
    let sorts = [
        Sort::Mark,
        Sort::Owner,
        Sort::Verdict,
        Sort::Since,
        Sort::Reading {
            measure: Measure::CouplerHeight,
            place: None,
        },
    ];
    for (sort, reverse) in sorts
        .into_iter()
        .flat_map(|sort| [(sort, false), (sort, true)])
    {
        let mut seen: Vec<usize> = Vec::new();
        let mut after: Option<Cursor> = None;
        loop {
            let page = fleet.page(&rows, sort, reverse, after.as_ref(), 17);
            seen.extend(&page.rows);
            after = page.next;
            if after.is_none() {
                break;
            }
        }
        let once: BTreeSet<_> = seen.iter().collect();
        assert_eq!((once.len(), seen.len()), (230, 230), "{sort:?}");
        for pair in seen.windows(2) {
            let key = |row: usize| fleet.cursor(row, sort).key;
            if let (SortKey::Number(one), SortKey::Number(other)) = (key(pair[0]), key(pair[1])) {
                let in_order = if reverse { one >= other } else { one <= other };
                assert!(in_order, "{sort:?}");
            }
        }
    }
}

#[test]
fn a_spread_counts_every_reading_and_every_car_without_one() {
    let records = records(7, 90);
    let fleet = fleet(&records, &book_text());
    let rows: Vec<_> = (0..records.len()).collect();
    let spread = fleet.spread(&rows, Measure::CouplerHeight, None);
    let ends = [Place::End(End::A), Place::End(End::B)];
    let by_hand = |record: &Record| {
        let read = ends
            .iter()
            .filter_map(|end| latest(record, Measure::CouplerHeight, *end));
        read.count()
    };
    let readings: usize = records.iter().map(by_hand).sum();
    let cars = records.iter().filter(|record| by_hand(record) > 0).count();
    assert_eq!(spread.readings.len(), readings);
    assert_eq!((spread.cars, spread.without), (cars, 90 - cars));
    assert!(spread.without > 0, "some cars were never read so far");
    let limit: Amount = Length::from_thousandths(381).into();
    let (below, above) = spread.outside(Some(limit), None);
    let low = spread.readings.iter().filter(|own| own.0 < limit).count();
    assert_eq!((below, above), (low, 0));
}
