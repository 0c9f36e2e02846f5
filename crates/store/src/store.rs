//! The record, opened: one thread that writes, a few connections that read.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::JoinHandle;
use std::time::Duration;

use rusqlite::Connection;

use crate::command::{Answer, Command, OwnCommand, OwnReceipt};
use crate::pool::Pool;
use crate::{
    Append, Basis, ClubCommand, Draft, Error, Fact, HillEdition, Import, ImportReceipt,
    ImportWatch, MemberId, NewCar, NewHillEdition, NewPhoto, Photo, Receipt, ShelfCommand,
    Snapshot, file, writer,
};

/// Commands that may wait before senders do.
const QUEUE: usize = 256;
/// The most bytes of a photograph; the schema says the same.
pub const PHOTO_BYTES_MOST: usize = 1_048_576;
/// The longest side of a photograph, pixels; the schema says the same.
pub const PHOTO_SIDE_PX_MOST: u16 = 8_192;

/// How to open a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Connections that read. ASSUMED: four; each costs its cache of 16 MB at the most.
    pub readers: usize,
    /// The most pages of 4096 bytes that the file may grow to, for a disk that must not fill.
    pub page_count_max: Option<u32>,
    /// How long to wait for another program's lock. ASSUMED: five seconds; a person waits no longer.
    pub patience: Duration,
    /// When what was written must have reached the disk.
    pub durability: Durability,
}

/// When what was written must have reached the disk.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Durability {
    /// Before it is acknowledged.
    #[default]
    BeforeTheAnswer,
    /// When somebody has the file synced after it was closed; until then a loss of power may leave it
    /// half-written. For a record that is made in one piece and thrown away where it did not become whole.
    AfterItIsClosed,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            readers: 4,
            page_count_max: None,
            patience: Duration::from_secs(5),
            durability: Durability::BeforeTheAnswer,
        }
    }
}

/// The record of a club.
///
/// Every call waits: for the disk when it writes, for a free connection when it reads.
/// From asynchronous code, call it where waiting is allowed.
pub struct Store {
    path: PathBuf,
    commands: Option<SyncSender<Command>>,
    writer: Option<JoinHandle<()>>,
    pool: Option<Pool>,
}

impl Store {
    /// Makes a new record where there is none.
    ///
    /// # Errors
    /// [`Error::Exists`] when there is a file already, and the errors of the file system.
    pub fn create(path: &Path, options: &Options) -> Result<Self, Error> {
        Self::serve(path, file::create(path, options)?, options)
    }

    /// Opens a record and brings its schema up to date.
    ///
    /// # Errors
    /// [`Error::Missing`], [`Error::NotARecord`], [`Error::NewerSchema`], [`Error::Corrupt`] or
    /// [`Error::Locked`] when it cannot be opened.
    pub fn open(path: &Path, options: &Options) -> Result<Self, Error> {
        Self::serve(path, file::open(path, options)?, options)
    }

    /// Opens a record for reading; every command is refused with [`Error::ReadOnly`].
    ///
    /// # Errors
    /// As [`Store::open`], and [`Error::OlderSchema`] since the schema cannot be brought up to date.
    pub fn open_read_only(path: &Path, options: &Options) -> Result<Self, Error> {
        Self::serve(path, file::open_read_only(path, options.patience)?, options)
    }

