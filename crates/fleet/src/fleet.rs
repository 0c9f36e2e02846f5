//! The fleet: its cars, their latest readings as columns, and their verdicts under one rule book.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Held, Inspection, inspect, inspect_only, is_used, overall};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::doubt::CheckSet;
use gradeworthy_workbench::record::{Answer, Car, Check, Done, Entry, Measure, Place, Record};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::Timestamp;
use jiff::civil::Date;

use crate::FleetError;
use crate::columns::{Column, Ways};
use crate::halves::in_halves;
use crate::touched::Again;

/// A car's place in the fleet; it keeps it.
pub type Row = usize;

/// What cars are judged under: an edition, the shop's results, and a day.
#[derive(Clone, Debug)]
pub struct Under {
    /// The rule book.
    pub book: Arc<RuleBook>,
    /// Stock and past results.
    pub shop: Arc<Shop>,
    /// The day.
    pub day: Date,
}

/// The verdicts on a car: on the whole, and of each check in bench order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Judged {
    /// On the whole.
    pub verdict: Verdict,
    /// Of each check, in the order of [`Check::ALL`].
    pub checks: [Verdict; Check::ALL.len()],
}

impl Judged {
    /// The verdict of one check.
    #[must_use]
    pub fn of(&self, check: Check) -> Verdict {
        self.checks[check as usize]
    }

    fn by(inspection: &Inspection) -> Self {
        Self {
            verdict: inspection.verdict,
            checks: inspection.checks,
        }
    }
}

/// A part that a car has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitted {
    /// What kind of part: `wheelset`.
    pub part: &'static str,
    /// Where.
    pub place: Place,
    /// Maker and kind, as the shop writes it.
    pub description: Box<str>,
    /// Its lot, where known.
    pub lot: Option<Box<str>>,
}

/// What the record says of a car beside its readings and its description.
#[derive(Clone, Debug, PartialEq)]
pub struct CarFacts {
    /// The record's number of the car.
    pub key: i64,
    /// The record's number of the member who owns it, where he is one.
    pub owner_member: Option<i64>,
    /// Where it stands, by name.
    pub state: &'static str,
    /// Since when.
    pub since: Timestamp,
    /// The parts it has.
    pub parts: Vec<Fitted>,
}

/// A car of the fleet.
#[derive(Debug)]
pub struct FleetCar {
    /// What the record says of it.
    pub facts: CarFacts,
    /// What it is.
    pub car: Car,
    /// Its verdicts under the rule book of the fleet.
    pub judged: Judged,
    /// What decided them, to be held against other limits.
    held: Held,
    /// Everything that a search for words looks through, in small letters.
    pub(crate) text: Box<str>,
    /// Cures, each with the rank before which readings can be stale by it.
    done: Vec<(CureKind, u16)>,
}

/// The fleet.
#[derive(Debug)]
pub struct Fleet {
    under: Under,
    cars: Vec<FleetCar>,
    by_key: HashMap<i64, Row>,
    columns: BTreeMap<(Measure, Place), Column>,
    ways: Ways,
}

impl Fleet {
    /// A fleet without cars.
    #[must_use]
    pub fn new(under: Under) -> Self {
        Self {
            under,
            cars: Vec::new(),
            by_key: HashMap::new(),
            columns: BTreeMap::new(),
            ways: Ways::default(),
        }
    }

    /// What its cars are judged under.
    #[must_use]
    pub fn under(&self) -> &Under {
        &self.under
    }

    /// Its cars, by row.
    #[must_use]
    pub fn cars(&self) -> &[FleetCar] {
        &self.cars
    }

    /// The row of a car by the record's number.
    #[must_use]
    pub fn row(&self, key: i64) -> Option<Row> {
        self.by_key.get(&key).copied()
    }

