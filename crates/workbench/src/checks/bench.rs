//! The bench while one car is on it: its rules, its readings, and the lines written so far.

use std::sync::Arc;

use gradeworthy_units::Amount;
use jiff::civil::Date;

use super::gravest::Gravest;
use super::inspection::{Aspect, Finding, Grounds, Inspection, Line};
use super::laid::Laid;
use super::latest::{Latest, Read};
use super::overall;
use crate::Verdict;
use crate::decision::{Judgeable, judge};
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
    pub(super) laid: Laid<Q>,
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
        let aspect = Aspect::Limited(limited);
        let Some(laid) = self.laid(aspect) else {
            return;
        };
        let ruling = Ruling {
            check: limited.check(),
            aspect,
            place,
            laid,
            grounds: Grounds {
                clause: None,
                authority: Some(Arc::clone(&limit.authority)),
            },
        };
        let usual = limit.uncertainty.and_then(|own| Q::try_from(own).ok());
        let uncertainty = read.uncertainty(usual.map(Judgeable::number));
        self.judge(ruling, read.value, uncertainty, read.stale);
    }

    /// What the book lays on an aspect of this car.
    pub(super) fn laid<Q: Judgeable + TryFrom<Amount>>(&self, aspect: Aspect) -> Option<Laid<Q>> {
        Laid::on(aspect, self.car, self.rules?, self.class)
    }

    /// Judges a value and writes its line.
    pub(super) fn judge<Q: Judgeable + TryFrom<Amount>>(
        &mut self,
        ruling: Ruling<Q>,
        value: Q,
        uncertainty: Option<f64>,
        stale: bool,
    ) {
        let expanded = uncertainty.map(|u| Q::from_number(2.0 * u));
        let laid = ruling.laid;
        let bands = laid.bands(self.book, expanded.unwrap_or(Q::NIL));
        let judged = judge(self.book.rule, value, laid.tolerance, bands, uncertainty);
        let Some(judged) = judged else { return };
        self.lines.push(Line {
            check: ruling.check,
            aspect: ruling.aspect,
            place: ruling.place,
            reading: Some(value.into()),
            lower: laid.tolerance.lower.map(Into::into),
            upper: laid.tolerance.upper.map(Into::into),
            margin: Some(judged.margin.into()),
            caution: (bands.caution > Q::NIL).then(|| bands.caution.into()),
            guard: (bands.guard > Q::NIL).then(|| bands.guard.into()),
            expanded_uncertainty: expanded.map(Into::into),
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
        let mut gravest = Gravest::default();
        for line in &self.lines {
            gravest.add(line.check, line.verdict);
        }
        let findings = &mut self.findings;
        let checks = gravest.concluded(self.car, self.book, today, |exception, check| {
            findings.push(Finding::Excused {
                tag: exception.tag.clone(),
                check,
                note: exception.note.clone(),
            });
        });
        self.say_lapsed(today);
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

    fn say_lapsed(&mut self, today: Date) {
        if self.car.tags.is_empty() {
            return;
        }
        let (_, lapsed) = self.book.exceptions_for(self.car, today);
        for exception in lapsed {
            if let Some(until) = exception.until {
                self.findings.push(Finding::ExceptionLapsed {
                    tag: exception.tag.clone(),
                    until,
                });
            }
        }
    }
}
