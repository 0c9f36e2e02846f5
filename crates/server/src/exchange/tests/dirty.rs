//! Sheets as clubs really have them, sent through the page: every row is taken or refused, and every refusal
//! says where it stands and what was expected there.

use axum::http::StatusCode;
use gradeworthy_store::Role;
use rust_xlsxwriter::{Format, Formula, Workbook};
use serde_json::Value as Json;

use super::send;
use crate::club::Club;

/// What became of one sheet of a file.
struct Sheet {
    rows_in: u64,
    rows_taken: u64,
    refusals: Vec<Refused>,
}

struct Refused {
    place: String,
    found: String,
    expected: String,
}

/// Sends a file and counts its rows: those in are those taken and those refused.
fn sheets(club: &Club, name: &str, file: impl AsRef<[u8]>) -> Vec<Sheet> {
    let sent = send(club, Role::Lead, name, file);
    assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.body);
    let id = sent
        .location()
        .strip_prefix("/fleet/import/")
        .expect("a page");
    let look = club.get(Role::Lead, &format!("/api/imports/{id}"));
    assert_eq!(look.status, StatusCode::OK, "{}", look.body);
    let look: Json = serde_json::from_str(&look.body).expect("JSON");
    let page = club.get(Role::Lead, sent.location()).body;
    let all = look["sheets"].as_array().expect("sheets").iter();
    all.map(|own| {
        let count = |name: &str| own[name].as_u64().expect("a count");
        let refusals = own["refusals"].as_array().expect("refusals").iter();
        let refusals: Vec<Refused> = refusals
            .map(|own| {
                let word = |name: &str| own[name].as_str().expect("a word").to_owned();
                Refused {
                    place: word("place"),
                    found: word("found"),
                    expected: word("expected"),
                }
            })
            .collect();
        let (rows_in, rows_taken) = (count("rows_in"), count("rows_taken"));
        assert_eq!(rows_in, rows_taken + count("rows_refused"), "{name}");
        for own in refusals.iter().take(100) {
            assert!(!own.expected.is_empty(), "{name}: {}", own.place);
            assert!(page.contains(&own.place), "{name}: {}\n{page}", own.place);
        }
        Sheet {
            rows_in,
            rows_taken,
            refusals,
        }
    })
    .collect()
}

fn only(mut sheets: Vec<Sheet>) -> Sheet {
    assert_eq!(sheets.len(), 1);
    sheets.remove(0)
}

#[test]
fn a_byte_order_mark_semicolons_and_decimal_commas_are_no_trouble() {
    let club = Club::open();
    let text =
        "\u{feff}Car;Scale;Weight (g);H1 (mm)\r\nTST 1;HO;113,4;9,93\r\nTST 2;HO;viel;9,90\r\n";
    let sheet = only(sheets(&club, "cars.csv", text));
    assert_eq!((sheet.rows_in, sheet.rows_taken), (2, 2));
    let [only] = &sheet.refusals[..] else {
        panic!("one cell is no weight");
    };
    assert!(only.place.contains("line 3"), "{}", only.place);
    assert_eq!(only.found, "viel");
}

#[test]
fn mixed_units_are_read_each_as_its_own_and_a_unit_of_something_else_is_refused() {
    let club = Club::open();
    let text =
        "Car,Scale,Weight (oz)\nTST 1,HO,3.9\nTST 2,HO,113 g\nTST 3,HO,4 1/2 oz\nTST 4,HO,12 mm\n";
    let sheet = only(sheets(&club, "cars.csv", text));
    assert_eq!((sheet.rows_in, sheet.rows_taken), (4, 4));
    let [only] = &sheet.refusals[..] else {
        panic!("one cell is no weight");
    };
    assert!(only.place.contains("line 5"), "{}", only.place);
    assert_eq!(only.found, "12 mm");
}

