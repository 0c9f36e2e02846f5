//! The facts that are one short row each.

use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::CarMark;
use rusqlite::{Connection, ToSql, params};

use super::{known, one, timestamp};
use crate::{
    BadOrder, CureDone, Defect, Error, Fact, Fitting, Ownership, Part, Photo, PhotoType, Seq,
    WaitFor, Work, spelling, sql,
};

pub(super) fn insert(connection: &Connection, seq: Seq, fact: &Fact) -> Result<(), Error> {
    let put = |sql: &str, row: &[&dyn ToSql]| -> Result<(), Error> {
        connection.prepare_cached(sql)?.execute(row)?;
        Ok(())
    };
    match fact {
        Fact::Lettered(mark) => put(sql::INSERT_LETTERING, params![seq, mark.as_str()]),
        Fact::Owned(own) => put(sql::INSERT_OWNERSHIP, params![seq, own.owner, own.member]),
        Fact::Fitted(Fitting {
            part,
            place,
            description,
            lot,
        }) => put(
            sql::INSERT_FITTING,
            params![seq, part.name(), spelling::place(*place), description, lot],
        ),
        Fact::Cured(CureDone {
            cure,
            place,
            done_on,
            note,
        }) => {
            let done_on = done_on.map(|on| on.to_string());
            let row = params![seq, cure.name(), spelling::place(*place), done_on, note];
            put(sql::INSERT_CURE, row)
        }
        Fact::Noted(text) => put(sql::INSERT_NOTE, params![seq, text]),
        Fact::Consented {
            work,
            granted,
            word,
        } => put(
            sql::INSERT_CONSENT,
            params![seq, work.name(), granted, word],
        ),
        Fact::Asked { work, what } => put(sql::INSERT_ASK, params![seq, work.name(), what]),
        Fact::Struck { struck, why } => put(sql::INSERT_STRIKE, params![seq, struck, why]),
        Fact::BadOrdered(BadOrder {
            defect,
            place,
            note,
        }) => put(
            sql::INSERT_BAD_ORDER,
            params![seq, defect.name(), spelling::place(*place), note],
        ),
        Fact::Merged { duplicate, into } => put(sql::INSERT_MERGE, params![seq, duplicate, into]),
        Fact::Rested { not_before, why } => put(
            sql::INSERT_REST,
            params![seq, spelling::at_us(*not_before), why],
        ),
        Fact::Waiting { wait_for, what } => {
            put(sql::INSERT_WAIT, params![seq, wait_for.name(), what])
        }
        Fact::WaitEnded { wait, note } => put(sql::INSERT_WAIT_END, params![seq, wait, note]),
        Fact::HandedBack { why } => put(sql::INSERT_HANDING_BACK, params![seq, why]),
        Fact::TakenIn { why } => put(sql::INSERT_TAKING_IN, params![seq, why]),
        Fact::Released { restriction, note } => {
            put(sql::INSERT_RELEASE, params![seq, restriction, note])
        }
        Fact::Photographed(Photo {
            sha256,
            media_type,
            width_px,
            height_px,
            caption,
        }) => put(
            sql::INSERT_PHOTO,
            params![seq, sha256, media_type.name(), width_px, height_px, caption],
        ),
        Fact::Read(_) | Fact::Described(_) | Fact::Inspected(_) => Ok(()),
    }
}

pub(super) fn load(connection: &Connection, seq: Seq, kind: &str) -> Result<Fact, Error> {
    match kind {
        "lettering" => {
            let mark: String = one(connection, sql::LETTERING, seq, |row| row.get(0))?;
            let own = CarMark::new(&mark).ok();
            known(own, "lettering", seq, mark, "car's name").map(Fact::Lettered)
        }
        "ownership" => one(connection, sql::OWNERSHIP, seq, |row| {
            Ok(Fact::Owned(Ownership {
                owner: row.get(0)?,
                member: row.get(1)?,
            }))
        }),
        "fitting" => fitting(connection, seq),
        "cure" => cure(connection, seq),
        "note" => one(connection, sql::NOTE, seq, |row| row.get(0)).map(Fact::Noted),
        "consent" => {
            let (work, granted, word): (String, _, _) =
                one(connection, sql::CONSENT, seq, |row| {
                    Ok((row.get(0)?, row.get(1)?, row.get(2)?))
                })?;
            let work = known(Work::from_name(&work), "consent", seq, work, "kind of work")?;
            Ok(Fact::Consented {
                work,
                granted,
                word,
            })
        }
        "ask" => {
            let (work, what) = pair::<String, _>(connection, sql::ASK, seq)?;
            let work = known(Work::from_name(&work), "ask", seq, work, "kind of work")?;
            Ok(Fact::Asked { work, what })
        }
        "strike" => {
            let (struck, why) = pair(connection, sql::STRIKE, seq)?;
            Ok(Fact::Struck { struck, why })
        }
        "bad order" => bad_order(connection, seq),
        "merge" => {
            let (duplicate, into) = pair(connection, sql::MERGE, seq)?;
            Ok(Fact::Merged { duplicate, into })
        }
        "photo" => photo(connection, seq),
        kind => load_hold(connection, seq, kind),
    }
}

