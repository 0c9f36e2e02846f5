//! Whether a fact makes sense in the record of its car: what it points at is there and open, its words
//! say something, its sizes are within what is kept.

use rusqlite::{Connection, OptionalExtension, params};

use crate::rows::car_now;
use crate::{
    CarId, Error, Fact, MemberId, Ownership, Photo, RecordedInspection, Seq, Version, Work, member,
    sql,
};

/// The longest text kept with a fact, in bytes. ASSUMED: two printed pages; a longer one is a document.
const TEXT_MOST: usize = 8_000;
/// The most photographs of a car. ASSUMED: with 1 MiB each, five thousand cars with four each make
/// 20 GiB; a club that wants more raises it and buys a disk.
const PHOTOS_MOST: usize = 60;

pub(super) fn check(
    connection: &Connection,
    car: CarId,
    by: MemberId,
    fact: &Fact,
) -> Result<(), Error> {
    for text in texts(fact) {
        if text.len() > TEXT_MOST {
            return Err(Error::TooLarge {
                what: "the text",
                found: text.len(),
                most: TEXT_MOST,
            });
        }
    }
    match fact {
        Fact::Noted(text) => said("the note", text),
        Fact::Asked { what, .. } => said("what the owner is asked", what),
        Fact::Consented { word, .. } => word_of_mouth(connection, car, by, word),
        Fact::Cured(done) => not_refused(connection, car, Work::of(done.cure)),
        Fact::Fitted(fitting) => not_refused(connection, car, Work::of_part(fitting.part)),
        Fact::Waiting { what, .. } => said("what is waited for", what),
        Fact::HandedBack { why } => said("the reason for handing back", why),
        Fact::Released {
            restriction: Some(restriction),
            ..
        } => said("the restriction", restriction),
        Fact::Inspected(inspection) => {
            unmixed(inspection)?;
            edition(connection, inspection.edition)?;
            read_to(connection, car, inspection.read_to)
        }
        Fact::Struck { struck, why } => {
            said("the reason for striking", why)?;
            strike(connection, car, *struck)
        }
        Fact::Merged { duplicate, into } => merge(connection, car, *duplicate, *into),
        Fact::WaitEnded { wait, .. } => {
            let now = car_now::fold(connection, car)?;
            if now.open_waits().any(|open| open.seq == *wait) {
                Ok(())
            } else {
                Err(Error::UnknownEvent {
                    seq: *wait,
                    car,
                    expected: "open wait",
                })
            }
        }
        Fact::Photographed(photo) => photographed(connection, car, photo),
        Fact::Owned(Ownership {
            member: Some(member),
            ..
        }) => {
            // One who has left may still own a car.
            let known = member::load(connection, *member)?;
            known.map(|_| ()).ok_or(Error::UnknownMember(*member))
        }
        Fact::Lettered(_)
        | Fact::Owned(Ownership { member: None, .. })
        | Fact::Described(_)
        | Fact::Read(_)
        | Fact::BadOrdered(_)
        | Fact::Rested { .. }
        | Fact::TakenIn { .. }
        | Fact::Released {
            restriction: None, ..
        } => Ok(()),
    }
}

fn texts(fact: &Fact) -> Vec<&str> {
    match fact {
        Fact::Noted(text) | Fact::HandedBack { why: text } | Fact::TakenIn { why: text } => {
            vec![text]
        }
        Fact::Struck { why, .. } | Fact::Rested { why, .. } => vec![why],
        Fact::Waiting { what, .. } | Fact::Asked { what, .. } => vec![what],
        Fact::Consented { word, .. } => vec![word],
        Fact::WaitEnded { note, .. } => vec![note],
        Fact::Released { restriction, note } => restriction
            .iter()
            .map(AsRef::as_ref)
            .chain([note.as_ref()])
            .collect(),
        Fact::Cured(cure) => vec![&cure.note],
        Fact::BadOrdered(report) => vec![&report.note],
        Fact::Photographed(photo) => vec![&photo.caption],
        Fact::Fitted(fitting) => vec![&fitting.description],
        Fact::Owned(ownership) => ownership.owner.iter().map(AsRef::as_ref).collect(),
        Fact::Described(details) => details.description.iter().map(AsRef::as_ref).collect(),
        Fact::Lettered(_) | Fact::Read(_) | Fact::Inspected(_) | Fact::Merged { .. } => Vec::new(),
    }
}

fn said(what: &'static str, text: &str) -> Result<(), Error> {
    if text.trim().is_empty() {
        Err(Error::Empty { what })
    } else {
        Ok(())
    }
}

