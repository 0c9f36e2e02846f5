//! Adding to the record of a car: who may, on what basis, whether it was sent before, and whether it
//! makes sense there. All of an entry is written or none of it.

mod permit;
mod sense;

use rusqlite::{Connection, params};

use crate::rows::{self, NewEvent, spread_now};
use crate::{
    Action, Append, Basis, CarEvent, CarId, ClientId, Conflict, Details, Error, Fact, NewCar,
    Ownership, Receipt, Seq, Version, sql,
};

pub(crate) use permit::{acting, require};

/// Enters a car with its marks, its owner and its description.
pub(crate) fn new_car(connection: &Connection, new: &NewCar) -> Result<Receipt, Error> {
    let facts = first_facts(new);
    if let Some(event) = rows::event_sent_as(connection, new.client_id)? {
        return again(connection, event.car, &facts);
    }
    require(connection, new.by, None, Action::EnterCar, None, &[])?;
    connection.prepare_cached(sql::INSERT_CAR)?.execute([])?;
    let car = CarId(connection.last_insert_rowid());
    let mut seqs = Vec::with_capacity(facts.len());
    for (client_id, fact) in &facts {
        sense::check(connection, car, new.by, fact)?;
        let (at, by) = (new.at, new.by);
        let event = NewEvent {
            car,
            at,
            by,
            second: None,
            client_id: *client_id,
            fact,
        };
        seqs.push(rows::insert(connection, &event)?);
    }
    rows::car_now::refresh(connection, car)?;
    receipt(connection, car, seqs, 0)
}

fn first_facts(new: &NewCar) -> [(ClientId, Fact); 3] {
    let car = new.car.clone();
    let ownership = Ownership {
        owner: car.owner,
        member: new.owner,
    };
    let details = Details {
        scale: car.scale,
        car_type: car.car_type,
        description: car.description,
        tags: car.tags,
        figures: car.figures,
    };
    [
        (new.client_id, Fact::Lettered(car.mark)),
        (new.client_id.derived("ownership"), Fact::Owned(ownership)),
        (
            new.client_id.derived("description"),
            Fact::Described(details.into()),
        ),
    ]
}

fn again(
    connection: &Connection,
    car: CarId,
    facts: &[(ClientId, Fact)],
) -> Result<Receipt, Error> {
    let mut seqs = Vec::with_capacity(facts.len());
    for (client_id, fact) in facts {
        match rows::event_sent_as(connection, *client_id)? {
            Some(event) if event.car == car && event.fact == *fact => seqs.push(event.seq),
            Some(_) | None => return Err(Error::ClientIdReused(*client_id)),
        }
    }
    receipt(connection, car, seqs, facts.len())
}

/// Adds facts to the record of a car.
pub(crate) fn append(
    connection: &Connection,
    order: &Append,
    photo: Option<&[u8]>,
) -> Result<Receipt, Error> {
    check_order(order)?;
    let current = rows::version(connection, order.car)?;
    let mut seqs = Vec::with_capacity(order.facts.len());
    let mut repeated = Vec::new();
    for (client_id, fact) in &order.facts {
        let sent = rows::event_sent_as(connection, *client_id)?;
        if let Some(event) = &sent {
            same(event, order, fact)?;
            repeated.push(*client_id);
        }
        seqs.push(sent.map(|event| event.seq));
    }
    if repeated.len() < order.facts.len() {
        check_basis(connection, order, current, &repeated)?;
        if let Some(bytes) = photo {
            keep_photo_bytes(connection, bytes)?;
        }
        for (seq, (client_id, fact)) in seqs.iter_mut().zip(&order.facts) {
            if seq.is_none() {
                *seq = Some(add(connection, order, *client_id, fact)?);
            }
        }
        if order.facts.iter().any(|(_, fact)| moves_standing(fact)) {
            let class = spread_now::class(connection, order.car)?;
            rows::car_now::refresh(connection, order.car)?;
            spread_now::reclass(connection, order.car, &class)?;
        }
    }
    drop_drafts(connection, order)?;
    receipt(
        connection,
        order.car,
        seqs.into_iter().flatten().collect(),
        repeated.len(),
    )
}

/// Adds facts to the records of many cars: the caller's savepoint makes it all or nothing.
pub(crate) fn append_all(
    connection: &Connection,
    orders: &[Append],
) -> Result<Vec<Receipt>, Error> {
    let each = |order: &Append| {
        append(connection, order, None).map_err(|error| match error {
            error if error.is_of_the_file() => error,
            cause => match rows::car_now::kept(connection, order.car) {
                Ok(Some(row)) => Error::OfCar {
                    mark: row.mark.as_str().into(),
                    cause: cause.into(),
                },
                // A car that is not there has no marks; the error names its number.
                Ok(None) => cause,
                Err(error) => error,
            },
        })
    };
    orders.iter().map(each).collect()
}

