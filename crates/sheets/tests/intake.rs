//! Club sheets taken into records: every row accounted for, every refused cell named.
#![expect(
    clippy::panic,
    reason = "a test helper that cannot read its input has to stop the test"
)]

use gradeworthy_sheets::intake::{Intake, Layout, SheetReport, Taking, take};
use gradeworthy_sheets::read;
use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Length, Mass};
use gradeworthy_workbench::record::{End, Measure, Place, Side, Value};
use gradeworthy_workbench::rules::RuleBook;

fn taken(bytes: &[u8], scale: Option<Scale>) -> Intake {
    let book = RuleBook::starter().unwrap_or_else(|error| panic!("{error}"));
    let workbook = read(bytes).unwrap_or_else(|error| panic!("{error}"));
    let intake = take(&workbook, Taking { book: &book, scale }, &mut |_, _| {});
    for sheet in &intake.sheets {
        assert_eq!(
            sheet.rows_in,
            sheet.rows_taken + sheet.rows_refused,
            "{sheet:?}"
        );
    }
    intake
}

fn ho(text: &str) -> Intake {
    taken(text.as_bytes(), Some(Scale::HO))
}

fn amount(intake: &Intake, car: usize, measure: Measure, place: Place) -> Amount {
    let entries = &intake.records[car].entries;
    let found = entries
        .iter()
        .find(|entry| (entry.measure, entry.place) == (measure, place));
    match found.map(|entry| &entry.value) {
        Some(Value::Quantity(typed)) => typed.amount,
        other => panic!("{measure} at {place}: {other:?}"),
    }
}

fn refusals(intake: &Intake) -> Vec<String> {
    intake.refusals().map(ToString::to_string).collect()
}

#[test]
fn the_demo_sheet_comes_back_as_the_records_it_was_written_from() {
    let records = gradeworthy_demo::fleet(gradeworthy_demo::SEED, 120);
    let intake = taken(gradeworthy_demo::csv(&records).as_bytes(), None);
    assert_eq!(refusals(&intake), Vec::<String>::new());
    assert_eq!(intake.records.len(), records.len());
    for (back, record) in intake.records.iter().zip(&records) {
        assert_eq!(back.car, record.car);
        let pairs = |record: &gradeworthy_workbench::record::Record| {
            let mut all: Vec<_> = record
                .entries
                .iter()
                .map(|entry| (entry.measure, entry.place, entry.value.clone(), entry.on))
                .collect();
            all.sort_by_key(|(measure, place, _, _)| (*measure, *place));
            all
        };
        assert_eq!(pairs(back), pairs(record), "{}", record.car.mark);
        assert_eq!(back.done.len(), record.done.len());
    }
}

#[test]
fn semicolons_decimal_commas_and_mixed_units() {
    let intake = ho(
        "\u{feff}Car;Weight (g);A height;B height (mm);b2b 1a;Droop A\r\n\
                     skv 1201;113,4;0,391 in;9,92;.5705;0,1 mm\r\n\
                     skv 1202;4 oz;9,95 mm;10,00;14,48 mm;5 thou\r\n",
    );
    assert_eq!(refusals(&intake), Vec::<String>::new());
    let weight = |car| amount(&intake, car, Measure::Weight, Place::Car);
    assert_eq!(weight(0), Amount::Mass(Mass::from_milligrams(113_400)));
    assert_eq!(weight(1), Amount::Mass(Mass::from_milliounces(4_000)));
    let height = amount(&intake, 0, Measure::CouplerHeight, Place::End(End::A));
    assert_eq!(height, Amount::Length(Length::from_thousandths(391)));
    let gauge = amount(&intake, 0, Measure::BackToBack, Place::Station(1, 1));
    assert_eq!(gauge, Amount::Length(Length::from_nanometres(14_490_700)));
}

#[test]
fn every_refused_cell_is_named_and_the_rest_is_judged() {
    let intake = ho(
        "Car,Weight,b2b 1a (in),Flange 1 L (in),Centring A,Remarks\n\
                     SKV 1,4 oz,14.4,.030,returns,nice\n\
                     SKV 2,4 in,.570,n/a,perhaps,\n\
                     ,4 oz,.570,.030,returns,\n\
                     \n\
                     SKV 3,1/0 oz,.570,.030,returns,\n",
    );
    let report = &intake.sheets[0];
    assert_eq!(
        (
            report.rows_in,
            report.rows_taken,
            report.rows_refused,
            report.rows_blank
        ),
        (4, 3, 1, 1)
    );
    assert_eq!(report.remarks, ["Remarks"]);
    let refusals = refusals(&intake);
    assert_eq!(refusals.len(), 6, "{refusals:#?}");
    for (index, parts) in [
        ["line 2", "b2b 1a (in)", "'14.4'", "check the unit"],
        [
            "line 3",
            "Weight",
            "'4 in'",
            "'in' measures length; weight is wanted",
        ],
        ["line 3", "Flange 1 L (in)", "'n/a'", "is not a number"],
        ["line 3", "Centring A", "'perhaps'", "one of good, ok"],
        ["line 4", "Car", "''", "row not judged"],
        ["line 6", "Weight", "'1/0 oz'", "divides by zero"],
    ]
    .into_iter()
    .enumerate()
    {
        for part in parts {
            assert!(
                refusals[index].contains(part),
                "{part} in {}",
                refusals[index]
            );
        }
    }
    assert_eq!(
        intake.records[1].entries.len(),
        1,
        "the good cell of SKV 2 was taken"
    );
}

