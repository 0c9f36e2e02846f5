//! Workbooks, written by an independent library or put together by hand.

mod made;

use gradeworthy_sheets::{
    Cell, FileKind, Grid, Kind, Note, SheetError, Workbook, limits, read, read_xlsx,
};
use rust_xlsxwriter::{Chart, ChartType, ExcelDateTime, Format, Formula, Workbook as Writer};

fn one_sheet(fill: impl Fn(&mut rust_xlsxwriter::Worksheet)) -> Workbook {
    let mut writer = Writer::new();
    let sheet = writer.add_worksheet();
    sheet.set_name("Cars").expect("a name");
    fill(sheet);
    read(&writer.save_to_buffer().expect("bytes")).expect("readable")
}

fn cell(grid: &Grid, row: usize, column: usize) -> Cell<'_> {
    grid.row(row).expect("a row").cell(column).expect("a cell")
}

fn refusal(bytes: &[u8]) -> String {
    read(bytes).expect_err("must be refused").to_string()
}

#[test]
fn values_keep_their_kind_and_numbers_their_digits() {
    let workbook = one_sheet(|sheet| {
        let format = |code: &str| Format::new().set_num_format(code);
        sheet.write_number(0, 0, 14.38).expect("cell");
        sheet.write_string(0, 1, " XMPL 1 ").expect("cell");
        sheet.write_boolean(0, 2, true).expect("cell");
        sheet
            .write_number_with_format(0, 3, 0.021, &format("0.0%"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 4, 0.390_625, &format("# ??/??"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 5, 14.3, &format("0.00\" mm\""))
            .expect("cell");
        sheet.write_string(0, 6, "007").expect("cell");
        sheet.write_number(0, 7, 0.1 + 0.2).expect("cell");
    });
    let grid = &workbook.sheets[0];
    let read: Vec<_> = grid
        .row(0)
        .expect("row")
        .cells()
        .map(|c| (c.text, c.kind, c.format))
        .collect();
    assert_eq!(
        read,
        [
            ("14.38", Kind::Number, None),
            (" XMPL 1 ", Kind::Text, None),
            ("TRUE", Kind::Boolean, None),
            ("2.1%", Kind::Percent, Some("0.0%")),
            ("0.390625", Kind::Fraction, Some("# ??/??")),
            ("14.3", Kind::Number, Some("0.00\" mm\"")),
            ("007", Kind::Text, None),
            ("0.3", Kind::Number, None),
        ]
    );
    assert!(cell(grid, 0, 7).rounded && !cell(grid, 0, 0).rounded);
    let notes: Vec<_> = workbook.notes.iter().map(ToString::to_string).collect();
    assert_eq!(
        notes,
        [
            "1 number was rounded to the 15 digits that a spreadsheet shows, \
          first at sheet 'Cars', row 1, column H"
        ]
    );
}

#[test]
fn dates_and_times_are_iso_8601() {
    // Serial numbers with their dates: worked examples of [ECMA-376], 1st edition, part 4, 'Date
    // Representation', 1900 date base system.
    let workbook = one_sheet(|sheet| {
        let format = |code: &str| Format::new().set_num_format(code);
        let date = ExcelDateTime::from_ymd(2026, 11, 25).expect("a date");
        sheet
            .write_datetime_with_format(0, 0, &date, &format("yyyy-mm-dd"))
            .expect("cell");
        let time = date.and_hms(14, 30, 0).expect("a time");
        sheet
            .write_datetime_with_format(0, 1, &time, &format("d mmm yy h:mm"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 2, 0.5, &format("h:mm"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 3, 1.25, &format("[h]:mm:ss"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 4, 61.0, &format("d/m/yyyy"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 5, 2_958_465.0, &format("d/m/yyyy"))
            .expect("cell");
        sheet
            .write_number_with_format(0, 6, -1.0, &format("d/m/yyyy"))
            .expect("cell");
        for (column, serial) in [(7, 1.0), (8, 3687.0), (9, 38_749.0)] {
            let date = format("d/m/yyyy");
            sheet
                .write_number_with_format(0, column, serial, &date)
                .expect("cell");
        }
    });
    let row = workbook.sheets[0].row(0).expect("a row");
    let read: Vec<_> = row.cells().map(|cell| (cell.text, cell.kind)).collect();
    assert_eq!(
        read,
        [
            ("2026-11-25", Kind::Date),
            ("2026-11-25T14:30:00", Kind::Date),
            ("12:00:00", Kind::Date),
            ("30:00:00", Kind::Duration),
            ("1900-03-01", Kind::Date),
            ("9999-12-31", Kind::Date),
            ("-1", Kind::Number),
            ("1900-01-01", Kind::Date),
            ("1910-02-03", Kind::Date),
            ("2006-02-01", Kind::Date),
        ]
    );
}

#[test]
fn formulas_give_their_stored_value_and_are_marked() {
    let sheet = "<sheetData><row r=\"2\">\
        <c r=\"B2\"><f>1+1</f><v>2</v></c>\
        <c r=\"C2\"><f>1+1</f></c>\
        <c r=\"D2\" t=\"str\"><f>\"a\"</f><v>a</v></c>\
        <c r=\"E2\" t=\"e\"><f>B9</f><v>#REF!</v></c>\
        <c r=\"F2\"><f t=\"shared\" ref=\"F2:F3\" si=\"0\">B2</f><v>2</v></c></row>\
        <row r=\"3\"><c r=\"F3\"><f t=\"shared\" si=\"0\"/><v>7</v></c><c r=\"G3\"><v>1</v></c></row>\
        </sheetData>";
    let workbook = read(&made::workbook(sheet, "<sst/>")).expect("readable");
    let grid = &workbook.sheets[0];
    assert_eq!(grid.row_count(), 3);
    assert!(grid.row(0).expect("blank").is_empty());
    for (row, column, text, kind, formula) in [
        (1, 0, "", Kind::Empty, false),
        (1, 1, "2", Kind::Number, true),
        (1, 2, "", Kind::Empty, true),
        (1, 3, "a", Kind::Text, true),
        (1, 4, "#REF!", Kind::Error, true),
        (1, 5, "2", Kind::Number, true),
        (2, 5, "7", Kind::Number, true),
        (2, 6, "1", Kind::Number, false),
    ] {
        let cell = cell(grid, row, column);
        assert_eq!(
            (cell.text, cell.kind, cell.formula),
            (text, kind, formula),
            "{row} {column}"
        );
    }
    let notes: Vec<_> = workbook.notes.iter().map(ToString::to_string).collect();
    assert_eq!(
        notes,
        [
            "1 cell holds an error, first #REF! at sheet 'Cars', row 2, column E",
            "1 formula has no stored value, first at sheet 'Cars', row 2, column C; open the \
             workbook in a spreadsheet program and save it, so that they are computed"
        ]
    );
}

#[test]
fn a_formula_written_by_a_library_is_read_back_as_its_result() {
    let workbook = one_sheet(|sheet| {
        sheet
            .write_formula(0, 0, Formula::new("=7.19*2").set_result("14.38"))
            .expect("cell");
    });
    let cell = cell(&workbook.sheets[0], 0, 0);
    assert_eq!((cell.text, cell.formula), ("14.38", true));
}

#[test]
fn merged_cells_hold_their_value_at_the_top_left_and_cover_the_rest() {
    let workbook = one_sheet(|sheet| {
        let format = Format::new();
        sheet
            .merge_range(0, 0, 1, 0, "car", &format)
            .expect("cells");
        sheet
            .merge_range(0, 1, 0, 2, "Axle 1", &format)
            .expect("cells");
        // A title over more columns than are in use is cut to those.
        sheet
            .merge_range(2, 0, 2, 9_000, "all", &format)
            .expect("cells");
        sheet.write_string(1, 1, "B2B").expect("cell");
        sheet.write_string(1, 2, "Flange").expect("cell");
    });
    let grid = &workbook.sheets[0];
    let covered: Vec<Vec<bool>> = grid
        .rows()
        .map(|row| row.cells().map(|cell| cell.covered).collect())
        .collect();
    assert_eq!(
        covered,
        [
            [false, false, true],
            [true, false, false],
            [false, true, true]
        ]
    );
    assert_eq!(cell(grid, 0, 1).text, "Axle 1");
    assert_eq!(grid.merges().len(), 3);
    assert!(workbook.notes.is_empty(), "{:?}", workbook.notes);
}

#[test]
fn text_under_a_merged_cell_is_kept_and_said() {
    let sheet = "<sheetData><row r=\"1\"><c r=\"A1\"><v>1</v></c><c r=\"B1\"><v>2</v></c></row>\
                 </sheetData><mergeCells count=\"1\"><mergeCell ref=\"A1:B1\"/></mergeCells>";
    let workbook = read(&made::workbook(sheet, "<sst/>")).expect("readable");
    assert_eq!(cell(&workbook.sheets[0], 0, 1).text, "2");
    assert_eq!(
        workbook.notes[0].to_string(),
        "1 cell with text lies under a merged cell and cannot be seen in the spreadsheet, \
         first at sheet 'Cars', row 1, column B"
    );
}

#[test]
fn all_sheets_are_read_hidden_ones_too() {
    let mut writer = Writer::new();
    for (name, value) in [("Cars", 1.0), ("Old", 2.0), ("Empty", 3.0)] {
        let sheet = writer.add_worksheet();
        sheet.set_name(name).expect("a name");
        if name != "Empty" {
            sheet.write_number(4, 2, value).expect("cell");
        }
        sheet.set_hidden(name == "Old");
    }
    let mut chart = Chart::new(ChartType::Line);
    chart.add_series().set_values("=Cars!$C$5:$C$5");
    writer
        .add_chartsheet()
        .insert_chart(0, 0, &chart)
        .expect("a chart");
    let workbook = read(&writer.save_to_buffer().expect("bytes")).expect("readable");
    let sheets: Vec<_> = workbook
        .sheets
        .iter()
        .map(|s| (s.name(), s.is_hidden(), s.row_count()))
        .collect();
    assert_eq!(
        sheets,
        [
            (Some("Cars"), false, 5),
            (Some("Old"), true, 5),
            (Some("Empty"), false, 0)
        ]
    );
    assert_eq!(
        workbook.sheets[1].place(4, 2).to_string(),
        "sheet 'Old', row 5, column C"
    );
    assert_eq!(
        workbook.notes[0],
        Note::HiddenSheet {
            sheet: "Old".into()
        }
    );
    assert!(matches!(workbook.notes[1], Note::NotCells { .. }));
}

#[test]
fn shared_texts_rich_empty_and_escaped() {
    // [ECMA-376] part 1, elements si and r, and ST_Xstring for the _xHHHH_ escape (from memory).
    let shared = "<sst uniqueCount=\"4\"><si><t>plain</t></si><si/>\
                  <si><r><t>ri</t></r><r><t>ch</t></r></si><si><t>a_x000A_b</t></si></sst>";
    let sheet = "<sheetData><row><c t=\"s\"><v>0</v></c><c t=\"s\"><v>1</v></c>\
                 <c t=\"s\"><v>2</v></c><c t=\"s\"><v>3</v></c>\
                 <c t=\"inlineStr\"><is><t>in</t></is></c></row></sheetData>";
    let workbook = read(&made::workbook(sheet, shared)).expect("readable");
    let row = workbook.sheets[0].row(0).expect("a row");
    let texts: Vec<_> = row.cells().map(|cell| cell.text).collect();
    assert_eq!(texts, ["plain", "", "rich", "a\nb", "in"]);
}

#[test]
fn cells_out_of_order_are_put_in_order_and_doubles_refused() {
    let cells = |second: &str| {
        let sheet = format!(
            "<sheetData><row r=\"3\"><c r=\"B3\"><v>2</v></c><c r=\"A3\"><v>1</v></c></row>\
             <row r=\"1\"><c r=\"{second}\"><v>0</v></c></row></sheetData>"
        );
        made::workbook(&sheet, "<sst/>")
    };
    let workbook = read(&cells("A1")).expect("readable");
    let texts: Vec<Vec<_>> = workbook.sheets[0]
        .rows()
        .map(|row| row.cells().map(|c| c.text).collect())
        .collect();
    assert_eq!(texts, [vec!["0"], vec![], vec!["1", "2"]]);
    assert!(
        refusal(&cells("B3")).contains("the cell at sheet 'Cars', row 3, column B stands twice")
    );
}

#[test]
fn damaged_workbooks_are_refused_with_what_is_wrong() {
    let whole = made::workbook("<sheetData/>", "<sst/>");
    assert!(read(&whole).is_ok());
    for kept in [whole.len() / 2, whole.len() - 10] {
        let error = read_xlsx(&whole[..kept]).expect_err("cut off");
        assert!(matches!(error, SheetError::Damaged { .. }), "{error}");
    }
    let with = |sheet: &str| refusal(&made::workbook(sheet, "<sst/>"));
    // Row 4294967297 is 1 in 32 bits: it must not turn into a wrong place.
    assert!(
        with("<sheetData><row r=\"4294967297\"/></sheetData>")
            .contains("in 'xl/worksheets/sheet1.xml', '4294967297' is no place in a sheet")
    );
    assert!(with("<dimension ref=\"C3:A1\"/><sheetData/>").contains("'C3:A1' is no range"));
    assert!(with("<sheetData><row><c t=\"s\"><v>9</v></c></row></sheetData>").contains("shared"));
    assert!(with("<sheetData><row><c>").contains("damaged"));
    let error = refusal(&made::workbook(
        "<sheetData/>",
        "<sst uniqueCount=\"18446744073709551615\"/>",
    ));
    assert!(
        error.contains("in 'xl/sharedStrings.xml', 18446744073709551615 shared texts"),
        "{error}"
    );
    assert_eq!(
        read(&made::archive(&[("[Content_Types].xml", "<Types/>")])).map(drop),
        Err(SheetError::Damaged {
            detail: "File not found '_rels/.rels'".to_owned()
        })
    );
    assert_eq!(
        read(&made::archive(&[("readme", "x")])).map(drop),
        Err(SheetError::WrongKind {
            found: FileKind::Zip
        })
    );
}

#[test]
fn a_wrong_byte_is_refused_or_changes_nothing() {
    let sheet = "<sheetData><row><c><v>14.38</v></c><c t=\"s\"><v>0</v></c></row></sheetData>";
    let whole = made::workbook(sheet, "<sst><si><t>XMPL</t></si></sst>");
    let right = read(&whole).expect("readable").sheets;
    let mut refused = 0;
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        bytes[at] ^= 1;
        match read_xlsx(&bytes) {
            Ok((sheets, _)) => assert_eq!(sheets, right, "byte {at}"),
            Err(_) => refused += 1,
        }
    }
    // The rest are dates of parts and the like.
    assert!(refused * 2 > whole.len(), "{refused} of {}", whole.len());
}

#[test]
fn limits_stop_with_the_place() {
    let with = |place: &str| {
        refusal(&made::workbook(
            &format!("<sheetData><row><c r=\"{place}\"><v>1</v></c></row></sheetData>"),
            "<sst/>",
        ))
    };
    assert_eq!(
        with("ALM1"),
        "sheet 'Cars', row 1, column ALM lies beyond column 1000, the last that is taken; \
         delete what stands there, or check the separator"
    );
    assert!(
        with("B200001").starts_with("sheet 'Cars', row 200001, column B lies beyond row 200000")
    );
}

#[test]
fn an_archive_that_unpacks_to_gigabytes_is_refused() {
    let zeros = "0".repeat(usize::try_from(limits::UNPACKED_BYTES_MAX).expect("64 bits") / 4);
    let parts = ["a", "b", "c", "d", "e"].map(|name| (name, zeros.as_str()));
    let bytes = made::archive(&[&[("[Content_Types].xml", "<Types/>")], &parts[..]].concat());
    assert!(bytes.len() < 1_000_000, "{} bytes", bytes.len());
    assert_eq!(
        refusal(&bytes),
        "the workbook unpacks to more than 536870912 bytes (at its part 'd'); \
         save only the sheets that are needed and try again"
    );
}

#[test]
fn few_bytes_that_would_take_much_memory_are_refused() {
    // One text shown by many cells.
    let shared = format!(
        "<sst><si><t>{}</t></si></sst>",
        "x".repeat(limits::CELL_CHARS_MAX)
    );
    let cell_count = limits::TEXT_BYTES_MAX / limits::CELL_CHARS_MAX + 1;
    let rows = "<row><c t=\"s\"><v>0</v></c></row>".repeat(cell_count);
    let bytes = made::workbook(&format!("<sheetData>{rows}</sheetData>"), &shared);
    assert!(bytes.len() < 10_000, "{} bytes", bytes.len());
    assert_eq!(
        refusal(&bytes),
        "with sheet 'Cars', row 8193, column A the workbook has more than 268435456 bytes of \
         text; split it"
    );
    let styles = "<xf/>".repeat(limits::STYLES_MAX + 1);
    assert!(
        refusal(&made::workbook("<sheetData/>", &styles))
            .contains("in 'xl/sharedStrings.xml', there are more than 130980 elements 'xf'")
    );
}
