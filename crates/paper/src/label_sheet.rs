//! Sheets of labels as the club describes them, and where on the paper each label is.
//!
//! Every length is read as typed, in millimetres or inches, and kept exactly, so that a sheet described
//! in inches is not a hair off after thirty rows. A sheet that cannot be (labels off the paper or over
//! each other) is refused with the edge and by how much.

use std::fmt;

use gradeworthy_units::{Amount, Length, ReadError, Reader, Unit};

use crate::{Frame, Paper};

/// Narrowest and lowest label, mm. ASSUMED: below this no line of [`crate::LABEL_SIZES`] fits.
const LEAST_MM: (f64, f64) = (12.0, 6.0);
/// Most rows or columns. ASSUMED: more would be below [`LEAST_MM`] on either paper.
const COUNT_MOST: u16 = 48;

/// A sheet of equal labels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelSheet {
    /// The paper.
    pub paper: Paper,
    /// Labels beside each other.
    pub columns: u16,
    /// Labels under each other.
    pub rows: u16,
    /// Width of a label.
    pub width: Length,
    /// Height of a label.
    pub height: Length,
    /// From the paper's left edge to the first label.
    pub left: Length,
    /// From the paper's upper edge to the first label.
    pub top: Length,
    /// From one label's left edge to the next one's.
    pub pitch_across: Length,
    /// From one label's upper edge to the next one's.
    pub pitch_down: Length,
}

/// A measure of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Width of a label.
    Width,
    /// Height of a label.
    Height,
    /// Left margin.
    Left,
    /// Upper margin.
    Top,
    /// From label to label across.
    PitchAcross,
    /// From label to label down.
    PitchDown,
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Width => "label width",
            Self::Height => "label height",
            Self::Left => "left margin",
            Self::Top => "top margin",
            Self::PitchAcross => "pitch across",
            Self::PitchDown => "pitch down",
        })
    }
}

/// Why a sheet cannot be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// No paper of that name.
    #[error("'{found}' is no paper known here; write A4 or Letter")]
    Paper {
        /// What was found.
        found: String,
    },
    /// A number of labels that is none.
    #[error(
        "{what}: '{found}' is no number of labels; write a whole number from 1 to {COUNT_MOST}"
    )]
    Count {
        /// Rows or columns.
        what: &'static str,
        /// What was found.
        found: String,
    },
    /// A measure that cannot be read.
    #[error("{measure}: {why}; write it as '63.5 mm' or '2.5 in'")]
    Unreadable {
        /// Which.
        measure: Measure,
        /// Why.
        why: ReadError,
    },
    /// Below nothing.
    #[error("{measure}: {found} mm is below zero")]
    Negative {
        /// Which.
        measure: Measure,
        /// What was found.
        found: String,
    },
    /// Too small to print on.
    #[error("{measure}: {found} mm is too small to print on; at least {least} mm is wanted")]
    TooSmall {
        /// Which.
        measure: Measure,
        /// What was found.
        found: String,
        /// What would do.
        least: String,
    },
    /// Labels over each other.
    #[error(
        "{measure}: {found} mm from label to label, but each is {size} mm: they would lie over each other"
    )]
    Overlapping {
        /// Which pitch.
        measure: Measure,
        /// What was found.
        found: String,
        /// The size of a label that way.
        size: String,
    },
    /// Labels beyond the edge.
    #[error(
        "the last label ends {by} mm beyond the {edge} edge of {paper}; measure margin, size and pitch again"
    )]
    OffPaper {
        /// Which edge.
        edge: &'static str,
        /// How far.
        by: String,
        /// The paper.
        paper: Paper,
    },
    /// A first label that the sheet has not.
    #[error(
        "the sheet has {rows} rows and {columns} columns; there is no label in row {row}, column {column}"
    )]
    NoSuchLabel {
        /// Asked for.
        row: u16,
        /// Asked for.
        column: u16,
        /// There are.
        rows: u16,
        /// There are.
        columns: u16,
    },
}

/// A sheet as it was typed: lengths with their unit, a bare number in millimetres.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Typing {
    /// `A4` or `Letter`.
    pub paper: String,
    /// Labels beside each other.
    pub columns: String,
    /// Labels under each other.
    pub rows: String,
    /// Width of a label.
    pub width: String,
    /// Height of a label.
    pub height: String,
    /// Left margin.
    pub left: String,
    /// Upper margin.
    pub top: String,
    /// From label to label across; empty where they touch.
    pub pitch_across: String,
    /// From label to label down; empty where they touch.
    pub pitch_down: String,
}

