//! What a reader saw that its user should know; none of it changes a text in silence.

use std::fmt;

use crate::{Place, Separator};

/// Something worth telling about a sheet that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Note {
    /// The text was not UTF-8 and was read as Windows-1252.
    ReadAsWindows1252 {
        /// Line of the first byte that is not UTF-8, from 1.
        line: u32,
        /// Character of that line, from 1.
        column: u32,
        /// The character it was read as.
        read_as: char,
        /// How many other places of the file look like UTF-8, and are now misread.
        like_utf8: usize,
    },
    /// A first line `sep=;` named the separator; it is not a row.
    SeparatorLine {
        /// What it named.
        separator: Separator,
    },
    /// Two separators split the rows equally well.
    SeparatorDoubtful {
        /// The one taken.
        taken: Separator,
        /// The other.
        other: Separator,
    },
    /// The comma was taken as the separator, but every one stands alone between two digits, so
    /// that this may be a single column of numbers with decimal commas.
    CommaMayBeDecimal,
    /// Rows with more or fewer fields than most.
    Ragged {
        /// How many rows.
        row_count: usize,
        /// The first of them.
        first: Place,
        /// How many fields it has.
        found: usize,
        /// How many fields most rows have.
        usual: usize,
    },
    /// Fields with text after a closing quotation mark; they were kept with their marks, as written.
    StrayQuotes {
        /// How many.
        cell_count: usize,
        /// The first of them.
        first: Place,
    },
    /// A hidden sheet was read like the others.
    HiddenSheet {
        /// Its name.
        sheet: Box<str>,
    },
    /// A sheet without cells (a chart or a dialogue) was passed over.
    NotCells {
        /// Its name.
        sheet: Box<str>,
    },
    /// Cells that hold an error of the spreadsheet.
    ErrorCells {
        /// How many.
        cell_count: usize,
        /// The first of them.
        first: Place,
        /// Its text.
        text: Box<str>,
    },
    /// Formulas whose value the file does not store.
    FormulasWithoutValue {
        /// How many.
        cell_count: usize,
        /// The first of them.
        first: Place,
    },
    /// Numbers with more digits than a spreadsheet shows.
    RoundedNumbers {
        /// How many.
        cell_count: usize,
        /// The first of them.
        first: Place,
    },
    /// Cells under a merged cell that still hold something, which the spreadsheet does not show.
    CoveredText {
        /// How many.
        cell_count: usize,
        /// The first of them.
        first: Place,
    },
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ReadAsWindows1252 {
                line,
                column,
                read_as,
                like_utf8,
            } => {
                write!(
                    f,
                    "the file is not UTF-8 (first at line {line}, character {column}) and was \
                     read as Windows-1252, there as '{read_as}'"
                )?;
                match like_utf8 {
                    0 => Ok(()),
                    _ => write!(
                        f,
                        "; {like_utf8} other {} like UTF-8 and may be misread: save the file \
                         as UTF-8",
                        plural(*like_utf8, "place looks", "places look")
                    ),
                }
            }
            Self::SeparatorLine { separator } => {
                write!(f, "the first line sets the separator to {separator}")
            }
            Self::SeparatorDoubtful { taken, other } => write!(
                f,
                "{taken} and {other} split the rows equally well; {taken} was taken"
            ),
            Self::CommaMayBeDecimal => f.write_str(
                "the comma was taken as the separator, but each stands alone between two digits; \
                 if it is the decimal mark, say that another character separates",
            ),
            Self::Ragged {
                row_count,
                first,
                found,
                usual,
            } => write!(
                f,
                "{row_count} {} not as long as most ({usual} fields), first line {} with {found}",
                plural(*row_count, "row is", "rows are"),
                first.row
            ),
            Self::StrayQuotes { cell_count, first } => write!(
                f,
                "{cell_count} {} after a closing quotation mark, first {first}; kept as written, \
                 marks included",
                plural(*cell_count, "field goes on", "fields go on")
            ),
            Self::HiddenSheet { .. }
            | Self::NotCells { .. }
            | Self::ErrorCells { .. }
            | Self::FormulasWithoutValue { .. }
            | Self::RoundedNumbers { .. }
            | Self::CoveredText { .. } => self.write_of_workbook(f),
        }
    }
}

impl Note {
    /// The notes that only a workbook gives rise to.
    fn write_of_workbook(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ReadAsWindows1252 { .. }
            | Self::SeparatorLine { .. }
            | Self::SeparatorDoubtful { .. }
            | Self::CommaMayBeDecimal
            | Self::Ragged { .. }
            | Self::StrayQuotes { .. } => Ok(()),
            Self::HiddenSheet { sheet } => {
                write!(
                    f,
                    "sheet '{sheet}' is hidden in the workbook; it was read all the same"
                )
            }
            Self::NotCells { sheet } => {
                write!(
                    f,
                    "sheet '{sheet}' has no cells (a chart, perhaps) and was passed over"
                )
            }
            Self::ErrorCells {
                cell_count,
                first,
                text,
            } => write!(
                f,
                "{cell_count} {} an error, first {text} at {first}",
                plural(*cell_count, "cell holds", "cells hold")
            ),
            Self::FormulasWithoutValue { cell_count, first } => write!(
                f,
                "{cell_count} {} no stored value, first at {first}; open the workbook in a \
                 spreadsheet program and save it, so that they are computed",
                plural(*cell_count, "formula has", "formulas have")
            ),
            Self::RoundedNumbers { cell_count, first } => write!(
                f,
                "{cell_count} {} to the 15 digits that a spreadsheet shows, first at {first}",
                plural(*cell_count, "number was rounded", "numbers were rounded")
            ),
            Self::CoveredText { cell_count, first } => write!(
                f,
                "{cell_count} {} under a merged cell and cannot be seen in the spreadsheet, \
                 first at {first}",
                plural(*cell_count, "cell with text lies", "cells with text lie")
            ),
        }
    }
}

fn plural<'a>(count: usize, one: &'a str, many: &'a str) -> &'a str {
    if count == 1 { one } else { many }
}
