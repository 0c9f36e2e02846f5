//! Laws: what is written reads back the same, what the `csv` crate splits is split alike, and no
//! bytes make a reader panic.

mod made;

use gradeworthy_sheets::{
    DelimitedOptions, DelimitedStyle, Entry, Grid, Kind, Separator, Table, find_header,
    guess_decimal_mark, read, read_delimited, read_xlsx, write_delimited, write_xlsx,
};
use proptest::prelude::*;

/// Texts of every kind that a sheet can hold; no zero byte, and no characters that XML lacks.
fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~]{0,12}",
        "[\\PC\n\t,;|\"']{0,8}",
        Just("sep=;".to_owned()),
        Just("\u{FEFF}x".to_owned()),
        Just("a\r\nb\rc".to_owned()),
        Just("_x0041_".to_owned()),
        Just(" padded ".to_owned()),
        Just("%PDF-1".to_owned()),
        Just("=1+1".to_owned()),
    ]
}

fn separator() -> impl Strategy<Value = Separator> {
    proptest::sample::select(&Separator::ALL[..])
}

/// Numbers as a person types them, of at most fifteen digits.
fn number() -> impl Strategy<Value = f64> {
    (-999_999_999_i32..999_999_999, 0_i32..9)
        .prop_map(|(digits, places)| f64::from(digits) / 10_f64.powi(places))
}

fn table() -> impl Strategy<Value = Table> {
    (1_usize..6, 0_usize..8).prop_flat_map(|(columns, rows)| {
        let entry = prop_oneof![
            4 => text().prop_map(Entry::Text),
            2 => number().prop_map(Entry::Number),
            1 => Just(Entry::Blank),
        ];
        let headings = proptest::collection::vec(text(), columns);
        let row = proptest::collection::vec(entry, columns);
        (headings, proptest::collection::vec(row, rows)).prop_map(|(headings, rows)| Table {
            name: "Cars".to_owned(),
            headings,
            rows,
        })
    })
}

/// The texts of a table, filled to a rectangle.
fn texts(table: &Table) -> Vec<Vec<String>> {
    let row = |row: &Vec<Entry>| {
        row.iter()
            .map(|entry| match entry {
                Entry::Blank => String::new(),
                Entry::Text(text) => text.clone(),
                Entry::Number(number) => number.to_string(),
                Entry::Decimals(number, places) => format!("{number:.*}", usize::from(*places)),
            })
            .collect()
    };
    std::iter::once(table.headings.clone())
        .chain(table.rows.iter().map(row))
        .collect()
}

/// The texts of a grid, filled to a rectangle of that size.
fn read_texts(grid: &Grid, columns: usize, rows: usize) -> Vec<Vec<String>> {
    let text = |row, column| grid.row(row).map_or("", |row| row.text(column)).to_owned();
    (0..rows)
        .map(|row| (0..columns).map(|column| text(row, column)).collect())
        .collect()
}

/// Everything that can be asked of a grid, so that a wrong inside shows.
fn walk(grid: &Grid) {
    for row in grid.rows() {
        for (column, cell) in row.cells().enumerate() {
            assert_eq!(row.cell(column), Some(cell));
            assert_eq!(cell.text, row.text(column));
            assert!(cell.text.is_empty() || cell.kind != Kind::Empty);
            assert!(row.place(column).row >= 1);
        }
    }
    let guess = find_header(grid);
    assert!(guess.body_start() <= grid.row_count());
    drop(guess_decimal_mark(grid));
}

