//! Heading rows as clubs lay them out (common practice, no source).

use gradeworthy_sheets::{Grid, HeaderGuess, Reason, find_header, read};
use rust_xlsxwriter::{Format, Workbook};

fn guess(text: &str) -> HeaderGuess {
    find_header(&read(text.as_bytes()).expect("readable").sheets[0])
}

fn headings(guess: &HeaderGuess) -> Vec<&str> {
    guess
        .headings
        .iter()
        .map(|heading| heading.text.as_str())
        .collect()
}

fn reasons(guess: &HeaderGuess) -> Vec<String> {
    guess.reasons.iter().map(ToString::to_string).collect()
}

#[test]
fn one_row_of_texts_over_numbers() {
    let guess = guess("car, back  to\tback ,oz\nXMPL 1,14.38,4.5\nXMPL 2,14.40 mm,5½ oz\n");
    assert_eq!(headings(&guess), ["car", "back to back", "oz"]);
    assert_eq!(
        (guess.rows.clone(), guess.body_start(), guess.is_firm()),
        (0..1, 1, true)
    );
    assert_eq!(
        reasons(&guess),
        [
            "row 1 is the first of full width with mostly texts (3 of 3)",
            "numbers stand under 2 of its columns"
        ]
    );
}

#[test]
fn blank_rows_and_title_lines_stand_above() {
    let guess = guess("\nExample club roster,,\n2026-11-25,,\n\ncar,b2b,oz\n1,14.38,4.5\n");
    assert_eq!(headings(&guess), ["car", "b2b", "oz"]);
    assert_eq!(
        (guess.rows.clone(), guess.titles.clone()),
        (4..5, vec![1, 2])
    );
    assert_eq!(
        guess.reasons[0].to_string(),
        "rows 2, 3 hold too little to be headings"
    );
}

#[test]
fn groups_with_blanks_after_them_join_to_the_parts_below() {
    for (text, want) in [
        (
            "car,Axle 1,,Axle 2,,oz\n,B2B,Flange,B2B,Flange,\nX,14.38,.7,14.4,.7,5\n",
            vec![
                "car",
                "Axle 1 B2B",
                "Axle 1 Flange",
                "Axle 2 B2B",
                "Axle 2 Flange",
                "oz",
            ],
        ),
        (
            ",Axle 1,,Axle 2,\ncar,B2B,Flange,B2B,Flange\nX,14.38,.7,14.4,.7\n",
            vec![
                "car",
                "Axle 1 B2B",
                "Axle 1 Flange",
                "Axle 2 B2B",
                "Axle 2 Flange",
            ],
        ),
    ] {
        let guess = guess(text);
        assert_eq!(headings(&guess), want);
        assert_eq!(guess.rows, 0..2);
        assert!(guess.reasons.contains(&Reason::GroupsJoined {
            groups: 1,
            parts: 2,
            merged: false
        }));
    }
}

#[test]
fn a_gap_in_the_headings_makes_no_groups() {
    let guess = guess("car,owner,,oz\nX 1,Doe,left,4\nX 2,Roe,right,5\n");
    assert_eq!(headings(&guess), ["car", "owner", "", "oz"]);
    assert_eq!(guess.rows, 0..1);
}

#[test]
fn repeated_headings_are_said() {
    let guess = guess("car,b2b,b2b\n1,14.38,14.40\n");
    assert!(guess.reasons.contains(&Reason::Repeated {
        heading: "b2b".to_owned()
    }));
}

#[test]
fn without_numbers_below_the_guess_is_not_firm() {
    let guess = guess("car,verdict\nXMPL A,fit\nXMPL B,bad order\n");
    assert_eq!(headings(&guess), ["car", "verdict"]);
    assert!(!guess.is_firm());
    assert!(
        guess
            .reasons
            .contains(&Reason::NothingTellsItFromTheRowsBelow)
    );
}

#[test]
fn numbers_alone_have_no_headings_and_a_remark_under_them_is_none() {
    for text in ["1,14.38\n2,14.40\n", "1,14.38\n2,14.40\n\nall checked,\n"] {
        let guess = guess(text);
        assert!(guess.headings.is_empty(), "{guess:?}");
        assert_eq!(guess.body_start(), 0);
        assert!(matches!(guess.reasons[..], [Reason::NoneFound { .. }]));
    }
}

fn merged_sheet() -> Grid {
    let mut writer = Workbook::new();
    let sheet = writer.add_worksheet();
    let format = Format::new();
    sheet
        .merge_range(0, 0, 0, 5, "Example club, wheel night", &format)
        .expect("cells");
    sheet
        .merge_range(2, 0, 3, 0, "Car", &format)
        .expect("cells");
    sheet
        .merge_range(2, 1, 2, 2, "Axle 1", &format)
        .expect("cells");
    sheet
        .merge_range(2, 3, 2, 4, "Axle 2", &format)
        .expect("cells");
    sheet
        .merge_range(2, 5, 3, 5, "Weight\noz", &format)
        .expect("cells");
    for (column, text) in [(1, "B2B"), (2, "Flange"), (3, "B2B"), (4, "Flange")] {
        sheet.write_string(3, column, text).expect("cell");
    }
    for (column, number) in [
        (0, 1.0),
        (1, 14.38),
        (2, 0.7),
        (3, 14.41),
        (4, 0.71),
        (5, 4.5),
    ] {
        sheet.write_number(4, column, number).expect("cell");
    }
    read(&writer.save_to_buffer().expect("bytes"))
        .expect("readable")
        .sheets
        .remove(0)
}

#[test]
fn merged_groups_join_to_the_parts_below() {
    let guess = find_header(&merged_sheet());
    assert_eq!(
        headings(&guess),
        [
            "Car",
            "Axle 1 B2B",
            "Axle 1 Flange",
            "Axle 2 B2B",
            "Axle 2 Flange",
            "Weight oz"
        ]
    );
    assert_eq!(
        reasons(&guess),
        [
            "row 1 holds too little to be headings",
            "row 3 is the first of full width with mostly texts (4 of 4)",
            "the merged cells of row 3 were joined to the texts of row 4",
            "numbers stand under 4 of its columns"
        ]
    );
}

#[test]
fn a_title_merged_over_plain_headings_is_no_group() {
    let mut writer = Workbook::new();
    let sheet = writer.add_worksheet();
    sheet
        .merge_range(0, 0, 0, 1, "Roster", &Format::new())
        .expect("cells");
    for (column, text) in [(0, "car"), (1, "b2b"), (2, "oz")] {
        sheet.write_string(1, column, text).expect("cell");
        sheet.write_number(2, column, 1.5).expect("cell");
    }
    let workbook = read(&writer.save_to_buffer().expect("bytes")).expect("readable");
    let guess = find_header(&workbook.sheets[0]);
    assert_eq!(headings(&guess), ["car", "b2b", "oz"]);
    assert_eq!(guess.rows, 1..2);
}

#[test]
fn remarks_to_the_right_do_not_make_the_sheet_wide() {
    let guess =
        guess("car,b2b,oz\n1,14.38,4.5\n2,14.4,4.6,see,the,slip,in,the,drawer\n3,14.41,4.4\n");
    assert_eq!(headings(&guess), ["car", "b2b", "oz"]);
}
