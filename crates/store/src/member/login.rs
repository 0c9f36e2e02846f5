//! Setting a password, logging in, staying in, logging out.
//!
//! The slow hash is computed by the one who asks, never by the thread that writes; that thread counts
//! the tries, so that many at once cannot outrun the lock.
//! Five wrong tries lock a member out for a quarter of an hour, or until a lead unlocks him.

use jiff::{SignedDuration, Timestamp};
use rusqlite::{Connection, OptionalExtension, Row, ToSql, params};

use super::{Secret, Token, TokenHash, audit, load};
use crate::command::{OwnCommand, OwnReceipt};
use crate::rows::timestamp;
use crate::{Error, MemberId, Snapshot, Store, spelling, sql};

/// Wrong tries before a lock. ASSUMED: five; fewer lock out cold fingers, more help a thief.
const TRIES_MOST: u32 = 5;
/// How long a lock holds. ASSUMED: with it a thief has 480 tries a day.
const LOCKED_FOR: SignedDuration = SignedDuration::from_mins(15);

/// An open session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    /// Whose.
    pub member: MemberId,
    /// Where, as the page names it: 'bench 2', 'phone'.
    pub device: Box<str>,
    /// Since when.
    pub opened: Timestamp,
    /// Until when.
    pub expires: Timestamp,
}

/// What became of a try to log in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LogIn {
    /// It opened a session; the token is told this once.
    Open(Token, Session),
    /// Name or secret is wrong, or the member has left.
    Wrong,
    /// Too many wrong tries.
    LockedOut {
        /// Until when.
        until: Timestamp,
    },
}

struct Secrets {
    member: MemberId,
    active: bool,
    password_hash: Option<String>,
    pin_hash: Option<String>,
}

impl Secrets {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            member: row.get(0)?,
            active: row.get(1)?,
            password_hash: row.get(2)?,
            pin_hash: row.get(3)?,
        })
    }

    fn hash_for(&self, secret: Secret<'_>) -> Option<&str> {
        match secret {
            Secret::Password(_) => self.password_hash.as_deref(),
            Secret::Pin(_) => self.pin_hash.as_deref(),
        }
    }
}

impl Snapshot<'_> {
    fn secrets(&self, sql: &str, key: &dyn ToSql) -> Result<Option<Secrets>, Error> {
        let mut statement = self.connection()?.prepare_cached(sql)?;
        Ok(statement.query_row([key], Secrets::read).optional()?)
    }
}

impl Store {
    /// Sets a password with a set-up token, which then no longer works. Gives the member.
    ///
    /// # Errors
    /// [`Error::TokenRefused`], [`Error::SecretTooShort`], and the errors of the file.
    pub fn redeem(&self, token: &Token, password: &str, at: Timestamp) -> Result<MemberId, Error> {
        let password_hash = Secret::Password(password).hash()?;
        match self.own(OwnCommand::Redeem {
            token: token.hash(),
            password_hash,
            at,
        })? {
            OwnReceipt::Member(member) => Ok(member),
            OwnReceipt::Done | OwnReceipt::Refused { .. } => Err(Error::TokenRefused),
        }
    }

    /// Tries to open a session.
    ///
    /// # Errors
    /// The errors of the file; a wrong secret is an answer and no error.
    pub fn log_in(
        &self,
        name: &str,
        secret: Secret<'_>,
        device: &str,
        at: Timestamp,
        expires: Timestamp,
    ) -> Result<LogIn, Error> {
        let secrets = self.snapshot()?.secrets(sql::SECRETS, &name.trim())?;
        let hash = secrets
            .as_ref()
            .filter(|own| own.active)
            .and_then(|own| own.hash_for(secret));
        let right = secret.matches(hash);
        let Some(member) = secrets.filter(|own| own.active).map(|own| own.member) else {
            return Ok(LogIn::Wrong);
        };
        let token = Token::random()?;
        let session = Session {
            member,
            device: device.into(),
            opened: spelling::kept(at),
            expires: spelling::kept(expires),
        };
        let open = Box::new(session.clone());
        Ok(
            match self.own(OwnCommand::Try {
                member,
                right,
                at,
                open,
                token: token.hash(),
            })? {
                OwnReceipt::Done | OwnReceipt::Member(_) => LogIn::Open(token, session),
                OwnReceipt::Refused {
                    locked_until: Some(until),
                } => LogIn::LockedOut { until },
                OwnReceipt::Refused { locked_until: None } => LogIn::Wrong,
            },
        )
    }

