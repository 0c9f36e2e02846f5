//! How a data file is read into a table.
//!
//! A data file opens with comment lines, `# name: text`, that give body, document, title, edition,
//! key, table and confidence; `# confidence of rows | columns: word` excepts single cells, several
//! separated by `;`, and `# heading column: text` spells a heading out.
//! Then comes one header line, whose fields are `column` or `column/unit`, then the rows. The first
//! field of a row is its name. Columns named `confidence` and `source` say so for the whole row and
//! are no cells. An empty field is a cell that the publication does not print.

use crate::table::{Column, Row, Table};
use crate::{Confidence, Standard, StandardsError};

impl Table {
    /// Reads a table from the text of a data file.
    ///
    /// # Errors
    /// [`StandardsError`] for a missing opening line, a row of the wrong length, or a word that is
    /// no confidence.
    pub fn parse(text: &'static str) -> Result<Self, StandardsError> {
        let (comments, lines): (Vec<_>, Vec<_>) = text
            .lines()
            .filter(|line| !line.trim().is_empty())
            .partition(|line| line.starts_with("# "));
        let head = Head::read(&comments)?;
        let header = lines.first().copied().unwrap_or_default();
        let named: Vec<_> = header
            .split(',')
            .map(|field| field.split_once('/').unwrap_or((field, "")))
            .collect();
        let rows = lines
            .iter()
            .skip(1)
            .map(|line| head.row(&named, line))
            .collect::<Result<_, _>>()?;
        let columns = named
            .iter()
            .skip(1)
            .filter(|(id, _)| !is_about_the_row(id))
            .map(|&(id, unit)| Column {
                id,
                unit,
                heading: head.heading(id),
            })
            .collect();
        let mut table = Self {
            standard: head.standard,
            id: head.table,
            columns,
            rows,
        };
        for (cells, confidence) in head.exceptions {
            table.except(cells, confidence)?;
        }
        Ok(table)
    }

    /// Gives the cells named by `rows | columns` their own confidence.
    fn except(&mut self, cells: &str, confidence: Confidence) -> Result<(), StandardsError> {
        let missing = || StandardsError::NoSuchCells {
            table: self.id.to_owned(),
            cells: cells.to_owned(),
        };
        let (rows, columns) = cells.split_once(" | ").ok_or_else(missing)?;
        let columns = columns
            .split(';')
            .map(|id| self.columns.iter().position(|column| column.id == id))
            .collect::<Option<Vec<_>>>()
            .ok_or_else(missing)?;
        for id in rows.split(';') {
            let row = self.rows.iter_mut().find(|row| &*row.id == id);
            let row = row.ok_or_else(|| StandardsError::NoSuchCells {
                table: self.id.to_owned(),
                cells: cells.to_owned(),
            })?;
            for &index in &columns {
                row.cells[index].1 = confidence;
            }
        }
        Ok(())
    }
}