impl Typing {
    /// The sheet that was meant.
    ///
    /// # Errors
    /// [`SheetError`] for what cannot be read or cannot be.
    pub fn sheet(&self) -> Result<LabelSheet, SheetError> {
        let found = self.paper.trim().to_owned();
        let paper = Paper::from_name(&found).ok_or(SheetError::Paper { found })?;
        let width = length(Measure::Width, &self.width)?;
        let height = length(Measure::Height, &self.height)?;
        let or = |measure, text: &str, touching| {
            if text.trim().is_empty() {
                Ok(touching)
            } else {
                length(measure, text)
            }
        };
        let sheet = LabelSheet {
            paper,
            columns: count("columns", &self.columns)?,
            rows: count("rows", &self.rows)?,
            width,
            height,
            left: length(Measure::Left, &self.left)?,
            top: length(Measure::Top, &self.top)?,
            pitch_across: or(Measure::PitchAcross, &self.pitch_across, width)?,
            pitch_down: or(Measure::PitchDown, &self.pitch_down, height)?,
        };
        sheet.check()?;
        Ok(sheet)
    }
}

fn count(what: &'static str, text: &str) -> Result<u16, SheetError> {
    let found = text.trim();
    let number = found.parse().ok();
    number
        .filter(|number| (1..=COUNT_MOST).contains(number))
        .ok_or_else(|| SheetError::Count {
            what,
            found: found.to_owned(),
        })
}

fn length(measure: Measure, text: &str) -> Result<Length, SheetError> {
    let typed = Reader::new(Unit::Millimetre)
        .read(text)
        .map_err(|why| SheetError::Unreadable { measure, why })?;
    let length = match typed.amount {
        Amount::Length(length) => length,
        other => Length::from_mm_rounded(other.base()).unwrap_or_default(),
    };
    if length.nanometres() < 0 {
        let found = mm(length);
        return Err(SheetError::Negative { measure, found });
    }
    Ok(length)
}

/// A length in millimetres without zeros at its end.
fn mm(length: Length) -> String {
    let text = format!("{:.3}", length.mm());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl LabelSheet {
    /// Plain paper to be cut: labels of 45 mm × 22 mm on A4, 1.75 in × .875 in on Letter, with room for
    /// what printers cannot reach. ASSUMED: no common printer needs more than 12 mm at an edge.
    #[must_use]
    pub const fn plain(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self {
                paper,
                columns: 4,
                rows: 12,
                width: Length::from_hundredths_mm(4_500),
                height: Length::from_hundredths_mm(2_200),
                left: Length::from_hundredths_mm(1_500),
                top: Length::from_hundredths_mm(1_650),
                pitch_across: Length::from_hundredths_mm(4_500),
                pitch_down: Length::from_hundredths_mm(2_200),
            },
            Paper::Letter => Self {
                paper,
                columns: 4,
                rows: 11,
                width: Length::from_thousandths(1_750),
                height: Length::from_thousandths(875),
                left: Length::from_thousandths(750),
                top: Length::from_thousandths(687),
                pitch_across: Length::from_thousandths(1_750),
                pitch_down: Length::from_thousandths(875),
            },
        }
    }

    /// Plain paper cut in four: what a tag or a slip is printed on.
    #[must_use]
    pub const fn quarters(paper: Paper) -> Self {
        let (width, height) = (paper.width().half(), paper.height().half());
        Self {
            paper,
            columns: 2,
            rows: 2,
            width,
            height,
            left: Length::from_nanometres(0),
            top: Length::from_nanometres(0),
            pitch_across: width,
            pitch_down: height,
        }
    }

    /// Whether the sheet can be.
    ///
    /// # Errors
    /// [`SheetError`] with the edge or measure that is wrong.
    pub fn check(&self) -> Result<(), SheetError> {
        for (measure, found, least) in [
            (Measure::Width, self.width, LEAST_MM.0),
            (Measure::Height, self.height, LEAST_MM.1),
        ] {
            if found.mm() < least {
                let (found, least) = (mm(found), least.to_string());
                return Err(SheetError::TooSmall {
                    measure,
                    found,
                    least,
                });
            }
        }
        let across = (
            Measure::PitchAcross,
            self.columns,
            self.pitch_across,
            self.width,
        );
        let down = (Measure::PitchDown, self.rows, self.pitch_down, self.height);
        for (measure, count, pitch, size) in [across, down] {
            if count > 1 && pitch < size {
                let (found, size) = (mm(pitch), mm(size));
                return Err(SheetError::Overlapping {
                    measure,
                    found,
                    size,
                });
            }
        }
        let ends = [
            ("right", self.left, across, self.paper.width()),
            ("lower", self.top, down, self.paper.height()),
        ];
        for (edge, start, (_, count, pitch, size), paper) in ends {
            let nanometres = i128::from(start.nanometres())
                + i128::from(pitch.nanometres()) * i128::from(count - 1)
                + i128::from(size.nanometres())
                - i128::from(paper.nanometres());
            if nanometres > 0 {
                let by = Length::from_nanometres(i64::try_from(nanometres).unwrap_or(i64::MAX));
                return Err(SheetError::OffPaper {
                    edge,
                    by: mm(by),
                    paper: self.paper,
                });
            }
        }
        Ok(())
    }

    /// Labels on a sheet.
    #[must_use]
    pub fn count(&self) -> usize {
        usize::from(self.columns) * usize::from(self.rows)
    }

    /// Where label `index` is, counted from 0 along the rows.
    #[must_use]
    pub fn frame(&self, index: usize) -> Frame {
        let columns = usize::from(self.columns).max(1);
        let (row, column) = (index / columns, index % columns);
        let at = |start: Length, pitch: Length, steps: usize| {
            let steps = i64::try_from(steps).unwrap_or(i64::MAX);
            let total = pitch.nanometres().saturating_mul(steps);
            Length::from_nanometres(start.nanometres().saturating_add(total)).mm()
        };
        Frame::new(
            at(self.left, self.pitch_across, column),
            at(self.top, self.pitch_down, row),
            self.width.mm(),
            self.height.mm(),
        )
    }
}

