//! The train of an order: each name found among the locomotives or the cars, or said to be missing.

use std::collections::BTreeMap;

use gradeworthy_standards::Scale;
use gradeworthy_train::consist::{Locomotive, TrainOrder};
use gradeworthy_train::vehicle::{Class, Train, TrainError, Vehicle, VehicleError};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, Inspection};
use gradeworthy_workbench::record::{Check, Record};
use gradeworthy_workbench::rules::RuleBook;

use super::cars::{CarCard, card};

/// What trains are made of.
#[derive(Clone, Copy, Debug)]
pub struct Stock<'a> {
    /// Cars with the bench's judgement of each; at least those of the train.
    pub cars: &'a [(Record, Inspection)],
    /// Every mark on the sheet, to say which one may have been meant.
    pub marks: &'a [String],
    /// Locomotives.
    pub power: &'a [Locomotive],
    /// The rule book.
    pub book: &'a RuleBook,
    /// Gauge of the line, m, where known.
    pub gauge_m: Option<f64>,
}

/// A vehicle of the train, as people know it.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// Mark or name.
    pub name: String,
    /// Its number among its kind from the head, from 1.
    pub number: usize,
    /// What the record calls it; for a car.
    pub description: Option<String>,
    /// Whether it is a locomotive.
    pub is_power: bool,
    /// What the bench says of it, with the checks that say so; for a car.
    pub verdict: Option<(Verdict, Vec<Check>)>,
    /// What the rule book asks in return for letting it run; for a car that was excused.
    pub excused: Vec<String>,
}

/// A train joined to its records.
#[derive(Clone, Debug)]
pub struct Consist {
    /// The train as the hill reads it.
    pub train: Train,
    /// Its vehicles as people know them, head first.
    pub members: Vec<Member>,
}

impl Consist {
    /// How many cars there are, locomotives left out.
    #[must_use]
    pub fn car_count(&self) -> usize {
        self.members.iter().filter(|own| !own.is_power).count()
    }
}

