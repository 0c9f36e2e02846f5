//! Reading a TOML file with problems that name line and key.
//!
//! A [`Section`] is a table of the file. Asking it for a key either gives a value of the right kind
//! or notes a [`Problem`]; [`Section::finish`] notes every key that nobody asked for, so that a
//! misspelt key is never passed over.

use std::cell::RefCell;
use std::fmt;
use std::ops::Range;

use gradeworthy_units::{Amount, Dimension, Length, Mass, Reader, Unit};
use jiff::civil::Date;
use toml_edit::{Document, Item, TableLike, Value};

/// One thing wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The line, counted from 1; 0 where the whole file is meant.
    pub line: usize,
    /// The key, with the tables around it.
    pub key: String,
    /// What was found.
    pub found: String,
    /// What was expected, and what to do.
    pub expected: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            line,
            key,
            found,
            expected,
        } = self;
        write!(f, "line {line}, {key}: found {found}; expected {expected}")
    }
}

/// Collects the problems of one file.
pub(crate) struct Problems<'a> {
    text: &'a str,
    list: RefCell<Vec<Problem>>,
}

impl<'a> Problems<'a> {
    pub(crate) fn of(text: &'a str) -> Self {
        Self {
            text,
            list: RefCell::new(Vec::new()),
        }
    }

    /// Parses the text; a file that is no TOML has its one problem noted and gives `None`.
    pub(crate) fn parse(&self) -> Option<Document<&'a str>> {
        match Document::parse(self.text) {
            Ok(document) => Some(document),
            Err(error) => {
                let found = error.message().lines().collect::<Vec<_>>().join(", ");
                self.note(
                    error.span(),
                    "the file",
                    found,
                    "TOML: key = value under [tables]",
                );
                None
            }
        }
    }

    pub(crate) fn note(
        &self,
        span: Option<Range<usize>>,
        key: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) {
        let line = span.map_or(0, |span| {
            let start = span.start.min(self.text.len());
            1 + self.text.as_bytes()[..start]
                .iter()
                .filter(|byte| **byte == b'\n')
                .count()
        });
        self.list.borrow_mut().push(Problem {
            line,
            key: key.to_owned(),
            found: found.into(),
            expected: expected.into(),
        });
    }

    /// Everything noted, in the order of the file.
    pub(crate) fn into_list(self) -> Vec<Problem> {
        let mut list = self.list.into_inner();
        list.sort_by_key(|problem| problem.line);
        list
    }
}

/// One table of a file.
pub(crate) struct Section<'a> {
    table: &'a dyn TableLike,
    path: String,
    span: Option<Range<usize>>,
    problems: &'a Problems<'a>,
    asked: RefCell<Vec<String>>,
}

impl<'a> Section<'a> {
    pub(crate) fn root(document: &'a Document<&'a str>, problems: &'a Problems<'a>) -> Self {
        Self::new(document.as_table(), String::new(), Some(0..0), problems)
    }

    fn new(
        table: &'a dyn TableLike,
        path: String,
        span: Option<Range<usize>>,
        problems: &'a Problems<'a>,
    ) -> Self {
        Self {
            table,
            path,
            span,
            problems,
            asked: RefCell::new(Vec::new()),
        }
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    fn ask(&self, key: &str) -> Option<&'a Item> {
        self.asked.borrow_mut().push(key.to_owned());
        self.table.get(key).filter(|item| !item.is_none())
    }

    fn span_of(&self, key: &str) -> Option<Range<usize>> {
        let (key, item) = self.table.get_key_value(key)?;
        key.span().or_else(|| item.span())
    }

    /// Notes that the value of `key` is not what was expected.
    pub(crate) fn wrong(&self, key: &str, found: impl Into<String>, expected: impl Into<String>) {
        let span = self.span_of(key).or_else(|| self.span.clone());
        self.problems
            .note(span, &self.path_of(key), found, expected);
    }

