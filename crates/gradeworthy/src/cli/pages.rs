//! Shell completions and the manual page, made from the commands themselves.

use std::process::ExitCode;

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Arguments, terminal};

/// Print a shell's completion script
#[derive(Debug, Args)]
pub(crate) struct Completions {
    /// The shell
    shell: Shell,
}

impl Completions {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let mut script = Vec::new();
        let mut command = Arguments::command();
        clap_complete::generate(self.shell, &mut command, "gradeworthy", &mut script);
        terminal::print(&String::from_utf8_lossy(&script))?;
        Ok(ExitCode::SUCCESS)
    }
}

/// Print the manual page
#[derive(Debug, Args)]
pub(crate) struct Manual {
    /// The command whose page is wanted; the main page where none is named
    command: Option<String>,
}

impl Manual {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let main = Arguments::command();
        let command = match &self.command {
            None => main,
            Some(name) => main
                .find_subcommand(name)
                .cloned()
                .ok_or_else(|| anyhow::anyhow!("there is no command '{name}'"))?,
        };
        let mut page = Vec::new();
        clap_mangen::Man::new(command).render(&mut page)?;
        terminal::print(&String::from_utf8_lossy(&page))?;
        Ok(ExitCode::SUCCESS)
    }
}
