//! `gradeworthy climb`: a line, power and a train of measured cars in, the margin out.

mod inputs;

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context;
use clap::{Args, ValueEnum};
use gradeworthy_demo::climb::MakeUp;
use gradeworthy_reports::climb::{self as report, Answer, Asked, Consist, LEAST_MARGIN, Line};
use gradeworthy_reports::text::Style;
use gradeworthy_reports::words::System;
use gradeworthy_train::consist::TrainOrder;
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Cores, JERK_ALLOWANCE};
use jiff::civil::Date;

use super::terminal;

/// Check whether a train of measured cars climbs a line: the margin, and what limits it
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 the margin is at or above what is asked; 1 below; \
                        2 something could not be read, or the train cannot stand on the line."
)]
pub(crate) struct Climb {
    /// The line: TOML, or CSV with one row a piece or one row a survey reading
    #[arg(long, required_unless_present = "sample")]
    line: Option<PathBuf>,
    /// The gauge of a surveyed line, with its unit, such as '16.5 mm'
    #[arg(long)]
    gauge: Option<String>,
    /// The locomotives: TOML
    #[arg(long, required_unless_present = "sample")]
    power: Option<PathBuf>,
    /// The train: TOML, or CSV with one row a vehicle, head first
    #[arg(long, required_unless_present = "sample")]
    train: Option<PathBuf>,
    /// The sheet with the cars' readings, as for `inspect`
    #[arg(long, required_unless_present = "sample")]
    sheet: Option<PathBuf>,
    /// Climb the invented hill with the invented club's cars; a file named beside it replaces its own
    #[arg(long)]
    sample: bool,
    /// The sample's train with its light flat moved to the rear third
    #[arg(long, requires = "sample", conflicts_with = "train")]
    mended: bool,
    /// The rule book; the starter where none is named
    #[arg(long)]
    rules: Option<PathBuf>,
    /// The shop file
    #[arg(long)]
    shop: Option<PathBuf>,
    /// Scale of cars whose row does not say
    #[arg(long)]
    scale: Option<String>,
    /// The day to judge the cars as of; today where none is named
    #[arg(long)]
    day: Option<Date>,
    /// What the train is doing; the train's own word where not given, else running
    #[arg(long, value_enum)]
    condition: Option<Doing>,
    /// The least margin that will do [default: the train's own, else 0.1: a club's choice, assumed]
    #[arg(long, value_parser = least)]
    least: Option<f64>,
    /// Millimetres between places of the head
    #[arg(long, default_value_t = 10.0, value_parser = step)]
    step: f64,
    /// Share the places between the machine's cores
    #[arg(long = "two-cores")]
    all_cores: bool,
    /// Draw forces and margin along the line into this SVG file
    #[arg(long)]
    plot: Option<PathBuf>,
    /// List every number that was not measured, too
    #[arg(long)]
    everything: bool,
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
    /// For programs, one row a vehicle and way to come to grief
    Csv,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Doing {
    /// Climbing at its balance speed
    Running,
    /// Just about to move
    Starting,
    /// Stopped and held by its locomotives
    Held,
}

impl From<Doing> for Condition {
    fn from(doing: Doing) -> Self {
        match doing {
            Doing::Running => Self::Running,
            Doing::Starting => Self::Starting,
            Doing::Held => Self::Held,
        }
    }
}

fn least(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (0.0..1.0).contains(&value) => Ok(value),
        _ => Err("a margin is a number from 0 to below 1".to_owned()),
    }
}

fn step(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (1.0..=1000.0).contains(&value) => Ok(value),
        _ => Err("give millimetres from 1 to 1000".to_owned()),
    }
}

impl Climb {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let inputs = inputs::read(self)?;
        let consist = inputs.consist()?;
        let line = inputs.line.for_train(&consist);
        let asked = self.asked(&inputs.order);
        let bar = terminal::progress("climbing");
        let answer = report::answer(&consist, &line, asked, &|done, total| {
            bar.set_length(u64::try_from(total).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
        });
        bar.finish_and_clear();
        let answer = answer.map_err(|error| named(&error, &consist))?;
        if let Some(path) = &self.plot {
            let picture = report::plot::svg(&answer, &consist, &line);
            std::fs::write(path, picture)
                .with_context(|| format!("cannot write {}", path.display()))?;
        }
        terminal::print(&self.said(&answer, &consist, &line)?)?;
        let enough = answer.margin.margin >= asked.least_margin;
        Ok(if enough {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        })
    }

    fn asked(&self, order: &TrainOrder) -> Asked {
        let condition = self.condition.map(Condition::from).or(order.condition);
        let mut check = Check::new(condition.unwrap_or(Condition::Running), self.step / 1e3);
        check.law = order.curve_drag.unwrap_or_default();
        check.slack = order.slack.unwrap_or_default();
        check.cores = if self.all_cores {
            Cores::All
        } else {
            Cores::One
        };
        Asked {
            check,
            least_margin: self.least.or(order.least_margin).unwrap_or(LEAST_MARGIN),
            jerk_allowance: order.jerk_allowance.unwrap_or(JERK_ALLOWANCE),
            piece_m: 0.05,
        }
    }

    fn said(&self, answer: &Answer, consist: &Consist, line: &Line) -> anyhow::Result<String> {
        let style = Style {
            width: self.width.map_or_else(terminal::width, usize::from),
            colour: false,
            system: System::Both,
            everything: self.everything,
        };
        Ok(match self.format {
            Format::Text => report::text::answer(answer, consist, line, style),
            Format::Json => report::wire::json(answer, consist, line)?,
            Format::Csv => report::wire::csv(answer, consist).map_err(anyhow::Error::msg)?,
        })
    }

    fn make_up(&self) -> MakeUp {
        if self.mended {
            MakeUp::Mended
        } else {
            MakeUp::Wrong
        }
    }
}

/// The refusal with the vehicle by its name, since nobody counts from 0.
fn named(error: &report::NoAnswer, consist: &Consist) -> anyhow::Error {
    use gradeworthy_train::placement::PlacementError as P;
    use gradeworthy_train::sweep::SweepError;
    let vehicle = match error {
        report::NoAnswer::Sweep(SweepError::Placement { source, .. }) => match source {
            P::CurveTooTight { vehicle, .. }
            | P::OffTheLine { vehicle, .. }
            | P::NoStance { vehicle, .. } => consist.members.get(*vehicle),
        },
        _ => None,
    };
    let error = anyhow::Error::new(error.clone());
    match vehicle {
        Some(member) => error.context(format!("{} cannot stand on the line", member.name)),
        None => error,
    }
}