    /// Puts a car in, or in again when its record has grown, and judges it.
    ///
    /// # Errors
    /// [`FleetError::WrongKind`] when a reading is of another kind than its measure; the car then
    /// stays as it was.
    pub fn put(&mut self, facts: CarFacts, record: &Record) -> Result<Row, FleetError> {
        let latest = latest(record);
        if let Some(wrong) = latest.iter().find(|entry| !is_of_its_kind(entry)) {
            return Err(FleetError::WrongKind {
                mark: record.car.mark.clone(),
                measure: wrong.measure,
                place: wrong.place,
            });
        }
        let row = self.row(facts.key).unwrap_or(self.cars.len());
        for column in self.columns.values_mut() {
            column.clear(row);
        }
        for (rank, entry) in (0..=u16::MAX).zip(&latest) {
            let key = (entry.measure, entry.place);
            let column = self
                .columns
                .entry(key)
                .or_insert_with(|| Column::new(entry.measure));
            column.put(row, rank, entry, &mut self.ways);
        }
        let under = &self.under;
        let inspection = inspect(record, &under.book, &under.shop, under.day);
        let car = FleetCar {
            judged: Judged::by(&inspection),
            held: Held::of(&inspection),
            text: text(&facts, &record.car),
            done: done(record),
            car: record.car.clone(),
            facts,
        };
        self.by_key.insert(car.facts.key, row);
        match self.cars.get_mut(row) {
            Some(own) => *own = car,
            None => self.cars.push(car),
        }
        Ok(row)
    }

    /// Judges every car anew, under another edition or as of another day.
    pub fn judge_under(&mut self, under: Under) {
        self.under = under;
        let rows: Vec<Row> = (0..self.cars.len()).collect();
        let again = in_halves(&rows, |row| {
            let inspection = self.inspection(&self.under, row);
            (Judged::by(&inspection), Held::of(&inspection))
        });
        for (car, (judged, held)) in self.cars.iter_mut().zip(again) {
            (car.judged, car.held) = (judged, held);
        }
    }

    /// The inspection of a car under any rule book, from the columns: every line, and every finding
    /// but that something was read more than once.
    #[must_use]
    pub fn inspection(&self, under: &Under, row: Row) -> Inspection {
        let record = self.record(row, &self.columns_of(all_checks()));
        inspect(&record, &under.book, &under.shop, under.day)
    }

    /// The verdicts of a car of which only what is named has to be judged again.
    pub(crate) fn judged_again(
        &self,
        under: &Under,
        row: Row,
        again: Again,
        columns: &[((Measure, Place), &Column)],
    ) -> Judged {
        let own = &self.cars[row];
        let mut judged = own.judged;
        if !again.ruled.is_empty() {
            let verdicts = own
                .held
                .verdicts(again.ruled, &own.car, &under.book, under.day);
            for check in again.ruled.iter() {
                judged.checks[check as usize] = verdicts[check as usize];
            }
        }
        if !again.read.is_empty() {
            let record = self.record(row, columns);
            let read = inspect_only(again.read, &record, &under.book, &under.shop, under.day);
            for check in again.read.iter() {
                judged.checks[check as usize] = read.of(check);
            }
        }
        judged.verdict = overall(&judged.checks, &under.book.bench.required);
        judged
    }

    /// The columns that judging `checks` needs.
    pub(crate) fn columns_of(&self, checks: CheckSet) -> Vec<((Measure, Place), &Column)> {
        let used = |((measure, _), _): &(&(Measure, Place), &Column)| is_used(*measure, checks);
        let all = self.columns.iter().filter(used);
        all.map(|(key, column)| (*key, column)).collect()
    }

    /// The car's latest readings of those columns as a record, in the order they were taken.
    fn record(&self, row: Row, columns: &[((Measure, Place), &Column)]) -> Record {
        let own = &self.cars[row];
        let mut record = Record::new(own.car.clone());
        let entry = |(key, column): &((Measure, Place), &Column)| {
            Some((column.rank(row), column.entry(*key, row, &self.ways)?))
        };
        let mut ranked: Vec<(u16, Entry)> = columns.iter().filter_map(entry).collect();
        if !own.done.is_empty() {
            ranked.sort_unstable_by_key(|(rank, _)| *rank);
            for (cure, before) in &own.done {
                record.done.push(Done {
                    cure: *cure,
                    on: None,
                    after_entries: ranked.partition_point(|(rank, _)| rank < before),
                });
            }
        }
        record.entries = ranked.into_iter().map(|(_, entry)| entry).collect();
        record
    }

