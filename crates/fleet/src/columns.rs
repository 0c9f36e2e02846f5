//! One column for each measure and place: the latest reading of every car, packed.
//!
//! A cell holds the exact amount (nanometres, femtograms, or the double of the other dimensions),
//! how it was read (resolution, unit and instrument, kept once for all cells that share them), and
//! its rank among the car's latest readings, on which staleness rests.

use std::collections::BTreeMap;

use gradeworthy_units::{Amount, Angle, Dimension, Force, Grade, Length, Mass, Time, Typed, Unit};
use gradeworthy_workbench::record::{Answer, Entry, Kind, Measure, Place, Value};

/// How a reading was taken.
#[derive(Clone, Debug, PartialEq)]
struct How {
    quantity: Option<(Unit, Amount)>,
    instrument: Option<Box<str>>,
}

/// Every way of reading that occurs, each kept once.
#[derive(Debug, Default)]
pub(crate) struct Ways {
    ways: Vec<How>,
    by_key: BTreeMap<(&'static str, i128), Vec<u32>>,
}

impl Ways {
    /// The number of this way, counted from 1.
    fn number(&mut self, entry: &Entry) -> u32 {
        let quantity = match &entry.value {
            Value::Quantity(typed) => Some((typed.unit, typed.resolution)),
            Value::Answer(_) => None,
        };
        let key = quantity.map_or(("", 0), |(unit, step)| (unit.symbol(), bits(step)));
        let like = self.by_key.entry(key).or_default();
        let same = |number: &&u32| {
            let way = &self.ways[**number as usize - 1];
            way.instrument == entry.instrument && way.quantity == quantity
        };
        if let Some(number) = like.iter().find(same) {
            return *number;
        }
        self.ways.push(How {
            quantity,
            instrument: entry.instrument.clone(),
        });
        let number = u32::try_from(self.ways.len()).unwrap_or(u32::MAX);
        like.push(number);
        number
    }
}

/// The exact number behind an amount, as an integer that tells two amounts of one unit apart.
fn bits(amount: Amount) -> i128 {
    match amount {
        Amount::Length(length) => i128::from(length.nanometres()),
        Amount::Mass(mass) => mass.femtograms(),
        Amount::Angle(angle) => i128::from(angle.radians().to_bits()),
        Amount::Grade(grade) => i128::from(grade.ratio().to_bits()),
        Amount::Time(time) => i128::from(time.seconds().to_bits()),
        Amount::Force(force) => i128::from(force.newtons().to_bits()),
    }
}

#[derive(Debug)]
enum Cells {
    Lengths(Vec<i64>),
    Masses(Vec<i128>),
    /// In the SI unit of the dimension, or a ratio.
    Reals(Dimension, Vec<f64>),
    Answers(Vec<Answer>),
}

/// The latest readings of one measure at one place, by row.
#[derive(Debug)]
pub(crate) struct Column {
    cells: Cells,
    /// The way of reading; 0 where nothing was read.
    how: Vec<u32>,
    rank: Vec<u16>,
}

impl Column {
    pub(crate) fn new(measure: Measure) -> Self {
        let cells = match measure.kind() {
            Kind::Answer => Cells::Answers(Vec::new()),
            Kind::Quantity(Dimension::Length) => Cells::Lengths(Vec::new()),
            Kind::Quantity(Dimension::Mass) => Cells::Masses(Vec::new()),
            Kind::Quantity(other) => Cells::Reals(other, Vec::new()),
        };
        Self {
            cells,
            how: Vec::new(),
            rank: Vec::new(),
        }
    }

    fn reach(&mut self, row: usize) {
        if self.how.len() <= row {
            let rows = row + 1;
            self.how.resize(rows, 0);
            self.rank.resize(rows, 0);
            match &mut self.cells {
                Cells::Lengths(cells) => cells.resize(rows, 0),
                Cells::Masses(cells) => cells.resize(rows, 0),
                Cells::Reals(_, cells) => cells.resize(rows, 0.0),
                Cells::Answers(cells) => cells.resize(rows, Answer::Good),
            }
        }
    }