    /// Notes that `key` is not there.
    pub(crate) fn missing(&self, key: &str, expected: impl Into<String>) {
        self.problems
            .note(self.span.clone(), &self.path_of(key), "nothing", expected);
    }

    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.get(key).is_some_and(|item| !item.is_none())
    }

    /// The table under `key`.
    pub(crate) fn section(&self, key: &str) -> Option<Section<'a>> {
        let item = self.ask(key)?;
        let Some(table) = item.as_table_like() else {
            self.wrong(key, kind(item), "a table");
            return None;
        };
        let span = item.span().or_else(|| self.span_of(key));
        Some(Section::new(table, self.path_of(key), span, self.problems))
    }

    /// The tables of the list under `key`; none where it is absent.
    pub(crate) fn sections(&self, key: &str) -> Vec<Section<'a>> {
        let Some(item) = self.ask(key) else {
            return Vec::new();
        };
        if let Some(array) = item.as_array_of_tables() {
            let numbered = array.iter().enumerate();
            return numbered
                .map(|(index, table)| {
                    let path = format!("{}[{}]", self.path_of(key), index + 1);
                    Section::new(table, path, table.span(), self.problems)
                })
                .collect();
        }
        self.wrong(
            key,
            kind(item),
            format!("tables, each under [[{}]]", self.path_of(key)),
        );
        Vec::new()
    }

    /// Every key of this table, in the file's order.
    pub(crate) fn keys(&self) -> Vec<&'a str> {
        self.table.iter().map(|(key, _)| key).collect()
    }

    /// A text.
    pub(crate) fn text(&self, key: &str) -> Option<&'a str> {
        let item = self.ask(key)?;
        let text = item.as_str();
        if text.is_none() {
            self.wrong(key, kind(item), "a text in quotes");
        }
        text
    }

    /// A text that must be there.
    pub(crate) fn required_text(&self, key: &str) -> Option<&'a str> {
        if !self.has(key) {
            self.missing(key, "a text in quotes");
        }
        self.text(key)
    }

    /// A list of texts; none where it is absent.
    pub(crate) fn texts(&self, key: &str) -> Vec<&'a str> {
        let Some(item) = self.ask(key) else {
            return Vec::new();
        };
        let texts = item
            .as_array()
            .and_then(|array| array.iter().map(Value::as_str).collect());
        texts.unwrap_or_else(|| {
            self.wrong(
                key,
                kind(item),
                "a list of texts, such as [\"weight\", \"balance\"]",
            );
            Vec::new()
        })
    }

    /// A number without a unit.
    pub(crate) fn number(&self, key: &str) -> Option<f64> {
        let item = self.ask(key)?;
        #[expect(clippy::cast_precision_loss, reason = "settings are small numbers")]
        let number = item
            .as_float()
            .or_else(|| item.as_integer().map(|whole| whole as f64));
        let number = number.filter(|number| number.is_finite());
        if number.is_none() {
            self.wrong(key, kind(item), "a number");
        }
        number
    }

    /// A whole number, zero or more.
    pub(crate) fn count(&self, key: &str) -> Option<u32> {
        let item = self.ask(key)?;
        let count = item
            .as_integer()
            .and_then(|whole| u32::try_from(whole).ok());
        if count.is_none() {
            self.wrong(key, kind(item), "a whole number, zero or more");
        }
        count
    }

    /// Yes or no.
    pub(crate) fn flag(&self, key: &str) -> Option<bool> {
        let item = self.ask(key)?;
        let flag = item.as_bool();
        if flag.is_none() {
            self.wrong(key, kind(item), "true or false");
        }
        flag
    }

    /// A date, bare or in quotes.
    pub(crate) fn date(&self, key: &str) -> Option<Date> {
        let item = self.ask(key)?;
        let text = item
            .as_datetime()
            .map(ToString::to_string)
            .or_else(|| item.as_str().map(ToOwned::to_owned));
        let date = text.and_then(|text| text.parse().ok());
        if date.is_none() {
            self.wrong(key, kind(item), "a date such as 2026-11-25");
        }
        date
    }

    /// A quantity with its unit, in quotes.
    pub(crate) fn amount(&self, key: &str, dimension: Dimension) -> Option<Amount> {
        let item = self.ask(key)?;
        let example = match dimension {
            Dimension::Length => "\"0.566 in\" or \"14.38 mm\"",
            Dimension::Mass => "\"4 oz\" or \"113 g\"",
            Dimension::Angle => "\"30 deg\"",
            Dimension::Grade => "\"2 %\" or \"1 in 50\"",
            Dimension::Time => "\"20 s\"",
            Dimension::Force => "\"25 gf\" or \"0.2 N\"",
        };
        let expected = format!("a {dimension} with its unit, such as {example}");
        let Some(text) = item.as_str() else {
            self.wrong(key, kind(item), expected);
            return None;
        };
        match Reader::new(any_unit(dimension)).read(text) {
            Ok(typed) if typed.unit_was_typed => Some(typed.amount),
            Ok(_) => {
                self.wrong(key, format!("'{text}' without a unit"), expected);
                None
            }
            Err(error) => {
                self.wrong(key, error.to_string(), expected);
                None
            }
        }
    }

    /// A length with its unit.
    pub(crate) fn length(&self, key: &str) -> Option<Length> {
        self.amount(key, Dimension::Length)
            .and_then(|amount| amount.try_into().ok())
    }

    /// A weight with its unit.
    pub(crate) fn mass(&self, key: &str) -> Option<Mass> {
        self.amount(key, Dimension::Mass)
            .and_then(|amount| amount.try_into().ok())
    }

    /// A text that names one of a closed list.
    pub(crate) fn named<T>(
        &self,
        key: &str,
        find: impl Fn(&str) -> Option<T>,
        expected: impl Fn() -> String,
    ) -> Option<T> {
        let text = self.text(key)?;
        let found = find(text);
        if found.is_none() {
            self.wrong(key, format!("'{text}'"), format!("one of {}", expected()));
        }
        found
    }

    /// A list of texts that each name one of a closed list.
    pub(crate) fn all_named<T>(
        &self,
        key: &str,
        find: impl Fn(&str) -> Option<T>,
        expected: impl Fn() -> String,
    ) -> Vec<T> {
        let mut all = Vec::new();
        for text in self.texts(key) {
            match find(text) {
                Some(found) => all.push(found),
                None => self.wrong(key, format!("'{text}'"), format!("one of {}", expected())),
            }
        }
        all
    }

    /// Notes every key that was never asked for.
    pub(crate) fn finish(&self) {
        let asked = self.asked.borrow();
        for (key, _) in self.table.iter() {
            if asked.iter().all(|own| own != key) {
                let known = asked.join(", ");
                self.wrong(
                    key,
                    "a key that means nothing here",
                    format!("one of {known}"),
                );
            }
        }
    }
}

fn any_unit(dimension: Dimension) -> Unit {
    match dimension {
        Dimension::Length => Unit::Millimetre,
        Dimension::Mass => Unit::Gram,
        Dimension::Angle => Unit::Degree,
        Dimension::Grade => Unit::Percent,
        Dimension::Time => Unit::Second,
        Dimension::Force => Unit::Newton,
    }
}

fn kind(item: &Item) -> String {
    match item.as_value() {
        Some(value) => format!("{} {}", value.type_name(), value.to_string().trim()),
        None => item.type_name().to_owned(),
    }
}
