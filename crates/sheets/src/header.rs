//! Which rows of a sheet are its headings.
//!
//! A heading row is the first that is filled about as widely as the rows under it and holds mostly
//! texts that are no numbers.
//! Above it may stand blank rows and title lines; with it may go a row of groups, 'Axle 1' over
//! 'B2B' and 'Flange', which join to 'Axle 1 B2B' and 'Axle 1 Flange'.
//! The guess says what it rests on; it is a proposal for a person to confirm.

mod group;
mod look;

use std::fmt;
use std::ops::Range;

use crate::Grid;
use look::RowLook;

/// A guess at the heading rows of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeaderGuess {
    /// One heading for each column of the heading rows; empty when none was found.
    pub headings: Vec<Heading>,
    /// Indices of the heading rows: none, one, or two.
    pub rows: Range<usize>,
    /// Indices of the rows with something in them above the headings.
    pub titles: Vec<usize>,
    /// What the guess rests on, in the order of deciding.
    pub reasons: Vec<Reason>,
}

/// The heading of one column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    /// Column index from 0.
    pub column: usize,
    /// The text, white space inside it made single; empty where the column has none.
    pub text: String,
}

/// What a guess rests on. Rows are numbered as the user sees them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// Rows above the headings hold too little to be headings.
    TitleAbove {
        /// The rows.
        rows: Vec<u32>,
    },
    /// The first row that is wide enough and mostly text.
    FirstRowOfTexts {
        /// The row.
        row: u32,
        /// Texts that are no numbers.
        texts: usize,
        /// Filled cells.
        filled: usize,
    },
    /// Numbers stand under some of its texts, as under headings.
    NumbersBelow {
        /// How many columns.
        columns: usize,
    },
    /// No numbers stand under it, so that it may be a row like the others.
    NothingTellsItFromTheRowsBelow,
    /// A row of groups stands over a row of parts; they were joined.
    GroupsJoined {
        /// The upper row.
        groups: u32,
        /// The lower row.
        parts: u32,
        /// Whether the groups are merged cells; otherwise they spread over the blanks after them.
        merged: bool,
    },
    /// A heading stands over more than one column.
    Repeated {
        /// The heading.
        heading: String,
    },
    /// No row among the first looks like headings.
    NoneFound {
        /// How many rows were looked at.
        looked_at: usize,
    },
}

/// How many rows are looked at for headings.
const ROWS_LOOKED_AT: usize = 50;

/// How many rows under a candidate tell the sheet's width and where numbers stand.
const ROWS_BELOW: usize = 25;

impl HeaderGuess {
    /// Index of the first row under the headings.
    #[must_use]
    pub fn body_start(&self) -> usize {
        self.rows.end
    }

    /// Whether headings were found and numbers under them bear it out.
    #[must_use]
    pub fn is_firm(&self) -> bool {
        self.reasons
            .iter()
            .any(|reason| matches!(reason, Reason::NumbersBelow { .. }))
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TitleAbove { rows } => {
                let listed: Vec<_> = rows.iter().map(u32::to_string).collect();
                let (noun, verb) = if rows.len() == 1 {
                    ("row", "holds")
                } else {
                    ("rows", "hold")
                };
                write!(
                    f,
                    "{noun} {} {verb} too little to be headings",
                    listed.join(", ")
                )
            }
            Self::FirstRowOfTexts { row, texts, filled } => write!(
                f,
                "row {row} is the first of full width with mostly texts ({texts} of {filled})"
            ),
            Self::NumbersBelow { columns } => {
                write!(f, "numbers stand under {columns} of its columns")
            }
            Self::NothingTellsItFromTheRowsBelow => {
                write!(
                    f,
                    "no numbers stand under it, so it may be a row like the others"
                )
            }
            Self::GroupsJoined {
                groups,
                parts,
                merged,
            } => {
                let how = if *merged {
                    "merged cells"
                } else {
                    "texts with blanks after them"
                };
                write!(
                    f,
                    "the {how} of row {groups} were joined to the texts of row {parts}"
                )
            }
            Self::Repeated { heading } => {
                write!(
                    f,
                    "the heading '{heading}' stands over more than one column"
                )
            }
            Self::NoneFound { looked_at } => {
                write!(f, "none of the first {looked_at} rows looks like headings")
            }
        }
    }
}

