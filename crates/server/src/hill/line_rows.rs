//! A line as rows of a form, each a row of the table form of a line file; empty rows are none.

use gradeworthy_train::line::{LineDesign, LineFileErrors, read_csv, read_toml, write_csv};

use crate::refusal::Refusal;
use crate::request::Fields;

/// The parts of a form, each with its cells: key, heading, choices where there are few.
pub(crate) const PARTS: [(&str, &str, &[Cell]); 4] = [
    (
        "plan",
        "Plan, piece by piece",
        &[
            Cell::of("shape", "Piece", &["", "tangent", "arc", "easement"]),
            Cell::of("turn", "Turns", &["", "left", "right"]),
            Cell::text("radius", "Radius"),
            Cell::text("angle", "Angle"),
            Cell::text("length", "Length"),
            Cell::text("degree", "Degree of curve"),
            Cell::text("note", "Note"),
        ],
    ),
    (
        "profile",
        "Profile, piece by piece",
        &[
            Cell::of("shape", "Piece", &["", "grade", "vertical curve"]),
            Cell::text("grade", "Grade"),
            Cell::text("length", "Length, or 'rest'"),
            Cell::text("per_percent", "Length for each percent"),
            Cell::text("note", "Note"),
        ],
    ),
    (
        "cant",
        "Cant",
        &[
            Cell::text("from", "From"),
            Cell::text("to", "To"),
            Cell::text("height", "Height"),
            Cell::of("high", "High rail", &["", "left", "right"]),
            Cell::text("ramp_in", "Ramp in"),
            Cell::text("ramp_out", "Ramp out"),
            Cell::text("note", "Note"),
        ],
    ),
    (
        "place",
        "Named places",
        &[
            Cell::text("name", "Name"),
            Cell::text("at", "At"),
            Cell::text("from", "or from"),
            Cell::text("to", "to"),
            Cell::text("note", "Note"),
        ],
    ),
];

/// What is said of the line as a whole.
pub(crate) const HEAD: [Cell; 8] = [
    Cell::text("name", "Name"),
    Cell::text("scale", "Scale, such as 1:87.1"),
    Cell::of(
        "units",
        "Unit of a bare number",
        &["", "mm", "in", "ft", "m", "cm"],
    ),
    Cell::text("gauge", "Gauge"),
    Cell::text("rail_spacing", "Rail spacing"),
    Cell::of("closed", "A loop that closes", &["", "true", "false"]),
    Cell::text("start_height", "Height at the start"),
    Cell::text("note", "Where the figures come from"),
];

/// One cell of a row.
pub(crate) struct Cell {
    pub(crate) key: &'static str,
    pub(crate) heading: &'static str,
    pub(crate) choices: &'static [&'static str],
}

impl Cell {
    const fn of(
        key: &'static str,
        heading: &'static str,
        choices: &'static [&'static str],
    ) -> Self {
        Self {
            key,
            heading,
            choices,
        }
    }

    const fn text(key: &'static str, heading: &'static str) -> Self {
        Self::of(key, heading, &[])
    }
}

/// A row: its part and what stands in its cells.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) part: &'static str,
    cells: Vec<(&'static str, String)>,
}

impl Row {
    pub(crate) fn get(&self, key: &str) -> &str {
        let own = self.cells.iter().find(|(own, _)| *own == key);
        own.map_or("", |(_, text)| text.as_str())
    }
}

fn cells_of(part: &str) -> &'static [Cell] {
    let found = PARTS.iter().find(|(own, ..)| *own == part);
    found.map_or(&HEAD, |(_, _, cells)| cells)
}

fn part(word: &str) -> Option<&'static str> {
    let mut parts = ["line", "plan", "profile", "cant", "place"].into_iter();
    parts.find(|own| *own == word)
}

/// The rows that a form holds, those of each part in their order.
pub(crate) fn sent(fields: &Fields) -> Vec<Row> {
    /// More rows than this are no form. ASSUMED: five times the longest line of a club's layout.
    const ROWS_MOST: usize = 400;
    let mut rows = Vec::new();
    for own in ["line", "plan", "profile", "cant", "place"] {
        let count = if own == "line" { 1 } else { ROWS_MOST };
        let mut empty = 0;
        for index in 0..count {
            let cell = |cell: &Cell| {
                (
                    cell.key,
                    fields
                        .get(&format!("{own}-{index}-{}", cell.key))
                        .to_owned(),
                )
            };
            let cells: Vec<_> = cells_of(own).iter().map(cell).collect();
            if cells.iter().all(|(_, text)| text.is_empty()) {
                empty += 1;
                // Rows that were left empty inside a form stand among others.
                if empty > 20 {
                    break;
                }
                continue;
            }
            empty = 0;
            rows.push(Row { part: own, cells });
        }
    }
    rows
}

