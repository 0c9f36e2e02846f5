//! Changes of members and rules. Each leaves its row in the audit trail.

use gradeworthy_workbench::rules::RuleBook;
use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, params};

use crate::member::{Member, audit, load};
use crate::paper;
use crate::{
    Action, CarId, ClubAct, ClubCommand, Error, MemberId, Role, TokenHash, apply, spelling, sql,
};

/// Carries a change out; gives the member that was added, if one was.
pub(crate) fn carry_out(
    connection: &Connection,
    command: &ClubCommand,
) -> Result<Option<MemberId>, Error> {
    if let ClubAct::AddMember {
        name,
        role,
        token,
        expires,
    } = &command.act
    {
        let by = adder(connection, command.by, *role)?;
        return add(
            connection,
            by,
            command.at,
            &New {
                name,
                role: *role,
                token,
                expires: *expires,
            },
        )
        .map(Some);
    }
    let by = command.by.ok_or(Error::UnknownMember(MemberId(0)))?;
    let action = match &command.act {
        ClubAct::AddRuleBook { .. }
        | ClubAct::KeepLabelSheet(_)
        | ClubAct::DropLabelSheet { .. }
        | ClubAct::SetServerAddress { .. } => Action::EditRules,
        ClubAct::SetWanted { .. } => Action::SetWanted,
        ClubAct::AddMember { .. }
        | ClubAct::Rename { .. }
        | ClubAct::SetRole { .. }
        | ClubAct::SetActive { .. }
        | ClubAct::IssueToken { .. }
        | ClubAct::SignOff { .. }
        | ClubAct::Unlock { .. }
        | ClubAct::EndSessions { .. } => Action::ManageMembers,
    };
    apply::require(connection, by, None, action, None, &[])?;
    match &command.act {
        ClubAct::AddRuleBook { text } => add_rule_book(connection, by, command.at, text)?,
        ClubAct::SetWanted { cars, needed_at } => set_wanted(connection, cars, *needed_at)?,
        ClubAct::KeepLabelSheet(sheet) => {
            paper::keep_label_sheet(connection, sheet)?;
            audit(
                connection,
                command.at,
                by,
                None,
                "label sheet kept",
                sheet.name.trim(),
            )?;
        }
        ClubAct::DropLabelSheet { name } => {
            paper::drop_label_sheet(connection, name)?;
            audit(
                connection,
                command.at,
                by,
                None,
                "label sheet dropped",
                name,
            )?;
        }
        ClubAct::SetServerAddress { address } => {
            paper::set_address(connection, address)?;
            audit(
                connection,
                command.at,
                by,
                None,
                "server address set",
                address,
            )?;
        }
        act => change_member(connection, by, command.at, act)?,
    }
    Ok(None)
}

/// Who adds a member: nobody only where there is none yet, and then he must be a lead.
fn adder(
    connection: &Connection,
    by: Option<MemberId>,
    role: Role,
) -> Result<Option<MemberId>, Error> {
    if let Some(by) = by {
        apply::require(connection, by, None, Action::ManageMembers, None, &[])?;
        return Ok(Some(by));
    }
    let count: i64 = connection
        .prepare_cached(sql::MEMBER_COUNT)?
        .query_row([], |row| row.get(0))?;
    if count == 0 && role == Role::Lead {
        return Ok(None);
    }
    Err(Error::NotAllowed {
        role,
        action: Action::ManageMembers,
        with_second: false,
    })
}

struct New<'a> {
    name: &'a str,
    role: Role,
    token: &'a TokenHash,
    expires: Timestamp,
}

fn add(
    connection: &Connection,
    by: Option<MemberId>,
    at: Timestamp,
    new: &New<'_>,
) -> Result<MemberId, Error> {
    let name = free_name(connection, None, new.name)?;
    connection
        .prepare_cached(sql::INSERT_MEMBER)?
        .execute(params![name, new.role.name()])?;
    let member = MemberId(connection.last_insert_rowid());
    let by = by.unwrap_or(member);
    audit(
        connection,
        at,
        by,
        Some(member),
        "member added",
        new.role.name(),
    )?;
    issue(connection, by, at, member, new.token, new.expires)?;
    Ok(member)
}

/// The name without the space around it, if nobody else has it.
fn free_name(connection: &Connection, own: Option<MemberId>, name: &str) -> Result<String, Error> {
    let name = name.trim().to_owned();
    if name.is_empty() {
        return Err(Error::Empty { what: "the name" });
    }
    let mut statement = connection.prepare_cached(sql::MEMBER_NAMED)?;
    let holder: Option<MemberId> = statement.query_row([&name], |row| row.get(0)).optional()?;
    match holder {
        Some(holder) if Some(holder) != own => Err(Error::NameTaken { name }),
        Some(_) | None => Ok(name),
    }
}

fn issue(
    connection: &Connection,
    by: MemberId,
    at: Timestamp,
    member: MemberId,
    token: &TokenHash,
    expires: Timestamp,
) -> Result<(), Error> {
    connection
        .prepare_cached(sql::DROP_UNUSED_TOKENS)?
        .execute([member])?;
    let row = params![token.0, member, spelling::at_us(expires)];
    connection.prepare_cached(sql::INSERT_TOKEN)?.execute(row)?;
    audit(connection, at, by, Some(member), "set-up link made", "")
}

