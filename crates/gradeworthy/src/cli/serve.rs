//! `gradeworthy serve`: the club's record as pages on this machine, or on the club's network.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use anyhow::{Context, bail};
use clap::Args;
use gradeworthy_server::{
    App, SAMPLE_PASSWORD, Settings, Tls, fill_with_sample, let_in, set_up_address,
};
use gradeworthy_store::{Durability, Options, Store, Token};
use gradeworthy_workbench::shop::Shop;
use jiff::Timestamp;
use jiff::tz::TimeZone;

use super::{files, record, terminal};

/// Serve the club's record as pages for browsers
#[derive(Debug, Args)]
pub(crate) struct Serve {
    /// The folder that holds the record; made where there is none
    #[arg(long, default_value = "gradeworthy-club")]
    folder: PathBuf,
    /// Serve the invented sample club of 1,200 cars instead, from a folder of its own
    #[arg(long)]
    sample: bool,
    /// The folder of the sample club
    #[arg(long, default_value = "gradeworthy-sample", requires = "sample")]
    sample_folder: PathBuf,
    /// The shop file with stock and history, for cures
    #[arg(long)]
    shop: Option<PathBuf>,
    /// The port
    #[arg(long, default_value_t = 7700)]
    port: u16,
    /// Let every device on the network reach it, not only this machine. Without a certificate, pages
    /// and passwords then travel unencrypted: use it on a network that the club trusts, never on the
    /// open internet
    #[arg(long)]
    open_to_network: bool,
    /// Serve encrypted, under this certificate (PEM, with those it hangs on); 'gradeworthy certificate'
    /// makes one
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_certificate: Option<PathBuf>,
    /// The certificate's private key (PEM)
    #[arg(long, value_name = "FILE", requires = "tls_certificate")]
    tls_key: Option<PathBuf>,
    /// Print a one-time link by which this member sets a new password, for one who cannot get in
    #[arg(long, value_name = "NAME")]
    let_in: Option<String>,
}

