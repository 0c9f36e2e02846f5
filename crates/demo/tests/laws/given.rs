//! The club, its cars, cars worse than any club would show, and how to change a reading.

use gradeworthy_demo::{Keeping, SHOP, rule_book};
use gradeworthy_units::{Amount, Angle, Force, Grade, Length, Mass, Reader, Time, Typed, Unit};
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::{Entry, Measure, Place, Record, Value};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::{Date, date};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

pub(crate) const TODAY: Date = date(2026, 11, 25);

/// A rule book and a shop.
pub(crate) struct Club {
    pub(crate) book: RuleBook,
    pub(crate) shop: Shop,
}

impl Club {
    pub(crate) fn demo() -> Self {
        Self {
            book: RuleBook::read(&rule_book()).unwrap_or_else(|error| panic!("{error}")),
            shop: Shop::read(SHOP).unwrap_or_else(|error| panic!("{error}")),
        }
    }

    pub(crate) fn inspect(&self, record: &Record) -> Inspection {
        inspect(record, &self.book, &self.shop, TODAY)
    }

    pub(crate) fn prescribe(&self, record: &Record, inspection: &Inspection) -> Vec<Cure> {
        prescribe(record, &self.book, &self.shop, inspection)
    }
}

/// Ordinary cars of several seeds, and as many of them made worse.
pub(crate) fn cars(count: u64) -> impl Iterator<Item = Record> {
    (0..count).flat_map(|index| {
        let record = gradeworthy_demo::car(1 + index % 7, index, &Keeping::NEGLECTED);
        let worse = worse(&record, index);
        [record, worse]
    })
}

/// A repeatable stream of numbers.
pub(crate) struct Draw(ChaCha8Rng);

impl Draw {
    pub(crate) fn of(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        let unit = f64::from(self.0.next_u32()) / (f64::from(u32::MAX) + 1.0);
        low + (high - low) * unit
    }

    pub(crate) fn below(&mut self, limit: usize) -> usize {
        let wide = u64::try_from(limit).expect("a small number");
        usize::try_from(self.0.next_u64() % wide).expect("below a usize")
    }

    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}

/// The same car with wheels, frames, heights, droop, weight and balance out by far more than the
/// demo's own faults, in every combination.
pub(crate) fn worse(record: &Record, seed: u64) -> Record {
    let mut record = record.clone();
    let mut draw = Draw::of(seed);
    let narrow = draw.between(-0.35, 0.35);
    let (low_a, low_b) = (draw.between(-0.6, 0.6), draw.between(-0.6, 0.6));
    let light = draw.between(0.5, 1.15);
    let heavy_end = draw.between(-0.12, 0.12);
    let tall = draw.between(-4.0, 4.0);
    for entry in &mut record.entries {
        let Value::Quantity(typed) = &mut entry.value else {
            continue;
        };
        let end = matches!(
            entry.place,
            Place::End(gradeworthy_workbench::record::End::A)
        );
        typed.amount = match (entry.measure, typed.amount) {
            (Measure::BackToBack, Amount::Length(b)) => (b + hundredths(narrow)).into(),
            (Measure::FlangeThickness, Amount::Length(t)) => {
                (t + hundredths(draw.between(-0.2, 0.08))).into()
            }
            (Measure::Gap, Amount::Length(_)) => hundredths(draw.between(0.0, 0.45)).into(),
            (Measure::Droop, Amount::Length(_)) => hundredths(draw.between(0.0, 0.9)).into(),
            (Measure::CouplerHeight, Amount::Length(h)) => {
                (h + hundredths(if end { low_a } else { low_b })).into()
            }
            (Measure::Weight, Amount::Mass(mass)) => tenths(mass.grams() * light).into(),
            (Measure::EndWeight, Amount::Mass(mass)) => {
                let share = if end { heavy_end } else { -heavy_end };
                tenths(mass.grams() * light * (1.0 + share)).into()
            }
            (Measure::TiltAngle, Amount::Angle(angle)) => {
                let aside = draw.between(-2.0, 2.0);
                degrees((angle.degrees() + tall + aside).clamp(15.0, 60.0)).into()
            }
            (_, same) => same,
        };
    }
    record
}

/// A length to the hundredth of a millimetre.
pub(crate) fn hundredths(mm: f64) -> Length {
    Length::from_mm_rounded((mm * 100.0).round() / 100.0).expect("a small length")
}

fn tenths(grams: f64) -> Mass {
    Mass::from_grams_rounded((grams * 10.0).round() / 10.0).expect("a small mass")
}