/// What is wrong with an entry whatever the record holds.
fn check_order(order: &Append) -> Result<(), Error> {
    if order.facts.is_empty() {
        return Err(Error::Empty { what: "the entry" });
    }
    if order.second == Some(order.by) {
        return Err(Error::SameName);
    }
    let mut seen = std::collections::BTreeSet::new();
    match order
        .facts
        .iter()
        .find(|(client_id, _)| !seen.insert(client_id))
    {
        Some((client_id, _)) => Err(Error::ClientIdReused(*client_id)),
        None => Ok(()),
    }
}

fn receipt(
    connection: &Connection,
    car: CarId,
    seqs: Vec<Seq>,
    repeated: usize,
) -> Result<Receipt, Error> {
    Ok(Receipt {
        car,
        version: rows::version(connection, car)?,
        seqs,
        repeated,
    })
}

fn same(event: &CarEvent, order: &Append, fact: &Fact) -> Result<(), Error> {
    if event.car == order.car && event.by == order.by && event.fact == as_kept(fact) {
        Ok(())
    } else {
        Err(Error::ClientIdReused(event.client_id))
    }
}

/// The fact as the file gives it back: times to the microsecond.
fn as_kept(fact: &Fact) -> Fact {
    let mut fact = fact.clone();
    if let Fact::Rested { not_before, .. } = &mut fact {
        *not_before = crate::spelling::kept(*not_before);
    }
    fact
}

fn check_basis(
    connection: &Connection,
    order: &Append,
    current: Version,
    repeated: &[ClientId],
) -> Result<(), Error> {
    match order.basis {
        Basis::Blind => {
            let needs = order.facts.iter().find(|(_, fact)| !fact.may_be_blind());
            needs.map_or(Ok(()), |(_, fact)| {
                Err(Error::VersionNeeded { kind: fact.kind() })
            })
        }
        Basis::Seen(seen) if seen == current => Ok(()),
        Basis::Seen(seen) => {
            let mut since = rows::events(connection, order.car, seen, None)?;
            since.retain(|event| !repeated.contains(&event.client_id));
            if since.is_empty() && seen < current {
                return Ok(());
            }
            let car = order.car;
            Err(Error::Conflict(Box::new(Conflict {
                car,
                seen,
                current,
                since,
            })))
        }
    }
}

fn add(
    connection: &Connection,
    order: &Append,
    client_id: ClientId,
    fact: &Fact,
) -> Result<Seq, Error> {
    let action = permit::action(connection, order, fact)?;
    let checks = permit::checks(fact);
    require(
        connection,
        order.by,
        order.second,
        action,
        Some(order.car),
        &checks,
    )?;
    sense::check(connection, order.car, order.by, fact)?;
    let event = NewEvent {
        car: order.car,
        at: order.at,
        by: order.by,
        second: order.second,
        client_id,
        fact,
    };
    let Some(spot) = spread_now::spot(connection, fact)? else {
        return rows::insert(connection, &event);
    };
    let before = spread_now::latest(connection, order.car, &spot)?;
    let seq = rows::insert(connection, &event)?;
    spread_now::follow(connection, order.car, &spot, before.as_ref())?;
    Ok(seq)
}

fn moves_standing(fact: &Fact) -> bool {
    match fact {
        Fact::Lettered(_)
        | Fact::Owned(_)
        | Fact::Described(_)
        | Fact::Struck { .. }
        | Fact::BadOrdered(_)
        | Fact::Merged { .. }
        | Fact::Rested { .. }
        | Fact::Waiting { .. }
        | Fact::WaitEnded { .. }
        | Fact::Asked { .. }
        | Fact::Consented { .. }
        | Fact::HandedBack { .. }
        | Fact::TakenIn { .. }
        | Fact::Released { .. } => true,
        Fact::Fitted(_)
        | Fact::Read(_)
        | Fact::Inspected(_)
        | Fact::Cured(_)
        | Fact::Noted(_)
        | Fact::Photographed(_) => false,
    }
}

fn keep_photo_bytes(connection: &Connection, bytes: &[u8]) -> Result<(), Error> {
    let sha256 = crate::member::sha256(bytes);
    let mut statement = connection.prepare_cached(sql::HAS_PHOTO_CONTENT)?;
    let there: bool = statement.query_row([sha256], |row| row.get(0))?;
    if !there {
        connection
            .prepare_cached(sql::INSERT_PHOTO_CONTENT)?
            .execute(params![sha256, bytes])?;
    }
    Ok(())
}

fn drop_drafts(connection: &Connection, order: &Append) -> Result<(), Error> {
    let Some((bench, fields)) = &order.drafts_done else {
        return Ok(());
    };
    for field in fields {
        let row = params![bench.as_str(), order.car, field];
        connection.prepare_cached(sql::DROP_DRAFT)?.execute(row)?;
    }
    Ok(())
}
