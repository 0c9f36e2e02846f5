//! The command line of Gradeworthy: reads files, prints to the terminal, sets the exit status.
//!
//! Exit status of `inspect`: 0 every car fit or on watch; 1 some car not fit, stale or not checked;
//! 2 something could not be read. Of `climb`: 0 the margin is at or above what is asked; 1 below;
//! 2 something could not be read or the train cannot stand. Of `scene`: 0 it holds together and no
//! limit is passed; 1 it comes apart or passes one; 2 as of `climb`. Of every command: 2 when it could not
//! do what was asked.

mod cli;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let arguments = cli::Arguments::parse();
    match cli::run(arguments) {
        Ok(code) => code,
        Err(error) if cli::terminal::is_broken_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            cli::terminal::complain(&error);
            ExitCode::from(2)
        }
    }
}
