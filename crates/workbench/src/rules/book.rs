//! One edition of a rule book.

use std::collections::BTreeMap;
use std::sync::Arc;

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Dimension, Unit};
use jiff::civil::Date;

use super::read;
use super::{RuleBookError, ScaleRules};
use crate::authority::Authority;
use crate::cures::CureKind;
use crate::decision::Rule;
use crate::doubt::DoubtGraph;
use crate::record::{Car, Check};

/// What a number without a unit means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BareUnits {
    /// For lengths.
    pub length: Unit,
    /// For weights.
    pub weight: Unit,
    /// For angles.
    pub angle: Unit,
    /// For grades.
    pub grade: Unit,
    /// For times.
    pub time: Unit,
    /// For forces.
    pub force: Unit,
}

impl BareUnits {
    /// The unit of a bare number of `dimension`.
    #[must_use]
    pub fn of(&self, dimension: Dimension) -> Unit {
        match dimension {
            Dimension::Length => self.length,
            Dimension::Mass => self.weight,
            Dimension::Angle => self.angle,
            Dimension::Grade => self.grade,
            Dimension::Time => self.time,
            Dimension::Force => self.force,
        }
    }
}

/// An instrument of the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// What it is called.
    pub name: Box<str>,
    /// Its standard uncertainty, whose dimension is what it measures.
    pub uncertainty: Amount,
    /// On whose word.
    pub authority: Arc<Authority>,
}

/// What holds on the bench whatever the scale.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bench {
    /// Checks without which no car is admitted.
    pub required: Vec<Check>,
    /// The short list for a quick pass.
    pub quick: Vec<Check>,
    /// Lines of the look-over, in order.
    pub look_over: Vec<Box<str>>,
}

/// An excuse for cars that carry a tag.
#[derive(Clone, Debug, PartialEq)]
pub struct Exception {
    /// The tag.
    pub tag: Box<str>,
    /// The checks in which bad order becomes watch.
    pub waives: Vec<Check>,
    /// What is asked in return.
    pub note: Box<str>,
    /// The last day it holds.
    pub until: Option<Date>,
    /// On whose word.
    pub authority: Arc<Authority>,
}

/// One edition of a club's rule book.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleBook {
    /// Its title.
    pub title: Box<str>,
    /// Its edition, counted from 1.
    pub edition: u32,
    /// The first day it holds.
    pub effective: Date,
    /// The decision rule.
    pub rule: Rule,
    /// The guard band as a multiple of U = 2u.
    pub guard_factor: f64,
    /// What bare numbers mean.
    pub bare: BareUnits,
    /// The shop's instruments.
    pub instruments: Vec<Instrument>,
    /// The bench.
    pub bench: Bench,
    /// What a cure puts in doubt.
    pub doubt: DoubtGraph,
    /// Days until the second look, by cure.
    pub rest_days: BTreeMap<CureKind, u16>,
    /// The caution that stands on a cure's step.
    pub caution: BTreeMap<CureKind, Box<str>>,
    /// Excuses.
    pub exceptions: Vec<Exception>,
    /// Rules by scale.
    pub scales: Vec<ScaleRules>,
}

impl RuleBook {
    /// Reads a rule book from its TOML text.
    ///
    /// # Errors
    /// [`RuleBookError`] lists every problem with its line, its key, what was found and what was
    /// expected; a book with any problem is not used at all.
    pub fn read(text: &str) -> Result<Self, RuleBookError> {
        read::read(text)
    }

    /// The starter rule book that ships with the tool.
    ///
    /// # Errors
    /// None in a tested build: a test reads it.
    pub fn starter() -> Result<Self, RuleBookError> {
        Self::read(super::STARTER)
    }

    /// The rules for `scale`.
    #[must_use]
    pub fn scale(&self, scale: Scale) -> Option<&ScaleRules> {
        self.scales.iter().find(|rules| rules.scale == scale)
    }

    /// The instrument of that name; case does not matter.
    #[must_use]
    pub fn instrument(&self, name: &str) -> Option<&Instrument> {
        self.instruments
            .iter()
            .find(|own| own.name.eq_ignore_ascii_case(name.trim()))
    }

    /// The exceptions whose tag `car` carries and which hold on `today`, then those that have lapsed.
    #[must_use]
    pub fn exceptions_for(&self, car: &Car, today: Date) -> (Vec<&Exception>, Vec<&Exception>) {
        self.exceptions
            .iter()
            .filter(|exception| car.has_tag(&exception.tag))
            .partition(|exception| exception.until.is_none_or(|until| today <= until))
    }
}
