//! Writing to a terminal, a pipe or a file: width, colour, progress, and pipes that close early.

use std::io::{self, IsTerminal, Write};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Columns of a pipe or file, and of a terminal that does not say.
const WIDTH_DEFAULT: usize = 100;

/// Widest text: longer lines are hard to follow.
const WIDTH_MAX: usize = 120;

/// Writes everything to standard output.
pub(crate) fn print(text: &str) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes to standard error what is not the answer itself.
pub(crate) fn tell(text: &str) -> anyhow::Result<()> {
    io::stderr().lock().write_all(text.as_bytes())?;
    Ok(())
}

/// Whether an error is only a reader that has seen enough (`… | head`).
pub(crate) fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error
        .downcast_ref::<io::Error>()
        .is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

/// Says an error with its causes on standard error.
pub(crate) fn complain(error: &anyhow::Error) {
    let mut text = format!("gradeworthy: {error}");
    for cause in error.chain().skip(1) {
        text += &format!("\n  because {cause}");
    }
    text.push('\n');
    // Nowhere is left to say that standard error is closed.
    drop(io::stderr().lock().write_all(text.as_bytes()));
}

/// Columns to fill on standard output.
pub(crate) fn width() -> usize {
    let seen = terminal_size::terminal_size_of(io::stdout());
    seen.map_or(WIDTH_DEFAULT, |(width, _)| {
        usize::from(width.0).min(WIDTH_MAX)
    })
}

/// Whether standard output is a terminal that wants colour (the `NO_COLOR` custom is kept).
pub(crate) fn wants_colour() -> bool {
    #[expect(
        clippy::disallowed_methods,
        reason = "the binary is where the environment is read"
    )]
    let refused = std::env::var("NO_COLOR").is_ok_and(|value| !value.is_empty());
    io::stdout().is_terminal() && !refused
}

/// A bar on standard error, where that is a terminal.
pub(crate) fn progress(what: &'static str) -> ProgressBar {
    let target = if io::stderr().is_terminal() {
        ProgressDrawTarget::stderr_with_hz(10)
    } else {
        ProgressDrawTarget::hidden()
    };
    let bar = ProgressBar::with_draw_target(Some(0), target);
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {pos}/{len}") {
        bar.set_style(style);
    }
    bar.with_message(what)
}
