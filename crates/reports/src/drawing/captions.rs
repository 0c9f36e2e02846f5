//! What stands beside a picture in words: a verdict's shape, what it is about, and the reading.

use gradeworthy_workbench::Verdict;
use maud::{Markup, html};

use super::canvas::{Anchor, bold, capitalised, text};
use super::verdict::shape;

/// Pixels from one caption to the next.
pub(super) const PITCH: f64 = 50.0;

/// One caption.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Caption {
    /// None where there is nothing to judge by.
    pub(super) verdict: Option<Verdict>,
    pub(super) about: String,
    pub(super) reading: String,
}

impl Caption {
    pub(super) fn new(verdict: Verdict, about: &str, reading: impl Into<String>) -> Self {
        Self {
            verdict: Some(verdict),
            about: about.to_owned(),
            reading: reading.into(),
        }
    }

    /// Something that was not read.
    pub(super) fn not_read(about: &str) -> Self {
        Self::new(Verdict::NotChecked, about, "")
    }

    /// A reading that the rule book sets no limit on.
    pub(super) fn unlimited(about: &str, reading: &str) -> Self {
        Self {
            verdict: None,
            about: about.to_owned(),
            reading: format!("{reading}, no limit"),
        }
    }

    /// Its two lines: what it is about with its word, and the reading; the word stands in the
    /// second where there is no reading.
    fn lines(&self) -> [String; 2] {
        match self.verdict {
            Some(verdict) if self.reading.is_empty() => [self.about.clone(), verdict.to_string()],
            Some(verdict) => [format!("{}: {verdict}", self.about), self.reading.clone()],
            None => [self.about.clone(), self.reading.clone()],
        }
    }

    /// The same as a sentence for the description, `where` first.
    pub(super) fn sentence(&self, place: &str) -> String {
        let place = if place.is_empty() {
            String::new()
        } else {
            format!("{place}, ")
        };
        let [first, second] = self.lines();
        let joint = if first == self.about { ": " } else { ", " };
        capitalised(&format!("{place}{first}{joint}{second}."))
    }
}

/// Captions under each other from `y` down, the first line of each in bold with its word.
pub(super) fn column(x: f64, y: f64, captions: &[Caption]) -> Markup {
    html! {
        @for (row, caption) in (0_u32..).zip(captions) {
            @let [first, second] = caption.lines();
            @let top = y + PITCH * f64::from(row);
            @if let Some(verdict) = caption.verdict { (shape(verdict, x + 11.0, top + 12.0)) }
            (bold(x + 28.0, top + 17.0, Anchor::Start, &first))
            (text(x + 28.0, top + 37.0, Anchor::Start, &second))
        }
    }
}
