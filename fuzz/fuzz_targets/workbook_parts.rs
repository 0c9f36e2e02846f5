//! Any bytes as the parts of a whole archive, which a fuzzer that breaks sums would never reach:
//! a sheet, shared texts, styles and the list of sheets, parted by a zero byte.
#![no_main]

use std::io::{Cursor, Write};

use gradeworthy_sheets::{find_header, read_xlsx};
use libfuzzer_sys::fuzz_target;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const RELATIONS: &[u8] = br#"<Relationships><Relationship Id="r1" Type="x/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const SHEETS: &[u8] = br#"<Relationships><Relationship Id="r1" Type="x/worksheet" Target="s.xml"/><Relationship Id="r2" Type="x/styles" Target="styles.xml"/></Relationships>"#;
const WORKBOOK: &[u8] = br#"<workbook><sheets><sheet name="Cars" r:id="r1"/></sheets></workbook>"#;

fuzz_target!(|bytes: &[u8]| {
    let mut parts = bytes.split(|&byte| byte == 0);
    let mut next = || parts.next().unwrap_or(b"");
    let [sheet, shared, styles, workbook] = [next(), next(), next(), next()];
    let workbook = if workbook.is_empty() { WORKBOOK } else { workbook };
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, content) in [
        ("[Content_Types].xml", &b"<Types/>"[..]),
        ("_rels/.rels", RELATIONS),
        ("xl/_rels/workbook.xml.rels", SHEETS),
        ("xl/workbook.xml", workbook),
        ("xl/s.xml", sheet),
        ("xl/sharedStrings.xml", shared),
        ("xl/styles.xml", styles),
    ] {
        writer.start_file(name, stored).expect("a part");
        writer.write_all(content).expect("its content");
    }
    let archive = writer.finish().expect("an archive").into_inner();
    if let Ok((sheets, _)) = read_xlsx(&archive) {
        for sheet in &sheets {
            for row in sheet.rows() {
                for (column, cell) in row.cells().enumerate() {
                    assert_eq!(row.text(column), cell.text);
                }
            }
            drop(find_header(sheet));
        }
    }
});