/// An owner speaks for himself; whoever enters his word for him says who gave it.
fn word_of_mouth(
    connection: &Connection,
    car: CarId,
    by: MemberId,
    word: &str,
) -> Result<(), Error> {
    let owner = car_now::kept(connection, car)?.and_then(|row| row.owner_member);
    if owner == Some(by) {
        return Ok(());
    }
    said("who gave the owner's word, and how,", word)
}

/// Work that the owner has refused is not recorded as done before he has been asked again.
fn not_refused(connection: &Connection, car: CarId, work: Work) -> Result<(), Error> {
    let words = crate::history::consents(connection, car)?;
    if words.contains(&(work, false)) {
        return Err(Error::OwnerRefuses { work });
    }
    Ok(())
}

/// A line keeps one dimension for all its amounts.
fn unmixed(inspection: &RecordedInspection) -> Result<(), Error> {
    for line in &inspection.lines {
        let amounts = [line.reading, line.lower, line.upper, line.margin];
        let mut dimensions = amounts.iter().flatten().map(|amount| amount.dimension());
        let first = dimensions.next();
        if dimensions.any(|dimension| Some(dimension) != first) {
            return Err(Error::MixedLine {
                aspect: line.aspect.clone(),
            });
        }
    }
    Ok(())
}

fn edition(connection: &Connection, edition: u32) -> Result<(), Error> {
    let mut statement = connection.prepare_cached(sql::HAS_EDITION)?;
    let there: bool = statement.query_row([edition], |row| row.get(0))?;
    if there {
        Ok(())
    } else {
        Err(Error::UnknownEdition(edition))
    }
}

fn read_to(connection: &Connection, car: CarId, version: Version) -> Result<(), Error> {
    event(connection, car, Seq(version.0), "event").map(|_| ())
}

/// Kind of an event of this car, and whether it was struck.
fn event(
    connection: &Connection,
    car: CarId,
    seq: Seq,
    expected: &'static str,
) -> Result<(String, bool), Error> {
    let mut statement = connection.prepare_cached(sql::KIND_OF_EVENT)?;
    let row = statement.query_row(params![seq, car], |row| Ok((row.get(0)?, row.get(2)?)));
    row.optional()?
        .ok_or(Error::UnknownEvent { seq, car, expected })
}

fn strike(connection: &Connection, car: CarId, seq: Seq) -> Result<(), Error> {
    let (kind, struck) = event(connection, car, seq, "event")?;
    if struck {
        return Err(Error::CannotStrike {
            seq,
            why: "it was struck before",
        });
    }
    match kind.as_str() {
        "strike" => Err(Error::CannotStrike {
            seq,
            why: "it is a strike itself; enter the fact again",
        }),
        "lettering" | "description" => {
            let mut statement = connection.prepare_cached(sql::LIVE_OF_KIND)?;
            let live: i64 = statement.query_row(params![car, kind], |row| row.get(0))?;
            if live > 1 {
                return Ok(());
            }
            let why = "the car would have no name or no description; enter the right one first";
            Err(Error::CannotStrike { seq, why })
        }
        _ => Ok(()),
    }
}

fn merge(connection: &Connection, car: CarId, duplicate: Seq, into: Seq) -> Result<(), Error> {
    let now = car_now::fold(connection, car)?;
    let open = |seq| now.open_reports().iter().any(|report| report.0 == seq);
    let expected = "open report of bad order";
    if !open(duplicate) || duplicate == into {
        return Err(Error::UnknownEvent {
            seq: duplicate,
            car,
            expected,
        });
    }
    if open(into) {
        Ok(())
    } else {
        Err(Error::UnknownEvent {
            seq: into,
            car,
            expected,
        })
    }
}

fn photographed(connection: &Connection, car: CarId, photo: &Photo) -> Result<(), Error> {
    let mut statement = connection.prepare_cached(sql::HAS_PHOTO_CONTENT)?;
    let there: bool = statement.query_row([photo.sha256], |row| row.get(0))?;
    if !there {
        return Err(Error::NoPhotoBytes);
    }
    let mut statement = connection.prepare_cached(sql::PHOTO_COUNT)?;
    let count: i64 = statement.query_row([car], |row| row.get(0))?;
    let found = usize::try_from(count).unwrap_or(usize::MAX);
    if found >= PHOTOS_MOST {
        let what = "the number of photographs of the car";
        return Err(Error::TooLarge {
            what,
            found: found + 1,
            most: PHOTOS_MOST,
        });
    }
    Ok(())
}
