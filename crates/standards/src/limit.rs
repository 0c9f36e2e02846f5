//! One limit with the clause it rests on, and the limits of one dimension together.

use gradeworthy_units::{Amount, DecimalMark, Length, Reader, Unit};

use crate::table::{Cell, Table};
use crate::{Clause, Confidence};

/// A published length and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// The length, exactly as printed.
    pub value: Length,
    /// Where it is printed, and how far it may be trusted.
    pub clause: Clause,
}

impl Limit {
    /// How far the figure may be trusted.
    #[must_use]
    pub const fn confidence(&self) -> Confidence {
        self.clause.confidence
    }

    pub(crate) fn of(cell: Cell) -> Option<Self> {
        Some(Self {
            value: cell.length()?,
            clause: cell.clause(),
        })
    }
}

/// What a standard prints about one dimension. What it does not print is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bounds {
    /// The least that is allowed.
    pub min: Option<Limit>,
    /// The greatest that is allowed.
    pub max: Option<Limit>,
    /// The value to aim at.
    pub target: Option<Limit>,
}

impl Bounds {
    /// Reads `stem_min` or `stem_lo`, `stem_max` or `stem_hi`, and the bare `stem`.
    pub(crate) fn read(table: &'static Table, row: &str, stem: &str) -> Self {
        let limit = |suffix: &str| {
            let cell = table.cell(row, &format!("{stem}{suffix}"))?;
            Limit::of(cell)
        };
        Self {
            min: limit("_min").or_else(|| limit("_lo")),
            max: limit("_max").or_else(|| limit("_hi")),
            target: limit(""),
        }
    }

    /// These bounds, with what they lack taken from `others`.
    pub(crate) fn or(self, others: Self) -> Self {
        Self {
            min: self.min.or(others.min),
            max: self.max.or(others.max),
            target: self.target.or(others.target),
        }
    }

    /// Whether the standard prints nothing about this dimension.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.min.is_none() && self.max.is_none() && self.target.is_none()
    }
}

/// The gauge that names a row of a NEM table, in millimetres.
pub(crate) fn millimetres(row: &str) -> Option<Length> {
    let reader = Reader::new(Unit::Millimetre).with_mark(DecimalMark::Point);
    match reader.read(row).ok()?.amount {
        Amount::Length(length) => Some(length),
        _ => None,
    }
}