/// Why a train cannot be made up.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum JoinError {
    /// Neither a car nor a locomotive.
    #[error(
        "line {line} of the train: '{name}' is neither a car of the sheet nor a locomotive of the \
         power file{near}; correct the name, or enter it"
    )]
    Unknown {
        /// Line of the train's file.
        line: usize,
        /// The name.
        name: String,
        /// A name like it, if there is one.
        near: String,
    },
    /// Both.
    #[error(
        "line {line} of the train: '{name}' is both a car of the sheet and a locomotive of the \
         power file; give the locomotive another name"
    )]
    Both {
        /// Line of the train's file.
        line: usize,
        /// The name.
        name: String,
    },
    /// A scale whose usual figures are not known here.
    #[error(
        "'{name}' is {scale}: what was not measured has usual figures here for HO and N only; run a \
         train of one of these"
    )]
    Scale {
        /// The car.
        name: String,
        /// Its scale.
        scale: Scale,
    },
    /// Cars of several scales in one train.
    #[error("'{name}' is {scale} in a train of {other}: a train has one scale")]
    Mixed {
        /// The car.
        name: String,
        /// Its scale.
        scale: Scale,
        /// That of the cars before it.
        other: Scale,
    },
    /// A number that cannot be.
    #[error(transparent)]
    Vehicle(#[from] VehicleError),
    /// No train at all.
    #[error(transparent)]
    Train(#[from] TrainError),
}

/// Everything that keeps a train from being made up.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct JoinErrors(pub Vec<JoinError>);

/// Makes the train of `order`.
///
/// # Errors
/// [`JoinErrors`] lists every name that is not there and every number that cannot be.
pub fn join(order: &TrainOrder, stock: Stock<'_>) -> Result<Consist, JoinErrors> {
    let cars: BTreeMap<&str, &(Record, Inspection)> = stock
        .cars
        .iter()
        .map(|car| (car.0.car.mark.as_str(), car))
        .collect();
    let mut scale = None;
    let mut errors = Vec::new();
    let mut found = Vec::new();
    for own in &order.members {
        let engine = stock.power.iter().find(|engine| engine.name == own.name);
        let car = cars.get(own.name.as_str()).copied();
        let (line, name) = (own.line, own.name.clone());
        match (engine, car) {
            (Some(_), Some(_)) => errors.push(JoinError::Both { line, name }),
            (None, None) => {
                let near = near(&own.name, stock);
                errors.push(JoinError::Unknown { line, name, near });
            }
            (engine, car) => {
                if let Some((record, _)) = car {
                    errors.extend(other_scale(record, &mut scale));
                }
                found.push((own, engine, car));
            }
        }
    }
    let (car_class, engine_class) = classes(scale);
    let (mut vehicles, mut members) = (Vec::new(), Vec::new());
    let (mut car_count, mut power_count) = (0, 0);
    for (own, engine, car) in found {
        let count = if engine.is_some() {
            &mut power_count
        } else {
            &mut car_count
        };
        *count += 1;
        let made = match (engine, car) {
            (Some(engine), _) => {
                members.push(power_member(engine, *count));
                engine.vehicle(engine_class)
            }
            (None, Some((record, inspection))) => {
                members.push(car_member(record, inspection, *count));
                let (book, reversed, gauge_m) = (stock.book, own.reversed, stock.gauge_m);
                let car = CarCard {
                    record,
                    inspection,
                    book,
                    reversed,
                    gauge_m,
                };
                card(car, car_class)
            }
            (None, None) => continue,
        };
        match made {
            Ok(vehicle) => vehicles.push(vehicle),
            Err(error) => errors.push(error.into()),
        }
    }
    if !errors.is_empty() {
        return Err(JoinErrors(errors));
    }
    match Train::new(vehicles) {
        Ok(train) => Ok(Consist { train, members }),
        Err(error) => Err(JoinErrors(vec![error.into()])),
    }
}

/// The locomotives of the power file that are not in the train, for advice on more power.
///
/// # Errors
/// [`VehicleError`] names the number that cannot be.
pub fn spare_power(order: &TrainOrder, stock: Stock<'_>) -> Result<Vec<Vehicle>, VehicleError> {
    let in_train = |name: &str| order.members.iter().any(|own| own.name == name);
    let cars = stock.cars.iter().map(|(record, _)| &record.car);
    let scale = cars
        .filter(|car| in_train(car.mark.as_str()))
        .map(|car| car.scale)
        .next();
    let (_, class) = classes(scale);
    let spare = stock.power.iter().filter(|own| !in_train(&own.name));
    spare.map(|own| own.vehicle(class)).collect()
}

/// The classes of cars and locomotives of a scale.
fn classes(scale: Option<Scale>) -> (Class, Class) {
    match scale {
        Some(Scale::N) => (Class::NCar, Class::NLocomotive),
        _ => (Class::HoCar, Class::HoLocomotive),
    }
}

fn other_scale(record: &Record, scale: &mut Option<Scale>) -> Option<JoinError> {
    let (name, own) = (record.car.mark.to_string(), record.car.scale);
    if !matches!(own, Scale::HO | Scale::N) {
        return Some(JoinError::Scale { name, scale: own });
    }
    match *scale.get_or_insert(own) {
        other if other == own => None,
        other => Some(JoinError::Mixed {
            name,
            scale: own,
            other,
        }),
    }
}

fn power_member(engine: &Locomotive, number: usize) -> Member {
    Member {
        name: engine.name.clone(),
        number,
        description: None,
        is_power: true,
        verdict: None,
        excused: Vec::new(),
    }
}

fn car_member(record: &Record, inspection: &Inspection, number: usize) -> Member {
    let worst = inspection.verdict;
    let says = |check: &Check| inspection.of(*check) == worst;
    Member {
        name: record.car.mark.to_string(),
        number,
        description: record.car.description.as_deref().map(str::to_owned),
        is_power: false,
        verdict: Some((worst, Check::ALL.into_iter().filter(says).collect())),
        excused: inspection
            .findings
            .iter()
            .filter(|finding| matches!(finding, Finding::Excused { .. }))
            .map(ToString::to_string)
            .collect(),
    }
}

/// ` (did you mean 'QVL 1003'?)`, where a name differs in one character or in order only.
fn near(name: &str, stock: Stock<'_>) -> String {
    let power = stock.power.iter().map(|own| &own.name);
    let mut likely = power
        .chain(stock.marks)
        .filter(|own| differ_little(own, name));
    likely
        .next()
        .map_or_else(String::new, |own| format!(" (did you mean '{own}'?)"))
}

fn differ_little(one: &str, other: &str) -> bool {
    let squeezed = |text: &str| text.replace([' ', '-'], "");
    if squeezed(one) == squeezed(other) {
        return true;
    }
    let (one, other): (Vec<_>, Vec<_>) = (one.chars().collect(), other.chars().collect());
    let same = |count: &usize| one.iter().zip(&other).filter(|(a, b)| a == b).count() >= *count;
    one.len() == other.len() && same(&(one.len() - 1))
}
