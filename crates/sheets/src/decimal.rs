//! Which decimal mark a sheet uses, from its own cells.
//!
//! Only text is evidence: a workbook's number cells are written with a point here whatever the
//! user's program shows.
//! A number with one mark counts for that mark; where three digits follow it and at most three
//! stand before it, a mark of thousands looks the same, and the cell counts as doubtful.
//! The guess decides nothing by itself: it is handed over with its evidence.

use std::fmt;

use gradeworthy_units::DecimalMark;

use crate::{Grid, Kind, Place};

/// A guess at the decimal mark, with what it rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkGuess {
    /// Point or comma when all clear cells agree; otherwise either, to be judged cell by cell.
    pub mark: DecimalMark,
    /// Cells with a decimal point.
    pub points: MarkEvidence,
    /// Cells with a decimal comma.
    pub commas: MarkEvidence,
    /// Cells whose mark may as well part thousands, such as `1,250`.
    pub doubtful: MarkEvidence,
}

/// How many cells speak for something, and the first of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MarkEvidence {
    /// How many.
    pub cell_count: usize,
    /// The first place.
    pub first: Option<Place>,
}

impl MarkGuess {
    /// The mark under which a cell of this kind is to be read: number cells always have a point.
    #[must_use]
    pub fn mark_for(&self, kind: Kind) -> DecimalMark {
        match kind {
            Kind::Number | Kind::Percent | Kind::Fraction => DecimalMark::Point,
            Kind::Empty
            | Kind::Text
            | Kind::Boolean
            | Kind::Date
            | Kind::Duration
            | Kind::Error => self.mark,
        }
    }
}

impl fmt::Display for MarkGuess {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self.mark {
            DecimalMark::Point => "decimal point",
            DecimalMark::Comma => "decimal comma",
            DecimalMark::Either => "no one decimal mark",
        })?;
        let evidence = [
            ("point", &self.points),
            ("comma", &self.commas),
            ("doubtful mark", &self.doubtful),
        ];
        for (name, evidence) in evidence {
            if let Some(first) = &evidence.first {
                write!(
                    f,
                    "; {} with a {name}, first at {first}",
                    evidence.cell_count
                )?;
            }
        }
        Ok(())
    }
}

/// Guesses the decimal mark of a sheet.
///
/// # Example
/// ```
/// use gradeworthy_sheets::{guess_decimal_mark, read};
/// use gradeworthy_units::DecimalMark;
/// let workbook = read(b"car;b2b;oz\n1;14,38;5\n2;14,41 mm;5,5\n")?;
/// let guess = guess_decimal_mark(&workbook.sheets[0]);
/// assert_eq!(guess.mark, DecimalMark::Comma);
/// assert_eq!(guess.commas.cell_count, 3);
/// assert_eq!(guess.to_string(), "decimal comma; 3 with a comma, first at line 2, field 2");
/// # Ok::<(), gradeworthy_sheets::SheetError>(())
/// ```
#[must_use]
pub fn guess_decimal_mark(grid: &Grid) -> MarkGuess {
    let [mut points, mut commas, mut doubtful] = [(); 3].map(|()| MarkEvidence::default());
    for row in grid.rows() {
        for (column, cell) in row.cells().enumerate() {
            if cell.kind != Kind::Text {
                continue;
            }
            let evidence = match mark_in(cell.text) {
                None => continue,
                Some(Sign::Point) => &mut points,
                Some(Sign::Comma) => &mut commas,
                Some(Sign::Doubtful) => &mut doubtful,
            };
            evidence.cell_count += 1;
            evidence.first.get_or_insert_with(|| row.place(column));
        }
    }
    let mark = match (points.cell_count, commas.cell_count) {
        (1.., 0) => DecimalMark::Point,
        (0, 1..) => DecimalMark::Comma,
        _ => DecimalMark::Either,
    };
    MarkGuess {
        mark,
        points,
        commas,
        doubtful,
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    Point,
    Comma,
    Doubtful,
}

/// What a text's leading number says; nothing when there is no number, no mark, or more digits and
/// marks after it (a date, an address, a range).
fn mark_in(text: &str) -> Option<Sign> {
    let unsigned = text.trim().trim_start_matches(['+', '-', '−']);
    let mark_at = unsigned.find(|c: char| !c.is_ascii_digit())?;
    let (whole, rest) = unsigned.split_at(mark_at);
    let sign = match rest.as_bytes().first()? {
        b'.' => Sign::Point,
        b',' => Sign::Comma,
        _ => return None,
    };
    let rest = &rest[1..];
    let decimals_end = rest
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(rest.len());
    let (decimals, after) = rest.split_at(decimals_end);
    if decimals.is_empty() || after.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let may_part_thousands =
        decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    Some(if may_part_thousands {
        Sign::Doubtful
    } else {
        sign
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_mark_of_one_number_is_evidence() {
        for (text, sign) in [
            ("14.38", Some(Sign::Point)),
            ("14,38 mm", Some(Sign::Comma)),
            (".015\"", Some(Sign::Point)),
            ("-0,5", Some(Sign::Comma)),
            ("0,566", Some(Sign::Comma)),
            ("0.566 in", Some(Sign::Point)),
            ("1,250", Some(Sign::Doubtful)),
            ("14.380", Some(Sign::Doubtful)),
            ("1,2500", Some(Sign::Comma)),
            ("14", None),
            ("25/64", None),
            ("12.03.2026", None),
            ("1,234.5", None),
            ("3.2-3.4", None),
            ("box, red", None),
            ("7.", None),
            ("", None),
            ("½", None),
        ] {
            assert_eq!(mark_in(text), sign, "{text}");
        }
    }
}
