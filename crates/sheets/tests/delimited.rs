//! Text files as people hand them in. The rules of quoting are those of [RFC-4180] §2; what the
//! files look like otherwise is common practice, no source.

use gradeworthy_sheets::{
    DelimitedOptions, Encoding, FileKind, Kind, Note, Separator, SheetError, guess_decimal_mark,
    limits, read, read_delimited,
};
use gradeworthy_units::DecimalMark;

fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
    let read = read_delimited(bytes, DelimitedOptions::default()).expect("readable");
    let rows = read.grid.rows();
    rows.map(|row| row.cells().map(|cell| cell.text.to_owned()).collect())
        .collect()
}

fn notes(bytes: &[u8]) -> Vec<String> {
    let read = read_delimited(bytes, DelimitedOptions::default()).expect("readable");
    read.notes.iter().map(ToString::to_string).collect()
}

fn refusal(bytes: &[u8]) -> String {
    read(bytes).expect_err("must be refused").to_string()
}

#[test]
fn every_line_end_ends_a_row_and_blank_lines_are_kept() {
    let want = [
        vec!["car", "b2b"],
        vec![],
        vec!["1", "14.38"],
        vec!["2", ""],
    ];
    for end in ["\r\n", "\n", "\r"] {
        for last in ["", end] {
            let text = format!("car,b2b{end}{end}1,14.38{end}2,{last}");
            assert_eq!(rows(text.as_bytes()), want, "{}", text.escape_debug());
        }
    }
}

#[test]
fn lines_are_numbered_as_an_editor_numbers_them() {
    let text = b"a,b\r\n\r\n\"x\r\ny\",2\r\n3,4\r\n";
    let grid = read_delimited(text, DelimitedOptions::default())
        .expect("readable")
        .grid;
    let numbers: Vec<u32> = grid.rows().map(|row| row.number()).collect();
    assert_eq!(numbers, [1, 2, 3, 5]);
    assert_eq!(grid.row(2).expect("third").text(0), "x\r\ny");
    assert_eq!(grid.place(3, 1).to_string(), "line 5, field 2");
}

#[test]
fn quotation_marks_follow_rfc_4180() {
    // [RFC-4180] §2 rules 5 to 7: enclosed fields, line breaks and commas inside, doubled marks.
    assert_eq!(
        rows(b"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,\"b\"\"bb\",\"x,y\"\r\n"),
        [["aaa", "b\r\nbb", "ccc"], ["zzz", "b\"bb", "x,y"]]
    );
    assert_eq!(rows(b"a,\"\"\n"), [["a", ""]]);
    // An inch mark inside an unquoted field is no quotation mark.
    assert_eq!(
        rows(b"car,height\n1,.391\"\n"),
        [["car", "height"], ["1", ".391\""]]
    );
}

#[test]
fn text_after_a_closing_mark_is_kept_as_written_and_said() {
    let text = b"car,note\n1,\"5\" flat\n2,\"ok\"\n";
    assert_eq!(rows(text)[1], ["1", "\"5\" flat"]);
    assert_eq!(
        notes(text),
        [
            "1 field goes on after a closing quotation mark, first line 2, field 2; kept as written, \
          marks included"
        ]
    );
}

#[test]
fn a_mark_that_is_never_closed_is_refused_where_it_opens() {
    let text = b"car,height,oz\n1,.391,5\n2,\".388,5\n3,.390,5\n";
    assert_eq!(
        refusal(text),
        "the quotation mark that opens line 3, field 2 is never closed; close it, or write an \
         inch mark inside a text as \"\" or as in"
    );
}

#[test]
fn ragged_rows_stay_ragged_and_are_said() {
    let text = b"a,b,c\n1,2,3\n4,5\n6,7,8,9\n1,2,3\n";
    let lengths: Vec<usize> = rows(text).iter().map(Vec::len).collect();
    assert_eq!(lengths, [3, 3, 2, 4, 3]);
    assert_eq!(
        notes(text),
        ["2 rows are not as long as most (3 fields), first line 3 with 2"]
    );
}

#[test]
fn the_separator_is_found_by_what_splits_the_rows_alike() {
    for (text, separator) in [
        ("car,b2b\n1,14.38\n", Separator::Comma),
        (
            "car;b2b;oz\n1;14,38;4,5\n2;14,40;4,6\n",
            Separator::Semicolon,
        ),
        ("1;14,38;4,5\n2;14,40;4,6\n", Separator::Semicolon),
        ("car\tnote\n1\ta, b; c\n2\t\n", Separator::Tab),
        ("car|b2b\n1|14,38\n", Separator::Bar),
        ("car,note\n1,\"a; b; c\"\n2,\"d; e\"\n", Separator::Comma),
        ("car,note\n1,a; b\n2,c\n3,d\n", Separator::Comma),
        ("car\n1\n2\n", Separator::Comma),
    ] {
        let read = read_delimited(text.as_bytes(), DelimitedOptions::default()).expect("readable");
        assert_eq!(read.separator, separator, "{text}");
    }
}

