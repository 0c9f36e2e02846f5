//! How places, amounts, units and days are spelt in the file: short, exact, and read back to the same
//! value or to an error that says what stood there.

use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Angle, Dimension, Force, Grade, Length, Mass, Time, Unit};
use gradeworthy_workbench::record::{Answer, End, Place, Side};
use jiff::Timestamp;
use rusqlite::types::Value;

/// `car`, `axle 2`, `station 2 1`, `wheel 2 left`, `end A`, `turn A left`, `side left`, `gate 1 2`,
/// `run 1`, `item 3`.
pub(crate) fn place(place: Place) -> String {
    match place {
        Place::Car => "car".to_owned(),
        Place::Axle(axle) => format!("axle {axle}"),
        Place::Station(axle, station) => format!("station {axle} {station}"),
        Place::Wheel(axle, side) => format!("wheel {axle} {side}"),
        Place::End(end) => format!("end {end}"),
        Place::Turn(end, side) => format!("turn {end} {side}"),
        Place::Side(side) => format!("side {side}"),
        Place::Gate(run, gate) => format!("gate {run} {gate}"),
        Place::Run(run) => format!("run {run}"),
        Place::Item(item) => format!("item {item}"),
    }
}

pub(crate) fn read_place(text: &str) -> Option<Place> {
    let words: Vec<_> = text.split(' ').collect();
    Some(match *words.as_slice() {
        ["car"] => Place::Car,
        ["axle", axle] => Place::Axle(axle.parse().ok()?),
        ["station", axle, station] => Place::Station(axle.parse().ok()?, station.parse().ok()?),
        ["wheel", axle, side] => Place::Wheel(axle.parse().ok()?, read_side(side)?),
        ["end", end] => Place::End(read_end(end)?),
        ["turn", end, side] => Place::Turn(read_end(end)?, read_side(side)?),
        ["side", side] => Place::Side(read_side(side)?),
        ["gate", run, gate] => Place::Gate(run.parse().ok()?, gate.parse().ok()?),
        ["run", run] => Place::Run(run.parse().ok()?),
        ["item", item] => Place::Item(item.parse().ok()?),
        _ => return None,
    })
}

pub(crate) fn read_end(text: &str) -> Option<End> {
    End::BOTH.into_iter().find(|end| end.to_string() == text)
}

fn read_side(text: &str) -> Option<Side> {
    Side::BOTH.into_iter().find(|side| side.to_string() == text)
}

pub(crate) fn read_scale(text: &str) -> Option<Scale> {
    Scale::all().find(|scale| scale.name() == text)
}

pub(crate) fn read_unit(symbol: &str) -> Option<Unit> {
    Unit::all().find(|unit| unit.symbol() == symbol)
}

pub(crate) fn read_answer(text: &str) -> Option<Answer> {
    [Answer::Good, Answer::Fair, Answer::Poor]
        .into_iter()
        .find(|own| own.to_string() == text)
}

const DIMENSIONS: [Dimension; 6] = [
    Dimension::Length,
    Dimension::Mass,
    Dimension::Angle,
    Dimension::Grade,
    Dimension::Time,
    Dimension::Force,
];

pub(crate) fn read_dimension(text: &str) -> Option<Dimension> {
    DIMENSIONS.into_iter().find(|own| own.to_string() == text)
}

/// Whole nanometres or femtograms, else an SI number; see [`mass`] for masses beyond 9 kg.
pub(crate) fn amount(amount: Amount) -> Value {
    match amount {
        Amount::Length(length) => Value::Integer(length.nanometres()),
        Amount::Mass(own) => mass(own),
        Amount::Angle(angle) => Value::Real(angle.radians()),
        Amount::Grade(grade) => Value::Real(grade.ratio()),
        Amount::Time(time) => Value::Real(time.seconds()),
        Amount::Force(force) => Value::Real(force.newtons()),
    }
}

