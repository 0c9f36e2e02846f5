//! `gradeworthy scene`: a train with slack moved in time, and what comes of it.

use std::ops::ControlFlow;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::{Args, ValueEnum};
use gradeworthy_reports::climb::{Consist, Line};
use gradeworthy_reports::scene as report;
use gradeworthy_reports::text::Style;
use gradeworthy_reports::words::System;
use gradeworthy_train::dynamics::Config;
use gradeworthy_train::scene::{Scene as Script, read_scene};

use super::climb::inputs;
use super::{files, terminal};

/// Play a scene: a train with slack that starts, stops or loses power on the hill
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 the train holds together and no limit is passed; 1 it comes apart \
                        or passes one; 2 something could not be read, or the scene cannot be played."
)]
pub(crate) struct Scene {
    /// The scene: TOML; with --sample also one of start, helper, power, stop
    #[arg(required_unless_present = "sample")]
    scene: Option<PathBuf>,
    #[command(flatten)]
    files: inputs::Files,
    /// Error of a place in one step, in micrometres: less is slower and closer
    #[arg(long, default_value_t = Config::TOLERANCE * 1e6, value_parser = tolerance)]
    tolerance: f64,
    /// Milliseconds between samples in JSON and picture
    #[arg(long, default_value_t = 20.0, value_parser = every)]
    every: f64,
    /// Draw the force at every coupling over time into this SVG file
    #[arg(long)]
    plot: Option<PathBuf>,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Columns to fill; the terminal's own where none is given
    #[arg(long, value_parser = clap::value_parser!(u16).range(40..))]
    width: Option<u16>,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum Format {
    /// For people
    #[default]
    Text,
    /// For programs, everything
    Json,
}

fn tolerance(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (1e-4..=100.0).contains(&value) => Ok(value),
        _ => Err("give micrometres from 0.0001 to 100".to_owned()),
    }
}

fn every(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (1.0..=10_000.0).contains(&value) => Ok(value),
        _ => Err("give milliseconds from 1 to 10000".to_owned()),
    }
}

/// Scene that the sample plays where none is named.
const SAMPLE: &str = "power";

/// Parts of the progress bar.
const PARTS: f64 = 1000.0;

impl Scene {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let script = self.script()?;
        let inputs = inputs::read(&self.files, None)?;
        let consist = inputs.consist()?;
        let line = inputs.line(&consist);
        let config = Config {
            sample: self.every / 1e3,
            ..Config::within(self.tolerance * 1e-6)
        };
        let bar = terminal::progress("playing");
        bar.set_length(1000);
        let played = report::answer(&script, &consist, &line, &config, &mut |done, total| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "from 0 to 1000"
            )]
            bar.set_position((PARTS * done / total) as u64);
            ControlFlow::Continue(())
        });
        bar.finish_and_clear();
        let answer = played.with_context(|| format!("'{}' cannot be played", script.name))?;
        if let Some(path) = &self.plot {
            let picture = report::plot::svg(&answer, &consist, &line);
            std::fs::write(path, picture)
                .with_context(|| format!("cannot write {}", path.display()))?;
        }
        terminal::print(&self.said(&answer, &consist, &line)?)?;
        let holds = answer.parts.len() == 1 && answer.margin() >= 0.0;
        Ok(if holds {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        })
    }

    /// The scene of a file, or one of the sample's by its word.
    fn script(&self) -> anyhow::Result<Script> {
        let words = gradeworthy_demo::climb::SCENES;
        let named = self.scene.as_ref().map(|path| path.display().to_string());
        let (name, text) = match (&self.scene, named) {
            (Some(path), Some(name)) => {
                let own = words.iter().find(|(word, _)| *word == name);
                match own {
                    Some((_, text)) if self.files.is_sample() => (name, (*text).to_owned()),
                    _ => (name, files::text(path)?),
                }
            }
            _ => match words.iter().find(|(word, _)| *word == SAMPLE) {
                Some((word, text)) => (format!("the sample's scene '{word}'"), (*text).to_owned()),
                None => bail!("name a scene"),
            },
        };
        read_scene(&text).context(name)
    }

    fn said(
        &self,
        answer: &report::Answer,
        consist: &Consist,
        line: &Line,
    ) -> anyhow::Result<String> {
        let style = Style {
            width: self.width.map_or_else(terminal::width, usize::from),
            colour: false,
            system: System::Both,
            everything: false,
        };
        Ok(match self.format {
            Format::Text => report::text::answer(answer, consist, line, style),
            Format::Json => report::wire::json(answer, consist, line)?,
        })
    }
}
