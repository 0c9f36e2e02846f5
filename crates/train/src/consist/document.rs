//! A TOML document with the line of everything in it, and the mistakes found so far.

use gradeworthy_units::{Reader, Typed, Unit};
use toml_edit::{Array, Document, Item, TableLike, Value};

use super::error::{ConsistFileError, ConsistFileErrors};
use crate::line::Lines;

/// A section being read.
pub(crate) struct Section<'d> {
    pub(crate) word: &'static str,
    pub(crate) line: usize,
    pub(crate) table: &'d dyn TableLike,
}

/// Where things stand, and what is wrong.
pub(crate) struct Reading<'t> {
    pub(crate) lines: Lines<'t>,
    pub(crate) errors: Vec<ConsistFileError>,
}

/// The document of `text`.
pub(crate) fn parse<'t>(
    text: &'t str,
) -> Result<(Document<&'t str>, Reading<'t>), ConsistFileErrors> {
    let lines = Lines::new(text);
    match Document::parse(text) {
        Ok(document) => {
            let errors = Vec::new();
            Ok((document, Reading { lines, errors }))
        }
        Err(error) => {
            let line = lines.at(error.span().map_or(0, |span| span.start));
            let found = error.message().to_owned();
            Err(ConsistFileErrors(vec![ConsistFileError::Syntax {
                line,
                found,
            }]))
        }
    }
}