    /// Every measure and place that was read on some car, in bench order.
    pub fn read_places(&self) -> impl Iterator<Item = (Measure, Place)> {
        self.columns.keys().copied()
    }

    /// The latest quantity read on a car.
    #[must_use]
    pub fn amount(&self, row: Row, measure: Measure, place: Place) -> Option<Amount> {
        self.columns.get(&(measure, place))?.amount(row)
    }

    /// The latest answer given on a car.
    #[must_use]
    pub fn answer(&self, row: Row, measure: Measure, place: Place) -> Option<Answer> {
        self.columns.get(&(measure, place))?.answer(row)
    }

    /// The columns of a measure: at one place, or at every place it was read.
    pub(crate) fn columns_at(
        &self,
        measure: Measure,
        place: Option<Place>,
    ) -> impl Iterator<Item = (Place, &Column)> {
        let wanted = move |(key, _): &(&(Measure, Place), &Column)| {
            key.0 == measure && place.is_none_or(|place| key.1 == place)
        };
        let all = self.columns.iter().filter(wanted);
        all.map(|(key, column)| (key.1, column))
    }

    /// How many readings are held.
    #[must_use]
    pub fn reading_count(&self) -> usize {
        let rows = self.cars.len();
        let read = |column: &Column| (0..rows).filter(|row| column.is_read(*row)).count();
        self.columns.values().map(read).sum()
    }

    /// Bytes that the columns hold.
    #[must_use]
    pub fn column_bytes(&self) -> usize {
        self.columns.values().map(Column::bytes).sum()
    }
}

pub(crate) fn all_checks() -> CheckSet {
    Check::ALL.into_iter().collect()
}

/// The latest entry of each measure and place, in the order in which they were taken.
fn latest(record: &Record) -> Vec<&Entry> {
    let mut last: BTreeMap<(Measure, Place), usize> = BTreeMap::new();
    for (index, entry) in record.entries.iter().enumerate() {
        last.insert((entry.measure, entry.place), index);
    }
    let mut indices: Vec<_> = last.into_values().collect();
    indices.sort_unstable();
    indices
        .into_iter()
        .map(|index| &record.entries[index])
        .collect()
}

/// Each cure with the number of latest readings that were taken before it.
fn done(record: &Record) -> Vec<(CureKind, u16)> {
    let mut last: BTreeMap<(Measure, Place), usize> = BTreeMap::new();
    for (index, entry) in record.entries.iter().enumerate() {
        last.insert((entry.measure, entry.place), index);
    }
    let before = |after: usize| last.values().filter(|index| **index < after).count();
    let rank = |after: usize| u16::try_from(before(after)).unwrap_or(u16::MAX);
    let all = record.done.iter();
    all.map(|done| (done.cure, rank(done.after_entries)))
        .collect()
}

fn is_of_its_kind(entry: &Entry) -> bool {
    use gradeworthy_workbench::record::{Kind, Value};
    match (entry.measure.kind(), &entry.value) {
        (Kind::Answer, Value::Answer(_)) => true,
        (Kind::Quantity(dimension), Value::Quantity(typed)) => {
            typed.amount.dimension() == dimension
        }
        (Kind::Answer, Value::Quantity(_)) | (Kind::Quantity(_), Value::Answer(_)) => false,
    }
}

fn text(facts: &CarFacts, car: &Car) -> Box<str> {
    let mut words = vec![car.mark.as_str(), car.scale.name(), facts.state];
    words.extend(car.car_type.as_ref().map(|own| own.as_str()));
    words.extend(car.owner.as_deref());
    words.extend(car.description.as_deref());
    words.extend(car.tags.iter().map(|tag| &**tag));
    for part in &facts.parts {
        words.extend([part.part, &part.description]);
        words.extend(part.lot.as_deref());
    }
    words.join("\n").to_lowercase().into()
}