    /// Sets another password for one who shows the old one; all his sessions end.
    /// `false` when the old one is wrong.
    ///
    /// # Errors
    /// [`Error::SecretTooShort`], [`Error::UnknownMember`], and the errors of the file.
    pub fn set_password(
        &self,
        member: MemberId,
        old: &str,
        new: &str,
        at: Timestamp,
    ) -> Result<bool, Error> {
        if !self.shows(member, Secret::Password(old), at)? {
            return Ok(false);
        }
        let password_hash = Secret::Password(new).hash()?;
        self.own(OwnCommand::SetPassword {
            member,
            password_hash,
            at,
        })?;
        Ok(true)
    }

    /// Sets a PIN, or takes it away, for one who shows his password. `false` when that is wrong.
    ///
    /// # Errors
    /// [`Error::SecretTooShort`], [`Error::UnknownMember`], and the errors of the file.
    pub fn set_pin(
        &self,
        member: MemberId,
        password: &str,
        pin: Option<&str>,
        at: Timestamp,
    ) -> Result<bool, Error> {
        if !self.shows(member, Secret::Password(password), at)? {
            return Ok(false);
        }
        let pin_hash = pin.map(|pin| Secret::Pin(pin).hash()).transpose()?;
        self.own(OwnCommand::SetPin {
            member,
            pin_hash,
            at,
        })?;
        Ok(true)
    }

    /// Whether a member shows his own secret. A wrong one counts as a wrong try, and while he is locked
    /// out even the right one is wrong.
    fn shows(&self, member: MemberId, secret: Secret<'_>, at: Timestamp) -> Result<bool, Error> {
        let snapshot = self.snapshot()?;
        let locked_until = snapshot.member(member)?.locked_until;
        let secrets = snapshot.secrets(sql::SECRETS_BY_ID, &member)?;
        drop(snapshot);
        let secrets = secrets
            .filter(|own| own.active)
            .ok_or(Error::UnknownMember(member))?;
        let locked = locked_until.is_some_and(|until| until > at);
        let right = secret.matches(secrets.hash_for(secret));
        if !right {
            self.own(OwnCommand::WrongTry { member, at })?;
        }
        Ok(right && !locked)
    }

    /// Ends the session that `token` opened.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn log_out(&self, token: &Token) -> Result<(), Error> {
        self.own(OwnCommand::LogOut {
            token: token.hash(),
        })
        .map(|_| ())
    }

    /// Ends every session of a member, by himself.
    ///
    /// # Errors
    /// [`Error::UnknownMember`] and the errors of the file.
    pub fn log_out_everywhere(&self, member: MemberId, at: Timestamp) -> Result<(), Error> {
        self.own(OwnCommand::LogOutEverywhere { member, at })
            .map(|_| ())
    }
}

pub(crate) fn carry_out(
    connection: &Connection,
    command: &OwnCommand,
) -> Result<OwnReceipt, Error> {
    match command {
        OwnCommand::Redeem {
            token,
            password_hash,
            at,
        } => redeem(connection, *token, password_hash, *at),
        OwnCommand::SetPassword {
            member,
            password_hash,
            at,
        } => {
            set_password(connection, *member, password_hash, *at)?;
            Ok(OwnReceipt::Done)
        }
        OwnCommand::SetPin {
            member,
            pin_hash,
            at,
        } => {
            connection
                .prepare_cached(sql::SET_PIN_HASH)?
                .execute(params![member, pin_hash])?;
            let change = if pin_hash.is_some() {
                "PIN set"
            } else {
                "PIN taken away"
            };
            audit(connection, *at, *member, Some(*member), change, "")?;
            Ok(OwnReceipt::Done)
        }
        OwnCommand::Try {
            member,
            right,
            at,
            open,
            token,
        } => count_try(connection, *member, *right, *at, open, *token),
        OwnCommand::WrongTry { member, at } => count_wrong(connection, *member, *at),
        OwnCommand::LogOut { token } => {
            connection
                .prepare_cached(sql::DROP_SESSION)?
                .execute([token.0])?;
            Ok(OwnReceipt::Done)
        }
        OwnCommand::LogOutEverywhere { member, at } => {
            connection
                .prepare_cached(sql::DROP_SESSIONS_OF)?
                .execute([member])?;
            audit(
                connection,
                *at,
                *member,
                Some(*member),
                "sessions ended",
                "",
            )?;
            Ok(OwnReceipt::Done)
        }
    }
}

