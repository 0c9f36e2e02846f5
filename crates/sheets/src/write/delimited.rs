//! A table as text with separators.

use std::borrow::Cow;

use csv::{QuoteStyle, Terminator, WriterBuilder};
use gradeworthy_units::DecimalMark;

use super::{Entry, Table};
use crate::delimited::separator_line;
use crate::xlsx::number_text;
use crate::{FileKind, Separator, SheetError};

/// How a text file is written. The default is the plainest: commas, decimal points, no mark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DelimitedStyle {
    /// What stands between fields.
    pub separator: Separator,
    /// The decimal mark of numbers; `Either` writes a point.
    pub mark: DecimalMark,
    /// Whether the file starts with a byte-order mark, without which some spreadsheet programs
    /// misread letters beyond ASCII.
    pub byte_order_mark: bool,
    /// Whether a text that a spreadsheet program would run as a formula gets a `'` before it: one
    /// that starts with `=`, `+`, `-`, `@`, a tab or a carriage return.
    ///
    /// Numbers are left alone, `-0.5` written as text too. It changes the text, so it is off unless
    /// asked for; a file for people to open in a spreadsheet should have it.
    pub guard_formulas: bool,
}

/// Writes a table as UTF-8 text: lines end in CRLF and fields are quoted where they must be,
/// as [RFC-4180] has it.
///
/// # Errors
/// [`SheetError`] for a table without headings, a row longer than they are, a number that is not
/// finite, and a text that is too long or holds a zero byte.
///
/// # Example
/// ```
/// use gradeworthy_sheets::{DelimitedStyle, Entry, Table, write_delimited};
/// let table = Table {
///     name: "Cars".into(),
///     headings: vec!["car".into(), "b2b".into()],
///     rows: vec![vec!["XMPL 1".into(), Entry::Decimals(14.3, 2)]],
/// };
/// let bytes = write_delimited(&table, DelimitedStyle::default())?;
/// assert_eq!(bytes, b"car,b2b\r\nXMPL 1,14.30\r\n");
/// # Ok::<(), gradeworthy_sheets::SheetError>(())
/// ```
pub fn write_delimited(table: &Table, style: DelimitedStyle) -> Result<Vec<u8>, SheetError> {
    table.check(None)?;
    let plain = write(table, style, QuoteStyle::Necessary)?;
    let bytes = if is_mistakable(&plain) {
        write(table, style, QuoteStyle::Always)?
    } else {
        plain
    };
    Ok(if style.byte_order_mark {
        [b"\xEF\xBB\xBF", bytes.as_slice()].concat()
    } else {
        bytes
    })
}

/// Whether the first heading would be taken for a separator line, a mark or another kind of file.
fn is_mistakable(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    separator_line(&text).0.is_some()
        || text.starts_with('\u{FEFF}')
        || FileKind::of(bytes) != FileKind::Delimited
        || text.trim().is_empty()
}

fn write(table: &Table, style: DelimitedStyle, quotes: QuoteStyle) -> Result<Vec<u8>, SheetError> {
    let mut writer = WriterBuilder::new()
        .delimiter(style.separator.byte())
        .terminator(Terminator::CRLF)
        .quote_style(quotes)
        .from_writer(Vec::new());
    let unwritable = |detail: String| SheetError::Unwritable { detail };
    let headings = table.headings.iter().map(|heading| guarded(heading, style));
    write_row(&mut writer, headings).map_err(|error| unwritable(error.to_string()))?;
    for row in &table.rows {
        let blanks = std::iter::repeat(&Entry::Blank);
        let entries = row.iter().chain(blanks).take(table.headings.len());
        let fields = entries.map(|entry| field(entry, style));
        write_row(&mut writer, fields).map_err(|error| unwritable(error.to_string()))?;
    }
    writer
        .into_inner()
        .map_err(|error| unwritable(error.to_string()))
}

fn write_row<'a>(
    writer: &mut csv::Writer<Vec<u8>>,
    fields: impl Iterator<Item = Cow<'a, str>>,
) -> csv::Result<()> {
    for field in fields {
        writer.write_field(field.as_bytes())?;
    }
    writer.write_record(None::<&[u8]>)
}

fn field(entry: &Entry, style: DelimitedStyle) -> Cow<'_, str> {
    match entry {
        Entry::Blank => Cow::Borrowed(""),
        Entry::Text(text) => guarded(text, style),
        Entry::Number(number) => marked(number_text(*number).0, style.mark).into(),
        Entry::Decimals(number, places) => {
            marked(format!("{number:.*}", usize::from(*places)), style.mark).into()
        }
    }
}

fn marked(number: String, mark: DecimalMark) -> String {
    match mark {
        DecimalMark::Comma => number.replace('.', ","),
        DecimalMark::Point | DecimalMark::Either => number,
    }
}

fn guarded(text: &str, style: DelimitedStyle) -> Cow<'_, str> {
    let runs = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if style.guard_formulas && runs && !is_number(text) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// A sign, digits and at most one decimal mark.
fn is_number(text: &str) -> bool {
    let unsigned = text.strip_prefix(['+', '-']).unwrap_or(text);
    let marks = unsigned.matches(['.', ',']).count();
    marks <= 1
        && unsigned.contains(|c: char| c.is_ascii_digit())
        && unsigned
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
}
