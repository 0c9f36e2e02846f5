//! `gradeworthy record`: back up, check and restore the club's record; write it as JSON and read that.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::{Args, Subcommand};
use gradeworthy_store::{
    BackupPlan, Backups, Integrity, Options, Store, check_file, copy_to, read_json, restore,
};
use jiff::Timestamp;

use super::{files, terminal};

/// The name of a club's record in its folder.
pub(super) const FILE: &str = "club.sqlite";
/// The folder of the daily copies, in the folder of the record.
pub(super) const COPIES: &str = "copies";

/// Back up, check and restore the club's record
#[derive(Debug, Args)]
pub(crate) struct Record {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Copy the record, checked, while it may be served; without --to as the day's copy, in the place
    /// of an earlier one of the day
    BackUp(BackUp),
    /// Read a record or a copy from its first page to its last, and say whether it is whole
    Check(Check),
    /// Put a copy in the record's place; the record that stood there is put aside, never overwritten.
    /// Stop the server first
    Restore(Restore),
    /// Write the whole record as one JSON document, for other programs; no passwords are in it
    WriteJson(WriteJson),
    /// Make a new record of such a document. Nobody can sign in to it before 'serve --let-in NAME'
    ReadJson(ReadJson),
}

#[derive(Debug, Args)]
struct WriteJson {
    /// The file to write, which must not be there yet
    to: PathBuf,
    /// The folder that holds the record
    #[arg(long, default_value = "gradeworthy-club")]
    folder: PathBuf,
}

#[derive(Debug, Args)]
struct ReadJson {
    /// The document
    document: PathBuf,
    /// The folder that is to hold the new record, and holds none yet
    #[arg(long)]
    folder: PathBuf,
}

#[derive(Debug, Args)]
struct BackUp {
    /// The folder that holds the record
    #[arg(long, default_value = "gradeworthy-club")]
    folder: PathBuf,
    /// Write the copy to this file, which must not be there yet; on another disk it outlives this one
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct Check {
    /// The file to check; the record in --folder where none is named
    file: Option<PathBuf>,
    /// The folder that holds the record
    #[arg(long, default_value = "gradeworthy-club")]
    folder: PathBuf,
}

#[derive(Debug, Args)]
struct Restore {
    /// The copy
    copy: PathBuf,
    /// The folder that holds the record, or is to hold it
    #[arg(long, default_value = "gradeworthy-club")]
    folder: PathBuf,
}

impl Record {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        match &self.command {
            Command::BackUp(own) => own.run(),
            Command::Check(own) => own.run(),
            Command::Restore(own) => own.run(),
            Command::WriteJson(own) => own.run(),
            Command::ReadJson(own) => own.run(),
        }
    }
}

/// Where the daily copies of a record go, and how long each is kept.
pub(super) fn backups(folder: &Path) -> Backups {
    Backups {
        folder: folder.join(COPIES),
        plan: BackupPlan::default(),
    }
}

/// Checks a file and says what was found; an error where it is not whole.
fn checked(path: &Path) -> anyhow::Result<Integrity> {
    let found = check_file(path).with_context(|| format!("{}", path.display()))?;
    if found.is_whole() {
        return Ok(found);
    }
    bail!(
        "{} is not whole:\n{}\nkeep the file, and restore the last copy that is",
        path.display(),
        found.problems.join("\n")
    )
}

impl BackUp {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let record = self.folder.join(FILE);
        let copy = match &self.to {
            Some(to) => {
                copy_to(&record, to)?;
                to.clone()
            }
            None => backups(&self.folder).now(&record, files::today())?,
        };
        let found = checked(&copy)?;
        terminal::print(&format!(
            "{}: {} entries, whole\n",
            copy.display(),
            found.event_count
        ))?;
        Ok(ExitCode::SUCCESS)
    }
}

impl Check {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let path = match &self.file {
            Some(file) => file.clone(),
            None => self.folder.join(FILE),
        };
        let found = checked(&path)?;
        let (path, count) = (path.display(), found.event_count);
        terminal::print(&format!("{path}: {count} entries, whole\n"))?;
        Ok(ExitCode::SUCCESS)
    }
}

impl Restore {
    fn run(&self) -> anyhow::Result<ExitCode> {
        std::fs::create_dir_all(&self.folder)
            .with_context(|| format!("{}", self.folder.display()))?;
        let record = self.folder.join(FILE);
        let aside = restore(&self.copy, &record, Timestamp::now())?;
        let mut said = format!(
            "{} is in place as {}\n",
            self.copy.display(),
            record.display()
        );
        if let Some(aside) = aside {
            said += &format!("the record that stood there is now {}\n", aside.display());
        }
        terminal::print(&said)?;
        Ok(ExitCode::SUCCESS)
    }
}

impl WriteJson {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let store = Store::open_read_only(&self.folder.join(FILE), &Options::default())?;
        let named = || format!("{}", self.to.display());
        let mut file = std::fs::File::create_new(&self.to).with_context(named)?;
        store.snapshot()?.write_json(&mut file)?;
        file.sync_all().with_context(named)?;
        terminal::print(&format!("{} holds the whole record\n", self.to.display()))?;
        Ok(ExitCode::SUCCESS)
    }
}

impl ReadJson {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let named = || format!("{}", self.document.display());
        let document = std::fs::File::open(&self.document).with_context(named)?;
        std::fs::create_dir_all(&self.folder)
            .with_context(|| format!("{}", self.folder.display()))?;
        let record = self.folder.join(FILE);
        let found = read_json(document, &record).with_context(named)?;
        terminal::print(&format!(
            "{}: {} entries, whole\n",
            record.display(),
            found.event_count
        ))?;
        Ok(ExitCode::SUCCESS)
    }
}