fn redeem(
    connection: &Connection,
    token: TokenHash,
    password_hash: &str,
    at: Timestamp,
) -> Result<OwnReceipt, Error> {
    let key = params![token.0, spelling::at_us(at)];
    let mut statement = connection.prepare_cached(sql::USABLE_TOKEN)?;
    let member: Option<MemberId> = statement.query_row(key, |row| row.get(0)).optional()?;
    let member = member.ok_or(Error::TokenRefused)?;
    connection.prepare_cached(sql::USE_TOKEN)?.execute(key)?;
    set_password(connection, member, password_hash, at)?;
    Ok(OwnReceipt::Member(member))
}

fn set_password(
    connection: &Connection,
    member: MemberId,
    password_hash: &str,
    at: Timestamp,
) -> Result<(), Error> {
    connection
        .prepare_cached(sql::SET_PASSWORD_HASH)?
        .execute(params![member, password_hash])?;
    set_tries(connection, member, 0, None)?;
    connection
        .prepare_cached(sql::DROP_SESSIONS_OF)?
        .execute([member])?;
    audit(connection, at, member, Some(member), "password set", "")
}

fn count_try(
    connection: &Connection,
    member: MemberId,
    right: bool,
    at: Timestamp,
    open: &Session,
    token: TokenHash,
) -> Result<OwnReceipt, Error> {
    let own = load(connection, member)?.ok_or(Error::UnknownMember(member))?;
    if let Some(until) = own.locked_until.filter(|until| *until > at) {
        return Ok(OwnReceipt::Refused {
            locked_until: Some(until),
        });
    }
    if right && own.active {
        set_tries(connection, member, 0, None)?;
        connection
            .prepare_cached(sql::DROP_EXPIRED_SESSIONS)?
            .execute([spelling::at_us(at)])?;
        connection
            .prepare_cached(sql::INSERT_SESSION)?
            .execute(params![
                token.0,
                member,
                open.device,
                spelling::at_us(open.opened),
                spelling::at_us(open.expires),
            ])?;
        return Ok(OwnReceipt::Done);
    }
    count_wrong(connection, member, at)
}

fn count_wrong(
    connection: &Connection,
    member: MemberId,
    at: Timestamp,
) -> Result<OwnReceipt, Error> {
    let own = load(connection, member)?.ok_or(Error::UnknownMember(member))?;
    if let Some(until) = own.locked_until.filter(|until| *until > at) {
        return Ok(OwnReceipt::Refused {
            locked_until: Some(until),
        });
    }
    let tries = own.failed_tries + 1;
    if tries < TRIES_MOST {
        set_tries(connection, member, tries, None)?;
        return Ok(OwnReceipt::Refused { locked_until: None });
    }
    let until = at.saturating_add(LOCKED_FOR).unwrap_or(Timestamp::MAX);
    set_tries(connection, member, 0, Some(until))?;
    audit(
        connection,
        at,
        member,
        Some(member),
        "locked out",
        &format!("until {until}"),
    )?;
    Ok(OwnReceipt::Refused {
        locked_until: Some(until),
    })
}

fn set_tries(
    connection: &Connection,
    member: MemberId,
    tries: u32,
    until: Option<Timestamp>,
) -> Result<(), Error> {
    let row = params![member, tries, until.map(spelling::at_us)];
    connection.prepare_cached(sql::SET_TRIES)?.execute(row)?;
    Ok(())
}

impl Session {
    pub(super) fn read(row: &Row<'_>) -> rusqlite::Result<Result<Self, Error>> {
        let member: MemberId = row.get(0)?;
        let device = row.get(1)?;
        let (opened_us, expires_us) = (row.get(2)?, row.get(3)?);
        Ok(timestamp("session", member, opened_us).and_then(|opened| {
            let expires = timestamp("session", member, expires_us)?;
            Ok(Self {
                member,
                device,
                opened,
                expires,
            })
        }))
    }
}
