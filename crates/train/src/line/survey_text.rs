//! The readings of a survey as a table, one reading for each row, in order along the track.
//!
//! Which columns are filled says what a row is:
//!
//! | columns | reading |
//! |---|---|
//! | x, y (height) | a point, by [`fit_survey`](super::survey::fit_survey) |
//! | s, chord, mid_ordinate, turn | a versine; `turn` is left or right and may be left out at 0 |
//! | s, height | a level |
//! | s, base, grade | a grade read on a base |

use gradeworthy_units::{Reader, Unit};

use super::csv_text::{Row, table};
use super::error::{LineFileError, LineFileErrors};
use super::survey::{GradeReading, HeightReading, SurveyPoint, Versine};

/// The readings of one survey.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SurveyReadings {
    /// Points along the track.
    pub points: Vec<SurveyPoint>,
    /// Chords and mid-ordinates.
    pub versines: Vec<Versine>,
    /// Heights.
    pub heights: Vec<HeightReading>,
    /// Grades.
    pub grades: Vec<GradeReading>,
}

const COLUMNS: [&str; 9] = [
    "x",
    "y",
    "height",
    "s",
    "chord",
    "mid_ordinate",
    "turn",
    "base",
    "grade",
];

/// Reads a survey; lengths typed without a unit are in `unit`, grades in percent.
///
/// # Errors
/// [`LineFileErrors`] lists everything that is wrong with line and column.
///
/// # Example
/// ```
/// use gradeworthy_train::line::read_survey;
/// use gradeworthy_units::Unit;
/// let survey = read_survey("s,chord,mid_ordinate,turn\n12 in,10 in,.35 in,left\n", Unit::Inch)?;
/// assert!((survey.versines[0].mid_ordinate - 0.00889).abs() < 1e-12);
/// # Ok::<(), gradeworthy_train::line::LineFileErrors>(())
/// ```
pub fn read_survey(text: &str, unit: Unit) -> Result<SurveyReadings, LineFileErrors> {
    let (rows, mut errors) = table(text);
    let mut readings = SurveyReadings::default();
    for row in &rows {
        let mut cells = Cells {
            row,
            unit,
            errors: &mut errors,
        };
        cells.refuse_unknown_columns();
        cells.sort_into(&mut readings);
    }
    if errors.is_empty() {
        Ok(readings)
    } else {
        errors.sort_by_key(LineFileError::line);
        Err(LineFileErrors(errors))
    }
}

struct Cells<'t> {
    row: &'t Row,
    unit: Unit,
    errors: &'t mut Vec<LineFileError>,
}

impl Cells<'_> {
    fn has(&self, column: &str) -> bool {
        self.row.cells.iter().any(|cell| cell.key == column)
    }

    fn refuse_unknown_columns(&mut self) {
        let unknown = self
            .row
            .cells
            .iter()
            .filter(|cell| !COLUMNS.contains(&cell.key.as_str()));
        self.errors
            .extend(unknown.map(|cell| LineFileError::UnknownKey {
                line: cell.line,
                section: "survey",
                key: cell.key.clone(),
                expected: COLUMNS.join(", "),
            }));
    }

    /// Adds this row to the readings of its kind; a mistake in it is noted instead.
    fn sort_into(&mut self, readings: &mut SurveyReadings) {
        if self.has("x") || self.has("y") {
            self.refuse_beside(
                &["s", "chord", "mid_ordinate", "turn", "base", "grade"],
                "x and y",
            );
            let (x, y) = (self.length("x"), self.length("y"));
            let height = if self.has("height") {
                self.length("height")
            } else {
                None
            };
            readings
                .points
                .extend(x.zip(y).map(|(x, y)| SurveyPoint { x, y, height }));
        } else if self.has("chord") || self.has("mid_ordinate") {
            self.refuse_beside(&["height", "base", "grade"], "chord");
            readings.versines.extend(self.versine());
        } else if self.has("base") || self.has("grade") {
            self.refuse_beside(&["height", "turn"], "base");
            let (s, base, grade) = (self.length("s"), self.length("base"), self.grade());
            let reading = s.zip(base).zip(grade);
            readings
                .grades
                .extend(reading.map(|((s, base), grade)| GradeReading { s, base, grade }));
        } else {
            self.refuse_beside(&["turn"], "height");
            let (s, height) = (self.length("s"), self.length("height"));
            readings
                .heights
                .extend(s.zip(height).map(|(s, height)| HeightReading { s, height }));
        }
    }

    fn versine(&mut self) -> Option<Versine> {
        let (s, chord) = (self.length("s"), self.length("chord"));
        let offset = self.length("mid_ordinate")?;
        let sign = match self.row.cells.iter().find(|cell| cell.key == "turn") {
            Some(cell) if cell.text == "left" => 1.0,
            Some(cell) if cell.text == "right" => -1.0,
            Some(cell) => {
                self.errors.push(LineFileError::NotAChoice {
                    line: cell.line,
                    key: cell.key.clone(),
                    found: cell.text.clone(),
                    expected: "left, right".to_owned(),
                });
                return None;
            }
            None if offset.abs() > 0.0 => {
                self.missing("turn", "the side to which the track turns, left or right");
                return None;
            }
            None => 1.0,
        };
        Some(Versine {
            s: s?,
            chord: chord?,
            mid_ordinate: sign * offset,
        })
    }

    /// Notes every filled cell of `columns`, which mean nothing beside `kind`.
    fn refuse_beside(&mut self, columns: &[&str], kind: &str) {
        let strange = self
            .row
            .cells
            .iter()
            .filter(|cell| columns.contains(&cell.key.as_str()));
        self.errors
            .extend(strange.map(|cell| LineFileError::UnknownKey {
                line: cell.line,
                section: "survey",
                key: cell.key.clone(),
                expected: format!("no such cell beside {kind}"),
            }));
    }

    fn missing(&mut self, key: &'static str, expected: &'static str) {
        let line = self.row.line;
        self.errors.push(LineFileError::Missing {
            line,
            section: "survey",
            key,
            expected,
        });
    }

    /// A length in metres.
    fn length(&mut self, column: &'static str) -> Option<f64> {
        let mm = self.read(column, self.unit, "a length, such as 300 mm or 12 in")?;
        Some(mm / 1e3)
    }

    fn grade(&mut self) -> Option<f64> {
        self.read("grade", Unit::Percent, "a grade, such as 2 % or 1 in 50")
    }

    /// The amount in its base unit: mm or a ratio.
    fn read(&mut self, column: &'static str, unit: Unit, expected: &'static str) -> Option<f64> {
        let Some(cell) = self.row.cells.iter().find(|cell| cell.key == column) else {
            self.missing(column, expected);
            return None;
        };
        match Reader::new(unit).read(&cell.text) {
            Ok(typed) => Some(typed.amount.base()),
            Err(problem) => {
                let (line, key) = (cell.line, cell.key.clone());
                self.errors
                    .push(LineFileError::Unreadable { line, key, problem });
                None
            }
        }
    }
}
