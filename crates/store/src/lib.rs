//! Everything that happens to a car, kept for decades and never changed.
#![doc = include_str!("../README.md")]

mod error;
mod ident;

mod fact;
mod spelling;
mod standing;

mod command;
mod member;

mod rows;
mod schema;
mod sql;

mod apply;
mod club;
mod writer;

mod file;
mod pool;
mod store;

mod doings;
mod drafts;
mod fleet;
mod hill;
mod history;
mod import;
mod paper;
mod rip_track;
mod shelf;
mod spread;
mod stock;

mod backup;
mod exchange;
mod integrity;
mod restore;

pub use backup::{BackupPlan, Backups, copy_to};
pub use command::{Append, Basis, ClubAct, ClubCommand, Draft, NewCar, NewPhoto, Receipt};
pub use doings::{CarDoings, InstrumentUse};
pub use drafts::DraftField;
pub use error::{Conflict, Error};
pub use exchange::{ExchangeError, read_json};
pub use fact::{
    BadOrder, CarEvent, CureDone, Defect, Details, Fact, Fitting, Ownership, Part, Photo,
    PhotoType, RecordedInspection, RecordedLine, StrikeNote, WaitFor, Work,
};
pub use fleet::{FleetCursor, FleetFilter, FleetRow};
pub use hill::{HillEdition, HillKind, NewHillEdition};
pub use history::{CarRecord, RuleBookEdition};
pub use ident::{Bench, CarId, ClientId, MemberId, Seq, Version};
pub use import::{
    Difference, Import, ImportInto, ImportPlan, ImportReceipt, ImportRow, ImportWatch, ImportedCar,
};
pub use integrity::{Integrity, check_file};
pub use member::{
    Action, AuditRow, LogIn, Member, Permission, Role, Secret, Session, Token, TokenHash,
};
pub use paper::KeptLabelSheet;
pub use pool::Snapshot;
pub use restore::restore;
pub use rip_track::{Holds, OpenReport, RipOrder, RipRow};
pub use schema::{MIGRATIONS, VERSION as SCHEMA_VERSION};
pub use shelf::{CarGroup, RuleDraft, ShelfAct, ShelfCommand};
pub use spread::{ClassFilter, PlacedReading, Spread};
pub use standing::{OpenAsk, OpenRest, OpenWait, Standing};
pub use stock::FleetStock;
pub use store::{Durability, Options, PHOTO_BYTES_MOST, PHOTO_SIDE_PX_MOST, Store};