#[test]
fn one_row_a_reading_with_instrument_day_and_a_cure_between() {
    let intake = ho("Car,What,Where,Reading,Unit,Instrument,Date\n\
                     SKV 7,coupler height,A,.385,in,height strips,2026-11-02\n\
                     SKV 7,gap,3 left,0.05,mm,feeler,2026-11-02\n\
                     SKV 7,done,,bolster shimmed,,,2026-11-03\n\
                     SKV 7,coupler height,A,.392,in,height strips,2026-11-04\n\
                     SKV 7,paint,A,good,,,\n\
                     SKV 7,weight,,4,lumps,,\n");
    assert_eq!(intake.sheets[0].layout, Layout::OneReading);
    assert_eq!(
        (intake.sheets[0].rows_in, intake.sheets[0].rows_refused),
        (6, 2)
    );
    let record = &intake.records[0];
    assert_eq!(record.entries.len(), 3);
    assert_eq!(record.done[0].after_entries, 2);
    assert_eq!(
        record.entries[0].instrument.as_deref(),
        Some("height strips")
    );
    assert_eq!(record.entries[1].place, Place::Wheel(3, Side::Left));
    let refusals = refusals(&intake);
    assert!(
        refusals[0].contains("no reading of that name at that place"),
        "{refusals:?}"
    );
    assert!(refusals[1].contains("'lumps'"), "{refusals:?}");
}

#[test]
fn a_car_that_stands_twice_keeps_both_rows_and_says_so() {
    let intake = ho("Car,Weight\nSKV 1,4 oz\nskv  1,4.1 oz\n");
    assert_eq!(intake.records.len(), 1);
    assert_eq!(intake.records[0].entries.len(), 2);
    assert!(
        intake.sheets[0]
            .notes
            .iter()
            .any(|note| note.contains("stands again in row 3"))
    );
}

#[test]
fn without_a_scale_no_row_is_guessed_at() {
    let intake = taken(b"Car,Weight\nSKV 1,4 oz\n", None);
    assert_eq!(intake.total(|sheet: &SheetReport| sheet.rows_refused), 1);
    assert!(refusals(&intake)[0].contains("the scale is wanted"));
    let intake = taken(b"Car,Scale,Weight\nSKV 1,HO,4 oz\nSKV 2,Q,4 oz\n", None);
    assert_eq!(intake.records.len(), 1);
    assert!(
        refusals(&intake)[0].contains("'Q'"),
        "{:?}",
        refusals(&intake)
    );
}

#[test]
fn a_sheet_without_cars_is_refused_row_by_row_in_the_count() {
    let intake = ho("Tool,Price\nreamer,12\nfile,7\n");
    assert_eq!(intake.sheets[0].rows_in, 3);
    assert_eq!(intake.sheets[0].rows_refused, 3);
}

#[test]
fn marks_and_number_in_two_columns_make_one_name() {
    let intake = ho("Reporting marks,Number,Weight (oz)\nSKV,1201,4.0\nSKV,,4.0\n");
    assert_eq!(intake.records[0].car.mark.as_str(), "SKV 1201");
    assert_eq!(intake.sheets[0].rows_refused, 1);
}

proptest::proptest! {
    #[test]
    fn rows_in_are_rows_taken_and_rows_refused(
        cells in proptest::collection::vec(
            proptest::collection::vec("[ -~½µ]{0,12}", 4), 0..30)
    ) {
        let mut text = "Car,Weight (oz),A height (in),b2b 1 (in)\n".to_owned();
        for row in &cells {
            let row: Vec<_> = row.iter().map(|cell| cell.replace(['"', ','], " ")).collect();
            text += &(row.join(",") + "\n");
        }
        let filled = cells.iter().filter(|row| {
            row.iter().any(|cell| !cell.replace(['"', ','], " ").trim().is_empty())
        });
        let filled = filled.count();
        let intake = ho(&text);
        let report = &intake.sheets[0];
        proptest::prop_assert_eq!(report.rows_taken + report.rows_refused, report.rows_in);
        // Where no headings could be made out, the heading row itself is counted in.
        proptest::prop_assert!(report.rows_in == filled || report.rows_in == filled + 1);
    }
}
