//! What separates the fields of a text file.
//!
//! Each candidate splits the first rows, quotation marks respected, and the one that gives most
//! rows the same number of fields, more than one, is taken.
//! Of equals the rarer character wins: a tab or a semicolon hardly ever stands in a text by chance,
//! while a comma is also a decimal mark and punctuation.

use std::fmt;

use csv_core::{ReadRecordResult, ReaderBuilder};

use crate::Note;

/// A character between fields.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Separator {
    /// `,`
    #[default]
    Comma,
    /// `;`, usual where the comma is the decimal mark.
    Semicolon,
    /// A tab.
    Tab,
    /// `|`
    Bar,
}

impl Separator {
    /// All of them, the least likely to stand in a text by chance first.
    pub const ALL: [Self; 4] = [Self::Tab, Self::Semicolon, Self::Bar, Self::Comma];

    /// The character.
    #[must_use]
    pub fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
            Self::Bar => b'|',
        }
    }
}

impl fmt::Display for Separator {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Comma => "the comma",
            Self::Semicolon => "the semicolon",
            Self::Tab => "the tab",
            Self::Bar => "the bar",
        })
    }
}

/// The separator that a first line `sep=;` names, and what follows that line.
///
/// Spreadsheet programs write and honour such a line (common practice, no source).
pub(crate) fn separator_line(text: &str) -> (Option<Separator>, &str) {
    let end = text.find(['\r', '\n']).unwrap_or(text.len());
    let (line, rest) = text.split_at(end);
    let named = line
        .get(..4)
        .filter(|start| start.eq_ignore_ascii_case("sep="))
        .and_then(|_| match line.as_bytes()[4..] {
            [byte] => Separator::ALL
                .into_iter()
                .find(|separator| separator.byte() == byte),
            _ => None,
        });
    if named.is_none() {
        return (None, text);
    }
    let rest = rest
        .strip_prefix("\r\n")
        .or_else(|| rest.strip_prefix(['\r', '\n']));
    (named, rest.unwrap_or(""))
}

/// How many rows are looked at.
const SAMPLE_ROWS: usize = 100;

/// How well a candidate splits: the share of rows with the usual number of fields.
#[derive(Clone, Copy)]
struct Fit {
    separator: Separator,
    alike: usize,
    rows: usize,
}

impl Fit {
    /// Compares shares as whole products, so that equal is equal.
    fn beats(self, other: Self) -> bool {
        self.alike * other.rows > other.alike * self.rows
    }
}

/// The separator of a text, with a note when two fit equally well.
pub(super) fn find(text: &str, notes: &mut Vec<Note>) -> Separator {
    let fits: Vec<Fit> = Separator::ALL
        .into_iter()
        .filter_map(|s| fit(text, s))
        .collect();
    let Some(mut best) = fits.first().copied() else {
        return Separator::Comma;
    };
    for &candidate in &fits {
        if candidate.beats(best) {
            best = candidate;
        }
    }
    let equal = fits
        .iter()
        .find(|other| other.separator != best.separator && !best.beats(**other));
    if let Some(other) = equal {
        notes.push(Note::SeparatorDoubtful {
            taken: best.separator,
            other: other.separator,
        });
    }
    if best.separator == Separator::Comma && commas_may_be_decimal(text) {
        notes.push(Note::CommaMayBeDecimal);
    }
    best.separator
}

/// Whether no line has more than one comma, and each stands between two digits.
fn commas_may_be_decimal(text: &str) -> bool {
    text.split(['\r', '\n'])
        .take(SAMPLE_ROWS)
        .all(|line| match line.split_once(',') {
            None => true,
            Some((before, after)) => {
                before.ends_with(|c: char| c.is_ascii_digit())
                    && after.starts_with(|c: char| c.is_ascii_digit())
                    && !after.contains(',')
            }
        })
}

/// Nothing when the candidate leaves most rows whole.
fn fit(text: &str, separator: Separator) -> Option<Fit> {
    let counts = field_counts(text, separator);
    let mut tally: Vec<(usize, usize)> = Vec::new();
    for &count in counts.iter().filter(|&&count| count > 1) {
        match tally.iter_mut().find(|(fields, _)| *fields == count) {
            Some((_, rows)) => *rows += 1,
            None => tally.push((count, 1)),
        }
    }
    let alike = tally.into_iter().map(|(_, rows)| rows).max()?;
    Some(Fit {
        separator,
        alike,
        rows: counts.len(),
    })
}

/// The number of fields of each of the first rows that are not blank.
fn field_counts(text: &str, separator: Separator) -> Vec<usize> {
    let mut reader = ReaderBuilder::new().delimiter(separator.byte()).build();
    let mut input = text.as_bytes();
    let (mut output, mut ends) = ([0; 1024], [0; 64]);
    let (mut counts, mut fields) = (Vec::new(), 0);
    while counts.len() < SAMPLE_ROWS {
        let (result, read, _, ended) = reader.read_record(input, &mut output, &mut ends);
        input = &input[read..];
        fields += ended;
        match result {
            ReadRecordResult::Record => counts.push(std::mem::take(&mut fields)),
            ReadRecordResult::End => break,
            ReadRecordResult::InputEmpty
            | ReadRecordResult::OutputFull
            | ReadRecordResult::OutputEndsFull => {}
        }
    }
    counts
}
