//! The sheets of paper that clubs print on.
//!
//! Sources: A4 is 210 mm × 297 mm by [ISO-216]; Letter is 8.5 in × 11 in by [ASME-Y14.1], where it is
//! size A.

use std::fmt;

use gradeworthy_units::Length;

/// A sheet of paper, upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 mm × 297 mm.
    #[default]
    A4,
    /// 8.5 in × 11 in.
    Letter,
}

impl Paper {
    /// Both.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// The name, as people say it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    /// The paper with that name, however it is written.
    #[must_use]
    pub fn from_name(text: &str) -> Option<Self> {
        let same = |paper: &Self| paper.name().eq_ignore_ascii_case(text.trim());
        Self::ALL.into_iter().find(same)
    }

    /// Its width.
    #[must_use]
    pub const fn width(self) -> Length {
        match self {
            Self::A4 => Length::from_hundredths_mm(21_000),
            Self::Letter => Length::from_thousandths(8_500),
        }
    }

    /// Its height.
    #[must_use]
    pub const fn height(self) -> Length {
        match self {
            Self::A4 => Length::from_hundredths_mm(29_700),
            Self::Letter => Length::from_thousandths(11_000),
        }
    }
}

impl fmt::Display for Paper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}
