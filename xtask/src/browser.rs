//! The journeys through the pages in `browser/`: builds the program, brings the packages, runs them.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// Runs every journey on the program as the tests build it. True when all of them passed.
///
/// # Errors
/// When cargo or npm cannot be started, or the program cannot be built.
pub fn run(root: &Path) -> Result<bool> {
    let program = program(root)?;
    let mut tests = npm_command(&root.join("browser"), &["test"])?;
    tests.env("GRADEWORTHY", program);
    Ok(installed(&root.join("browser"))? && finished(&mut tests)?)
}

/// Installs the packages of a folder's lock file, then runs npm there with these words.
///
/// # Errors
/// When npm cannot be started.
pub fn npm(folder: &Path, words: &[&str]) -> Result<bool> {
    Ok(installed(folder)? && finished(&mut npm_command(folder, words)?)?)
}

/// No package may run anything of its own while it is installed.
fn installed(folder: &Path) -> Result<bool> {
    let words = ["ci", "--ignore-scripts", "--prefer-offline", "--silent"];
    finished(&mut npm_command(folder, &words)?)
}

fn npm_command(folder: &Path, words: &[&str]) -> Result<Command> {
    let program = if cfg!(windows) { "npm.cmd" } else { "npm" };
    if !folder.join("package-lock.json").is_file() {
        bail!("{} has no package-lock.json", folder.display());
    }
    let mut command = Command::new(program);
    command.args(words).current_dir(folder);
    Ok(command)
}

fn finished(command: &mut Command) -> Result<bool> {
    let status = command
        .status()
        .context("npm cannot be started; install Node 20 or newer with npm")?;
    Ok(status.success())
}

/// The program with the very features and profile of the tests, so that nothing is compiled twice.
fn program(root: &Path) -> Result<PathBuf> {
    let words = ["test", "--workspace", "--no-run", "--locked", "--quiet"];
    let output = Command::new("cargo")
        .args(words)
        .arg("--message-format=json-render-diagnostics")
        .current_dir(root)
        .stderr(Stdio::inherit())
        .output()
        .context("cargo cannot be started; is it on the PATH?")?;
    if !output.status.success() {
        bail!("`cargo {}` failed", words.join(" "));
    }
    let said = String::from_utf8_lossy(&output.stdout);
    said.lines()
        .find_map(built)
        .context("cargo did not say where it built the program")
}

/// Where the program stands, if this line of cargo's says so.
fn built(line: &str) -> Option<PathBuf> {
    let message: serde_json::Value = serde_json::from_str(line).ok()?;
    let is_program = message["target"]["name"] == "gradeworthy"
        && message["target"]["kind"][0] == "bin"
        && message["profile"]["test"] == false;
    let path = is_program.then(|| message["executable"].as_str())??;
    Some(PathBuf::from(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the Cargo Book, 'External tools', artifact messages.
    #[test]
    fn the_program_is_told_from_its_own_tests_and_from_libraries() {
        let line = |kind: &str, test: bool| {
            format!(
                r#"{{"reason":"compiler-artifact","target":{{"kind":["{kind}"],"name":"gradeworthy"}},
                "profile":{{"test":{test}}},"executable":"/t/debug/gradeworthy"}}"#
            )
        };
        assert_eq!(
            built(&line("bin", false)),
            Some(PathBuf::from("/t/debug/gradeworthy"))
        );
        assert_eq!(built(&line("bin", true)), None);
        assert_eq!(built(&line("test", false)), None);
        assert_eq!(built("   Compiling"), None);
    }
}
