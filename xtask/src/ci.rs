//! Everything that a change must pass, in the order that fails soonest; stops at the first failure.
//!
//! The build machine runs this and nothing else, so a green run here is a green run there.
#![expect(
    clippy::print_stdout,
    reason = "progress of a long run goes to the terminal"
)]

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use anyhow::{Context, Result};

use crate::{browser, tidy};

/// Runs every step in `root`, printing each with its time. True when all of them passed; a step
/// that could not be run because its tool is absent is named again at the end.
///
/// # Errors
/// When a command cannot be started at all, or the tree cannot be read.
#[expect(
    clippy::disallowed_methods,
    reason = "the time of a step is shown, never judged"
)]
pub fn run(root: &Path) -> Result<bool> {
    let mut not_run = Vec::new();
    let start = Instant::now();
    for step in steps() {
        println!("==> {}", step.name);
        let begun = Instant::now();
        let outcome = step.run(root)?;
        let seconds = begun.elapsed().as_secs_f64();
        match outcome {
            Outcome::Passed => println!("    {}: passed in {seconds:.1} s\n", step.name),
            Outcome::NotRun(why) => {
                println!("    {}: NOT RUN: {why}\n", step.name);
                not_run.push(format!("{}: NOT RUN: {why}", step.name));
            }
            Outcome::Failed => {
                println!("    {}: FAILED after {seconds:.1} s", step.name);
                println!("    what to do: {}", step.cure);
                return Ok(false);
            }
        }
    }
    println!(
        "all steps that ran have passed, in {:.1} s",
        start.elapsed().as_secs_f64()
    );
    for line in &not_run {
        println!("!!! {line}");
    }
    Ok(true)
}

/// One thing to pass, and what to do when it does not.
struct Step {
    name: &'static str,
    cure: &'static str,
    action: Action,
}

enum Action {
    /// `cargo` with these arguments.
    Cargo(&'static [&'static str]),
    /// The same, where the subcommand may be absent; the text says how to get it.
    CargoIfInstalled(&'static [&'static str], &'static str),
    /// The tests of the whole workspace, with the runner that is installed.
    Tests,
    /// What `package.json` calls `check`, after installing what its lock file names.
    Npm(&'static str),
    /// The journeys through the pages, in a browser, on the program that the tests have built.
    Browser,
    Docs,
    Tidy,
}

enum Outcome {
    Passed,
    Failed,
    NotRun(&'static str),
}

fn steps() -> Vec<Step> {
    vec![
        Step {
            name: "format",
            cure: "run `cargo fmt --all` and look at what it changed",
            action: Action::Cargo(&["fmt", "--all", "--check"]),
        },
        Step {
            name: "house rules",
            cure: "each complaint names its rule in docs/STYLE.md; `cargo xtask tidy` runs them alone",
            action: Action::Tidy,
        },
        Step {
            name: "lints",
            cure: "mend each one; `#[expect(.., reason = \"..\")]` is for lints that are wrong here. \
                   If Cargo.lock is what is stale, run `cargo check` and commit it",
            action: Action::Cargo(&[
                "clippy",
                "--workspace",
                "--all-targets",
                "--locked",
                "--",
                "-D",
                "warnings",
            ]),
        },
        Step {
            name: "types of the pages' scripts",
            cure: "mend each one; `npm run check` in crates/server/scripts runs them alone",
            action: Action::Npm("crates/server/scripts"),
        },
        Step {
            name: "tests",
            cure: "run the test named above with `cargo test -p <crate> <name>`",
            action: Action::Tests,
        },
        Step {
            name: "journeys in a browser",
            cure: "`cargo xtask browser` runs them alone; with PICTURES=all in the environment it saves \
                   what the pages looked like under browser/built/pictures",
            action: Action::Browser,
        },
        Step {
            name: "documentation",
            cure: "mend each one. A citation that is taken for a link needs its place: [SP811 §B.8]",
            action: Action::Docs,
        },
        Step {
            name: "licences, bans, sources",
            cure: "read the note beside the entry in deny.toml; a new licence needs its reason there",
            action: Action::CargoIfInstalled(
                &["deny", "check", "licenses", "bans", "sources"],
                "cargo-deny is not installed; `cargo install --locked cargo-deny` brings it",
            ),
        },
    ]
}

impl Step {
    fn run(&self, root: &Path) -> Result<Outcome> {
        Ok(match self.action {
            Action::Cargo(arguments) => judged(cargo(root, arguments, "")?),
            Action::CargoIfInstalled(arguments, how) => {
                if installed(root, arguments[0])? {
                    judged(cargo(root, arguments, "")?)
                } else {
                    Outcome::NotRun(how)
                }
            }
            Action::Tests => judged(tests(root)?),
            Action::Npm(folder) => judged(browser::npm(&root.join(folder), &["run", "check"])?),
            Action::Browser => judged(browser::run(root)?),
            Action::Docs => judged(cargo(
                root,
                &["doc", "--workspace", "--no-deps", "--locked"],
                "-D warnings",
            )?),
            Action::Tidy => {
                let report = tidy::check(root)?;
                println!("{report}");
                judged(report.complaints.is_empty())
            }
        })
    }
}

fn judged(passed: bool) -> Outcome {
    if passed {
        Outcome::Passed
    } else {
        Outcome::Failed
    }
}

/// cargo-nextest runs no documentation tests, so these follow on their own.
fn tests(root: &Path) -> Result<bool> {
    if installed(root, "nextest")? {
        Ok(
            cargo(root, &["nextest", "run", "--workspace", "--locked"], "")?
                && cargo(root, &["test", "--workspace", "--doc", "--locked"], "")?,
        )
    } else {
        println!("    cargo-nextest is not installed: the plain test runner is used instead");
        cargo(root, &["test", "--workspace", "--locked"], "")
    }
}

fn cargo(root: &Path, arguments: &[&str], rustdoc_flags: &str) -> Result<bool> {
    println!("    cargo {}", arguments.join(" "));
    let mut command = Command::new("cargo");
    command.args(arguments).current_dir(root);
    if !rustdoc_flags.is_empty() {
        command.env("RUSTDOCFLAGS", rustdoc_flags);
    }
    let status = command
        .status()
        .context("cargo cannot be started; is it on the PATH?")?;
    Ok(status.success())
}

fn installed(root: &Path, subcommand: &str) -> Result<bool> {
    let status = Command::new("cargo")
        .args([subcommand, "--version"])
        .current_dir(root)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .context("cargo cannot be started; is it on the PATH?")?;
    Ok(status.success())
}
