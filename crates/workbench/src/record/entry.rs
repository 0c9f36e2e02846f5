//! Readings as they were entered, and the record of one car.
//!
//! Several readings of one thing are all kept; the latest counts, and the others are said.

use gradeworthy_units::Typed;
use jiff::civil::Date;

use super::{Answer, Car, Measure, Place};
use crate::cures::CureKind;

/// What was entered.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A quantity, as typed.
    Quantity(Typed),
    /// An answer.
    Answer(Answer),
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What was read.
    pub measure: Measure,
    /// Where on the car.
    pub place: Place,
    /// What was found.
    pub value: Value,
    /// The instrument, by its name in the rule book.
    pub instrument: Option<Box<str>>,
    /// The day it was read, where known.
    pub on: Option<Date>,
}

/// A cure that was carried out.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// What was done.
    pub cure: CureKind,
    /// The day, where known.
    pub on: Option<Date>,
    /// How many entries had been made before it: these are the ones it can make stale.
    pub after_entries: usize,
}

/// One car and everything read on it, oldest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// The car.
    pub car: Car,
    /// Readings, oldest first.
    pub entries: Vec<Entry>,
    /// Cures carried out, oldest first.
    pub done: Vec<Done>,
}

impl Record {
    /// A record with nothing in it yet.
    #[must_use]
    pub fn new(car: Car) -> Self {
        Self {
            car,
            entries: Vec::new(),
            done: Vec::new(),
        }
    }

    /// Notes that `cure` was carried out after everything entered so far.
    pub fn note_done(&mut self, cure: CureKind, on: Option<Date>) {
        self.done.push(Done {
            cure,
            on,
            after_entries: self.entries.len(),
        });
    }
}
