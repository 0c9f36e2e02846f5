//! Reading the files that commands name, with errors that name them.

use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::Date;

/// The bytes of a file; `-` is standard input.
pub(crate) fn bytes(path: &Path) -> anyhow::Result<Vec<u8>> {
    if path.as_os_str() == "-" {
        let mut bytes = Vec::new();
        std::io::stdin()
            .lock()
            .read_to_end(&mut bytes)
            .context("standard input")?;
        return Ok(bytes);
    }
    if path.is_dir() {
        bail!("{} is a folder; name a file", path.display());
    }
    std::fs::read(path).with_context(|| format!("cannot read {}", path.display()))
}

/// The text of a file; `-` is standard input.
pub(crate) fn text(path: &Path) -> anyhow::Result<String> {
    let bytes = bytes(path)?;
    let text = String::from_utf8(bytes);
    text.map_err(|_| anyhow::anyhow!("{} is not text in UTF-8", path.display()))
}

/// A rule book, or the starter where none is named.
pub(crate) fn rule_book(path: Option<&Path>) -> anyhow::Result<RuleBook> {
    match path {
        Some(path) => RuleBook::read(&text(path)?).with_context(|| format!("{}", path.display())),
        None => RuleBook::starter().context("the starter rule book"),
    }
}

/// A shop file, or an empty shop where none is named.
pub(crate) fn shop(path: Option<&Path>) -> anyhow::Result<Shop> {
    match path {
        Some(path) => Shop::read(&text(path)?).with_context(|| format!("{}", path.display())),
        None => Ok(Shop::default()),
    }
}

/// The day it is here.
pub(crate) fn today() -> Date {
    jiff::ZonedDateTime::now().date()
}

/// The record in the folder that `gradeworthy serve` keeps it in: the club's own, or the sample's.
pub(crate) fn record(folder: &Path) -> anyhow::Result<PathBuf> {
    let names = [super::record::FILE, SAMPLE];
    let found = names
        .iter()
        .map(|name| folder.join(name))
        .find(|path| path.exists());
    match found {
        Some(path) => Ok(path),
        None => bail!(
            "{} holds no record; name the folder that `gradeworthy serve` keeps it in",
            folder.display()
        ),
    }
}

/// The name of the sample's record in its folder.
const SAMPLE: &str = "sample.sqlite";

/// Whether a record is the invented club's.
pub(crate) fn is_sample(record: &Path) -> bool {
    record.ends_with(SAMPLE)
}