    /// Keeps a reading; `false` when it is of another kind than this column.
    pub(crate) fn put(&mut self, row: usize, rank: u16, entry: &Entry, ways: &mut Ways) -> bool {
        self.reach(row);
        let fits = match (&mut self.cells, &entry.value) {
            (Cells::Answers(cells), Value::Answer(answer)) => {
                cells[row] = *answer;
                true
            }
            (Cells::Lengths(cells), Value::Quantity(typed)) => match typed.amount {
                Amount::Length(length) => {
                    cells[row] = length.nanometres();
                    true
                }
                _ => false,
            },
            (Cells::Masses(cells), Value::Quantity(typed)) => match typed.amount {
                Amount::Mass(mass) => {
                    cells[row] = mass.femtograms();
                    true
                }
                _ => false,
            },
            (Cells::Reals(dimension, cells), Value::Quantity(typed)) => {
                let same = typed.amount.dimension() == *dimension;
                if same {
                    cells[row] = real(typed.amount);
                }
                same
            }
            (Cells::Answers(_), Value::Quantity(_)) | (_, Value::Answer(_)) => false,
        };
        if fits {
            self.how[row] = ways.number(entry);
            self.rank[row] = rank;
        }
        fits
    }

    pub(crate) fn clear(&mut self, row: usize) {
        if let Some(how) = self.how.get_mut(row) {
            *how = 0;
        }
    }

    pub(crate) fn is_read(&self, row: usize) -> bool {
        self.how.get(row).is_some_and(|how| *how != 0)
    }

    pub(crate) fn rank(&self, row: usize) -> u16 {
        self.rank.get(row).copied().unwrap_or_default()
    }

    /// The quantity read on a car; `None` for an answer and where nothing was read.
    pub(crate) fn amount(&self, row: usize) -> Option<Amount> {
        if !self.is_read(row) {
            return None;
        }
        match &self.cells {
            Cells::Lengths(cells) => Some(Length::from_nanometres(cells[row]).into()),
            Cells::Masses(cells) => Some(Mass::from_femtograms(cells[row]).into()),
            Cells::Reals(dimension, cells) => from_real(*dimension, cells[row]),
            Cells::Answers(_) => None,
        }
    }

    pub(crate) fn answer(&self, row: usize) -> Option<Answer> {
        match &self.cells {
            Cells::Answers(cells) if self.is_read(row) => Some(cells[row]),
            _ => None,
        }
    }

    /// The reading as judging needs it: without the text that was typed and without its day.
    pub(crate) fn entry(
        &self,
        (measure, place): (Measure, Place),
        row: usize,
        ways: &Ways,
    ) -> Option<Entry> {
        let number = *self.how.get(row)? as usize;
        let how = ways.ways.get(number.checked_sub(1)?)?;
        let value = match how.quantity {
            None => Value::Answer(self.answer(row)?),
            Some((unit, resolution)) => Value::Quantity(Typed {
                text: Box::default(),
                amount: self.amount(row)?,
                unit,
                unit_was_typed: true,
                resolution,
            }),
        };
        Some(Entry {
            measure,
            place,
            value,
            instrument: how.instrument.clone(),
            on: None,
        })
    }

    /// Bytes held for cells.
    pub(crate) fn bytes(&self) -> usize {
        let cell = match &self.cells {
            Cells::Lengths(cells) => cells.capacity() * 8,
            Cells::Masses(cells) => cells.capacity() * 16,
            Cells::Reals(_, cells) => cells.capacity() * 8,
            Cells::Answers(cells) => cells.capacity(),
        };
        cell + self.how.capacity() * 4 + self.rank.capacity() * 2
    }
}

/// The number of an amount that is neither a length nor a mass.
fn real(amount: Amount) -> f64 {
    match amount {
        Amount::Angle(angle) => angle.radians(),
        Amount::Grade(grade) => grade.ratio(),
        Amount::Time(time) => time.seconds(),
        Amount::Force(force) => force.newtons(),
        Amount::Length(_) | Amount::Mass(_) => amount.base(),
    }
}

/// The inverse of [`real`]; the number was finite when it was kept.
fn from_real(dimension: Dimension, number: f64) -> Option<Amount> {
    Some(match dimension {
        Dimension::Angle => Angle::from_radians(number).ok()?.into(),
        Dimension::Grade => Grade::from_ratio(number).ok()?.into(),
        Dimension::Time => Time::from_seconds(number).ok()?.into(),
        Dimension::Force => Force::from_newtons(number).ok()?.into(),
        Dimension::Length | Dimension::Mass => return None,
    })
}
