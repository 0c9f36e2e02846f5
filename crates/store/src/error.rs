//! What can go wrong with the record, and what to do about it.

use std::path::PathBuf;

use gradeworthy_workbench::record::Check;
use gradeworthy_workbench::rules::RuleBookError;

use crate::{Action, CarEvent, CarId, ClientId, HillKind, MemberId, Role, Seq, Version, Work};

/// Why the record could not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// No space left, or the file may not grow further.
    #[error(
        "the disk is full: nothing of this entry was kept, everything acknowledged before is; \
         free some space and send it again"
    )]
    DiskFull,
    /// The file or its folder may not be written.
    #[error(
        "the record is open for reading only: check who may write the file and its folder, \
         then start the server again"
    )]
    ReadOnly,
    /// The file system refused a read, a write or to open a file beside the record.
    #[error(
        "the disk refused it ({found}): nothing of this entry was kept, everything acknowledged before \
         is; see that the disk is sound and has room and that the folder may be written, then send it again"
    )]
    DiskRefused {
        /// What the system said.
        found: String,
    },
    /// Another program holds the file.
    #[error("the record is held by another program: close it there, then try again")]
    Locked,
    /// The file is damaged.
    #[error(
        "the record is damaged ({found}): stop writing, keep the file, restore the last backup"
    )]
    Corrupt {
        /// What was found.
        found: String,
    },
    /// A file that is none of ours.
    #[error("{path} is not a record of this tool: choose another file; nothing was changed in it")]
    NotARecord {
        /// The file.
        path: PathBuf,
    },
    /// A file of a later version of this tool.
    #[error(
        "the record has schema {found} and this tool knows {known}: use the newer tool, \
         or restore a backup made before the update"
    )]
    NewerSchema {
        /// The file's schema.
        found: u32,
        /// The newest schema known here.
        known: u32,
    },
    /// A file of an earlier version, opened for reading only.
    #[error(
        "the record has schema {found} and needs {known}: open it once for writing to update it"
    )]
    OlderSchema {
        /// The file's schema.
        found: u32,
        /// The schema needed.
        known: u32,
    },
    /// A file that should be there is not.
    #[error("there is no record at {path}: check the path, or create one there")]
    Missing {
        /// The path.
        path: PathBuf,
    },
    /// A file that should not be there is.
    #[error("{path} exists already: choose another path or move it away")]
    Exists {
        /// The path.
        path: PathBuf,
    },
    /// The file system refused something else.
    #[error("{path}: {source}")]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The thread that writes has ended.
    #[error("the record has been closed: open it again")]
    Closed,
    /// The system gave no random bytes.
    #[error("the system gave no random bytes: {0}")]
    NoRandomness(getrandom::Error),
    /// A password could not be hashed.
    #[error("the password could not be hashed: {0}")]
    Hashing(String),
    /// Anything else that SQLite reports: a fault of this tool.
    #[error("the record refused a statement, which is a fault of this tool: {0}")]
    Statement(rusqlite::Error),
    /// A stored text that this version cannot read.
    #[error("{table} {row}: '{found}' is no {expected}; the file was changed by something else")]
    Unreadable {
        /// The table.
        table: &'static str,
        /// The row.
        row: i64,
        /// What stands there.
        found: String,
        /// What should.
        expected: &'static str,
    },

    /// Another bench entered something on this car meanwhile.
    #[error(transparent)]
    Conflict(Box<Conflict>),
    /// No such car.
    #[error("there is no car {0} in the record")]
    UnknownCar(CarId),
    /// No such member, or one who has left.
    #[error("there is no active member {0}")]
    UnknownMember(MemberId),
    /// No such event of that car, or not of the kind needed.
    #[error("event {seq} is no {expected} of car {car}")]
    UnknownEvent {
        /// The event named.
        seq: Seq,
        /// The car.
        car: CarId,
        /// What was expected there.
        expected: &'static str,
    },
    /// An edition that is not in the record.
    #[error("edition {0} of the rule book is not in the record: enter it first")]
    UnknownEdition(u32),
    /// No such line, locomotive, make-up or scene.
    #[error("there is no {kind} {item} in the record")]
    UnknownHillItem {
        /// What was looked for.
        kind: HillKind,
        /// Its number.
        item: i64,
    },
    /// Somebody entered another edition meanwhile, or the name is in use.
    #[error(
        "{name} is not the {kind} that was changed here: the record has edition {latest} of that \
         name; look at it, then send yours again or give yours another name"
    )]
    HillMovedOn {
        /// Of what kind.
        kind: HillKind,
        /// Its name.
        name: Box<str>,
        /// The latest edition; 0 where there is none.
        latest: u32,
    },
    /// A draft of a rule book that is not there.
    #[error("there is no draft {0}: it was put in force or thrown away")]
    UnknownDraft(i64),
    /// A draft that somebody changed meanwhile.
    #[error("draft {draft} was changed meanwhile: look at it as it is now, then change it again")]
    DraftMoved {
        /// The draft.
        draft: i64,
    },
    /// A group that is not there.
    #[error("there is no group {0}")]
    UnknownGroup(i64),
    /// A group of that name by another member.
    #[error("somebody else has a group called {name}: choose another name")]
    GroupTaken {
        /// The name.
        name: String,
    },
    /// The member's role does not allow it.
    #[error("a member who is {role} may not {action}{}", second_needed(*with_second))]
    NotAllowed {
        /// The role.
        role: Role,
        /// What was attempted.
        action: Action,
        /// Whether a second name would do.
        with_second: bool,
    },
    /// The inspector is not signed off for a check.
    #[error("not signed off for {check}: ask one who is to give the second name")]
    NotSignedOff {
        /// The check.
        check: Check,
    },
    /// A second name that is the first again.
    #[error("the second name must be somebody else's")]
    SameName,
    /// An inspection line whose amounts measure different things: a fault of whoever made it.
    #[error("the line on {aspect} mixes quantities of different kinds")]
    MixedLine {
        /// What the line is about.
        aspect: Box<str>,
    },
    /// One identity sent for two different things.
    #[error("the entry {0} was sent before with other content: give every entry its own identity")]
    ClientIdReused(ClientId),
    /// The fact needs a sender who has seen the car's latest events.
    #[error("a {kind} needs the version of the car it was made on")]
    VersionNeeded {
        /// The kind of fact.
        kind: &'static str,
    },
    /// A strike that would leave the record without something it needs.
    #[error("event {seq} cannot be struck: {why}")]
    CannotStrike {
        /// The event.
        seq: Seq,
        /// Why not.
        why: &'static str,
    },
    /// A text that must say something and does not.
    #[error("{what} is empty: say it in a few words")]
    Empty {
        /// What is empty.
        what: &'static str,
    },
    /// Something larger than the record keeps.
    #[error("{what} is {found}, and at most {most} is kept: make it smaller")]
    TooLarge {
        /// What.
        what: &'static str,
        /// How large it is.
        found: usize,
        /// The most.
        most: usize,
    },
    /// A photograph whose bytes were not sent.
    #[error("the bytes of this photograph are not in the record: send them with it")]
    NoPhotoBytes,
    /// A rule book that cannot be read.
    #[error("the rule book cannot be read, and was not entered: {0}")]
    RuleBook(RuleBookError),
    /// An edition that does not come after those entered.
    #[error(
        "edition {found} does not come after edition {latest}: an entered edition never changes"
    )]
    EditionOrder {
        /// The edition offered.
        found: u32,
        /// The latest in the record.
        latest: u32,
    },
    /// The owner has refused this kind of work.
    #[error(
        "the car's owner refuses work on {work}: ask him again on the car's page; \
         the work is recorded once he allows it"
    )]
    OwnerRefuses {
        /// The kind of work.
        work: Work,
    },
    /// What is wrong with an entry about many cars, of which none is kept.
    #[error("{mark}: {cause}; nothing was entered on any of the cars")]
    OfCar {
        /// The marks of the car with which it is wrong.
        mark: Box<str>,
        /// What.
        cause: Box<Error>,
    },
    /// An import that was ended while it was being written.
    #[error("it was ended, and nothing of it was entered")]
    Ended,
    /// A name that another member has.
    #[error("there is a member called {name} already")]
    NameTaken {
        /// The name.
        name: String,
    },
    /// The last lead would be gone.
    #[error("this is the only active lead: name another first")]
    LastLead,
    /// A set-up token that is unknown, used or too old.
    #[error("this set-up link is unknown, used or too old: ask the lead for a new one")]
    TokenRefused,
    /// A password or PIN that is too easily guessed.
    #[error("a {what} has at least {least} characters, and this one {found}")]
    SecretTooShort {
        /// Password or PIN.
        what: &'static str,
        /// The least.
        least: usize,
        /// How many were given.
        found: usize,
    },
}

