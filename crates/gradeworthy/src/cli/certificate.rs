//! `gradeworthy certificate`: a certificate of the club's own making, for its own network.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::Args;
use gradeworthy_server::self_signed;

use super::{files, terminal};

/// Make a certificate and key for the club's own network, to serve encrypted
#[derive(Debug, Args)]
pub(crate) struct Certificate {
    /// The folder for certificate.pem and key.pem; files of these names must not be there yet
    folder: PathBuf,
    /// A name or address by which devices reach this machine; may be given several times
    #[arg(long = "name", value_name = "NAME", required = true)]
    names: Vec<String>,
}

impl Certificate {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let made = self_signed(&self.names, files::today())?;
        std::fs::create_dir_all(&self.folder)
            .with_context(|| format!("{}", self.folder.display()))?;
        let (certificate, key) = (
            self.folder.join("certificate.pem"),
            self.folder.join("key.pem"),
        );
        for path in [&certificate, &key] {
            if path.exists() {
                bail!("{} is there already; nothing was written", path.display());
            }
        }
        write(&key, &made.key, true)?;
        write(&certificate, &made.certificate, false)?;
        terminal::print(&format!(
            "{certificate}\n{key}\n\
             For {names}, 397 days from today. SHA-256 fingerprint:\n{fingerprint}\n\
             \n\
             Serve with it:\n\
             gradeworthy serve --open-to-network --tls-certificate {certificate} --tls-key {key}\n\
             \n\
             Caution: nobody but you vouches for this certificate, so every browser warns at the first \
             visit.\n\
             Compare the fingerprint it shows with the one above before you accept it, on each device; \
             who accepts\n\
             without looking is encrypted, but does not know to whom. Keep key.pem to yourself: whoever \
             has it can\n\
             pass for this server.\n",
            certificate = certificate.display(),
            key = key.display(),
            names = self.names.join(", "),
            fingerprint = made.fingerprint,
        ))?;
        Ok(ExitCode::SUCCESS)
    }
}

/// Writes a new file; a secret one so that only its owner reads it, where the system knows owners.
fn write(path: &Path, text: &str, secret: bool) -> anyhow::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    if secret {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    #[cfg(not(unix))]
    let _ = secret;
    let mut file = options
        .open(path)
        .with_context(|| format!("{}", path.display()))?;
    file.write_all(text.as_bytes())
        .with_context(|| format!("{}", path.display()))
}
