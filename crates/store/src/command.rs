//! Everything that can be asked of the thread that writes. The list is closed: what is not here does
//! not change the record.
//!
//! Times are the sender's; the record reads no clock.

use std::sync::mpsc::SyncSender;

use gradeworthy_workbench::record::{Car, Check};
use jiff::Timestamp;

use crate::{
    Bench, CarId, ClientId, Error, Fact, HillEdition, Import, ImportReceipt, ImportWatch,
    KeptLabelSheet, MemberId, NewHillEdition, PhotoType, Role, Seq, Session, ShelfCommand,
    TokenHash, Version,
};

/// A command and where its answer goes.
pub(crate) enum Command {
    NewCar(NewCar, Answer<Receipt>),
    /// Facts, and the bytes of the photograph among them.
    Append(Append, Option<Vec<u8>>, Answer<Receipt>),
    /// Entries about many cars: all of them or none.
    AppendAll(Vec<Append>, Answer<Vec<Receipt>>),
    Import(Import, Option<ImportWatch>, Answer<ImportReceipt>),
    Club(ClubCommand, Answer<Option<MemberId>>),
    Own(OwnCommand, Answer<OwnReceipt>),
    Draft(Draft, Answer<()>),
    Hill(Box<NewHillEdition>, Answer<HillEdition>),
    Shelf(ShelfCommand, Answer<i64>),
}

pub(crate) type Answer<T> = SyncSender<Result<T, Error>>;

/// A car that comes to the bench for the first time.
#[derive(Clone, Debug, PartialEq)]
pub struct NewCar {
    /// The sender's identity of this entry.
    pub client_id: ClientId,
    /// Who enters it.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
    /// The car.
    pub car: Car,
    /// The member whose it is, where the owner is one.
    pub owner: Option<MemberId>,
}

/// Facts to be added to one car's record: all of them or none.
#[derive(Clone, Debug, PartialEq)]
pub struct Append {
    /// The car.
    pub car: CarId,
    /// Who.
    pub by: MemberId,
    /// The second name, where one is needed.
    pub second: Option<MemberId>,
    /// When.
    pub at: Timestamp,
    /// What of the car the sender had seen.
    pub basis: Basis,
    /// What happened, each under the sender's identity of it.
    pub facts: Vec<(ClientId, Fact)>,
    /// Fields typed at a bench that are hereby entered.
    pub drafts_done: Option<(Bench, Vec<Box<str>>)>,
}

/// What of a car's record the sender had seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Everything up to this version.
    Seen(Version),
    /// Nothing: for reports of bad order, notes and photographs only.
    Blind,
}

/// A photograph with its bytes, coded anew and made small by the sender.
#[derive(Clone, Debug, PartialEq)]
pub struct NewPhoto {
    /// The sender's identity of it.
    pub client_id: ClientId,
    /// The car.
    pub car: CarId,
    /// Who.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
    /// How the bytes are coded.
    pub media_type: PhotoType,
    /// Width, pixels.
    pub width_px: u16,
    /// Height, pixels.
    pub height_px: u16,
    /// What it shows.
    pub caption: Box<str>,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// What became of an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Receipt {
    /// The car.
    pub car: CarId,
    /// Its version now.
    pub version: Version,
    /// The events of this entry, in its order.
    pub seqs: Vec<Seq>,
    /// How many of them had been entered before.
    pub repeated: usize,
}

/// A field typed and not yet entered; an empty text takes it away.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// The bench.
    pub bench: Bench,
    /// The car.
    pub car: CarId,
    /// The field, as the page names it.
    pub field: Box<str>,
    /// What stands in it.
    pub text: Box<str>,
    /// Who typed it.
    pub by: MemberId,
    /// When.
    pub at: Timestamp,
}

/// A change of members or rules.
#[derive(Clone, Debug, PartialEq)]
pub struct ClubCommand {
    /// Who; nobody only for the first member of all.
    pub by: Option<MemberId>,
    /// When.
    pub at: Timestamp,
    /// What.
    pub act: ClubAct,
}

/// What can be changed about members and rules.
#[derive(Clone, Debug, PartialEq)]
pub enum ClubAct {
    /// A new member, with a token to set his password by. The first one of all is a lead.
    AddMember {
        /// His name.
        name: Box<str>,
        /// His role.
        role: Role,
        /// The hash of the token.
        token: TokenHash,
        /// Until when it may be used.
        expires: Timestamp,
    },
    /// Another name.
    Rename {
        /// The member.
        member: MemberId,
        /// The name.
        name: Box<str>,
    },
    /// Another role.
    SetRole {
        /// The member.
        member: MemberId,
        /// The role.
        role: Role,
    },
    /// A member leaves or comes back.
    SetActive {
        /// The member.
        member: MemberId,
        /// Whether he is one.
        active: bool,
    },
    /// A new token; those before it no longer work.
    IssueToken {
        /// The member.
        member: MemberId,
        /// The hash of the token.
        token: TokenHash,
        /// Until when it may be used.
        expires: Timestamp,
    },
    /// Sign-off for a check, given or taken.
    SignOff {
        /// The member.
        member: MemberId,
        /// The check.
        check: Check,
        /// Given or taken.
        granted: bool,
    },
    /// Tries are counted from zero again.
    Unlock {
        /// The member.
        member: MemberId,
    },
    /// Every session of a member ends.
    EndSessions {
        /// The member.
        member: MemberId,
    },
    /// A new edition of the rule book.
    AddRuleBook {
        /// Its text.
        text: Box<str>,
    },
    /// The cars that a train wants, in place of those wanted before.
    SetWanted {
        /// The cars.
        cars: Vec<CarId>,
        /// For when.
        needed_at: Timestamp,
    },
    /// A sheet of labels, in place of one that had its name.
    KeepLabelSheet(KeptLabelSheet),
    /// A sheet of labels is forgotten.
    DropLabelSheet {
        /// Its name.
        name: Box<str>,
    },
    /// The address that the server is known by; an empty one takes it away.
    SetServerAddress {
        /// The address.
        address: Box<str>,
    },
}

/// What members do about themselves.
pub(crate) enum OwnCommand {
    /// Redeems a set-up token.
    Redeem {
        token: TokenHash,
        password_hash: String,
        at: Timestamp,
    },
    /// Another password, the old one having been shown; other sessions end.
    SetPassword {
        member: MemberId,
        password_hash: String,
        at: Timestamp,
    },
    /// Another PIN, or none.
    SetPin {
        member: MemberId,
        pin_hash: Option<String>,
        at: Timestamp,
    },
    /// A try with password or PIN, right or wrong.
    Try {
        member: MemberId,
        right: bool,
        at: Timestamp,
        open: Box<Session>,
        token: TokenHash,
    },
    /// A wrong password shown to change a secret; counts as a wrong try.
    WrongTry { member: MemberId, at: Timestamp },
    /// Ends one session.
    LogOut { token: TokenHash },
    /// Ends every session of a member.
    LogOutEverywhere { member: MemberId, at: Timestamp },
}

/// What became of it.
pub(crate) enum OwnReceipt {
    Done,
    Member(MemberId),
    /// A try: `None` when it opened a session, else until when the member is locked out, if he is.
    Refused {
        locked_until: Option<Timestamp>,
    },
}