fn second_needed(with_second: bool) -> &'static str {
    if with_second {
        " without a second name"
    } else {
        ""
    }
}

/// What a bench had not seen when it sent its entry.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "another bench entered {} on car {car} meanwhile ({}): look at it, then send yours again",
    plural(since.len()),
    kinds(since)
)]
pub struct Conflict {
    /// The car.
    pub car: CarId,
    /// The version the sender had seen.
    pub seen: Version,
    /// The version the record has.
    pub current: Version,
    /// Everything entered since, oldest first.
    pub since: Vec<CarEvent>,
}

fn plural(count: usize) -> String {
    if count == 1 {
        "one thing".to_owned()
    } else {
        format!("{count} things")
    }
}

fn kinds(events: &[CarEvent]) -> String {
    let mut kinds: Vec<_> = events.iter().map(|event| event.fact.kind()).collect();
    kinds.dedup();
    kinds.join(", ")
}

impl From<rusqlite::Error> for Error {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::DiskFull,
            Some(ErrorCode::ReadOnly) => Self::ReadOnly,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Locked,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Corrupt {
                found: error.to_string(),
            },
            Some(ErrorCode::SystemIoFailure | ErrorCode::CannotOpen) => Self::DiskRefused {
                found: error.to_string(),
            },
            _ => Self::Statement(error),
        }
    }
}

impl Error {
    /// Whether everything in the same transaction is lost with it, and not this command only.
    pub(crate) fn is_of_the_file(&self) -> bool {
        matches!(
            self,
            Self::DiskFull
                | Self::ReadOnly
                | Self::DiskRefused { .. }
                | Self::Locked
                | Self::Corrupt { .. }
                | Self::Closed
        )
    }
}
