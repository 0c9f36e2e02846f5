//! The bench while one car is on it: its rules, its readings, and the lines written so far.

use std::sync::Arc;

use gradeworthy_units::Amount;
use jiff::civil::Date;

use super::inspection::{Aspect, Finding, Grounds, Inspection, Line};
use super::latest::{Latest, Read};
use super::{overall, worst};
use crate::Verdict;
use crate::decision::{Bands, Judgeable, Tolerance, judge};
use crate::record::{Answer, Car, Check, Measure, Place, Record};
use crate::rules::{ClassRules, Limit, Limited, RuleBook, ScaleRules};
use crate::shop::Shop;

/// One car on the bench.
pub(crate) struct Bench<'a> {
    pub(crate) car: &'a Car,
    pub(crate) book: &'a RuleBook,
    pub(crate) shop: &'a Shop,
    pub(crate) rules: Option<&'a ScaleRules>,
    pub(crate) class: Option<&'a ClassRules>,
    pub(crate) latest: Latest<'a>,
    pub(crate) lines: Vec<Line>,
    pub(crate) findings: Vec<Finding>,
}

/// What goes into a line beside the reading.
pub(super) struct Ruling<Q> {
    pub(super) check: Check,
    pub(super) aspect: Aspect,
    pub(super) place: Place,
    pub(super) tolerance: Tolerance<Q>,
    pub(super) caution: Q,
    /// A guard band of the book's own, instead of r·U.
    pub(super) guard: Option<Q>,
    pub(super) grounds: Grounds,
}

impl<'a> Bench<'a> {
    pub(crate) fn new(record: &'a Record, book: &'a RuleBook, shop: &'a Shop) -> Self {
        let mut findings = Vec::new();
        let latest = Latest::of(record, book, &mut findings);
        for entry in latest.counting() {
            if let Some(name) = &entry.instrument
                && book.instrument(name).is_none()
            {
                let unknown = Finding::UnknownInstrument { name: name.clone() };
                if !findings.contains(&unknown) {
                    findings.push(unknown);
                }
            }
        }
        let rules = book.scale(record.car.scale);
        Self {
            car: &record.car,
            book,
            shop,
            rules,
            class: rules.and_then(|rules| rules.class_of(&record.car)),
            latest,
            lines: Vec::with_capacity(record.entries.len() + 32),
            findings,
        }
    }