#[test]
fn a_first_line_may_name_the_separator() {
    for start in ["sep=;\r\n", "SEP=;\n", "\u{FEFF}sep=;\r"] {
        let text = format!("{start}a;b,c\n1;2,5\n");
        assert_eq!(
            rows(text.as_bytes()),
            [["a", "b,c"], ["1", "2,5"]],
            "{start}"
        );
    }
    let read = read_delimited(b"sep=|\na,b\n1,2\n", DelimitedOptions::default()).expect("read");
    assert_eq!(read.grid.row(1).expect("second").number(), 3);
    assert_eq!(
        read.notes[0],
        Note::SeparatorLine {
            separator: Separator::Bar
        }
    );
    assert_eq!(rows(b"sep=x\na,b\n1,2\n")[0], ["sep=x"]);
}

#[test]
fn the_user_knows_the_separator_better() {
    let options = DelimitedOptions {
        separator: Some(Separator::Bar),
    };
    let read = read_delimited(b"a,b|c\n1,2|3\n", options).expect("readable");
    assert_eq!(read.grid.row(0).expect("first").text(0), "a,b");
}

#[test]
fn equal_separators_are_said() {
    assert_eq!(
        notes(b"1;2,3\n4;5,6\n"),
        ["the semicolon and the comma split the rows equally well; the semicolon was taken"]
    );
}

#[test]
fn a_column_of_decimal_commas_is_doubtful() {
    let text = b"b2b\n14,38\n14,40\n";
    assert!(notes(text)[0].starts_with("the comma was taken as the separator, but each stands"));
    let options = DelimitedOptions {
        separator: Some(Separator::Semicolon),
    };
    let read = read_delimited(text, options).expect("readable");
    assert_eq!(read.grid.row(1).expect("second").text(0), "14,38");
    assert!(notes(b"car,b2b\n1,14.38\n").is_empty());
}

#[test]
fn encodings_by_their_mark_or_by_their_bytes() {
    let text = "car;°\nXMPL ½;5\n";
    let utf16 = |to_bytes: fn(u16) -> [u8; 2]| -> Vec<u8> {
        "\u{FEFF}"
            .encode_utf16()
            .chain(text.encode_utf16())
            .flat_map(to_bytes)
            .collect()
    };
    // ° is B0 and ½ is BD in Windows-1252: [WHATWG-ENCODING] index windows-1252.
    let western = b"car;\xB0\nXMPL \xBD;5\n".to_vec();
    for (bytes, encoding) in [
        (text.as_bytes().to_vec(), Encoding::Utf8),
        (format!("\u{FEFF}{text}").into_bytes(), Encoding::Utf8),
        (utf16(u16::to_le_bytes), Encoding::Utf16Le),
        (utf16(u16::to_be_bytes), Encoding::Utf16Be),
        (western.clone(), Encoding::Windows1252),
    ] {
        let read = read_delimited(&bytes, DelimitedOptions::default()).expect("readable");
        assert_eq!(read.encoding, encoding);
        assert_eq!(read.grid.row(0).expect("first").text(1), "°", "{encoding}");
        assert_eq!(
            read.grid.row(1).expect("second").text(0),
            "XMPL ½",
            "{encoding}"
        );
    }
    assert_eq!(
        notes(&western),
        [
            "the file is not UTF-8 (first at line 1, character 5) and was read as Windows-1252, \
          there as '°'"
        ]
    );
}

#[test]
fn a_file_of_two_encodings_says_that_it_is_misread() {
    let bytes = b"car;1\n\xC2\xB0;2\n\xB0;3\n";
    assert_eq!(
        notes(bytes),
        [
            "the file is not UTF-8 (first at line 3, character 1) and was read as Windows-1252, \
          there as '°'; 1 other place looks like UTF-8 and may be misread: save the file as UTF-8"
        ]
    );
}

#[test]
fn broken_encodings_are_refused_where_they_break() {
    assert_eq!(
        refusal(b"\xEF\xBB\xBFcar\nb2b \xFF\n"),
        "the file is marked as UTF-8, but line 2, character 5 is not; save it as CSV in UTF-8 again"
    );
    // D8 00 is the first half of a pair whose second half does not follow.
    assert_eq!(
        refusal(b"\xFE\xFF\0a\0\n\0b\xD8\x00\0c"),
        "the file is marked as UTF-16 (high byte first), but line 2, character 2 is not; \
         save it as CSV in UTF-8 again"
    );
    assert!(refusal(b"\xFF\xFEa\0b").contains("line 1, character 2"));
    assert!(refusal(b"car,b2b\n1,\0\n").starts_with("line 2, character 3 is a zero byte"));
    assert!(
        refusal(
            "car\n"
                .encode_utf16()
                .flat_map(u16::to_le_bytes)
                .collect::<Vec<_>>()
                .as_ref()
        )
        .starts_with("line 1, character 2 is a zero byte")
    );
}