    fn serve(path: &Path, connection: Connection, options: &Options) -> Result<Self, Error> {
        let pool = Pool::open(path, options)?;
        let (commands, queue) = sync_channel(QUEUE);
        let writer = std::thread::Builder::new()
            .name("record".to_owned())
            .spawn(move || writer::serve(&connection, &queue))
            .map_err(|source| Error::Io {
                path: path.to_owned(),
                source,
            })?;
        Ok(Self {
            path: path.to_owned(),
            commands: Some(commands),
            writer: Some(writer),
            pool: Some(pool),
        })
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Enters a car.
    ///
    /// # Errors
    /// [`Error::NotAllowed`], [`Error::ClientIdReused`], and the errors of the file.
    pub fn new_car(&self, new: NewCar) -> Result<Receipt, Error> {
        self.ask(|answer| Command::NewCar(new, answer))
    }

    /// Adds facts to a car's record: all of them or none.
    ///
    /// # Errors
    /// [`Error::Conflict`] carries what was entered since the sender last looked; the others say what
    /// was wrong with the entry or the file.
    pub fn append(&self, order: Append) -> Result<Receipt, Error> {
        self.ask(|answer| Command::Append(order, None, answer))
    }

    /// Adds facts to the records of many cars: all of them or none.
    ///
    /// # Errors
    /// [`Error::OfCar`] names the car with which something was wrong; the others are of the file.
    pub fn append_all(&self, orders: Vec<Append>) -> Result<Vec<Receipt>, Error> {
        self.ask(|answer| Command::AppendAll(orders, answer))
    }

    /// Enters what a file brings: all of it or nothing.
    ///
    /// # Errors
    /// [`Error::Conflict`] when a car got something new since the file was compared with the record,
    /// [`Error::ClientIdReused`] when the same sending arrives twice, and those of [`Store::append`].
    pub fn import(&self, import: Import) -> Result<ImportReceipt, Error> {
        self.ask(|answer| Command::Import(import, None, answer))
    }

    /// The same while somebody watches, who may end it: then nothing of it is entered.
    ///
    /// # Errors
    /// [`Error::Ended`], and those of [`Store::import`].
    pub fn import_watched(
        &self,
        import: Import,
        watch: ImportWatch,
    ) -> Result<ImportReceipt, Error> {
        self.ask(|answer| Command::Import(import, Some(watch), answer))
    }

    /// Keeps a photograph.
    ///
    /// # Errors
    /// [`Error::TooLarge`] beyond 1 MiB; the others as for [`Store::append`].
    pub fn add_photo(&self, new: NewPhoto) -> Result<Receipt, Error> {
        let found = new.bytes.len();
        if found > PHOTO_BYTES_MOST {
            let what = "the photograph, in bytes,";
            return Err(Error::TooLarge {
                what,
                found,
                most: PHOTO_BYTES_MOST,
            });
        }
        if found == 0 {
            return Err(Error::Empty {
                what: "the photograph",
            });
        }
        let photo = Photo {
            sha256: crate::member::sha256(&new.bytes),
            media_type: new.media_type,
            width_px: new.width_px,
            height_px: new.height_px,
            caption: new.caption,
        };
        let order = Append {
            car: new.car,
            by: new.by,
            second: None,
            at: new.at,
            basis: Basis::Blind,
            facts: vec![(new.client_id, Fact::Photographed(photo))],
            drafts_done: None,
        };
        self.ask(|answer| Command::Append(order, Some(new.bytes), answer))
    }

    /// Changes members or rules; gives the member that was added, if one was.
    ///
    /// # Errors
    /// [`Error::NotAllowed`] and what else may be wrong with the change or the file.
    pub fn club(&self, command: ClubCommand) -> Result<Option<MemberId>, Error> {
        self.ask(|answer| Command::Club(command, answer))
    }

    /// Changes a draft of an edition or a group; gives its number, or that of the edition put in force.
    ///
    /// # Errors
    /// [`Error::DraftMoved`] when somebody changed the draft meanwhile, [`Error::RuleBook`] when an edition
    /// cannot be read, and what else may be wrong with the change or the file.
    pub fn shelf(&self, command: ShelfCommand) -> Result<i64, Error> {
        self.ask(|answer| Command::Shelf(command, answer))
    }

    /// Keeps what is typed and not yet entered.
    ///
    /// # Errors
    /// [`Error::UnknownCar`], [`Error::UnknownMember`] and the errors of the file.
    pub fn keep_draft(&self, draft: Draft) -> Result<(), Error> {
        self.ask(|answer| Command::Draft(draft, answer))
    }

    /// Enters an edition of a line, a locomotive or a make-up; gives it as it stands in the record.
    ///
    /// # Errors
    /// [`Error::HillMovedOn`] when the sender has not seen the latest edition of that name,
    /// [`Error::NotAllowed`], [`Error::TooLarge`] and the errors of the file.
    pub fn enter_hill(&self, new: NewHillEdition) -> Result<HillEdition, Error> {
        self.ask(|answer| Command::Hill(Box::new(new), answer))
    }

    pub(crate) fn own(&self, command: OwnCommand) -> Result<OwnReceipt, Error> {
        self.ask(|answer| Command::Own(command, answer))
    }

    /// The record as it is now, to read from.
    ///
    /// # Errors
    /// The errors of the file.
    pub fn snapshot(&self) -> Result<Snapshot<'_>, Error> {
        self.pool.as_ref().ok_or(Error::Closed)?.snapshot()
    }

    fn ask<T>(&self, command: impl FnOnce(Answer<T>) -> Command) -> Result<T, Error> {
        let (answer, result) = sync_channel(1);
        let commands = self.commands.as_ref().ok_or(Error::Closed)?;
        commands.send(command(answer)).map_err(|_| Error::Closed)?;
        result.recv().map_err(|_| Error::Closed)?
    }
}

impl Drop for Store {
    /// Carries out what waits in the queue, then closes the file. Readers go first: the last to close
    /// takes the log into the file, and a reader could not.
    fn drop(&mut self) {
        drop(self.pool.take());
        drop(self.commands.take());
        if let Some(writer) = self.writer.take() {
            // A thread that panicked has closed the file already.
            drop(writer.join());
        }
    }
}
