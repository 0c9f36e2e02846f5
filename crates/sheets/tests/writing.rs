//! Tables written out, byte for byte where it matters.

use gradeworthy_sheets::{
    DelimitedStyle, Entry, Separator, SheetError, Table, write_delimited, write_xlsx,
};
use gradeworthy_units::DecimalMark;

fn table(rows: Vec<Vec<Entry>>) -> Table {
    Table {
        name: "Cars".to_owned(),
        headings: vec!["car".to_owned(), "b2b".to_owned()],
        rows,
    }
}

fn written(rows: Vec<Vec<Entry>>, style: DelimitedStyle) -> String {
    String::from_utf8(write_delimited(&table(rows), style).expect("writable")).expect("UTF-8")
}

#[test]
fn fields_are_quoted_where_rfc_4180_wants_it() {
    // [RFC-4180] §2 rules 6 and 7.
    let rows = vec![
        vec!["a,b".into(), 14.38.into()],
        vec!["5\" flat".into(), Entry::Decimals(14.3, 2)],
        vec!["x".into()],
    ];
    assert_eq!(
        written(rows, DelimitedStyle::default()),
        "car,b2b\r\n\"a,b\",14.38\r\n\"5\"\" flat\",14.30\r\nx,\r\n"
    );
}

#[test]
fn a_file_for_a_country_of_commas() {
    let style = DelimitedStyle {
        separator: Separator::Semicolon,
        mark: DecimalMark::Comma,
        byte_order_mark: true,
        guard_formulas: false,
    };
    assert_eq!(
        written(vec![vec!["a;b".into(), 14.38.into()]], style),
        "\u{FEFF}car;b2b\r\n\"a;b\";14,38\r\n"
    );
}

#[test]
fn formulas_are_disarmed_only_on_request() {
    let texts = [
        "=1+1", "+x", "-x", "@x", "-0.5", "+3", "-1,5", "\tx", "--1", "1=1",
    ];
    let rows = || texts.iter().map(|&text| vec![Entry::from(text)]).collect();
    let first = |text: String| -> Vec<String> {
        text.lines()
            .skip(1)
            .map(|line| line.trim_end_matches(',').to_owned())
            .collect()
    };
    let plain = DelimitedStyle {
        separator: Separator::Tab,
        ..DelimitedStyle::default()
    };
    assert!(written(rows(), plain).contains("\r\n=1+1\t\r\n"));
    let guarded = DelimitedStyle {
        guard_formulas: true,
        ..DelimitedStyle::default()
    };
    assert_eq!(
        first(written(rows(), guarded)),
        [
            "'=1+1", "'+x", "'-x", "'@x", "-0.5", "+3", "\"-1,5\"", "'\tx", "'--1", "1=1"
        ]
    );
}

#[test]
fn what_no_sheet_can_hold_is_refused_with_its_place() {
    let refusal = |rows| {
        let table = table(rows);
        [
            write_delimited(&table, DelimitedStyle::default()),
            write_xlsx(&[table]),
        ]
        .map(|result| result.expect_err("must be refused").to_string())
    };
    assert_eq!(
        refusal(vec![vec!["x".into(), f64::NAN.into()]]),
        [
            "the number at line 2, field 2 is NaN, which no sheet can hold; leave the cell empty",
            "the number at sheet 'Cars', row 2, column B is NaN, which no sheet can hold; \
             leave the cell empty"
        ]
    );
    assert!(
        refusal(vec![vec!["".into(), "".into(), "x".into()]])[1]
            .starts_with("sheet 'Cars', row 2, column C has no heading")
    );
    assert!(refusal(vec![vec!["a\0".into()]])[0].starts_with("the text at line 2, field 1"));
    assert!(refusal(vec![vec!["x".repeat(40_000).into()]])[0].contains("40000 characters"));
    let bare = Table::default();
    assert_eq!(
        write_delimited(&bare, DelimitedStyle::default()),
        Err(SheetError::NoHeadings)
    );
    assert_eq!(write_xlsx(&[]), Err(SheetError::NoSheets));
    let misnamed = Table {
        name: "a/b".to_owned(),
        ..table(Vec::new())
    };
    assert!(matches!(
        write_xlsx(&[misnamed]),
        Err(SheetError::Unwritable { .. })
    ));
}