impl Reading<'_> {
    /// The value, or everything wrong in order of lines.
    pub(crate) fn finish<T>(mut self, value: T) -> Result<T, ConsistFileErrors> {
        if self.errors.is_empty() {
            return Ok(value);
        }
        self.errors.sort_by_key(ConsistFileError::line);
        Err(ConsistFileErrors(self.errors))
    }

    /// The line of an item, or that of its section.
    pub(crate) fn line(&self, section: &Section<'_>, key: &str) -> usize {
        let item = section.table.get(key);
        item.and_then(|item| self.lines.of(item))
            .unwrap_or(section.line)
    }

    pub(crate) fn refuse_unknown(&mut self, section: &Section<'_>, known: &[&'static str]) {
        for (key, _) in section.table.iter() {
            if !known.contains(&key) {
                self.errors.push(ConsistFileError::UnknownKey {
                    line: self.line(section, key),
                    section: section.word,
                    key: key.to_owned(),
                    expected: known.join(", "),
                });
            }
        }
    }

    pub(crate) fn missing(
        &mut self,
        section: &Section<'_>,
        key: &'static str,
        expected: &'static str,
    ) {
        let (line, section) = (section.line, section.word);
        self.errors.push(ConsistFileError::Missing {
            line,
            section,
            key,
            expected,
        });
    }

    pub(crate) fn not_a_choice(&mut self, line: usize, key: &str, found: &str, expected: String) {
        let (key, found) = (key.to_owned(), found.to_owned());
        self.errors.push(ConsistFileError::NotAChoice {
            line,
            key,
            found,
            expected,
        });
    }

    pub(crate) fn out_of_range(
        &mut self,
        line: usize,
        key: &str,
        found: &str,
        expected: &'static str,
    ) {
        let (key, found) = (key.to_owned(), found.to_owned());
        self.errors.push(ConsistFileError::OutOfRange {
            line,
            key,
            found,
            expected,
        });
    }

    /// What was typed at `key`; nothing where it is absent or empty.
    pub(crate) fn text(&mut self, section: &Section<'_>, key: &str) -> Option<String> {
        let item = section.table.get(key)?;
        let line = self.line(section, key);
        match item.as_value().and_then(|value| self.lines.typed(value)) {
            Some(text) => (!text.is_empty()).then_some(text),
            None => {
                let expected = "a text, a number, or true or false".to_owned();
                self.not_a_choice(line, key, item.type_name(), expected);
                None
            }
        }
    }

    /// A quantity at `key`.
    pub(crate) fn quantity(
        &mut self,
        section: &Section<'_>,
        key: &str,
        unit: Unit,
        may_be_zero: bool,
    ) -> Option<Typed> {
        let text = self.text(section, key)?;
        let line = self.line(section, key);
        match Reader::new(unit).read(&text) {
            Ok(typed) => {
                let value = typed.amount.base();
                if value < 0.0 || (value <= 0.0 && !may_be_zero) {
                    let expected = if may_be_zero {
                        "zero or more"
                    } else {
                        "more than zero"
                    };
                    self.out_of_range(line, key, &text, expected);
                    return None;
                }
                Some(typed)
            }
            Err(problem) => {
                let key = key.to_owned();
                self.errors
                    .push(ConsistFileError::Unreadable { line, key, problem });
                None
            }
        }
    }

    /// One of several words at `key`.
    pub(crate) fn word<T: Copy>(
        &mut self,
        section: &Section<'_>,
        key: &str,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let text = self.text(section, key)?;
        let found = words.iter().find(|(word, _)| *word == text);
        if found.is_none() {
            let all: Vec<_> = words.iter().map(|(word, _)| *word).collect();
            let line = self.line(section, key);
            self.not_a_choice(line, key, &text, all.join(", "));
        }
        found.map(|(_, value)| *value)
    }

    /// A plain number at `key` that is at least `least`.
    pub(crate) fn number(
        &mut self,
        section: &Section<'_>,
        key: &str,
        (least, most): (f64, f64),
        expected: &'static str,
    ) -> Option<f64> {
        let text = self.text(section, key)?;
        let line = self.line(section, key);
        match text.parse::<f64>() {
            Ok(value) if value >= least && value <= most => Some(value),
            Ok(_) => {
                self.out_of_range(line, key, &text, expected);
                None
            }
            Err(_) => {
                self.not_a_choice(line, key, &text, format!("a number, {expected}"));
                None
            }
        }
    }

    /// The texts of a list at `key`, each with its line.
    pub(crate) fn list(&mut self, section: &Section<'_>, key: &str) -> Vec<(String, usize)> {
        let Some(item) = section.table.get(key) else {
            return Vec::new();
        };
        let line = self.line(section, key);
        let Some(array) = item.as_array() else {
            self.not_a_choice(
                line,
                key,
                item.type_name(),
                "a list of names in [ ]".to_owned(),
            );
            return Vec::new();
        };
        self.names(array, key, line)
    }

    fn names(&mut self, array: &Array, key: &str, line: usize) -> Vec<(String, usize)> {
        let mut names = Vec::new();
        for value in array {
            let line = value.span().map_or(line, |span| self.lines.at(span.start));
            match value {
                Value::String(text) if !text.value().trim().is_empty() => {
                    names.push((text.value().clone(), line));
                }
                Value::Integer(_)
                | Value::Float(_)
                | Value::Boolean(_)
                | Value::Datetime(_)
                | Value::Array(_)
                | Value::InlineTable(_)
                | Value::String(_) => {
                    let found = value.to_string();
                    let expected = "a name in quotation marks".to_owned();
                    self.not_a_choice(line, key, found.trim(), expected);
                }
            }
        }
        names
    }

    /// The tables under one heading, whether it stands once or many times.
    pub(crate) fn tables<'d>(
        &mut self,
        word: &'static str,
        item: &'d Item,
        expected: &'static str,
    ) -> Vec<Section<'d>> {
        let line = self.lines.of(item).unwrap_or(1);
        if let Some(tables) = item.as_array_of_tables() {
            let section = |table: &'d toml_edit::Table| Section {
                word,
                line: table.span().map_or(line, |span| self.lines.at(span.start)),
                table,
            };
            return tables.iter().map(section).collect();
        }
        match item.as_table_like() {
            Some(table) => vec![Section { word, line, table }],
            None => {
                self.not_a_choice(line, word, item.type_name(), expected.to_owned());
                Vec::new()
            }
        }
    }
}