    /// The limit on `limited` for this car.
    pub(crate) fn limit(&self, limited: Limited) -> Option<&'a Limit> {
        self.rules?.limit(self.class, limited)
    }

    /// Judges a value under a plain limit of the rule book.
    ///
    /// A value for which the book has no limit is a finding, and makes no line.
    pub(super) fn judge_limited<Q>(
        &mut self,
        limited: Limited,
        measure: Measure,
        place: Place,
        read: Read<Q>,
    ) where
        Q: Judgeable + TryFrom<Amount>,
    {
        let Some(limit) = self.limit(limited) else {
            let no_limit = Finding::NoLimit { measure };
            if self.rules.is_some() && !self.findings.contains(&no_limit) {
                self.findings.push(no_limit);
            }
            return;
        };
        let of = |amount: Option<Amount>| amount.and_then(|amount| Q::try_from(amount).ok());
        let ruling = Ruling {
            check: limited.check(),
            aspect: Aspect::Limited(limited),
            place,
            tolerance: Tolerance {
                lower: of(limit.lower),
                upper: of(limit.upper),
            },
            caution: of(limit.caution).unwrap_or(Q::NIL),
            guard: of(limit.guard),
            grounds: Grounds {
                clause: None,
                authority: Some(Arc::clone(&limit.authority)),
            },
        };
        let usual = of(limit.uncertainty).map(Judgeable::number);
        self.judge(ruling, read.value, read.uncertainty(usual), read.stale);
    }

    /// Judges a value and writes its line.
    pub(super) fn judge<Q: Judgeable>(
        &mut self,
        ruling: Ruling<Q>,
        value: Q,
        uncertainty: Option<f64>,
        stale: bool,
    ) {
        let expanded = uncertainty.map_or(0.0, |u| 2.0 * u);
        let guard = ruling
            .guard
            .unwrap_or_else(|| Q::from_number(self.book.guard_factor * expanded));
        let bands = Bands {
            caution: ruling.caution,
            guard,
        };
        let judged = judge(self.book.rule, value, ruling.tolerance, bands, uncertainty);
        let Some(judged) = judged else { return };
        self.lines.push(Line {
            check: ruling.check,
            aspect: ruling.aspect,
            place: ruling.place,
            reading: Some(value.into()),
            lower: ruling.tolerance.lower.map(Into::into),
            upper: ruling.tolerance.upper.map(Into::into),
            margin: Some(judged.margin.into()),
            caution: (ruling.caution > Q::NIL).then(|| ruling.caution.into()),
            guard: (guard > Q::NIL).then(|| guard.into()),
            expanded_uncertainty: uncertainty.map(|u| Q::from_number(2.0 * u).into()),
            conformity: judged.conformity,
            verdict: if stale {
                Verdict::Stale
            } else {
                judged.verdict
            },
            grounds: ruling.grounds,
        });
    }

    /// Writes the line of an answer: good is fit, fair is watch, poor is bad order.
    pub(super) fn judge_answer(&mut self, aspect: Aspect, measure: Measure, place: Place) {
        let Some((answer, stale)) = self.latest.answer(measure, place) else {
            return;
        };
        let verdict = match answer {
            Answer::Good => Verdict::Fit,
            Answer::Fair => Verdict::Watch,
            Answer::Poor => Verdict::BadOrder,
        };
        let verdict = if stale { Verdict::Stale } else { verdict };
        let line = Line::without_amounts(measure.check(), aspect, place, verdict);
        self.lines.push(line);
    }

    /// Writes a line that says that something was not read.
    pub(super) fn not_checked(&mut self, check: Check, aspect: Aspect, place: Place) {
        self.not_judged(check, aspect, place, None);
    }

    /// Writes a line that says that a reading could not be judged, or that there is none.
    pub(super) fn not_judged(
        &mut self,
        check: Check,
        aspect: Aspect,
        place: Place,
        reading: Option<Amount>,
    ) {
        let line = Line::without_amounts(check, aspect, place, Verdict::NotChecked);
        self.lines.push(Line { reading, ..line });
    }

    /// Notes once that something a check needs is not known.
    pub(super) fn missing(&mut self, check: Check, what: &'static str) {
        let missing = Finding::Missing { check, what };
        if !self.findings.contains(&missing) {
            self.findings.push(missing);
        }
    }

    /// Notes that readings cannot be used together.
    pub(super) fn unusable(&mut self, check: Check, why: impl std::fmt::Display) {
        self.findings.push(Finding::Unusable {
            check,
            why: why.to_string(),
        });
    }

    /// Sums up: a verdict for each check, exceptions applied, and one for the car.
    pub(super) fn conclude(mut self, today: Date) -> Inspection {
        let mut checks = [Verdict::NotChecked; Check::ALL.len()];
        for check in Check::ALL {
            checks[check as usize] = worst(&self.lines, check);
        }
        self.excuse(&mut checks, today);
        self.lines.shrink_to_fit();
        let verdict = overall(&checks, &self.book.bench.required);
        Inspection {
            mark: self.car.mark.clone(),
            edition: self.book.edition,
            verdict,
            checks,
            lines: self.lines,
            findings: self.findings,
        }
    }

    fn excuse(&mut self, checks: &mut [Verdict; Check::ALL.len()], today: Date) {
        if self.car.tags.is_empty() {
            return;
        }
        let (holding, lapsed) = self.book.exceptions_for(self.car, today);
        for exception in holding {
            for check in &exception.waives {
                if checks[*check as usize] == Verdict::BadOrder {
                    checks[*check as usize] = self.excused(*check);
                    self.findings.push(Finding::Excused {
                        tag: exception.tag.clone(),
                        check: *check,
                        note: exception.note.clone(),
                    });
                }
            }
        }
        for exception in lapsed {
            if let Some(until) = exception.until {
                self.findings.push(Finding::ExceptionLapsed {
                    tag: exception.tag.clone(),
                    until,
                });
            }
        }
    }

    /// The verdict of a check whose bad orders are excused; what is stale or was not read is not.
    fn excused(&self, check: Check) -> Verdict {
        let lines = self.lines.iter().filter(|line| line.check == check);
        let rest = lines.map(|line| match line.verdict {
            Verdict::BadOrder => Verdict::Watch,
            other => other,
        });
        rest.max().unwrap_or(Verdict::NotChecked)
    }
}