/// The comment lines at the top of a data file.
struct Head {
    standard: Standard,
    table: &'static str,
    headings: Vec<(&'static str, &'static str)>,
    exceptions: Vec<(&'static str, Confidence)>,
}

impl Head {
    fn read(comments: &[&'static str]) -> Result<Self, StandardsError> {
        let pairs: Vec<_> = comments
            .iter()
            .filter_map(|line| line.strip_prefix("# ")?.split_once(": "))
            .collect();
        let optional = |wanted| {
            pairs
                .iter()
                .find(|pair| pair.0 == wanted)
                .map(|pair| pair.1)
        };
        let table = optional("table").unwrap_or_default();
        let line = |wanted| {
            optional(wanted).ok_or_else(|| StandardsError::NoHeadLine {
                table: table.to_owned(),
                line: wanted,
            })
        };
        let mut exceptions = Vec::new();
        for (name, word) in &pairs {
            if let Some(cells) = name.strip_prefix("confidence of ") {
                exceptions.push((cells, read_confidence(table, word)?));
            }
        }
        let headings = pairs
            .iter()
            .filter_map(|(name, heading)| Some((name.strip_prefix("heading ")?, *heading)))
            .collect();
        Ok(Self {
            table: line("table")?,
            standard: Standard {
                body: line("body")?,
                designation: line("document")?,
                title: line("title")?,
                edition: line("edition")?,
                date: optional("date"),
                confidence: read_confidence(table, line("confidence")?)?,
                note: optional("note"),
                key: optional("key"),
            },
            headings,
            exceptions,
        })
    }

    fn row(&self, named: &[(&str, &str)], line: &str) -> Result<Row, StandardsError> {
        let fields = split_fields(line);
        let id = fields.first().cloned().unwrap_or_default();
        if fields.len() != named.len() {
            return Err(StandardsError::FieldCount {
                table: self.table.to_owned(),
                row: id,
                found: fields.len(),
                expected: named.len(),
            });
        }
        let about = |wanted| {
            let index = named.iter().position(|(name, _)| *name == wanted)?;
            Some(fields[index].as_str()).filter(|field| !field.is_empty())
        };
        let confidence = match about("confidence") {
            Some(word) => read_confidence(self.table, word)?,
            None => self.standard.confidence,
        };
        let cells = named
            .iter()
            .zip(&fields)
            .skip(1)
            .filter(|((name, _), _)| !is_about_the_row(name))
            .map(|(_, field)| (field.as_str().into(), confidence))
            .collect();
        Ok(Row {
            source: about("source").map(Into::into),
            id: id.into(),
            cells,
        })
    }

    /// The heading that the file gives, or the column's letter and sense: `k_max` is `K max`.
    fn heading(&self, id: &'static str) -> Box<str> {
        if let Some((_, heading)) = self.headings.iter().find(|known| known.0 == id) {
            return (*heading).into();
        }
        let (stem, unit) = match id.strip_suffix("_mm") {
            Some(stem) => (stem, " (mm)"),
            None => (id, ""),
        };
        let (letter, sense) = stem.split_once('_').unwrap_or((stem, ""));
        let letter = if letter.len() <= 2 {
            letter.to_uppercase()
        } else {
            letter.to_owned()
        };
        let words = format!("{letter} {}", sense.replace('_', " "));
        format!("{}{unit}", words.trim_end()).into()
    }
}

fn is_about_the_row(column: &str) -> bool {
    matches!(column, "confidence" | "source")
}

fn read_confidence(table: &str, word: &str) -> Result<Confidence, StandardsError> {
    Confidence::from_word(word).ok_or_else(|| StandardsError::UnknownConfidence {
        table: table.to_owned(),
        word: word.to_owned(),
    })
}

/// The fields of a line separated by commas; a field in double quotes may hold commas, and a
/// doubled quote stands for one.
fn split_fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    let mut characters = line.chars().peekable();
    while let Some(character) = characters.next() {
        let Some(field) = fields.last_mut() else {
            break;
        };
        match character {
            '"' if quoted && characters.peek() == Some(&'"') => {
                characters.next();
                field.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            other => field.push(other),
        }
    }
    fields
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "# body: b\n# document: d\n# title: t\n# edition: e\n# table: x\n";

    fn refusal(rest: &str) -> String {
        let text: &'static str = format!("{HEAD}{rest}").leak();
        Table::parse(text).expect_err(rest).to_string()
    }

    #[test]
    fn quotes_hold_commas_and_inches() {
        assert_eq!(split_fields(r#""1""",a,"b, c","#), ["1\"", "a", "b, c", ""]);
    }

    #[test]
    fn a_broken_file_says_where() {
        assert_eq!(
            refusal("row,a\n"),
            "table 'x' has no line '# confidence: …'"
        );
        assert_eq!(
            refusal("# confidence: published\nrow,a\nHO,1,2\n"),
            "table 'x', row 'HO' has 3 fields, its header has 2"
        );
        assert_eq!(
            refusal("# confidence: sure\nrow,a\nHO,1\n"),
            "table 'x': 'sure' is no confidence; \
             write published, published (secondary), derived or memory"
        );
        assert_eq!(
            refusal("# confidence: published\n# confidence of HO | b: memory\nrow,a\nHO,1\n"),
            "table 'x' gives the confidence of 'HO | b', which it does not hold"
        );
    }
}