fn change_member(
    connection: &Connection,
    by: MemberId,
    at: Timestamp,
    act: &ClubAct,
) -> Result<(), Error> {
    let note = |member, change: &str, detail: &str| {
        audit(connection, at, by, Some(member), change, detail)
    };
    match act {
        ClubAct::Rename { member, name } => {
            let old = found(connection, *member)?;
            let name = free_name(connection, Some(*member), name)?;
            connection
                .prepare_cached(sql::SET_MEMBER_NAME)?
                .execute(params![member, name])?;
            note(*member, "name changed", &format!("{} → {name}", old.name))
        }
        ClubAct::SetRole { member, role } => {
            let old = found(connection, *member)?;
            let row = params![member, role.name()];
            connection
                .prepare_cached(sql::SET_MEMBER_ROLE)?
                .execute(row)?;
            keep_a_lead(connection)?;
            note(*member, "role changed", &format!("{} → {role}", old.role))
        }
        ClubAct::SetActive { member, active } => {
            found(connection, *member)?;
            connection
                .prepare_cached(sql::SET_MEMBER_ACTIVE)?
                .execute(params![member, active])?;
            keep_a_lead(connection)?;
            if !active {
                connection
                    .prepare_cached(sql::DROP_SESSIONS_OF)?
                    .execute([member])?;
                connection
                    .prepare_cached(sql::DROP_UNUSED_TOKENS)?
                    .execute([member])?;
            }
            note(
                *member,
                if *active {
                    "member came back"
                } else {
                    "member left"
                },
                "",
            )
        }
        act => change_access(connection, by, at, act),
    }
}

fn change_access(
    connection: &Connection,
    by: MemberId,
    at: Timestamp,
    act: &ClubAct,
) -> Result<(), Error> {
    let note = |member, change: &str, detail: &str| {
        audit(connection, at, by, Some(member), change, detail)
    };
    match act {
        ClubAct::IssueToken {
            member,
            token,
            expires,
        } => {
            apply::acting(connection, *member)?;
            issue(connection, by, at, *member, token, *expires)
        }
        ClubAct::SignOff {
            member,
            check,
            granted,
        } => {
            apply::acting(connection, *member)?;
            let row = params![member, check.name(), granted, by, spelling::at_us(at)];
            connection
                .prepare_cached(sql::INSERT_SIGN_OFF)?
                .execute(row)?;
            let change = if *granted {
                "signed off"
            } else {
                "sign-off withdrawn"
            };
            note(*member, change, check.name())
        }
        ClubAct::Unlock { member } => {
            found(connection, *member)?;
            let row = params![member, 0, Option::<i64>::None];
            connection.prepare_cached(sql::SET_TRIES)?.execute(row)?;
            note(*member, "unlocked", "")
        }
        ClubAct::EndSessions { member } => {
            found(connection, *member)?;
            connection
                .prepare_cached(sql::DROP_SESSIONS_OF)?
                .execute([member])?;
            note(*member, "sessions ended", "")
        }
        ClubAct::AddMember { .. }
        | ClubAct::Rename { .. }
        | ClubAct::SetRole { .. }
        | ClubAct::SetActive { .. }
        | ClubAct::AddRuleBook { .. }
        | ClubAct::SetWanted { .. }
        | ClubAct::KeepLabelSheet(_)
        | ClubAct::DropLabelSheet { .. }
        | ClubAct::SetServerAddress { .. } => Ok(()),
    }
}

/// A member, whether he has left or not.
fn found(connection: &Connection, member: MemberId) -> Result<Member, Error> {
    load(connection, member)?.ok_or(Error::UnknownMember(member))
}

fn keep_a_lead(connection: &Connection) -> Result<(), Error> {
    let leads: i64 = connection
        .prepare_cached(sql::ACTIVE_LEADS)?
        .query_row([], |row| row.get(0))?;
    if leads == 0 {
        Err(Error::LastLead)
    } else {
        Ok(())
    }
}

fn add_rule_book(
    connection: &Connection,
    by: MemberId,
    at: Timestamp,
    text: &str,
) -> Result<(), Error> {
    let book = RuleBook::read(text).map_err(Error::RuleBook)?;
    let latest: Option<u32> = connection
        .prepare_cached(sql::LATEST_EDITION)?
        .query_row([], |row| row.get(0))?;
    if let Some(latest) = latest.filter(|latest| book.edition <= *latest) {
        return Err(Error::EditionOrder {
            found: book.edition,
            latest,
        });
    }
    connection
        .prepare_cached(sql::INSERT_RULE_BOOK)?
        .execute(params![
            book.edition,
            book.title,
            book.effective.to_string(),
            text,
            crate::member::sha256(text.as_bytes()),
            spelling::at_us(at),
            by,
        ])?;
    audit(
        connection,
        at,
        by,
        None,
        "rule book entered",
        &format!("edition {}", book.edition),
    )
}

fn set_wanted(connection: &Connection, cars: &[CarId], needed_at: Timestamp) -> Result<(), Error> {
    connection.prepare_cached(sql::CLEAR_WANTED)?.execute([])?;
    for car in cars {
        crate::rows::version(connection, *car)?;
        let row = params![car, spelling::at_us(needed_at)];
        connection
            .prepare_cached(sql::INSERT_WANTED)?
            .execute(row)?;
    }
    Ok(())
}
