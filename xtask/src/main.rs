//! `cargo xtask ci` runs everything that a change must pass; `cargo xtask tidy` only the house
//! rules, which takes a moment and compiles nothing; `cargo xtask browser` only the pages' journeys.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a command-line tool talks"
)]

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use xtask::{browser, ci, tidy};

const USAGE: &str = "\
usage: cargo xtask <command>

  ci       all that a change must pass: format, lints, house rules, tests, journeys in a browser,
           documentation, licences
  tidy     the house rules of docs/STYLE.md alone
  browser  the journeys through the pages alone";

fn main() -> ExitCode {
    match run() {
        Ok(code) => code,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<ExitCode> {
    let mut arguments = std::env::args().skip(1);
    let command = arguments.next();
    if let Some(extra) = arguments.next() {
        bail!("'{extra}' is one word too many\n\n{USAGE}");
    }
    match command.as_deref() {
        Some("ci") => Ok(passed(ci::run(&workspace_root()?)?)),
        Some("browser") => Ok(passed(browser::run(&workspace_root()?)?)),
        Some("tidy") => {
            let report = tidy::check(&workspace_root()?)?;
            println!("{report}");
            Ok(passed(report.complaints.is_empty()))
        }
        Some("help" | "--help" | "-h") => {
            println!("{USAGE}");
            Ok(ExitCode::SUCCESS)
        }
        Some(other) => bail!("there is no command '{other}'\n\n{USAGE}"),
        None => bail!("no command given\n\n{USAGE}"),
    }
}

fn passed(yes: bool) -> ExitCode {
    if yes {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// The nearest folder, from here upwards, whose `Cargo.toml` declares a workspace.
fn workspace_root() -> Result<PathBuf> {
    let here = std::env::current_dir().context("the current folder cannot be read")?;
    for folder in here.ancestors() {
        let manifest = folder.join("Cargo.toml");
        if std::fs::read_to_string(&manifest).is_ok_and(|text| text.contains("[workspace]")) {
            return Ok(folder.to_path_buf());
        }
    }
    bail!(
        "no Cargo.toml with [workspace] at or above {}",
        here.display()
    )
}