fn load_hold(connection: &Connection, seq: Seq, kind: &str) -> Result<Fact, Error> {
    match kind {
        "rest" => {
            let (not_before_us, why) = pair(connection, sql::REST, seq)?;
            Ok(Fact::Rested {
                not_before: timestamp("rest", seq, not_before_us)?,
                why,
            })
        }
        "wait" => {
            let (wait_for, what) = pair::<String, _>(connection, sql::WAIT, seq)?;
            let own = WaitFor::from_name(&wait_for);
            Ok(Fact::Waiting {
                wait_for: known(own, "wait", seq, wait_for, "reason to wait")?,
                what,
            })
        }
        "wait end" => {
            let (wait, note) = pair(connection, sql::WAIT_END, seq)?;
            Ok(Fact::WaitEnded { wait, note })
        }
        "handing back" => Ok(Fact::HandedBack {
            why: one(connection, sql::HANDING_BACK, seq, |row| row.get(0))?,
        }),
        "taking in" => Ok(Fact::TakenIn {
            why: one(connection, sql::TAKING_IN, seq, |row| row.get(0))?,
        }),
        "release" => {
            let (restriction, note) = pair(connection, sql::RELEASE, seq)?;
            Ok(Fact::Released { restriction, note })
        }
        kind => known(None, "event", seq, kind, "kind of event"),
    }
}

fn pair<A: rusqlite::types::FromSql, B: rusqlite::types::FromSql>(
    connection: &Connection,
    sql: &str,
    seq: Seq,
) -> Result<(A, B), Error> {
    one(connection, sql, seq, |row| Ok((row.get(0)?, row.get(1)?)))
}

fn fitting(connection: &Connection, seq: Seq) -> Result<Fact, Error> {
    let (part, place, description, lot): (String, String, _, _) =
        one(connection, sql::FITTING, seq, |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })?;
    Ok(Fact::Fitted(Fitting {
        part: known(Part::from_name(&part), "fitting", seq, part, "part")?,
        place: known(spelling::read_place(&place), "fitting", seq, place, "place")?,
        description,
        lot,
    }))
}

fn cure(connection: &Connection, seq: Seq) -> Result<Fact, Error> {
    let (cure, place, done_on, note): (String, String, Option<String>, _) =
        one(connection, sql::CURE, seq, |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })?;
    let done_on = done_on.map(|text| known(text.parse().ok(), "cure", seq, text, "date"));
    Ok(Fact::Cured(CureDone {
        cure: known(CureKind::from_name(&cure), "cure", seq, cure, "cure")?,
        place: known(spelling::read_place(&place), "cure", seq, place, "place")?,
        done_on: done_on.transpose()?,
        note,
    }))
}

fn bad_order(connection: &Connection, seq: Seq) -> Result<Fact, Error> {
    let (defect, place, note): (String, String, _) = one(connection, sql::BAD_ORDER, seq, |row| {
        Ok((row.get(0)?, row.get(1)?, row.get(2)?))
    })?;
    Ok(Fact::BadOrdered(BadOrder {
        defect: known(
            Defect::from_name(&defect),
            "bad_order",
            seq,
            defect,
            "defect",
        )?,
        place: known(
            spelling::read_place(&place),
            "bad_order",
            seq,
            place,
            "place",
        )?,
        note,
    }))
}

fn photo(connection: &Connection, seq: Seq) -> Result<Fact, Error> {
    let (sha256, media_type, width_px, height_px, caption): (_, String, _, _, _) =
        one(connection, sql::PHOTO, seq, |row| {
            Ok((
                row.get(0)?,
                row.get(1)?,
                row.get(2)?,
                row.get(3)?,
                row.get(4)?,
            ))
        })?;
    let media_type = known(
        PhotoType::from_name(&media_type),
        "photo",
        seq,
        media_type,
        "kind of picture",
    )?;
    Ok(Fact::Photographed(Photo {
        sha256,
        media_type,
        width_px,
        height_px,
        caption,
    }))
}
