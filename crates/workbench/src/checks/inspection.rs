//! What an inspection says.

use std::fmt;
use std::sync::Arc;

use gradeworthy_standards::{Clause, Scale};
use gradeworthy_units::Amount;
use jiff::civil::Date;

use crate::Verdict;
use crate::authority::Authority;
use crate::mechanics::wheelset::ConstraintKind;
use crate::record::{CarMark, Check, Measure, Place};
use crate::rules::Limited;

/// What one line of an inspection is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Aspect {
    /// A line of the look-over.
    LookOver,
    /// Dirt on the treads.
    WheelDirt,
    /// One of the functional constraints on a wheelset.
    Wheel(ConstraintKind),
    /// Whether the coupler returns to the middle.
    Centring,
    /// Whether the knuckle closes.
    Knuckle,
    /// Weight of the car.
    Weight,
    /// Rolling grade that a spin time stands for, by the shop's own pairs.
    SpinGrade,
    /// A plain limit of the rule book.
    Limited(Limited),
}

impl fmt::Display for Aspect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Wheel(kind) => kind.name(),
            Self::LookOver => "look-over",
            Self::WheelDirt => "wheel dirt",
            Self::Centring => "centring",
            Self::Knuckle => "knuckle",
            Self::Weight => "weight",
            Self::SpinGrade => "grade from the spin",
            Self::Limited(limited) => limited.name(),
        })
    }
}

/// On whose word a line stands: a printed clause, or the rule book's own authority, or both.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grounds {
    /// The clause of a standard whose figure is the limit.
    pub clause: Option<Arc<Clause>>,
    /// What the rule book says of the limit, or of the clearances added to it.
    pub authority: Option<Arc<Authority>>,
}

impl fmt::Display for Grounds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.clause, &self.authority) {
            (Some(clause), _) => write!(f, "{clause}"),
            (None, Some(authority)) => write!(f, "{authority}"),
            (None, None) => f.write_str("the rule book's bench list"),
        }
    }
}

/// One judged reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The check it belongs to.
    pub check: Check,
    /// What it is about.
    pub aspect: Aspect,
    /// Where.
    pub place: Place,
    /// The reading, or what was computed from readings.
    pub reading: Option<Amount>,
    /// The lower limit.
    pub lower: Option<Amount>,
    /// The upper limit.
    pub upper: Option<Amount>,
    /// Distance to the nearer limit, positive inside.
    pub margin: Option<Amount>,
    /// Caution band inside a limit, where the book sets one.
    pub caution: Option<Amount>,
    /// Guard band at a limit, where the uncertainty is known or the book sets one.
    pub guard: Option<Amount>,
    /// Expanded uncertainty U = 2u of the reading, where known.
    pub expanded_uncertainty: Option<Amount>,
    /// Conformance probability, where the uncertainty is known.
    pub conformity: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// On whose word.
    pub grounds: Grounds,
}

impl Line {
    /// A line without amounts: an answer, or something that was not read.
    #[must_use]
    pub fn without_amounts(check: Check, aspect: Aspect, place: Place, verdict: Verdict) -> Self {
        Self {
            check,
            aspect,
            place,
            reading: None,
            lower: None,
            upper: None,
            margin: None,
            caution: None,
            guard: None,
            expanded_uncertainty: None,
            conformity: None,
            verdict,
            grounds: Grounds::default(),
        }
    }
}

/// Something to know that is no verdict.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// The rule book has no rules for the car's scale.
    ScaleWithoutRules {
        /// The scale.
        scale: Scale,
    },
    /// Something was read for which the book has no limit.
    NoLimit {
        /// What was read.
        measure: Measure,
    },
    /// Something that a check needs was not read or is not known of the car.
    Missing {
        /// The check.
        check: Check,
        /// What is missing.
        what: &'static str,
    },
    /// A figure was taken from a table because it was not measured.
    Assumed {
        /// What was taken.
        what: &'static str,
        /// From where.
        source: &'static str,
    },
    /// One thing was read several times; the last reading counts.
    Repeated {
        /// What was read.
        measure: Measure,
        /// Where.
        place: Place,
        /// How often.
        count: usize,
    },
    /// An instrument that the rule book does not know; its uncertainty was not counted.
    UnknownInstrument {
        /// Its name.
        name: Box<str>,
    },
    /// A bad order that an exception turned into watch.
    Excused {
        /// The tag of the exception.
        tag: Box<str>,
        /// The check.
        check: Check,
        /// What is asked in return.
        note: Box<str>,
    },
    /// An exception that no longer holds.
    ExceptionLapsed {
        /// Its tag.
        tag: Box<str>,
        /// The last day it held.
        until: Date,
    },
    /// Readings that contradict each other or cannot be used, and why.
    Unusable {
        /// The check.
        check: Check,
        /// Why.
        why: String,
    },
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ScaleWithoutRules { scale } => {
                write!(
                    f,
                    "the rule book has no rules for {scale}: nothing could be judged"
                )
            }
            Self::NoLimit { measure } => {
                write!(
                    f,
                    "{measure} was read, but the rule book sets no limit on it"
                )
            }
            Self::Missing { check, what } => write!(f, "{check}: {what}"),
            Self::Assumed { what, source } => {
                write!(f, "{what} was not measured; {source} is taken for it")
            }
            Self::Repeated {
                measure,
                place,
                count,
            } => {
                write!(
                    f,
                    "{measure} at {place} was read {count} times; the last one counts"
                )
            }
            Self::UnknownInstrument { name } => {
                write!(
                    f,
                    "the rule book knows no instrument '{name}'; its error was not counted"
                )
            }
            Self::Excused { tag, check, note } => {
                write!(f, "{check}: bad order excused as '{tag}'; {note}")
            }
            Self::ExceptionLapsed { tag, until } => {
                write!(f, "the exception for '{tag}' lapsed after {until}")
            }
            Self::Unusable { check, why } => write!(f, "{check}: {why}"),
        }
    }
}

/// The verdicts on one car.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspection {
    /// The car.
    pub mark: CarMark,
    /// The edition of the rule book it was judged under.
    pub edition: u32,
    /// The verdict on the car.
    pub verdict: Verdict,
    /// The verdict of each check, in the order of [`Check::ALL`].
    pub checks: [Verdict; Check::ALL.len()],
    /// Every judged reading, in bench order.
    pub lines: Vec<Line>,
    /// What else there is to know.
    pub findings: Vec<Finding>,
}

impl Inspection {
    /// The verdict of one check.
    #[must_use]
    pub fn of(&self, check: Check) -> Verdict {
        self.checks[check as usize]
    }

    /// The lines of one check.
    pub fn lines_of(&self, check: Check) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(move |line| line.check == check)
    }

    /// The first line on `aspect` at `place`.
    #[must_use]
    pub fn line(&self, aspect: Aspect, place: Place) -> Option<&Line> {
        self.lines
            .iter()
            .find(|line| line.aspect == aspect && line.place == place)
    }
}