#[test]
fn files_of_other_kinds_are_named() {
    let encrypted: Vec<u8> = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1\0\0"
        .iter()
        .copied()
        .chain("EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    for (bytes, kind) in [
        (
            &b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1\0\0\0"[..],
            FileKind::OldXls,
        ),
        (&encrypted, FileKind::EncryptedWorkbook),
        (b"%PDF-1.7\n", FileKind::Pdf),
        (b"PK\x03\x04 some other archive", FileKind::Zip),
        (b"PK\x03\x04 xl/workbook.bin", FileKind::Xlsb),
        (b"\x89PNG\r\n\x1a\n\0", FileKind::Picture),
        (b"\n <HTML><table>", FileKind::WebPage),
        (b"<?xml version=\"1.0\"?><Workbook/>", FileKind::Xml),
        (b"\x1F\x8B\x08\0", FileKind::Compressed),
    ] {
        let error = read(bytes).expect_err("must be refused");
        assert_eq!(error, SheetError::WrongKind { found: kind });
    }
    assert_eq!(
        refusal(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1\0"),
        "this is an old .xls workbook, which is not read here; \
         open it in a spreadsheet program and save it as .xlsx or CSV"
    );
    for empty in [&b""[..], b"\xEF\xBB\xBF", b" \r\n\t\n"] {
        assert_eq!(read(empty).expect_err("empty"), SheetError::Empty);
    }
}

#[test]
fn limits_stop_with_the_place() {
    let row = |fields: u32| vec!["1"; fields as usize].join(",") + "\n";
    assert!(read(row(limits::COLUMNS_MAX).as_bytes()).is_ok());
    assert_eq!(
        refusal(row(limits::COLUMNS_MAX + 1).as_bytes()),
        "line 1, field 1001 lies beyond column 1000, the last that is taken; \
         delete what stands there, or check the separator"
    );
    let long = |chars: usize| format!("a,b\n1,{}\n", "x".repeat(chars));
    assert!(read(long(limits::CELL_CHARS_MAX).as_bytes()).is_ok());
    assert!(
        refusal(long(limits::CELL_CHARS_MAX + 1).as_bytes())
            .starts_with("the text at line 2, field 2 has 32768 characters")
    );
    let rows = |count: u32| "1\n".repeat(count as usize);
    assert!(read(rows(limits::ROWS_MAX).as_bytes()).is_ok());
    assert!(
        refusal(rows(limits::ROWS_MAX + 1).as_bytes())
            .starts_with("line 200001, field 1 lies beyond row 200000")
    );
}

#[test]
fn fifty_thousand_rows_are_all_there() {
    let count = 50_000;
    let text: String = (0..count)
        .map(|n| format!("XMPL {n};14,{:02};\"a;b\"\r\n", n % 100))
        .collect();
    let grid = read_delimited(text.as_bytes(), DelimitedOptions::default())
        .expect("readable")
        .grid;
    assert_eq!(grid.row_count(), count);
    assert!(grid.rows().all(|row| row.len() == 3));
    let last = grid.row(count - 1).expect("last");
    assert_eq!(
        (last.text(0), last.text(1), last.text(2)),
        ("XMPL 49999", "14,99", "a;b")
    );
    assert_eq!(last.number(), 50_000);
}

#[test]
fn the_decimal_mark_comes_with_its_evidence() {
    let guess = |text: &str| guess_decimal_mark(&read(text.as_bytes()).expect("read").sheets[0]);
    assert_eq!(guess("a;b\n14.38;1,250\n").mark, DecimalMark::Point);
    assert_eq!(guess("a;b\n1;2\n").mark, DecimalMark::Either);
    let mixed = guess("a;b\n14,38;x\n14.38;0,5 mm\n");
    assert_eq!(mixed.mark, DecimalMark::Either);
    assert_eq!(
        mixed.to_string(),
        "no one decimal mark; 1 with a point, first at line 3, field 1; 2 with a comma, first at \
         line 2, field 1"
    );
    assert_eq!(mixed.mark_for(Kind::Number), DecimalMark::Point);
    let doubtful = guess("a;b\n1,250;2,500\n");
    assert_eq!(
        (doubtful.mark, doubtful.doubtful.cell_count),
        (DecimalMark::Either, 2)
    );
}
