//! What stands beside a picture in words: a verdict's shape, what it is about, and the reading.

use gradeworthy_workbench::Verdict;
use maud::{Markup, html};

use super::canvas::{Anchor, bold, text};
use super::verdict::shape;

/// Pixels from one caption to the next.
pub(super) const PITCH: f64 = 50.0;

/// One caption.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Caption {
    pub(super) verdict: Verdict,
    pub(super) about: String,
    pub(super) reading: String,
}

impl Caption {
    pub(super) fn new(verdict: Verdict, about: &str, reading: impl Into<String>) -> Self {
        Self {
            verdict,
            about: about.to_owned(),
            reading: reading.into(),
        }
    }

    /// The same as a sentence for the description, `where` first.
    pub(super) fn sentence(&self, place: &str) -> String {
        let place = if place.is_empty() {
            String::new()
        } else {
            format!("{place}, ")
        };
        if self.reading.is_empty() {
            format!("{place}{}: {}.", self.about, self.verdict)
        } else {
            format!("{place}{}: {}, {}.", self.about, self.verdict, self.reading)
        }
    }
}

/// Captions under each other from `y` down, the first line of each in bold with its word.
pub(super) fn column(x: f64, y: f64, captions: &[Caption]) -> Markup {
    html! {
        @for (row, caption) in (0_u32..).zip(captions) {
            @let top = y + PITCH * f64::from(row);
            (shape(caption.verdict, x + 11.0, top + 12.0))
            (bold(x + 28.0, top + 17.0, Anchor::Start, &format!("{}: {}", caption.about, caption.verdict)))
            (text(x + 28.0, top + 37.0, Anchor::Start, &caption.reading))
        }
    }
}