impl Serve {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let tls = match (&self.tls_certificate, &self.tls_key) {
            (Some(certificate), Some(key)) => Some(Tls::read(certificate, key)?),
            _ => None,
        };
        let app = self.app(tls.is_some())?;
        let let_in = match &self.let_in {
            Some(name) => Some(let_in(&app, name).map_err(anyhow::Error::msg)?),
            None => None,
        };
        let to = if self.open_to_network {
            IpAddr::V4(Ipv4Addr::UNSPECIFIED)
        } else {
            IpAddr::V4(Ipv4Addr::LOCALHOST)
        };
        let own = app.clone();
        gradeworthy_server::serve(app, SocketAddr::new(to, self.port), tls, |address| {
            let said = terminal::print(&self.greeting(&own, address, let_in.as_deref()));
            // A closed terminal stops the words and not the server.
            drop(said);
        })?;
        Ok(ExitCode::SUCCESS)
    }

    fn app(&self, tls: bool) -> anyhow::Result<App> {
        let store = if self.sample {
            self.sample_store()?
        } else {
            open_or_create(&self.folder, record::FILE)?
        };
        let shop = match (&self.shop, self.sample) {
            (None, true) => Shop::read(gradeworthy_demo::SHOP).context("the sample's shop")?,
            (shop, _) => files::shop(shop.as_deref())?,
        };
        let settings = Settings {
            clock: Arc::new(Timestamp::now),
            zone: TimeZone::system(),
            shop,
            sample: self.sample,
            backups: (!self.sample).then(|| record::backups(&self.folder)),
            tls,
            set_up: self.set_up(&store)?,
        };
        Ok(App::new(store, settings))
    }

    /// A fresh set-up token for a record without members.
    fn set_up(&self, store: &Store) -> anyhow::Result<Option<Token>> {
        let empty = store.snapshot()?.members()?.is_empty();
        Ok(if empty { Some(Token::random()?) } else { None })
    }

    /// The sample's record, made in one piece: a half-made one carries another name and is made anew.
    fn sample_store(&self) -> anyhow::Result<Store> {
        let folder = &self.sample_folder;
        if folder.join(record::FILE).exists() {
            bail!(
                "{} holds a club's own record; the sample never goes there: choose another --sample-folder",
                folder.display()
            );
        }
        let path = folder.join("sample.sqlite");
        if path.exists() {
            return Ok(Store::open(&path, &Options::default())?);
        }
        std::fs::create_dir_all(folder).with_context(|| format!("{}", folder.display()))?;
        let half_made = fresh_folder(folder)?;
        let half = half_made.join("sample.sqlite");
        let durability = Durability::AfterItIsClosed;
        let options = Options {
            durability,
            ..Options::default()
        };
        let store = Store::create(&half, &options)?;
        let bar = terminal::progress("making the sample club");
        fill_with_sample(&store, Timestamp::now(), |done, total| {
            bar.set_length(u64::try_from(total).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
        })?;
        bar.finish_and_clear();
        // Closing takes the log into the file, so that one file is the whole record.
        drop(store);
        std::fs::File::open(&half)
            .and_then(|file| file.sync_all())
            .with_context(|| format!("{}", half.display()))?;
        std::fs::rename(&half, &path).with_context(|| format!("{}", path.display()))?;
        std::fs::remove_dir_all(&half_made).with_context(|| format!("{}", half_made.display()))?;
        Ok(Store::open(&path, &Options::default())?)
    }

    fn greeting(&self, app: &App, address: SocketAddr, let_in: Option<&str>) -> String {
        let port = address.port();
        let scheme = if app.is_under_tls() { "https" } else { "http" };
        let base = format!("{scheme}://127.0.0.1:{port}");
        let mut text = format!("Gradeworthy is at {base}\n");
        if self.open_to_network {
            text += &format!(
                "Every device on this network can reach it, at {scheme}://<this machine's address>:{port}.\n"
            );
            text += if app.is_under_tls() {
                "Pages and passwords travel encrypted; a certificate of your own making must be compared \
                 on each device.\n"
            } else {
                "Pages and passwords travel unencrypted; stop it if you do not trust this network.\n"
            };
        } else {
            text += "Only this machine can reach it; --open-to-network lets other devices in.\n";
        }
        if self.sample {
            text += &format!(
                "Sample club, all invented: sign in as Lead, Inspector, Apprentice, Operator, Owner or \
                 Track lead\nwith the password '{SAMPLE_PASSWORD}'.\n"
            );
        }
        if let Some(path) = set_up_address(app) {
            text += &format!(
                "The record is new. Whoever opens this address first becomes the lead; it works once:\n\
                 {base}{path}\n"
            );
        }
        if let Some(path) = let_in {
            text += &format!("One-time link to set a new password:\n{base}{path}\n");
        }
        text + "Stop with Ctrl-C.\n"
    }
}

fn open_or_create(folder: &Path, file: &str) -> anyhow::Result<Store> {
    if folder.join("sample.sqlite").exists() {
        bail!(
            "{} holds the invented sample club; a club's record never goes there: choose another --folder",
            folder.display()
        );
    }
    let path = folder.join(file);
    if path.exists() {
        return Ok(Store::open(&path, &Options::default())?);
    }
    std::fs::create_dir_all(folder).with_context(|| format!("{}", folder.display()))?;
    Ok(Store::create(&path, &Options::default())?)
}

/// An empty folder inside `folder` for what is not whole yet; what an earlier start left there goes.
fn fresh_folder(folder: &Path) -> anyhow::Result<PathBuf> {
    let path = folder.join("half-made");
    if path.exists() {
        std::fs::remove_dir_all(&path).with_context(|| format!("{}", path.display()))?;
    }
    std::fs::create_dir(&path).with_context(|| format!("{}", path.display()))?;
    Ok(path)
}
