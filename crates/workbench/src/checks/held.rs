//! A car that was inspected, kept so that it can be held against other limits at once.
//!
//! Of the readings on one aspect, those with the least and the greatest value decide: the gravest
//! verdict is that of one of them. So no more is kept of a car than those two for each aspect, and a
//! changed limit is tried without a look at the readings themselves.
//!
//! Validity: another edition may set other limits, bands and exceptions and another decision rule. It
//! must judge the same aspects, from the same readings and with the same uncertainties; what differs
//! in that has to be inspected again.

use gradeworthy_units::{Amount, Angle, Force, Grade, Length, Mass, Time};
use jiff::civil::Date;

use super::gravest::{ByCheck, Gravest};
use super::inspection::{Aspect, Inspection, Line};
use super::laid::Laid;
use crate::Verdict;
use crate::decision::{Judgeable, gravest};
use crate::doubt::CheckSet;
use crate::mechanics::ends::Side;
use crate::record::{Car, Check};
use crate::rules::{ClassRules, RuleBook, ScaleRules};

/// What decides the verdicts on one car.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// From what no limit decides: answers, and what was not read.
    fixed: Gravest,
    spans: Box<[Span]>,
}

/// The readings on one aspect that are known equally well.
#[derive(Clone, Debug, PartialEq)]
struct Span {
    check: Check,
    aspect: Aspect,
    stale: bool,
    ends: Ends,
}

/// The ends of a span. A weight is boxed: a car has one, and it is twice as large as the others.
#[derive(Clone, Debug, PartialEq)]
enum Ends {
    Lengths(Of<Length>),
    Angles(Of<Angle>),
    Grades(Of<Grade>),
    Times(Of<Time>),
    Forces(Of<Force>),
    Masses(Box<Of<Mass>>),
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Of<Q> {
    least: Q,
    greatest: Q,
    /// U, nil where it is unknown.
    expanded: Q,
}

/// The rules that one car is held to.
#[derive(Clone, Copy)]
struct Rules<'a> {
    car: &'a Car,
    book: &'a RuleBook,
    scale: &'a ScaleRules,
    class: Option<&'a ClassRules>,
}

impl Held {
    /// What is kept of an inspection.
    #[must_use]
    pub fn of(inspection: &Inspection) -> Self {
        let mut fixed = Gravest::default();
        let mut spans: Vec<Span> = Vec::new();
        for line in &inspection.lines {
            let Some(own) = Span::of(line) else {
                fixed.add(line.check, line.verdict);
                continue;
            };
            if !spans.iter_mut().any(|span| span.takes_in(&own)) {
                spans.push(own);
            }
        }
        let spans = spans.into_boxed_slice();
        Self { fixed, spans }
    }

    /// The verdict on each of `checks` under `book` on `today`; what stands for the others means
    /// nothing.
    #[must_use]
    pub fn verdicts(&self, checks: CheckSet, car: &Car, book: &RuleBook, today: Date) -> ByCheck {
        let mut all = self.fixed;
        if let Some(scale) = book.scale(car.scale) {
            let class = scale.class_of(car);
            let rules = Rules {
                car,
                book,
                scale,
                class,
            };
            for span in self.spans.iter().filter(|own| checks.contains(own.check)) {
                if let Some(verdict) = span.verdict(rules) {
                    all.add(span.check, verdict);
                }
            }
        }
        all.concluded(car, book, today, |_, _| {})
    }
}

impl Span {
    /// The reading of one line; `None` for a line that no limit decides.
    fn of(line: &Line) -> Option<Self> {
        line.margin?;
        // The limits on both wheels of an axle are the same.
        let aspect = match line.aspect {
            Aspect::Wheel(kind) if kind.side() == Some(Side::Right) => {
                Aspect::Wheel(kind.mirrored())
            }
            other => other,
        };
        Some(Self {
            check: line.check,
            aspect,
            stale: line.verdict == Verdict::Stale,
            ends: Ends::of(line.reading?, line.expanded_uncertainty),
        })
    }

    /// Widens this span to take in `other`, where both are of one aspect and known equally well.
    fn takes_in(&mut self, other: &Self) -> bool {
        (self.check, self.aspect, self.stale) == (other.check, other.aspect, other.stale)
            && self.ends.take_in(&other.ends)
    }

    fn verdict(&self, rules: Rules<'_>) -> Option<Verdict> {
        let aspect = self.aspect;
        let judged = match &self.ends {
            Ends::Lengths(own) => own.verdict(aspect, rules),
            Ends::Angles(own) => own.verdict(aspect, rules),
            Ends::Grades(own) => own.verdict(aspect, rules),
            Ends::Times(own) => own.verdict(aspect, rules),
            Ends::Forces(own) => own.verdict(aspect, rules),
            Ends::Masses(own) => own.verdict(aspect, rules),
        }?;
        Some(if self.stale { Verdict::Stale } else { judged })
    }
}

impl Ends {
    fn of(reading: Amount, expanded: Option<Amount>) -> Self {
        match reading {
            Amount::Length(own) => Self::Lengths(Of::new(own, expanded)),
            Amount::Angle(own) => Self::Angles(Of::new(own, expanded)),
            Amount::Grade(own) => Self::Grades(Of::new(own, expanded)),
            Amount::Time(own) => Self::Times(Of::new(own, expanded)),
            Amount::Force(own) => Self::Forces(Of::new(own, expanded)),
            Amount::Mass(own) => Self::Masses(Box::new(Of::new(own, expanded))),
        }
    }

    fn take_in(&mut self, other: &Self) -> bool {
        match (self, other) {
            (Self::Lengths(own), Self::Lengths(other)) => own.take_in(other),
            (Self::Angles(own), Self::Angles(other)) => own.take_in(other),
            (Self::Grades(own), Self::Grades(other)) => own.take_in(other),
            (Self::Times(own), Self::Times(other)) => own.take_in(other),
            (Self::Forces(own), Self::Forces(other)) => own.take_in(other),
            (Self::Masses(own), Self::Masses(other)) => own.take_in(other),
            _ => false,
        }
    }
}

impl<Q: Judgeable + TryFrom<Amount>> Of<Q> {
    fn new(reading: Q, expanded: Option<Amount>) -> Self {
        Self {
            least: reading,
            greatest: reading,
            expanded: expanded
                .and_then(|own| Q::try_from(own).ok())
                .unwrap_or(Q::NIL),
        }
    }

    fn take_in(&mut self, other: &Self) -> bool {
        if self.expanded != other.expanded {
            return false;
        }
        if other.least < self.least {
            self.least = other.least;
        }
        if other.greatest > self.greatest {
            self.greatest = other.greatest;
        }
        true
    }

    fn verdict(&self, aspect: Aspect, rules: Rules<'_>) -> Option<Verdict> {
        let laid = Laid::<Q>::on(aspect, rules.car, rules.scale, rules.class)?;
        let bands = laid.bands(rules.book, self.expanded);
        gravest(
            rules.book.rule,
            self.least,
            self.greatest,
            laid.tolerance,
            bands,
        )
    }
}
