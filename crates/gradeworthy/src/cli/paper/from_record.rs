//! Cars of a club's record, read and never written.

use std::path::Path;
use std::sync::Arc;

use gradeworthy_paper::{Monthly, Statement};
use gradeworthy_server::{App, Gathered, Settings, gather_month, gather_papers, gather_statement};
use gradeworthy_store::{Options, Store};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::super::files;
use super::Source;

/// The record in a folder: the club's own, or the sample's.
fn open(folder: &Path, shop: Option<&Path>) -> anyhow::Result<App> {
    let path = files::record(folder)?;
    let store = Store::open_read_only(&path, &Options::default())?;
    let settings = Settings {
        clock: Arc::new(Timestamp::now),
        zone: TimeZone::system(),
        shop: files::shop(shop)?,
        sample: files::is_sample(&path),
        backups: None,
        tls: false,
        set_up: None,
    };
    Ok(App::new(store, settings))
}

fn app(source: &Source) -> anyhow::Result<App> {
    let folder = source.club.as_deref().unwrap_or(Path::new("."));
    open(folder, source.shop.as_deref())
}

/// The cars that are asked for.
pub(super) fn cars(source: &Source) -> anyhow::Result<Vec<Gathered>> {
    let app = app(source)?;
    gather_papers(&app, &source.marks(), source.address.as_deref()).map_err(anyhow::Error::msg)
}

/// The statement of an owner.
pub(super) fn statement(source: &Source, owner: &str) -> anyhow::Result<Statement> {
    gather_statement(&app(source)?, owner).map_err(anyhow::Error::msg)
}

/// The report of the month that begins on a day, or of this one.
pub(super) fn monthly(folder: &Path, from: Option<Date>) -> anyhow::Result<Monthly> {
    let from = from.unwrap_or_else(|| files::today().first_of_month());
    let app = open(folder, None)?;
    gather_month(&app, from, from.last_of_month()).map_err(anyhow::Error::msg)
}
