//! The order of a list, and its pages. A page begins after the last car of the one before, by that
//! car's own sort key, so that cars that come or move meanwhile shift nothing.

use std::cmp::Ordering;

use gradeworthy_workbench::record::{Measure, Place};

use crate::fleet::{Fleet, Row};

/// What a list is sorted by; marks and then the record's number decide between equals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sort {
    /// By marks and number.
    #[default]
    Mark,
    /// By owner.
    Owner,
    /// By verdict, the gravest first.
    Verdict,
    /// By the time since which it stands where it stands, the oldest first.
    Since,
    /// By a reading, the least first; cars without one come last.
    Reading {
        /// What was read.
        measure: Measure,
        /// Where; the least of all places if not given.
        place: Option<Place>,
    },
}

/// What decides the place of a car in a list.
#[derive(Clone, Debug, PartialEq)]
pub enum SortKey {
    /// A number.
    Number(f64),
    /// A text.
    Text(Box<str>),
    /// Nothing to sort by; comes last.
    Nothing,
}

impl SortKey {
    fn order(&self, other: &Self) -> Ordering {
        match (self, other) {
            (Self::Number(own), Self::Number(other)) => own.total_cmp(other),
            (Self::Text(own), Self::Text(other)) => own.cmp(other),
            (Self::Nothing, Self::Nothing) => Ordering::Equal,
            (Self::Number(_), _) | (Self::Text(_), Self::Nothing) => Ordering::Less,
            (_, Self::Number(_)) | (Self::Nothing, Self::Text(_)) => Ordering::Greater,
        }
    }
}

/// The last car of a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Cursor {
    /// What it was sorted by.
    pub key: SortKey,
    /// Its marks.
    pub mark: Box<str>,
    /// The record's number of it.
    pub car: i64,
}

/// One page of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Its cars, in order.
    pub rows: Vec<Row>,
    /// Where the next page begins; `None` when this is the last.
    pub next: Option<Cursor>,
}

impl Fleet {
    /// The next `count` of `rows` in the order of `sort`, falling if `reverse`, after `after`.
    #[must_use]
    pub fn page(
        &self,
        rows: &[Row],
        sort: Sort,
        reverse: bool,
        after: Option<&Cursor>,
        count: usize,
    ) -> Page {
        let order = |one: &Cursor, other: &Cursor| {
            let keys = match (&one.key, &other.key) {
                // What has nothing to sort by is last either way.
                (SortKey::Nothing, _) | (_, SortKey::Nothing) => one.key.order(&other.key),
                _ if reverse => other.key.order(&one.key),
                _ => one.key.order(&other.key),
            };
            keys.then_with(|| one.mark.cmp(&other.mark))
                .then(one.car.cmp(&other.car))
        };
        let mut keyed: Vec<(Cursor, Row)> = rows
            .iter()
            .map(|row| (self.cursor(*row, sort), *row))
            .filter(|(own, _)| after.is_none_or(|after| order(own, after) == Ordering::Greater))
            .collect();
        if keyed.len() > count && count > 0 {
            keyed.select_nth_unstable_by(count - 1, |one, other| order(&one.0, &other.0));
        }
        let more = keyed.len() > count;
        keyed.truncate(count);
        keyed.sort_unstable_by(|one, other| order(&one.0, &other.0));
        let last = keyed.last().map(|(cursor, _)| cursor.clone());
        Page {
            rows: keyed.into_iter().map(|(_, row)| row).collect(),
            next: last.filter(|_| more),
        }
    }

    /// The place of a car in a list.
    #[must_use]
    pub fn cursor(&self, row: Row, sort: Sort) -> Cursor {
        let own = &self.cars()[row];
        let key = match sort {
            Sort::Mark => SortKey::Text(Box::default()),
            Sort::Owner => match &own.car.owner {
                Some(owner) => SortKey::Text(owner.to_lowercase().into()),
                None => SortKey::Nothing,
            },
            Sort::Verdict => SortKey::Number(-f64::from(own.judged.verdict as u8)),
            #[expect(
                clippy::cast_precision_loss,
                reason = "microseconds of this century are below 2^53"
            )]
            Sort::Since => SortKey::Number(own.facts.since.as_microsecond() as f64),
            Sort::Reading { measure, place } => self
                .columns_at(measure, place)
                .filter_map(|(_, column)| column.amount(row))
                .map(gradeworthy_units::Amount::base)
                .min_by(f64::total_cmp)
                .map_or(SortKey::Nothing, SortKey::Number),
        };
        Cursor {
            key,
            mark: own.car.mark.as_str().into(),
            car: own.facts.key,
        }
    }
}