proptest! {
    #[test]
    fn delimited_text_reads_back(table in table(), separator in separator(), mark in any::<bool>()) {
        let style = DelimitedStyle { separator, byte_order_mark: mark, ..DelimitedStyle::default() };
        let bytes = write_delimited(&table, style).expect("writable");
        let options = DelimitedOptions { separator: Some(separator) };
        let read = read_delimited(&bytes, options).expect("readable");
        let want = texts(&table);
        let all: Vec<Vec<String>> = read.grid.rows()
            .map(|row| row.cells().map(|cell| cell.text.to_owned()).collect()).collect();
        prop_assert_eq!(all, want);
        prop_assert!(read.notes.is_empty(), "{:?}", read.notes);
        walk(&read.grid);
    }

    #[test]
    fn workbooks_read_back(table in table()) {
        let bytes = write_xlsx(std::slice::from_ref(&table)).expect("writable");
        let read = read(&bytes).expect("readable");
        let want = texts(&table);
        let grid = &read.sheets[0];
        prop_assert_eq!(read_texts(grid, table.headings.len(), want.len()), want);
        prop_assert!(grid.row_count() <= table.rows.len() + 1);
        prop_assert!(read.notes.is_empty(), "{:?}", read.notes);
        walk(grid);
    }

    #[test]
    fn equal_tables_give_equal_bytes(table in table()) {
        let write = || write_xlsx(std::slice::from_ref(&table)).expect("writable");
        prop_assert_eq!(write(), write());
    }

    /// Cells in are cells out, by the `csv` crate's own count.
    #[test]
    fn the_csv_crate_splits_alike(table in table(), separator in separator()) {
        let style = DelimitedStyle { separator, ..DelimitedStyle::default() };
        let bytes = write_delimited(&table, style).expect("writable");
        let options = DelimitedOptions { separator: Some(separator) };
        let ours = read_delimited(&bytes, options).expect("readable").grid;
        let theirs = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(separator.byte())
            .from_reader(&bytes[..])
            .into_records()
            .collect::<Result<Vec<_>, _>>()
            .expect("readable");
        let ours: Vec<Vec<&str>> = ours.rows().map(|r| r.cells().map(|c| c.text).collect()).collect();
        let theirs: Vec<Vec<&str>> = theirs.iter().map(|record| record.iter().collect()).collect();
        prop_assert_eq!(ours, theirs);
    }

    /// On any text without marks too: line ends of all kinds, blank lines, ragged rows.
    #[test]
    fn the_csv_crate_splits_plain_text_alike(text in "[ab,\r\n]{1,40}") {
        let options = DelimitedOptions { separator: Some(Separator::Comma) };
        let Ok(ours) = read_delimited(text.as_bytes(), options) else {
            prop_assert!(text.trim().is_empty());
            return Ok(());
        };
        let ours: Vec<Vec<&str>> = ours.grid.rows()
            .map(|r| r.cells().map(|c| c.text).collect())
            .filter(|row: &Vec<&str>| !row.is_empty())
            .collect();
        let theirs = csv::ReaderBuilder::new().has_headers(false).flexible(true)
            .from_reader(text.as_bytes()).into_records()
            .collect::<Result<Vec<_>, _>>().expect("readable");
        let theirs: Vec<Vec<&str>> = theirs.iter().map(|record| record.iter().collect()).collect();
        prop_assert_eq!(ours, theirs);
    }

    #[test]
    fn no_bytes_make_a_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        for start in [&b""[..], b"\xEF\xBB\xBF", b"\xFF\xFE", b"\xFE\xFF", b"sep=;\n",
                      b"PK\x03\x04[Content_Types].xml"] {
            if let Ok(read) = read(&[start, &bytes].concat()) {
                read.sheets.iter().for_each(walk);
            }
        }
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in "[ab\",;\t|\r\n°.0-9]{0,60}") {
        if let Ok(read) = read(text.as_bytes()) {
            read.sheets.iter().for_each(walk);
        }
    }

    /// A whole archive with a part that is wrong: the sums are right, the content is not.
    #[test]
    fn no_wrong_part_makes_a_reader_panic(
        at in 0_usize..300, cut in 0_usize..4, put in "[A-Z0-9<>/=\"a-z:]{0,4}",
    ) {
        let sheet = "<dimension ref=\"A1:C2\"/><sheetData><row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c>\
            <c r=\"B1\"><f t=\"shared\" ref=\"B1:B2\" si=\"0\">A1*2</f><v>14.38</v></c></row>\
            <row r=\"2\"><c r=\"B2\"><f t=\"shared\" si=\"0\"/><v>1</v></c></row></sheetData>\
            <mergeCells count=\"1\"><mergeCell ref=\"A1:A2\"/></mergeCells>";
        let mut wrong: Vec<u8> = sheet.as_bytes().to_vec();
        let at = at.min(wrong.len());
        wrong.splice(at..(at + cut).min(sheet.len()), put.bytes());
        let wrong = String::from_utf8(wrong).expect("ASCII");
        let bytes = made::workbook(&wrong, "<sst uniqueCount=\"1\"><si><t>x</t></si></sst>");
        if let Ok((grids, _)) = read_xlsx(&bytes) {
            grids.iter().for_each(walk);
        }
    }

    /// An archive with bytes changed anywhere.
    #[test]
    fn no_wrong_byte_makes_a_reader_panic(changes in proptest::collection::vec((any::<u16>(), any::<u8>()), 1..5)) {
        let mut bytes = made::workbook("<sheetData><row><c><v>1</v></c></row></sheetData>", "<sst/>");
        for (at, value) in changes {
            let at = usize::from(at) % bytes.len();
            bytes[at] = value;
        }
        drop(read_xlsx(&bytes));
    }
}
