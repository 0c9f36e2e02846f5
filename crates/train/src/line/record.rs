//! What a line file says before it is understood: sections, keys and texts with their lines.
//!
//! Both file forms are read into records and written from them, so that they cannot differ in what
//! they mean.

use super::error::LineFileError;

/// The kinds of section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Section {
    Line,
    Plan,
    Profile,
    Cant,
    Place,
}

impl Section {
    /// All of them, in the order in which they are written.
    pub(super) const ALL: [Self; 5] = [
        Self::Line,
        Self::Plan,
        Self::Profile,
        Self::Cant,
        Self::Place,
    ];

    /// The word in files.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Line => "line",
            Self::Plan => "plan",
            Self::Profile => "profile",
            Self::Cant => "cant",
            Self::Place => "place",
        }
    }

    /// The keys that mean something in it, in the order in which they are written.
    pub(super) const fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Line => &[
                "name",
                "scale",
                "units",
                "gauge",
                "rail_spacing",
                "closed",
                "start_height",
                "note",
            ],
            Self::Plan => &[
                "shape", "turn", "radius", "degree", "angle", "length", "note",
            ],
            Self::Profile => &["shape", "grade", "length", "per_percent", "note"],
            Self::Cant => &[
                "from", "to", "height", "high", "ramp_in", "ramp_out", "note",
            ],
            Self::Place => &["name", "at", "from", "to", "note"],
        }
    }

    /// The section that `word` names.
    pub(super) fn named(word: &str, line: usize) -> Result<Self, LineFileError> {
        let found = Self::ALL.into_iter().find(|section| section.word() == word);
        found.ok_or_else(|| LineFileError::UnknownSection {
            line,
            found: word.to_owned(),
            expected: Self::ALL.map(Self::word).join(", "),
        })
    }
}

/// A key with what stands there.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Field {
    pub(crate) key: String,
    pub(crate) text: String,
    pub(crate) line: usize,
}

/// One section, or one row of the table.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Record {
    pub(super) section: Section,
    pub(super) line: usize,
    pub(super) fields: Vec<Field>,
}

impl Record {
    /// An empty record, for writing.
    pub(super) const fn new(section: Section, line: usize) -> Self {
        Self {
            section,
            line,
            fields: Vec::new(),
        }
    }

    /// The same record with one more field.
    #[must_use]
    pub(super) fn with(mut self, key: &str, text: impl Into<String>) -> Self {
        let (key, text) = (key.to_owned(), text.into());
        self.fields.push(Field {
            key,
            text,
            line: self.line,
        });
        self
    }

    /// The same record with one more field, where there is something to say.
    #[must_use]
    pub(super) fn with_some(self, key: &str, text: Option<&str>) -> Self {
        match text {
            Some(text) => self.with(key, text),
            None => self,
        }
    }

    /// The text of a field, or nothing where it is not given.
    pub(super) fn text(&self, key: &str) -> Option<&str> {
        self.fields
            .iter()
            .find(|field| field.key == key)
            .map(|field| field.text.as_str())
    }
}