pub(crate) fn read_amount(dimension: Dimension, value: &Value) -> Option<Amount> {
    let number = match value {
        Value::Real(number) => Some(*number),
        _ => None,
    };
    Some(match (dimension, value) {
        (Dimension::Length, Value::Integer(nanometres)) => {
            Length::from_nanometres(*nanometres).into()
        }
        (Dimension::Mass, _) => read_mass(value)?.into(),
        (Dimension::Angle, _) => Angle::from_radians(number?).ok()?.into(),
        (Dimension::Grade, _) => Grade::from_ratio(number?).ok()?.into(),
        (Dimension::Time, _) => Time::from_seconds(number?).ok()?.into(),
        (Dimension::Force, _) => Force::from_newtons(number?).ok()?.into(),
        (Dimension::Length, _) => return None,
    })
}

/// Whole femtograms; as text where they pass 64 bits.
pub(crate) fn mass(mass: Mass) -> Value {
    i64::try_from(mass.femtograms()).map_or_else(
        |_| Value::Text(mass.femtograms().to_string()),
        Value::Integer,
    )
}

pub(crate) fn read_mass(value: &Value) -> Option<Mass> {
    match value {
        Value::Integer(femtograms) => Some(Mass::from_femtograms(i128::from(*femtograms))),
        Value::Text(femtograms) => femtograms.parse().ok().map(Mass::from_femtograms),
        Value::Null | Value::Real(_) | Value::Blob(_) => None,
    }
}

/// Microseconds since 1970; anything finer is cut off.
pub(crate) fn at_us(at: Timestamp) -> i64 {
    at.as_microsecond()
}

/// The time as the record keeps it.
pub(crate) fn kept(at: Timestamp) -> Timestamp {
    Timestamp::from_microsecond(at.as_microsecond()).unwrap_or(at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn places() -> Vec<Place> {
        let mut places = vec![
            Place::Car,
            Place::Axle(255),
            Place::Station(1, 3),
            Place::Run(0),
        ];
        places.extend([Place::Gate(2, 9), Place::Item(17)]);
        for side in Side::BOTH {
            places.extend([Place::Wheel(4, side), Place::Side(side)]);
            places.extend(End::BOTH.map(|end| Place::Turn(end, side)));
        }
        places.extend(End::BOTH.map(Place::End));
        places
    }

    #[test]
    fn every_place_reads_back_and_no_two_are_spelt_alike() {
        let mut seen = std::collections::BTreeSet::new();
        for own in places() {
            assert_eq!(read_place(&place(own)), Some(own));
            assert!(seen.insert(place(own)));
        }
        assert_eq!(read_place("wheel 2"), None);
        assert_eq!(read_place("axle 256"), None);
    }

    #[test]
    fn every_unit_scale_dimension_and_answer_reads_back() {
        for unit in Unit::all() {
            assert_eq!(read_unit(unit.symbol()), Some(unit));
            assert_eq!(
                read_dimension(&unit.dimension().to_string()),
                Some(unit.dimension())
            );
        }
        for scale in Scale::all() {
            assert_eq!(read_scale(scale.name()), Some(scale));
        }
        for answer in [Answer::Good, Answer::Fair, Answer::Poor] {
            assert_eq!(read_answer(&answer.to_string()), Some(answer));
        }
    }

    proptest! {
        #[test]
        fn every_amount_reads_back_exactly(
            whole in any::<i64>(), wide in -i128::MAX / 2..i128::MAX / 2, number in -1e12..1e12_f64,
        ) {
            let finite = |amount: Result<Amount, gradeworthy_units::NotFinite>| amount.expect("finite");
            let amounts = [
                Amount::Length(Length::from_nanometres(whole)),
                Amount::Mass(Mass::from_femtograms(wide)),
                Amount::Mass(Mass::from_femtograms(i128::from(whole))),
                finite(Angle::from_radians(number).map(Into::into)),
                finite(Grade::from_ratio(number).map(Into::into)),
                finite(Time::from_seconds(number).map(Into::into)),
                finite(Force::from_newtons(number).map(Into::into)),
            ];
            for own in amounts {
                prop_assert_eq!(read_amount(own.dimension(), &amount(own)), Some(own));
            }
        }
    }
}