/// Finds the heading rows of a sheet.
///
/// # Example
/// ```
/// use gradeworthy_sheets::{find_header, read};
/// let text = b"Roster\n\ncar,Axle 1,,oz\n,B2B,Flange,\nXMPL 1,14.38,0.70,4.5\n";
/// let workbook = read(text)?;
/// let guess = find_header(&workbook.sheets[0]);
/// let headings: Vec<_> = guess.headings.iter().map(|heading| heading.text.as_str()).collect();
/// assert_eq!(headings, ["car", "Axle 1 B2B", "Axle 1 Flange", "oz"]);
/// assert_eq!(guess.body_start(), 4);
/// # Ok::<(), gradeworthy_sheets::SheetError>(())
/// ```
#[must_use]
pub fn find_header(grid: &Grid) -> HeaderGuess {
    let looks: Vec<RowLook> = grid
        .rows()
        .take(ROWS_LOOKED_AT + ROWS_BELOW)
        .map(RowLook::of)
        .collect();
    let looked_at = looks.len().min(ROWS_LOOKED_AT);
    let Some(found) = (0..looked_at).find(|&index| is_header(&looks, index)) else {
        return HeaderGuess {
            headings: Vec::new(),
            rows: 0..0,
            titles: Vec::new(),
            reasons: vec![Reason::NoneFound { looked_at }],
        };
    };
    let group = group::find(grid, &looks, found);
    let rows = group
        .as_ref()
        .map_or(found..found + 1, |group| group.groups..group.parts + 1);
    let headings = match &group {
        Some(group) => group.join(grid),
        None => single(grid, found),
    };
    let titles: Vec<usize> = (0..rows.start)
        .filter(|&index| looks[index].filled() > 0)
        .collect();
    let mut reasons = Vec::new();
    if !titles.is_empty() {
        let rows = titles
            .iter()
            .map(|&index| grid.place(index, 0).row)
            .collect();
        reasons.push(Reason::TitleAbove { rows });
    }
    reasons.push(Reason::FirstRowOfTexts {
        row: grid.place(found, 0).row,
        texts: looks[found].texts(),
        filled: looks[found].filled(),
    });
    if let Some(group) = &group {
        reasons.push(group.reason(grid));
    }
    reasons.push(match numbers_below(&looks, rows.end - 1) {
        0 => Reason::NothingTellsItFromTheRowsBelow,
        columns => Reason::NumbersBelow { columns },
    });
    reasons.extend(repeated(&headings));
    HeaderGuess {
        headings,
        rows,
        titles,
        reasons,
    }
}

/// Wide enough for what stands below, and at least four texts in five; a last line under other rows
/// is a remark.
fn is_header(looks: &[RowLook], index: usize) -> bool {
    let row = &looks[index];
    let below = &looks[index + 1..looks.len().min(index + 1 + ROWS_BELOW)];
    let width = usual_width(below);
    let is_alone = width == 0 && looks[..index].iter().any(|above| above.filled() > 0);
    !is_alone && row.texts() > 0 && row.texts() * 5 >= row.filled() * 4 && row.filled() * 2 > width
}

/// The middle one of the widths of the rows that are not blank, so that a remark far to the right of
/// one row does not make the sheet wide.
fn usual_width(rows: &[RowLook]) -> usize {
    let mut widths: Vec<usize> = rows
        .iter()
        .map(RowLook::filled)
        .filter(|&filled| filled > 0)
        .collect();
    widths.sort_unstable();
    widths.get(widths.len() / 2).copied().unwrap_or(0)
}

/// In how many columns a text of the row at `index` has at least as many numbers as texts below.
fn numbers_below(looks: &[RowLook], index: usize) -> usize {
    let below = &looks[index + 1..looks.len().min(index + 1 + ROWS_BELOW)];
    let is_over_numbers = |column: usize| {
        let numbers = below.iter().filter(|row| row.is_number(column)).count();
        let texts = below.iter().filter(|row| row.is_text(column)).count();
        numbers > 0 && numbers >= texts
    };
    (0..looks[index].len())
        .filter(|&column| looks[index].is_text(column) && is_over_numbers(column))
        .count()
}

fn single(grid: &Grid, index: usize) -> Vec<Heading> {
    let cells = grid.row(index).map(|row| row.cells()).into_iter().flatten();
    cells
        .enumerate()
        .map(|(column, cell)| Heading {
            column,
            text: spaced(&[cell.text]),
        })
        .collect()
}

/// Texts joined, every run of white space made one space.
fn spaced(texts: &[&str]) -> String {
    let words: Vec<&str> = texts
        .iter()
        .flat_map(|text| text.split_whitespace())
        .collect();
    words.join(" ")
}

/// Headings that stand over more than one column, each once.
fn repeated(headings: &[Heading]) -> Vec<Reason> {
    let mut texts: Vec<&str> = headings
        .iter()
        .map(|heading| heading.text.as_str())
        .filter(|t| !t.is_empty())
        .collect();
    texts.sort_unstable();
    texts
        .chunk_by(|a, b| a == b)
        .filter(|alike| alike.len() > 1)
        .map(|alike| Reason::Repeated {
            heading: alike[0].to_owned(),
        })
        .collect()
}
