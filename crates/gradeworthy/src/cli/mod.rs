//! The commands, one file each.

mod certificate;
mod climb;
mod files;
mod inspect;
mod pages;
mod paper;
mod record;
mod rules;
mod sample;
mod scene;
mod serve;
pub(crate) mod terminal;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// From the car shop's bench to the hill in one record: readings in, verdicts with margins out,
/// cures in numbers.
#[derive(Debug, Parser)]
#[command(name = "gradeworthy", version, arg_required_else_help = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Judge the cars of a sheet of readings, and say how to cure what is out
    Inspect(inspect::Inspect),
    /// Check whether a train of measured cars climbs a line: the margin, and what limits it
    Climb(climb::Climb),
    /// Play a scene: a train with slack that starts, stops or loses power on the hill
    Scene(scene::Scene),
    /// Print what goes with a car, as PDF: labels, tags, slips, record sheets, statements, reports
    Paper(paper::Paper),
    /// Show, check, explain and compare rule books
    Rules(rules::Rules),
    /// Write the invented sample club into a folder: sheet, rule book, shop, line, power, train
    Sample(sample::Sample),
    /// Serve the club's record as pages for browsers
    Serve(serve::Serve),
    /// Back up, check and restore the club's record
    Record(record::Record),
    /// Make a certificate and key for the club's own network, to serve encrypted
    Certificate(certificate::Certificate),
    /// Print a shell's completion script
    Completions(pages::Completions),
    /// Print the manual page
    Manual(pages::Manual),
}

pub(crate) fn run(arguments: Arguments) -> anyhow::Result<ExitCode> {
    match arguments.command {
        Command::Inspect(inspect) => inspect.run(),
        Command::Climb(climb) => climb.run(),
        Command::Scene(scene) => scene.run(),
        Command::Paper(paper) => paper.run(),
        Command::Rules(rules) => rules.run(),
        Command::Sample(sample) => sample.run(),
        Command::Serve(serve) => serve.run(),
        Command::Record(record) => record.run(),
        Command::Certificate(certificate) => certificate.run(),
        Command::Completions(completions) => completions.run(),
        Command::Manual(manual) => manual.run(),
    }
}