/// The first label to print on, for a sheet of which some are gone; counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct First {
    /// Row from the top.
    pub row: u16,
    /// Column from the left.
    pub column: u16,
}

impl Default for First {
    fn default() -> Self {
        Self { row: 1, column: 1 }
    }
}

impl First {
    /// How many labels are passed over.
    pub(crate) fn skipped(self, sheet: &LabelSheet) -> Result<usize, SheetError> {
        let Self { row, column } = self;
        let known = (1..=sheet.rows).contains(&row) && (1..=sheet.columns).contains(&column);
        if !known {
            let (rows, columns) = (sheet.rows, sheet.columns);
            return Err(SheetError::NoSuchLabel {
                row,
                column,
                rows,
                columns,
            });
        }
        Ok(usize::from(row - 1) * usize::from(sheet.columns) + usize::from(column - 1))
    }
}

/// A sheet, the first label on it, and whether labels are outlined: to cut by, or to hold against the
/// light over a real sheet before one is spent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// The sheet.
    pub sheet: LabelSheet,
    /// Where to begin.
    pub first: First,
    /// Whether each label is outlined.
    pub outlines: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typing() -> Typing {
        let own = str::to_owned;
        Typing {
            paper: own("letter"),
            columns: own("3"),
            rows: own("10"),
            width: own("2 5/8 in"),
            height: own("1 in"),
            left: own("3/16 in"),
            top: own("12.7 mm"),
            pitch_across: own("2.75in"),
            pitch_down: String::new(),
        }
    }

    #[test]
    fn millimetres_and_inches_are_read_as_typed_and_kept_exactly() {
        let sheet = typing().sheet().expect("a sheet");
        assert_eq!(sheet.width, Length::from_sixty_fourths(168));
        assert_eq!(sheet.top, Length::from_thousandths(500));
        assert_eq!(sheet.pitch_down, sheet.height);
        let last = sheet.frame(29);
        assert!((last.x_mm - (0.1875 + 2.0 * 2.75) * 25.4).abs() < 1e-9);
        assert!((last.y_mm - 9.5 * 25.4).abs() < 1e-9);
    }

    #[test]
    fn a_sheet_that_cannot_be_is_refused_with_where_and_by_how_much() {
        let wrong = |change: fn(&mut Typing)| {
            let mut typing = typing();
            change(&mut typing);
            typing.sheet().expect_err("refused").to_string()
        };
        assert!(wrong(|t| t.paper = "B5".to_owned()).contains("write A4 or Letter"));
        assert!(wrong(|t| t.rows = "0".to_owned()).contains("rows: '0'"));
        assert!(wrong(|t| t.rows = "11".to_owned()).contains("12.7 mm beyond the lower edge"));
        assert!(wrong(|t| t.pitch_across = "2.5 in".to_owned()).contains("over each other"));
        assert!(wrong(|t| t.width = "2 oz".to_owned()).contains("label width: 'oz' measures"));
        assert!(wrong(|t| t.height = "5".to_owned()).contains("too small"));
        assert!(wrong(|t| t.left = "-1".to_owned()).contains("below zero"));
    }

    #[test]
    fn the_sheets_of_our_own_can_be() {
        for paper in Paper::ALL {
            LabelSheet::plain(paper).check().expect("plain");
            LabelSheet::quarters(paper).check().expect("quarters");
        }
    }

    #[test]
    fn a_half_used_sheet_begins_where_it_is_said() {
        let sheet = typing().sheet().expect("a sheet");
        assert_eq!(First { row: 4, column: 2 }.skipped(&sheet), Ok(10));
        let beyond = First { row: 11, column: 1 }.skipped(&sheet);
        assert!(
            beyond
                .expect_err("no such")
                .to_string()
                .contains("10 rows and 3 columns")
        );
    }
}
