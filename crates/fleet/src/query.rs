//! Which cars are meant.

use gradeworthy_standards::Scale;
use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::{Check, Measure, Place};

use crate::fleet::{Fleet, FleetCar, Row};

/// A reading between two amounts; at a bound is inside.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// What was read.
    pub measure: Measure,
    /// Where; anywhere if not given, and then one place is enough.
    pub place: Option<Place>,
    /// Not less than this.
    pub lower: Option<Amount>,
    /// Not more than this.
    pub upper: Option<Amount>,
}

/// What the cars wanted have in common; what is left out asks nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Query {
    /// Words, all of which occur somewhere in marks, owner, type, description, tags, state or parts.
    pub words: Vec<Box<str>>,
    /// The scale.
    pub scale: Option<Scale>,
    /// The first letters of the car type.
    pub letters: Option<Box<str>>,
    /// A tag.
    pub tag: Option<Box<str>>,
    /// The record's number of the member who owns the car.
    pub owner_member: Option<i64>,
    /// A part of the owner's name.
    pub owner: Option<Box<str>>,
    /// Where the car stands, by name.
    pub state: Option<Box<str>>,
    /// The verdict on the whole.
    pub verdict: Option<Verdict>,
    /// Verdicts of checks.
    pub checks: Vec<(Check, Verdict)>,
    /// Readings between amounts.
    pub bounds: Vec<Bound>,
    /// A kind of part, or a part of its description.
    pub part: Option<Box<str>>,
    /// The lot of a part, whole.
    pub lot: Option<Box<str>>,
}

impl Query {
    /// Every word of a text, for [`Query::words`].
    #[must_use]
    pub fn words_of(text: &str) -> Vec<Box<str>> {
        let words = text.split_whitespace();
        words.map(|word| word.to_lowercase().into()).collect()
    }
}

impl Fleet {
    /// The rows of the cars that `query` means, in row order.
    #[must_use]
    pub fn find(&self, query: &Query) -> Vec<Row> {
        let plain = Plain::of(query);
        let rows = self.cars().iter().enumerate();
        rows.filter(|(_, car)| plain.fits(car))
            .map(|(row, _)| row)
            .filter(|row| {
                let mut bounds = query.bounds.iter();
                bounds.all(|bound| self.is_between(*row, bound))
            })
            .collect()
    }

    fn is_between(&self, row: Row, bound: &Bound) -> bool {
        let inside = |amount: Amount| {
            let same = |limit: Amount| limit.dimension() == amount.dimension();
            bound
                .lower
                .is_none_or(|lower| same(lower) && amount >= lower)
                && bound
                    .upper
                    .is_none_or(|upper| same(upper) && amount <= upper)
        };
        let mut columns = self.columns_at(bound.measure, bound.place);
        columns.any(|(_, column)| column.amount(row).is_some_and(inside))
    }
}

/// A query with its texts in small letters, made ready once for all cars.
struct Plain<'a> {
    query: &'a Query,
    owner: Option<String>,
    part: Option<String>,
}

impl<'a> Plain<'a> {
    fn of(query: &'a Query) -> Self {
        let small = |text: &Option<Box<str>>| text.as_deref().map(str::to_lowercase);
        Self {
            query,
            owner: small(&query.owner),
            part: small(&query.part),
        }
    }

    fn fits(&self, own: &FleetCar) -> bool {
        let (query, car, facts) = (self.query, &own.car, &own.facts);
        query.words.iter().all(|word| own.text.contains(&**word))
            && query.scale.is_none_or(|scale| car.scale == scale)
            && query.letters.as_deref().is_none_or(|letters| {
                let kind = car.car_type.as_ref();
                kind.is_some_and(|kind| starts_with(kind.as_str(), letters))
            })
            && query.tag.as_deref().is_none_or(|tag| car.has_tag(tag))
            && query
                .owner_member
                .is_none_or(|member| facts.owner_member == Some(member))
            && self.owner.as_deref().is_none_or(|part| {
                let owner = car.owner.as_deref();
                owner.is_some_and(|owner| owner.to_lowercase().contains(part))
            })
            && query
                .state
                .as_deref()
                .is_none_or(|state| facts.state == state)
            && query
                .verdict
                .is_none_or(|verdict| own.judged.verdict == verdict)
            && query
                .checks
                .iter()
                .all(|(check, verdict)| own.judged.of(*check) == *verdict)
            && self.has_part(own)
    }

    fn has_part(&self, own: &FleetCar) -> bool {
        if self.part.is_none() && self.query.lot.is_none() {
            return true;
        }
        own.facts.parts.iter().any(|fitted| {
            self.part.as_deref().is_none_or(|part| {
                fitted.part == part || fitted.description.to_lowercase().contains(part)
            }) && self
                .query
                .lot
                .as_deref()
                .is_none_or(|lot| fitted.lot.as_deref() == Some(lot))
        })
    }
}

fn starts_with(kind: &str, letters: &str) -> bool {
    kind.get(..letters.len())
        .is_some_and(|start| start.eq_ignore_ascii_case(letters))
}
