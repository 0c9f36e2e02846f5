//! Members: who they are, what they may do, how they prove it, and what was changed about them.

mod login;
mod role;
mod secret;

use gradeworthy_workbench::record::Check;
use jiff::Timestamp;
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::rows::{known, timestamp};
use crate::{CarId, Error, MemberId, Snapshot, spelling, sql};

pub(crate) use login::carry_out;
pub use login::{LogIn, Session};
pub use role::{Action, Permission, Role};
pub(crate) use secret::sha256;
pub use secret::{Secret, Token, TokenHash};

/// A member of the club.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// His identity.
    pub id: MemberId,
    /// His name.
    pub name: Box<str>,
    /// What he is in the shop.
    pub role: Role,
    /// Whether he is still a member.
    pub active: bool,
    /// Wrong tries since the last right one.
    pub failed_tries: u32,
    /// Until when he is locked out, if he is or was.
    pub locked_until: Option<Timestamp>,
    /// Whether he has set a password.
    pub has_password: bool,
    /// Whether he has set a PIN.
    pub has_pin: bool,
}

/// One change of members, rules, consents or releases.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AuditRow {
    /// When.
    pub at: Timestamp,
    /// Who.
    pub by: MemberId,
    /// About which member, if any.
    pub member: Option<MemberId>,
    /// About which car, if any.
    pub car: Option<CarId>,
    /// What was changed.
    pub change: Box<str>,
    /// From what to what, or which.
    pub detail: Box<str>,
}

impl Snapshot<'_> {
    /// A member, whether he has left or not.
    ///
    /// # Errors
    /// [`Error::UnknownMember`] and the errors of the file.
    pub fn member(&self, member: MemberId) -> Result<Member, Error> {
        load(self.connection()?, member)?.ok_or(Error::UnknownMember(member))
    }

    /// Every member, by name.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn members(&self) -> Result<Vec<Member>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::MEMBERS)?;
        let rows = statement.query_map([], MemberRow::read)?;
        rows.map(|row| row?.into_member()).collect()
    }

    /// The checks a member is signed off for, in bench order.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn signed_off(&self, member: MemberId) -> Result<Vec<Check>, Error> {
        signed_off(self.connection()?, member)
    }

    /// The sessions of a member that are open at `now`, oldest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn sessions(&self, member: MemberId, now: Timestamp) -> Result<Vec<Session>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::SESSIONS)?;
        let rows = statement.query_map(params![member, spelling::at_us(now)], Session::read)?;
        rows.map(|row| row?).collect()
    }

    /// The session that `token` opens at `now`, if it opens one.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn session(&self, token: &Token, now: Timestamp) -> Result<Option<Session>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::SESSION)?;
        let row = params![token.hash().0, spelling::at_us(now)];
        statement
            .query_row(row, Session::read)
            .optional()?
            .transpose()
    }

    /// Changes of members and rules, releases and consents in a span of time, oldest first.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn audit(&self, from: Timestamp, to: Timestamp) -> Result<Vec<AuditRow>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql::AUDIT)?;
        let span = params![spelling::at_us(from), spelling::at_us(to)];
        let rows = statement.query_map(span, |row| {
            let at_us = row.get(0)?;
            Ok(
                timestamp("audit", row.get::<_, i64>(6)?, at_us).and_then(|at| {
                    Ok(AuditRow {
                        at,
                        by: row.get(1)?,
                        member: row.get(2)?,
                        car: row.get(3)?,
                        change: row.get(4)?,
                        detail: row.get(5)?,
                    })
                }),
            )
        })?;
        rows.map(|row| row?).collect()
    }
}

/// A member, whether he has left or not.
pub(crate) fn load(connection: &Connection, member: MemberId) -> Result<Option<Member>, Error> {
    let mut statement = connection.prepare_cached(sql::MEMBER)?;
    let row = statement.query_row([member], MemberRow::read).optional()?;
    row.map(MemberRow::into_member).transpose()
}

/// The checks a member is signed off for; his last row for a check counts.
pub(crate) fn signed_off(connection: &Connection, member: MemberId) -> Result<Vec<Check>, Error> {
    let mut statement = connection.prepare_cached(sql::SIGN_OFFS)?;
    let rows = statement.query_map([member], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let mut signed_off = [false; Check::ALL.len()];
    for row in rows {
        let (name, granted): (String, bool) = row?;
        let check = known(Check::from_name(&name), "sign_off", member, name, "check")?;
        signed_off[check as usize] = granted;
    }
    Ok(Check::ALL
        .into_iter()
        .filter(|check| signed_off[*check as usize])
        .collect())
}

/// Leaves a row in the audit trail.
pub(crate) fn audit(
    connection: &Connection,
    at: Timestamp,
    by: MemberId,
    member: Option<MemberId>,
    change: &str,
    detail: &str,
) -> Result<(), Error> {
    let row = params![spelling::at_us(at), by, member, change, detail];
    connection.prepare_cached(sql::INSERT_AUDIT)?.execute(row)?;
    Ok(())
}

struct MemberRow {
    id: MemberId,
    name: Box<str>,
    role: String,
    active: bool,
    failed_tries: u32,
    locked_until_us: Option<i64>,
    has_password: bool,
    has_pin: bool,
}

impl MemberRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            id: row.get(0)?,
            name: row.get(1)?,
            role: row.get(2)?,
            active: row.get(3)?,
            failed_tries: row.get(4)?,
            locked_until_us: row.get(5)?,
            has_password: row.get(6)?,
            has_pin: row.get(7)?,
        })
    }

    fn into_member(self) -> Result<Member, Error> {
        let locked_until = self
            .locked_until_us
            .map(|at_us| timestamp("member", self.id, at_us));
        Ok(Member {
            id: self.id,
            name: self.name,
            role: known(
                Role::from_name(&self.role),
                "member",
                self.id,
                self.role,
                "role",
            )?,
            active: self.active,
            failed_tries: self.failed_tries,
            locked_until: locked_until.transpose()?,
            has_password: self.has_password,
            has_pin: self.has_pin,
        })
    }
}