/// `amount` times `factor`.
pub(crate) fn times(amount: Amount, factor: f64) -> Amount {
    match amount {
        Amount::Length(own) => Length::from_mm_rounded(own.mm() * factor)
            .expect("small")
            .into(),
        Amount::Mass(own) => Mass::from_grams_rounded(own.grams() * factor)
            .expect("small")
            .into(),
        Amount::Angle(own) => Angle::from_radians(own.radians() * factor)
            .expect("finite")
            .into(),
        Amount::Grade(own) => Grade::from_ratio(own.ratio() * factor)
            .expect("finite")
            .into(),
        Amount::Time(own) => Time::from_seconds(own.seconds() * factor)
            .expect("finite")
            .into(),
        Amount::Force(own) => Force::from_newtons(own.newtons() * factor)
            .expect("finite")
            .into(),
    }
}

pub(crate) fn degrees(degrees: f64) -> Angle {
    Angle::from_degrees((degrees * 10.0).round() / 10.0).expect("finite")
}

/// The reading of a measure at a place.
pub(crate) fn read<Q: TryFrom<Amount>>(
    record: &Record,
    measure: Measure,
    place: Place,
) -> Option<Q> {
    let mut of_it = record.entries.iter().rev();
    let entry = of_it.find(|entry| (entry.measure, entry.place) == (measure, place))?;
    match &entry.value {
        Value::Quantity(typed) => typed.amount.try_into().ok(),
        Value::Answer(_) => None,
    }
}

/// Puts another amount in the place of a reading; how finely it was read stays.
pub(crate) fn set(record: &mut Record, measure: Measure, place: Place, amount: Amount) {
    for typed in quantities(record)
        .filter(|(entry, _)| *entry == (measure, place))
        .map(|(_, typed)| typed)
    {
        typed.amount = amount;
    }
}

/// Every quantity of a record with what it is of.
pub(crate) fn quantities(
    record: &mut Record,
) -> impl Iterator<Item = ((Measure, Place), &mut Typed)> {
    record.entries.iter_mut().filter_map(|entry| {
        let Entry {
            measure,
            place,
            value,
            ..
        } = entry;
        match value {
            Value::Quantity(typed) => Some(((*measure, *place), typed)),
            Value::Answer(_) => None,
        }
    })
}

/// An angle as computed.
pub(crate) fn degrees_exact(degrees: f64) -> Angle {
    Angle::from_degrees(degrees).expect("finite")
}

/// A car in good order whose rolling drag was timed on the test track and whose balance was read
/// on a side scale, instead of on a slope and by tilting.
///
/// Drag 1.2 % of the weight: on a grade s it gains g(s − 0.012)/1.056 a second, from 0.6 m/s.
/// A centre of gravity h up and in the middle puts W/2·cos θ + W·h·sin θ/2β on the low side.
pub(crate) fn by_other_means(club: &Club) -> Record {
    let mut record = gradeworthy_demo::STORIES[0].record(gradeworthy_demo::SEED);
    let gone = [Measure::RollGrade, Measure::TiltAngle];
    record
        .entries
        .retain(|entry| !gone.contains(&entry.measure));
    for (run, grade) in [(1, 0.005), (2, 0.015)] {
        write(
            &mut record,
            Measure::RunGrade,
            Place::Run(run),
            &format!("{} %", grade * 100.0),
            "test incline",
        );
        let gain = 9.80665 * (grade - 0.012) / 1.056;
        for (gate, position) in (1..).zip(&club.shop.gates) {
            let (x, v) = (position.metres(), 0.6_f64);
            let time = 2.0 * x / (v + (v * v + 2.0 * gain * x).sqrt());
            write(
                &mut record,
                Measure::GateTime,
                Place::Gate(run, gate),
                &format!("{time:.3} s"),
                "stopwatch",
            );
        }
    }
    let weight: Mass = read(&record, Measure::Weight, Place::Car).expect("weighed");
    let (tilt, height, beta) = (15.0_f64.to_radians(), 12.0, 8.9);
    write(
        &mut record,
        Measure::TableAngle,
        Place::Car,
        "15.0 deg",
        "protractor",
    );
    let level = weight.grams() / 2.0;
    let tilted = level * tilt.cos() + weight.grams() * height * tilt.sin() / (2.0 * beta);
    let place = Place::Side(gradeworthy_workbench::record::Side::Left);
    write(
        &mut record,
        Measure::SideWeightLevel,
        place,
        &format!("{level:.1} g"),
        "scale",
    );
    write(
        &mut record,
        Measure::SideWeightTilted,
        place,
        &format!("{tilted:.1} g"),
        "scale",
    );
    record
}

/// Adds a reading as typed.
fn write(record: &mut Record, measure: Measure, place: Place, text: &str, tool: &str) {
    let units = [Unit::Percent, Unit::Second, Unit::Degree, Unit::Gram];
    let mut reads = units
        .into_iter()
        .filter_map(|unit| Reader::new(unit).read(text).ok());
    record.entries.push(Entry {
        measure,
        place,
        value: Value::Quantity(reads.next().expect("a reading with its unit")),
        instrument: Some(tool.into()),
        on: None,
    });
}