/// The rows of a design.
pub(crate) fn rows(design: &LineDesign) -> Vec<Row> {
    let text = write_csv(design);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let Ok(heading) = reader.headers().cloned() else {
        return Vec::new();
    };
    let row = |record: csv::StringRecord| {
        let cell = |key: &str| {
            let at = heading.iter().position(|own| own == key)?;
            record.get(at).map(str::to_owned)
        };
        let part = part(&cell("section")?)?;
        let cells = cells_of(part).iter();
        Some(Row {
            part,
            cells: cells
                .map(|own| (own.key, cell(own.key).unwrap_or_default()))
                .collect(),
        })
    };
    reader
        .records()
        .filter_map(Result::ok)
        .filter_map(row)
        .collect()
}

/// The design that rows describe, or everything wrong with them, each with its row.
pub(crate) fn design(rows: &[Row]) -> Result<LineDesign, Vec<String>> {
    let mut keys: Vec<&str> = HEAD.iter().map(|own| own.key).collect();
    for (_, _, cells) in &PARTS {
        for own in *cells {
            if !keys.contains(&own.key) {
                keys.push(own.key);
            }
        }
    }
    let mut writer = csv::Writer::from_writer(Vec::new());
    let heading = std::iter::once("section").chain(keys.iter().copied());
    let mut written = writer.write_record(heading);
    for row in rows {
        let cells = keys.iter().map(|key| row.get(key));
        written =
            written.and_then(|()| writer.write_record(std::iter::once(row.part).chain(cells)));
    }
    let text = written.ok().and_then(|()| writer.into_inner().ok());
    let text = text
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .unwrap_or_default();
    read_csv(&text).map_err(|errors| by_row(&errors, rows))
}

/// Errors with the row of the form in place of the line of the file.
fn by_row(errors: &LineFileErrors, rows: &[Row]) -> Vec<String> {
    let say = |error: &gradeworthy_train::line::LineFileError| {
        let (line, text) = (error.line(), error.to_string());
        let index = line.saturating_sub(2);
        let Some(row) = rows.get(index).filter(|_| line >= 2) else {
            return text;
        };
        let number = rows[..=index]
            .iter()
            .filter(|own| own.part == row.part)
            .count();
        let place = if row.part == "line" {
            "the line".to_owned()
        } else {
            format!("{} {number}", row.part)
        };
        text.replacen(&format!("line {line}"), &place, 1)
    };
    errors.0.iter().map(say).collect()
}

/// What a pasted or chosen file holds.
pub(crate) enum Imported {
    /// A designed line.
    Design(Box<LineDesign>),
    /// The readings of a survey.
    Survey(String),
}

/// Tells a design (TOML, or a table with a column `section`) from the readings of a survey.
pub(crate) fn import(text: &str) -> Result<Imported, Refusal> {
    let first = text
        .lines()
        .map(str::trim)
        .find(|line| !line.is_empty() && !line.starts_with('#'));
    let first = first.unwrap_or_default();
    let has_sections = first
        .split([',', ';', '\t'])
        .any(|own| own.trim().trim_matches('"') == "section");
    let design = if first.starts_with('[') {
        read_toml(text)
    } else if has_sections {
        read_csv(text)
    } else {
        return Ok(Imported::Survey(text.to_owned()));
    };
    design
        .map(|own| Imported::Design(Box::new(own)))
        .map_err(|error| super::stock::faults(&error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_design_goes_through_the_form_and_comes_back_the_same() {
        let line = read_toml(gradeworthy_demo::climb::LINE).expect("the invented line");
        assert_eq!(design(&rows(&line)).expect("read back"), line);
    }

    #[test]
    fn a_mistake_is_told_with_its_row_of_the_form() {
        let line = read_toml(gradeworthy_demo::climb::LINE).expect("the invented line");
        let mut rows = rows(&line);
        let at = rows
            .iter()
            .rposition(|row| row.part == "plan")
            .expect("a piece");
        let cell = rows[at].cells.iter_mut().find(|(key, _)| *key == "length");
        cell.expect("a length").1 = "far".to_owned();
        let said = design(&rows).expect_err("no length");
        assert_eq!(said.len(), 1, "{said:?}");
        assert!(said[0].starts_with("plan 17, length"), "{said:?}");
    }

    #[test]
    fn a_survey_is_told_from_a_design() {
        let survey = import("x,y\n1,2\n").expect("a survey");
        assert!(matches!(survey, Imported::Survey(_)));
        let design = import(gradeworthy_demo::climb::LINE).expect("a design");
        assert!(matches!(design, Imported::Design(_)));
        assert!(import("[line]\nnaem = 'x'\n").is_err());
    }
}
