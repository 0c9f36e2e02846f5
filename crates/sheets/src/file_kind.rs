//! What a file is, by its first bytes; its name is never asked.

use std::fmt;

use memchr::memmem;

/// The kinds of file that people hand in as a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// Text with separators.
    Delimited,
    /// A workbook as a zip archive of XML parts.
    Xlsx,
    /// The binary workbook of 1997 to 2003.
    OldXls,
    /// A workbook that a password encrypts.
    EncryptedWorkbook,
    /// A binary workbook inside a zip archive.
    Xlsb,
    /// An `OpenDocument` spreadsheet.
    OpenDocument,
    /// A zip archive of something else.
    Zip,
    /// A PDF document.
    Pdf,
    /// A web page, often under a spreadsheet's name.
    WebPage,
    /// An XML document, which some programs name `.xls`.
    Xml,
    /// A picture.
    Picture,
    /// A compressed file.
    Compressed,
    /// A word-processor document in RTF.
    RichText,
}

impl FileKind {
    /// Tells the kind of a file from its bytes.
    ///
    /// Anything without a known signature is taken for text; the text reader then refuses what is
    /// not.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        const SIGNATURES: &[(&[u8], FileKind)] = &[
            (b"%PDF-", FileKind::Pdf),
            (b"\x89PNG\r\n\x1a\n", FileKind::Picture),
            (b"\xFF\xD8\xFF", FileKind::Picture),
            (b"GIF8", FileKind::Picture),
            (b"\x1F\x8B\x08", FileKind::Compressed),
            (b"7z\xBC\xAF\x27\x1C", FileKind::Compressed),
            (b"Rar!\x1A\x07", FileKind::Compressed),
            (b"{\\rtf", FileKind::RichText),
        ];
        if bytes.starts_with(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1") {
            return of_compound_file(bytes);
        }
        if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
            return of_zip(bytes);
        }
        SIGNATURES
            .iter()
            .find(|(signature, _)| bytes.starts_with(signature))
            .map_or_else(|| of_markup(bytes), |&(_, kind)| kind)
    }

    /// What to do with a file of this kind instead.
    #[must_use]
    pub fn advice(self) -> &'static str {
        match self {
            Self::Delimited | Self::Xlsx => "hand it in as it is",
            Self::OldXls | Self::Xlsb | Self::OpenDocument | Self::WebPage | Self::Xml => {
                "open it in a spreadsheet program and save it as .xlsx or CSV"
            }
            Self::EncryptedWorkbook => "take the password off, save it as .xlsx and try again",
            Self::Zip | Self::Compressed => "unpack it and hand in the sheet inside",
            Self::Pdf | Self::Picture | Self::RichText => {
                "hand in the sheet it was made from, as .xlsx or CSV"
            }
        }
    }
}

impl fmt::Display for FileKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Delimited => "a text file with separators",
            Self::Xlsx => "an .xlsx workbook",
            Self::OldXls => "an old .xls workbook",
            Self::EncryptedWorkbook => "a password-protected workbook",
            Self::Xlsb => "a binary .xlsb workbook",
            Self::OpenDocument => "an OpenDocument spreadsheet",
            Self::Zip => "a zip archive without a workbook in it",
            Self::Pdf => "a PDF document",
            Self::WebPage => "a web page",
            Self::Xml => "an XML document",
            Self::Picture => "a picture",
            Self::Compressed => "a compressed file",
            Self::RichText => "a rich-text document",
        })
    }
}

/// An encrypted workbook is a compound file with a stream of that name, in UTF-16.
fn of_compound_file(bytes: &[u8]) -> FileKind {
    let stream: Vec<u8> = "EncryptedPackage"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    if memmem::find(bytes, &stream).is_some() {
        FileKind::EncryptedWorkbook
    } else {
        FileKind::OldXls
    }
}

/// Names of parts stand uncompressed in a zip archive.
fn of_zip(bytes: &[u8]) -> FileKind {
    let has = |name: &[u8]| memmem::find(bytes, name).is_some();
    if has(b"workbook.bin") {
        FileKind::Xlsb
    } else if has(b"mimetypeapplication/vnd.oasis.opendocument") {
        FileKind::OpenDocument
    } else if has(b"[Content_Types].xml") || has(b"_rels/.rels") {
        FileKind::Xlsx
    } else {
        FileKind::Zip
    }
}

fn of_markup(bytes: &[u8]) -> FileKind {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let head = bytes.trim_ascii_start();
    let starts = |tag: &[u8]| {
        head.get(..tag.len())
            .is_some_and(|at| at.eq_ignore_ascii_case(tag))
    };
    if starts(b"<!doctype html") || starts(b"<html") || starts(b"<table") {
        FileKind::WebPage
    } else if starts(b"<?xml") {
        FileKind::Xml
    } else {
        FileKind::Delimited
    }
}
