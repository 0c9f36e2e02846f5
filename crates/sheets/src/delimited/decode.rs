//! From bytes to text: which encoding, and where it breaks.
//!
//! A mark at the start of the file decides; without one, bytes that are UTF-8 are UTF-8, and
//! anything else is Windows-1252, which spreadsheet programs on western systems write, with a note.
//! Source of the marks and the 1252 table: [WHATWG-ENCODING], through `encoding_rs`.

use std::borrow::Cow;
use std::fmt;

use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::{Note, SheetError};

/// How the bytes of a file stand for characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    Utf8,
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// The western code page of Windows.
    Windows1252,
}

impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Encoding {
    fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16Le => "UTF-16 (low byte first)",
            Self::Utf16Be => "UTF-16 (high byte first)",
            Self::Windows1252 => "Windows-1252",
        }
    }
}

/// Turns bytes into text, without the mark at the start.
pub(super) fn decode<'a>(
    bytes: &'a [u8],
    notes: &mut Vec<Note>,
) -> Result<(Cow<'a, str>, Encoding), SheetError> {
    let (text, encoding) = if let Some(body) = bytes.strip_prefix(b"\xEF\xBB\xBF") {
        (utf8_marked(body)?, Encoding::Utf8)
    } else if let Some(body) = bytes.strip_prefix(b"\xFF\xFE") {
        (utf16(body, Encoding::Utf16Le)?, Encoding::Utf16Le)
    } else if let Some(body) = bytes.strip_prefix(b"\xFE\xFF") {
        (utf16(body, Encoding::Utf16Be)?, Encoding::Utf16Be)
    } else {
        match std::str::from_utf8(bytes) {
            Ok(text) => (Cow::Borrowed(text), Encoding::Utf8),
            Err(error) => {
                check_zero(bytes)?;
                (
                    windows_1252(bytes, error.valid_up_to(), notes),
                    Encoding::Windows1252,
                )
            }
        }
    };
    check_zero(text.as_bytes())?;
    Ok((without_marks(text), encoding))
}

/// Takes off a byte-order mark that a second program put after the first.
fn without_marks(text: Cow<'_, str>) -> Cow<'_, str> {
    const MARK: char = '\u{FEFF}';
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(text.trim_start_matches(MARK)),
        Cow::Owned(text) if text.starts_with(MARK) => {
            Cow::Owned(text.trim_start_matches(MARK).to_owned())
        }
        owned @ Cow::Owned(_) => owned,
    }
}

fn utf8_marked(body: &[u8]) -> Result<Cow<'_, str>, SheetError> {
    std::str::from_utf8(body)
        .map(Cow::Borrowed)
        .map_err(|error| {
            let before = String::from_utf8_lossy(&body[..error.valid_up_to()]);
            bad_encoding(Encoding::Utf8, &before)
        })
}

fn utf16(body: &[u8], encoding: Encoding) -> Result<Cow<'_, str>, SheetError> {
    let decoder = if encoding == Encoding::Utf16Le {
        UTF_16LE
    } else {
        UTF_16BE
    };
    let (text, replaced) = decoder.decode_without_bom_handling(body);
    if !replaced {
        return Ok(text);
    }
    // The decoder stands U+FFFD for what is broken. Find the first one that is not in the file.
    let units = body.chunks(2).map(|pair| match (pair, encoding) {
        (&[low, high], Encoding::Utf16Le) => u16::from_le_bytes([low, high]),
        (&[high, low], _) => u16::from_be_bytes([high, low]),
        _ => LONE_SURROGATE,
    });
    let before: String = char::decode_utf16(units).map_while(Result::ok).collect();
    Err(bad_encoding(encoding, &before))
}

/// Stands for half a character at the end of a file, which is broken like an unpaired surrogate.
const LONE_SURROGATE: u16 = 0xD800;

fn windows_1252<'a>(bytes: &'a [u8], valid_up_to: usize, notes: &mut Vec<Note>) -> Cow<'a, str> {
    let (text, _) = WINDOWS_1252.decode_without_bom_handling(bytes);
    // Before that place the bytes may hold UTF-8 characters, which are several characters now.
    let chars_before = bytes[..valid_up_to].len();
    let before: String = text.chars().take(chars_before).collect();
    let (line, column) = line_and_column(&before);
    notes.push(Note::ReadAsWindows1252 {
        line,
        column,
        read_as: text.chars().nth(chars_before).unwrap_or('\u{FFFD}'),
        like_utf8: like_utf8(bytes),
    });
    text
}

/// How many characters of more than one byte the file has, read as UTF-8.
fn like_utf8(bytes: &[u8]) -> usize {
    bytes
        .utf8_chunks()
        .map(|chunk| chunk.valid().chars().filter(|c| !c.is_ascii()).count())
        .sum()
}

fn check_zero(bytes: &[u8]) -> Result<(), SheetError> {
    match memchr::memchr(0, bytes) {
        None => Ok(()),
        Some(at) => {
            let (line, column) = line_and_column(&String::from_utf8_lossy(&bytes[..at]));
            Err(SheetError::ZeroByte { line, column })
        }
    }
}

fn bad_encoding(encoding: Encoding, before: &str) -> SheetError {
    let (line, column) = line_and_column(before);
    SheetError::BadEncoding {
        encoding: encoding.name(),
        line,
        column,
    }
}

/// The line and the character, both from 1, of what follows `before`.
fn line_and_column(before: &str) -> (u32, u32) {
    let line_start = before.rfind(['\n', '\r']).map_or(0, |at| at + 1);
    let column = before[line_start..].chars().count() + 1;
    (
        super::records::line_ends(before.as_bytes()).saturating_add(1),
        u32::try_from(column).unwrap_or(u32::MAX),
    )
}
