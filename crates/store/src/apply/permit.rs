//! Whether a member may do what he asks: his role, his sign-off, his second name, his own cars.

use gradeworthy_workbench::record::Check;
use rusqlite::{Connection, OptionalExtension, params};

use crate::member::{self, Member};
use crate::{Action, Append, CarId, Error, Fact, MemberId, Permission, Seq, WaitFor, rows, sql};

/// What an entry of `fact` is an instance of.
pub(super) fn action(
    connection: &Connection,
    order: &Append,
    fact: &Fact,
) -> Result<Action, Error> {
    Ok(match fact {
        Fact::Lettered(_) | Fact::Owned(_) | Fact::Described(_) | Fact::Fitted(_) => {
            Action::ChangeCar
        }
        Fact::Read(_) => Action::EnterReading,
        Fact::Inspected(_) => Action::Inspect,
        Fact::Cured(_) => Action::RecordCure,
        Fact::Noted(_) => Action::Note,
        Fact::Consented { .. } => Action::Consent,
        Fact::Struck { struck, .. } => {
            let mut statement = connection.prepare_cached(sql::KIND_OF_EVENT)?;
            let author = statement
                .query_row(params![struck, order.car], |row| row.get::<_, MemberId>(1))
                .optional()?;
            if author == Some(order.by) {
                Action::StrikeOwn
            } else {
                Action::StrikeOther
            }
        }
        Fact::BadOrdered(_) => Action::BadOrder,
        Fact::Merged { .. } => Action::MergeReports,
        Fact::Rested { .. } | Fact::Waiting { .. } | Fact::Asked { .. } => Action::Hold,
        Fact::WaitEnded { wait, .. } => ends_wait(connection, order, *wait)?,
        Fact::HandedBack { .. } | Fact::TakenIn { .. } => Action::Hand,
        Fact::Released { .. } => Action::Release,
        Fact::Photographed(_) => Action::AddPhoto,
    })
}

/// Ending a wait is the shop's, and answering what he was asked the owner's, too.
fn ends_wait(connection: &Connection, order: &Append, wait: Seq) -> Result<Action, Error> {
    let role = acting(connection, order.by)?.role;
    if role.may(Action::Hold) != Permission::No {
        return Ok(Action::Hold);
    }
    let waits = rows::car_now::fold(connection, order.car)?;
    let his = waits
        .open_waits()
        .any(|open| open.seq == wait && open.wait_for == WaitFor::Owner);
    Ok(if his { Action::Consent } else { Action::Hold })
}

/// The checks that a sign-off is needed for.
pub(super) fn checks(fact: &Fact) -> Vec<Check> {
    match fact {
        Fact::Inspected(inspection) => inspection.made().collect(),
        _ => Vec::new(),
    }
}

/// Refuses unless the member may do it, alone or with his second name.
pub(crate) fn require(
    connection: &Connection,
    by: MemberId,
    second: Option<MemberId>,
    action: Action,
    car: Option<CarId>,
    checks: &[Check],
) -> Result<(), Error> {
    let actor = acting(connection, by)?;
    let second = second
        .map(|second| acting(connection, second))
        .transpose()?;
    let refused = |with_second| Error::NotAllowed {
        role: actor.role,
        action,
        with_second,
    };
    match actor.role.may(action) {
        Permission::Yes => Ok(()),
        Permission::No => Err(refused(false)),
        Permission::OwnCars => {
            let owner = match car {
                Some(car) => rows::car_now::kept(connection, car)?.and_then(|row| row.owner_member),
                None => None,
            };
            if owner == Some(by) {
                Ok(())
            } else {
                Err(refused(false))
            }
        }
        Permission::WithSecond => match &second {
            Some(second) if second.id != by => vouches(connection, second, action, checks)
                .and_then(|vouches| if vouches { Ok(()) } else { Err(refused(true)) }),
            Some(_) | None => Err(refused(true)),
        },
        Permission::SignedOff => {
            let Some(check) = first_without(connection, by, checks)? else {
                return Ok(());
            };
            match &second {
                Some(second) if second.id != by && vouches(connection, second, action, checks)? => {
                    Ok(())
                }
                Some(_) | None => Err(Error::NotSignedOff { check }),
            }
        }
    }
}

/// The member, if he is one still.
pub(crate) fn acting(connection: &Connection, member: MemberId) -> Result<Member, Error> {
    match member::load(connection, member)? {
        Some(own) if own.active => Ok(own),
        Some(_) | None => Err(Error::UnknownMember(member)),
    }
}

fn vouches(
    connection: &Connection,
    second: &Member,
    action: Action,
    checks: &[Check],
) -> Result<bool, Error> {
    match second.role.may(action) {
        Permission::Yes => Ok(true),
        Permission::SignedOff => Ok(first_without(connection, second.id, checks)?.is_none()),
        Permission::WithSecond | Permission::OwnCars | Permission::No => Ok(false),
    }
}

/// The first of `checks` that the member is not signed off for.
fn first_without(
    connection: &Connection,
    member: MemberId,
    checks: &[Check],
) -> Result<Option<Check>, Error> {
    let signed_off = member::signed_off(connection, member)?;
    Ok(checks
        .iter()
        .copied()
        .find(|check| !signed_off.contains(check)))
}
