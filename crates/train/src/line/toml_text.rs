//! The line file: TOML with one `[line]`, then `[[plan]]`, `[[profile]]`, `[[cant]]`, `[[place]]`.
//!
//! Quantities are strings with their unit ("36 in"); a bare number is in the line's own unit.

use toml_edit::{Document, Item, TableLike, Value};

use super::design::LineDesign;
use super::error::{LineFileError, LineFileErrors};
use super::interpret::interpret;
use super::record::{Record, Section};
use super::write::records;

/// Reads a line file.
///
/// # Errors
/// [`LineFileErrors`] lists everything that is wrong, each with its line and key, what was found
/// and what was expected.
///
/// # Example
/// ```
/// use gradeworthy_train::line::{lay, read_toml};
/// let design = read_toml(r#"
///     [line]
///     name = "Invented hill"
///     units = "mm"
///
///     [[plan]]
///     shape = "tangent"
///     length = "1 m"
///
///     [[plan]]
///     shape = "arc"
///     turn = "left"
///     radius = "36 in"
///     angle = "90 deg"
///
///     [[profile]]
///     shape = "grade"
///     grade = "2 %"
///     length = "rest"
/// "#)?;
/// let line = lay(&design)?;
/// assert!((line.alignment.length() - (1.0 + 0.9144 * std::f64::consts::FRAC_PI_2)).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn read_toml(text: &str) -> Result<LineDesign, LineFileErrors> {
    let lines = Lines::new(text);
    let document = Document::parse(text).map_err(|error| {
        let start = error.span().map_or(0, |span| span.start);
        let found = error.message().to_owned();
        LineFileErrors(vec![LineFileError::Syntax {
            line: lines.at(start),
            found,
        }])
    })?;
    let (mut records, mut errors) = (Vec::new(), Vec::new());
    for (word, item) in document.as_table() {
        let line = lines.at(document
            .as_table()
            .key(word)
            .and_then(toml_edit::Key::span)
            .map_or(0, |s| s.start));
        let line = lines.of(item).unwrap_or(line);
        match Section::named(word, line) {
            Ok(section) => {
                if let Err(error) = read_section(section, item, line, &lines, &mut records) {
                    errors.push(error);
                }
            }
            Err(error) => errors.push(error),
        }
    }
    interpret(&records, errors)
}

/// Writes a line file that reads back as the same design.
#[must_use]
pub fn write_toml(design: &LineDesign) -> String {
    let mut text = String::new();
    for record in records(design) {
        let word = record.section.word();
        let header = match record.section {
            Section::Line => format!("[{word}]\n"),
            Section::Plan | Section::Profile | Section::Cant | Section::Place => {
                format!("\n[[{word}]]\n")
            }
        };
        text.push_str(&header);
        for field in &record.fields {
            let value = match (field.key.as_str(), field.text.as_str()) {
                ("closed", "true") => Value::from(true),
                ("closed", "false") => Value::from(false),
                (_, text) => Value::from(text),
            };
            text.push_str(&format!("{} = {value}\n", field.key));
        }
    }
    text
}

/// Where lines start, to turn a place in the text into a line number.
pub(crate) struct Lines<'text> {
    text: &'text str,
    starts: Vec<usize>,
}

impl<'text> Lines<'text> {
    pub(crate) fn new(text: &'text str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        let starts = std::iter::once(0)
            .chain(breaks.map(|(place, _)| place + 1))
            .collect();
        Self { text, starts }
    }

    pub(crate) fn at(&self, place: usize) -> usize {
        self.starts.partition_point(|&start| start <= place)
    }

    pub(crate) fn of(&self, item: &Item) -> Option<usize> {
        item.span().map(|span| self.at(span.start))
    }

    /// What was typed for a value, without the quotation marks.
    pub(crate) fn typed(&self, value: &Value) -> Option<String> {
        match value {
            Value::String(text) => Some(text.value().trim().to_owned()),
            Value::Boolean(word) => Some(word.value().to_string()),
            Value::Integer(_) | Value::Float(_) => {
                Some(self.text.get(value.span()?)?.trim().to_owned())
            }
            Value::Datetime(_) | Value::Array(_) | Value::InlineTable(_) => None,
        }
    }
}

fn read_section(
    section: Section,
    item: &Item,
    line: usize,
    lines: &Lines<'_>,
    records: &mut Vec<Record>,
) -> Result<(), LineFileError> {
    if let Some(tables) = item.as_array_of_tables() {
        for table in tables {
            let line = table.span().map_or(line, |span| lines.at(span.start));
            records.push(read_table(section, table, line, lines)?);
        }
        return Ok(());
    }
    if let Some(table) = item.as_table_like() {
        records.push(read_table(section, table, line, lines)?);
        return Ok(());
    }
    let word = section.word();
    let brackets = if section == Section::Line {
        format!("[{word}]")
    } else {
        format!("[[{word}]]")
    };
    Err(LineFileError::NotAChoice {
        line,
        key: word.to_owned(),
        found: item.type_name().to_owned(),
        expected: format!("a section {brackets}"),
    })
}

fn read_table(
    section: Section,
    table: &dyn TableLike,
    line: usize,
    lines: &Lines<'_>,
) -> Result<Record, LineFileError> {
    let mut record = Record::new(section, line);
    for (key, item) in table.iter() {
        let line = lines.of(item).unwrap_or(line);
        let text = item.as_value().and_then(|value| lines.typed(value));
        let Some(text) = text else {
            return Err(LineFileError::NotAChoice {
                line,
                key: key.to_owned(),
                found: item.type_name().to_owned(),
                expected: "a text, a number, or true or false".to_owned(),
            });
        };
        if text.is_empty() {
            continue; // As an empty cell of the table: not given.
        }
        record = record.with(key, text);
        if let Some(field) = record.fields.last_mut() {
            field.line = line;
        }
    }
    Ok(record)
}
