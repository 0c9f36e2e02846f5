//! The guard before a workbook is read.
//!
//! Every part is unpacked once under one limit for all of them, which also checks the archive's
//! sums, and its XML is looked through for what the reading library would trust: places of cells
//! and ranges, which it adds up without looking for overflow, the stated count of shared texts, for
//! which it sets memory aside, and the numbers of styles and of shared texts, each of which takes
//! far more memory than its few bytes in the file.

use std::io::{Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;
use zip::result::ZipError;

use crate::{FileKind, SheetError, limits};

/// What some sheet of a workbook has, so that the costlier passes are made only when needed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Contents {
    /// Formulas.
    pub(super) formulas: bool,
    /// Merged cells.
    pub(super) merges: bool,
}

/// What has been seen so far.
#[derive(Default)]
struct Seen {
    contents: Contents,
    /// Elements whose number is limited, one count for each of [`COUNTED`].
    counts: [usize; COUNTED.len()],
}

/// Elements that take more memory than their bytes, and how many of each are taken.
const COUNTED: [(&str, usize); 5] = [
    ("si", limits::CELLS_MAX),
    ("xf", limits::STYLES_MAX),
    ("font", limits::STYLES_MAX),
    ("fill", limits::STYLES_MAX),
    ("border", limits::STYLES_MAX),
];

/// Last row of a sheet in the file format. Source: [MS-EXCEL-LIMITS] 'Total number of rows and columns'.
const FORMAT_ROWS_MAX: u32 = 1_048_576;

/// Last column of a sheet in the file format. Source: [MS-EXCEL-LIMITS] 'Total number of rows and columns'.
const FORMAT_COLUMNS_MAX: u32 = 16_384;

/// Unpacks and looks through every part.
pub(super) fn check(bytes: &[u8]) -> Result<Contents, SheetError> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| in_archive(&error))?;
    let mut seen = Seen::default();
    let mut left = limits::UNPACKED_BYTES_MAX;
    let mut part = Vec::new();
    for index in 0..archive.len() {
        let file = archive
            .by_index(index)
            .map_err(|error| in_archive(&error))?;
        let name = file
            .name()
            .map_err(|error| in_archive(&error))?
            .into_owned();
        part.clear();
        file.take(left + 1)
            .read_to_end(&mut part)
            .map_err(|error| SheetError::Damaged {
                detail: format!("its part '{name}' cannot be unpacked: {error}"),
            })?;
        left = left
            .checked_sub(part.len() as u64)
            .ok_or_else(|| SheetError::UnpacksTooLarge {
                part: name.clone(),
                bytes_max: limits::UNPACKED_BYTES_MAX,
            })?;
        look_through(&part, &mut seen).map_err(|found| SheetError::Damaged {
            detail: format!("in '{name}', {found}"),
        })?;
    }
    Ok(seen.contents)
}

fn in_archive(error: &ZipError) -> SheetError {
    match error {
        ZipError::InvalidPassword => SheetError::WrongKind {
            found: FileKind::EncryptedWorkbook,
        },
        ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => SheetError::WrongKind {
            found: FileKind::EncryptedWorkbook,
        },
        other => SheetError::Damaged {
            detail: other.to_string(),
        },
    }
}

/// Looks through a part as far as it is XML; a picture ends the look at once.
fn look_through(part: &[u8], seen: &mut Seen) -> Result<(), String> {
    let mut reader = Reader::from_reader(part);
    let config = reader.config_mut();
    config.check_end_names = false;
    config.expand_empty_elements = true;
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(element)) => look_at(&element, part.len(), seen)?,
            Ok(Event::Eof) | Err(_) => return Ok(()),
            Ok(_) => {}
        }
    }
}

fn look_at(element: &BytesStart<'_>, part_len: usize, seen: &mut Seen) -> Result<(), String> {
    if let Some(index) = COUNTED
        .iter()
        .position(|(name, _)| element.local_name().as_ref() == *name)
    {
        seen.counts[index] += 1;
        let (name, max) = COUNTED[index];
        if seen.counts[index] > max {
            return Err(format!("there are more than {max} elements '{name}'"));
        }
    }
    match element.local_name().as_ref() {
        "row" | "c" => each(element, "r", check_cell),
        "f" => {
            seen.contents.formulas = true;
            each(element, "ref", check_range)
        }
        "mergeCell" => {
            seen.contents.merges = true;
            each(element, "ref", check_range)
        }
        "dimension" => each(element, "ref", check_range),
        "sst" => each(element, "uniqueCount", |stated| {
            // Every text takes at least an empty element of five characters.
            match stated.parse::<usize>() {
                Ok(count) if count > part_len => Err(format!("{stated} shared texts are stated")),
                // What is no number is not trusted by the reading library either.
                Ok(_) | Err(_) => Ok(()),
            }
        }),
        _ => Ok(()),
    }
}

/// Applies a check to every attribute of that name, whatever its prefix.
fn each(
    element: &BytesStart<'_>,
    name: &str,
    check: impl Fn(&str) -> Result<(), String>,
) -> Result<(), String> {
    for attribute in element
        .attributes()
        .with_checks(false)
        .filter_map(Result::ok)
    {
        if attribute.key.local_name().as_ref() == name {
            check(&attribute.value)?;
        }
    }
    Ok(())
}

fn check_cell(text: &str) -> Result<(), String> {
    place(text).map(|_| ())
}

fn check_range(text: &str) -> Result<(), String> {
    let mut parts = text.split(':');
    let start = place(parts.next().unwrap_or(""))?;
    let end = parts.next().map_or(Ok(start), place)?;
    let in_order = start.0 <= end.0 && start.1 <= end.1;
    if in_order && parts.next().is_none() {
        Ok(())
    } else {
        Err(format!("'{text}' is no range of cells"))
    }
}

/// The row and column of `AB12`, both from 1; the column is 0 where only a row is given.
fn place(text: &str) -> Result<(u32, u32), String> {
    let wrong = || format!("'{text}' is no place in a sheet");
    let digits_at = text
        .find(|c: char| !c.is_ascii_alphabetic())
        .ok_or_else(wrong)?;
    let (letters, digits) = text.split_at(digits_at);
    if letters.len() > 3 || digits.len() > 7 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return Err(wrong());
    }
    let column = letters.bytes().fold(0, |sum, letter| {
        sum * 26 + u32::from(letter.to_ascii_uppercase() - b'A') + 1
    });
    let row: u32 = digits.parse().map_err(|_| wrong())?;
    if (1..=FORMAT_ROWS_MAX).contains(&row) && column <= FORMAT_COLUMNS_MAX {
        Ok((row, column))
    } else {
        Err(wrong())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_of_the_file_format_and_no_others() {
        assert_eq!(place("A1"), Ok((1, 1)));
        assert_eq!(place("xfd1048576"), Ok((1_048_576, 16_384)));
        assert_eq!(place("12"), Ok((12, 0)));
        for text in [
            "",
            "A",
            "A0",
            "XFE1",
            "A1048577",
            "AAAA1",
            "A12345678",
            "A1B",
            "$A$1",
            "é1",
        ] {
            assert!(place(text).is_err(), "{text}");
        }
        assert!(check_range("A1:C3").is_ok());
        assert!(check_range("C3").is_ok());
        for text in ["C3:A1", "A3:C1", "A1:B2:C3", ":", "A1:"] {
            assert!(check_range(text).is_err(), "{text}");
        }
    }
}
