//! Counts of cars by class and latest reading, kept as readings are entered and struck.
//!
//! A car counts once for each measure and place: with its latest quantity that was not struck, under the
//! class (scale and type letters) that its row of `car_now` says.

use std::collections::BTreeSet;

use rusqlite::types::Value as Cell;
use rusqlite::{Connection, OptionalExtension, params};

use crate::{CarId, Error, Fact, spelling, sql};

/// What is read, and where, as the file spells it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Spot {
    measure: String,
    place: String,
}

/// Scale and type letters, empty where the type is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Class {
    scale: String,
    car_type: String,
}

/// Whose reading `fact` adds or strikes, if it does either.
pub(crate) fn spot(connection: &Connection, fact: &Fact) -> Result<Option<Spot>, Error> {
    match fact {
        Fact::Read(entry) => Ok(Some(Spot {
            measure: entry.measure.name().to_owned(),
            place: spelling::place(entry.place),
        })),
        Fact::Struck { struck, .. } => {
            let mut statement = connection.prepare_cached(sql::SPOT_OF_READING)?;
            let row = statement.query_row([struck], |row| {
                Ok(Spot {
                    measure: row.get(0)?,
                    place: row.get(1)?,
                })
            });
            Ok(row.optional()?)
        }
        _ => Ok(None),
    }
}

/// The amount with which the car counts there.
pub(crate) fn latest(
    connection: &Connection,
    car: CarId,
    spot: &Spot,
) -> Result<Option<Cell>, Error> {
    let mut statement = connection.prepare_cached(sql::LATEST_AMOUNT)?;
    let key = params![spot.measure, spot.place, car];
    Ok(statement.query_row(key, |row| row.get(0)).optional()?)
}

/// Counts the car anew where it counted with `before`.
pub(crate) fn follow(
    connection: &Connection,
    car: CarId,
    spot: &Spot,
    before: Option<&Cell>,
) -> Result<(), Error> {
    let after = latest(connection, car, spot)?;
    if after.as_ref() == before {
        return Ok(());
    }
    let class = class(connection, car)?;
    if let Some(amount) = before {
        count_out(connection, spot, &class, amount)?;
    }
    match after {
        Some(amount) => count_in(connection, spot, &class, &amount),
        None => Ok(()),
    }
}

/// The class of a car; none before the car has a row in `car_now`.
pub(crate) fn class(connection: &Connection, car: CarId) -> Result<Class, Error> {
    let mut statement = connection.prepare_cached(sql::CLASS_OF_CAR)?;
    Ok(statement.query_row([car], |row| {
        Ok(Class {
            scale: row.get(0)?,
            car_type: row.get(1)?,
        })
    })?)
}

/// Counts the car in its class of now, everywhere, where it counted in the class `before`.
pub(crate) fn reclass(connection: &Connection, car: CarId, before: &Class) -> Result<(), Error> {
    let after = class(connection, car)?;
    if after == *before {
        return Ok(());
    }
    let mut statement = connection.prepare_cached(sql::AMOUNTS_OF_CAR)?;
    let rows = statement.query_map([car], |row| {
        let spot = Spot {
            measure: row.get(0)?,
            place: row.get(1)?,
        };
        Ok((spot, row.get::<_, Cell>(2)?))
    })?;
    let mut seen = BTreeSet::new();
    for row in rows {
        let (spot, amount) = row?;
        if !seen.contains(&spot) {
            count_out(connection, &spot, before, &amount)?;
            count_in(connection, &spot, &after, &amount)?;
            seen.insert(spot);
        }
    }
    Ok(())
}

fn count_in(
    connection: &Connection,
    spot: &Spot,
    class: &Class,
    amount: &Cell,
) -> Result<(), Error> {
    let key = params![
        spot.measure,
        spot.place,
        class.scale,
        class.car_type,
        amount
    ];
    connection.prepare_cached(sql::COUNT_IN)?.execute(key)?;
    Ok(())
}

fn count_out(
    connection: &Connection,
    spot: &Spot,
    class: &Class,
    amount: &Cell,
) -> Result<(), Error> {
    let key = params![
        spot.measure,
        spot.place,
        class.scale,
        class.car_type,
        amount
    ];
    let last = connection
        .prepare_cached(sql::COUNT_OUT_LAST)?
        .execute(key)?;
    if last == 0 {
        connection.prepare_cached(sql::COUNT_OUT)?.execute(key)?;
    }
    Ok(())
}
