//! What the columns keep of a car is all that judging it needs.

use gradeworthy_workbench::checks::{Finding, inspect};
use gradeworthy_workbench::record::{Answer, Value};
use jiff::civil::date;

use super::given::{book_text, facts, fleet, judged, records, under};

#[test]
fn a_car_judged_from_the_columns_has_every_line_and_finding_of_its_record() {
    let records = records(3, 400);
    let fleet = fleet(&records, &book_text());
    for day in [date(2026, 11, 25), date(2027, 6, 1)] {
        let mut under = under(&book_text());
        under.day = day;
        for (row, record) in records.iter().enumerate() {
            let mut whole = inspect(record, &under.book, &under.shop, day);
            whole
                .findings
                .retain(|finding| !matches!(finding, Finding::Repeated { .. }));
            assert_eq!(fleet.inspection(&under, row), whole, "{}", record.car.mark);
        }
    }
}

#[test]
fn a_car_put_in_again_is_as_if_it_had_been_put_in_once() {
    let records = records(5, 60);
    let mut fleet = fleet(&records, &book_text());
    let mut short = records[7].clone();
    short.entries.truncate(12);
    short.done.clear();
    let row = fleet.put(facts(7, &short), &short).expect("of its kinds");
    assert_eq!(row, 7);
    assert_eq!(fleet.cars()[7].judged, judged(&short, fleet.under()));
    assert_eq!(fleet.cars().len(), 60);
    fleet
        .put(facts(7, &records[7]), &records[7])
        .expect("of its kinds");
    assert_eq!(fleet.cars()[7].judged, judged(&records[7], fleet.under()));
}

#[test]
fn another_day_or_edition_judges_every_car_anew() {
    let records = records(2, 80);
    let mut fleet = fleet(&records, &book_text());
    let mut later = under(&book_text());
    later.day = date(2027, 6, 1);
    fleet.judge_under(later.clone());
    for (row, record) in records.iter().enumerate() {
        assert_eq!(fleet.cars()[row].judged, judged(record, &later));
    }
}

#[test]
fn a_reading_of_another_kind_is_refused_and_the_car_stays_as_it_was() {
    let records = records(2, 3);
    let mut fleet = fleet(&records, &book_text());
    let mut wrong = records[1].clone();
    let mut last = wrong.entries.iter_mut().rev();
    let quantity = last.find(|entry| matches!(entry.value, Value::Quantity(_)));
    quantity.expect("a quantity").value = Value::Answer(Answer::Good);
    let error = fleet
        .put(facts(1, &wrong), &wrong)
        .expect_err("another kind");
    assert!(error.to_string().contains("is of another kind"), "{error}");
    assert_eq!(fleet.cars()[1].judged, judged(&records[1], fleet.under()));
}