#[test]
fn headings_merged_over_two_rows_are_joined() {
    let club = Club::open();
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    let plain = Format::new();
    for (column, text) in [(0, "Car"), (1, "Scale")] {
        sheet
            .merge_range(0, column, 1, column, text, &plain)
            .expect("merged");
    }
    for (axle, from) in [("Axle 1", 2), ("Axle 2", 4)] {
        sheet
            .merge_range(0, from, 0, from + 1, axle, &plain)
            .expect("merged");
        sheet.write(1, from, "B2B place 1 (in)").expect("cell");
        sheet.write(1, from + 1, "End play (mm)").expect("cell");
    }
    for (row, mark) in [(2, "TST 1"), (3, "TST 2")] {
        sheet.write(row, 0, mark).expect("cell");
        sheet.write(row, 1, "HO").expect("cell");
        for column in [2, 4] {
            sheet.write(row, column, 0.571).expect("cell");
            sheet.write(row, column + 1, 0.3).expect("cell");
        }
    }
    let bytes = book.save_to_buffer().expect("bytes");
    let own = only(sheets(&club, "cars.xlsx", &bytes));
    assert_eq!((own.rows_in, own.rows_taken, own.refusals.len()), (2, 2, 0));
    let page = send(&club, Role::Lead, "cars.xlsx", &bytes);
    let page = club.get(Role::Lead, page.location()).body;
    assert!(page.contains("8 readings and cures to enter"), "{page}");
}

#[test]
fn a_formula_counts_with_its_result_and_its_error_is_refused() {
    let club = Club::open();
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (column, text) in [(0, "Car"), (1, "Scale"), (2, "Weight (oz)")] {
        sheet.write(0, column, text).expect("cell");
    }
    for (row, result) in [(1, "3.9"), (2, "#DIV/0!")] {
        sheet.write(row, 0, format!("TST {row}")).expect("cell");
        sheet.write(row, 1, "HO").expect("cell");
        let formula = Formula::new("=A9/B9").set_result(result);
        sheet.write_formula(row, 2, formula).expect("cell");
    }
    let bytes = book.save_to_buffer().expect("bytes");
    let own = only(sheets(&club, "cars.xlsx", &bytes));
    assert_eq!((own.rows_in, own.rows_taken), (2, 2));
    let [only] = &own.refusals[..] else {
        panic!("one cell holds an error");
    };
    assert!(only.place.contains("row 3"), "{}", only.place);
    assert_eq!(only.found, "#DIV/0!");
}

#[test]
fn of_fifty_thousand_rows_none_is_lost() {
    let club = Club::open();
    let mut text = String::from("Car,What,Where,Reading,Unit\n");
    for row in 0..50_000_u32 {
        // Every thousandth row names no car.
        let car = if row % 1000 == 999 {
            String::new()
        } else {
            format!("TST {}", row / 10)
        };
        text += &format!("{car},weight,car,{}.{},oz\n", 3 + row % 2, row % 10);
    }
    let header = "Car,Scale\n";
    let cars: String = (0..5_000).map(|car| format!("TST {car},HO\n")).collect();
    let known = only(sheets(&club, "cars.csv", format!("{header}{cars}")));
    assert_eq!((known.rows_in, known.rows_taken), (5_000, 5_000));
    let text = text
        .replacen("Unit\n", "Unit,Scale\n", 1)
        .replace(",oz\n", ",oz,HO\n");
    let own = only(sheets(&club, "readings.csv", text));
    assert_eq!((own.rows_in, own.rows_taken), (50_000, 49_950));
    assert_eq!(own.refusals.len(), 50);
    assert!(
        own.refusals[0].place.contains("line 1001"),
        "{}",
        own.refusals[0].place
    );
}

#[test]
fn a_sheet_of_something_else_is_refused_and_the_sheet_beside_it_is_taken() {
    let club = Club::open();
    let mut book = Workbook::new();
    let dues = book.add_worksheet();
    dues.set_name("Dues").expect("a name");
    for (column, text) in [(0, "Member"), (1, "Paid"), (2, "Open")] {
        dues.write(0, column, text).expect("cell");
        dues.write(1, column, 12).expect("cell");
    }
    let cars = book.add_worksheet();
    cars.set_name("Cars").expect("a name");
    for (column, text) in [(0, "Car"), (1, "Scale"), (2, "Weight (oz)")] {
        cars.write(0, column, text).expect("cell");
    }
    cars.write(1, 0, "TST 1").expect("cell");
    cars.write(1, 1, "HO").expect("cell");
    cars.write(1, 2, 3.9).expect("cell");
    let all = sheets(&club, "club.xlsx", book.save_to_buffer().expect("bytes"));
    let [dues, cars] = &all[..] else {
        panic!("two sheets");
    };
    assert_eq!(dues.rows_taken, 0);
    assert!(!dues.refusals.is_empty());
    assert!(
        dues.refusals[0].place.contains("Dues"),
        "{}",
        dues.refusals[0].place
    );
    assert!(
        dues.refusals[0].expected.contains("Car"),
        "{}",
        dues.refusals[0].expected
    );
    assert_eq!(
        (cars.rows_in, cars.rows_taken, cars.refusals.len()),
        (1, 1, 0)
    );
}
