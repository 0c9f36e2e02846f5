//! Workbooks put together by hand, part by part as [ECMA-376] describes them (from memory; that a
//! library reads them is the check), so that they may also be wrong.

use std::io::{Cursor, Write};

use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// Namespace of the parts of a workbook.
const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const RELATIONS: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// A workbook of one sheet 'Cars' with that content, and shared texts.
pub(crate) fn workbook(sheet: &str, shared: &str) -> Vec<u8> {
    archive(&[
        (
            "[Content_Types].xml",
            "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>",
        ),
        (
            "_rels/.rels",
            &format!(
                "<Relationships xmlns=\"{RELATIONS}\"><Relationship Id=\"rId1\" \
                 Type=\"{OFFICE}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/workbook.xml",
            &format!(
                "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\"><sheets><sheet name=\"Cars\" \
                 sheetId=\"1\" r:id=\"rId1\"/></sheets></workbook>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            &format!(
                "<Relationships xmlns=\"{RELATIONS}\"><Relationship Id=\"rId1\" \
                 Type=\"{OFFICE}/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>"
            ),
        ),
        ("xl/sharedStrings.xml", shared),
        (
            "xl/worksheets/sheet1.xml",
            &format!("<worksheet xmlns=\"{MAIN}\">{sheet}</worksheet>"),
        ),
    ])
}

/// A zip archive of those parts.
pub(crate) fn archive(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in parts {
        writer
            .start_file(*name, SimpleFileOptions::default())
            .expect("a part");
        writer.write_all(content.as_bytes()).expect("its content");
    }
    writer.finish().expect("an archive").into_inner()
}
