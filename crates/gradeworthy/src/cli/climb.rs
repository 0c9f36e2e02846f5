//! `gradeworthy climb`: a line, power and a train of measured cars in, the margin out.

mod club;
pub(crate) mod inputs;
mod odds;

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::{Args, ValueEnum};
use gradeworthy_reports::climb::advice::{Plan, Question, Together};
use gradeworthy_reports::climb::{self as report, Answer, Asked, Consist, LEAST_MARGIN, Line};
use gradeworthy_reports::text::Style;
use gradeworthy_reports::words::System;
use gradeworthy_train::advice::{Go, Progress};
use gradeworthy_train::consist::{TrainOrder, read_train, write_train};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Cores, JERK_ALLOWANCE};

use super::terminal;

/// Check whether a train of measured cars climbs a line: the margin, and what limits it
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 the margin is at or above what is asked; 1 below; \
                        2 something could not be read, or the train cannot stand on the line."
)]
pub(crate) struct Climb {
    #[command(flatten)]
    files: inputs::Files,
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
    /// Say what to change, too: moves, helpers, order, length, power, repairs, measurements
    #[arg(long)]
    advise: bool,
    /// With the advice, place so many helpers together at most; 3 takes minutes in a long train
    #[arg(long, requires = "advise", value_name = "HELPERS", default_value = "2", value_parser = together)]
    together: Together,
    /// Write the train with the first advice followed into this file
    #[arg(long, requires = "advise", value_name = "FILE")]
    changed: Option<PathBuf>,
    /// Draw forces and margin along the line into this SVG file
    #[arg(long)]
    plot: Option<PathBuf>,
    /// List every number that was not measured, too
    #[arg(long)]
    everything: bool,
    /// Draw this many trips from how well each number is known, and say how many end in trouble
    #[arg(long, value_name = "TRIPS", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    odds: Option<u32>,
    /// With the odds, say which measurement would narrow them most; takes some twenty times as long
    #[arg(long, requires = "odds")]
    narrow: bool,
    /// The seed of the odds: the same one meets the same chance
    #[arg(long, requires = "odds", default_value_t = 1)]
    seed: u64,
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

fn together(text: &str) -> Result<Together, String> {
    match text {
        "1" => Ok(Together::One),
        "2" => Ok(Together::Two),
        "3" => Ok(Together::Three),
        _ => Err("one, two or three helpers are placed together: give 1, 2 or 3".to_owned()),
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
        let inputs = inputs::read(&self.files)?;
        let consist = inputs.consist()?;
        let line = inputs.line(&consist);
        let asked = self.asked(&inputs.order);
        if let Some(trips) = self.odds {
            return self.tell_odds(trips, &asked, &consist, &line);
        }
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
        let plan = self.plan(&inputs, &answer, &consist, &line)?;
        terminal::print(&self.said(&answer, &consist, &line, plan.as_ref())?)?;
        let enough = answer.margin.margin >= asked.least_margin;
        Ok(if enough {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        })
    }

    fn tell_odds(
        &self,
        trips: u32,
        asked: &Asked,
        consist: &Consist,
        line: &Line,
    ) -> anyhow::Result<ExitCode> {
        let asked = odds::Asked {
            check: asked.check,
            trips: usize::try_from(trips).context("trips")?,
            seed: self.seed,
            narrow: self.narrow,
        };
        let width = self.width.map_or_else(terminal::width, usize::from);
        let told = odds::tell(&asked, consist, line, width)?;
        terminal::print(match self.format {
            Format::Text => &told.text,
            Format::Json => &told.json,
            Format::Csv => {
                anyhow::bail!("the odds are told as text or JSON; leave out --format csv")
            }
        })?;
        Ok(ExitCode::SUCCESS)
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

    fn said(
        &self,
        answer: &Answer,
        consist: &Consist,
        line: &Line,
        plan: Option<&Plan>,
    ) -> anyhow::Result<String> {
        let (asked, margin) = (answer.asked.least_margin, answer.margin.margin);
        let style = Style {
            width: self.width.map_or_else(terminal::width, usize::from),
            colour: false,
            system: System::Both,
            everything: self.everything,
        };
        Ok(match self.format {
            Format::Text => {
                let advised = plan.map_or_else(String::new, |own| {
                    report::advice::text::plan(own, consist, asked, margin, style)
                });
                report::text::answer(answer, consist, line, style) + &advised
            }
            Format::Json => {
                let advised =
                    plan.map(|own| report::advice::wire::plan(own, consist, asked, margin));
                report::wire::json_with_advice(answer, consist, line, advised)?
            }
            Format::Csv => report::wire::csv(answer, consist).map_err(anyhow::Error::msg)?,
        })
    }

    /// What to change, where it is asked for; the changed train is written.
    fn plan(
        &self,
        inputs: &inputs::Inputs,
        answer: &Answer,
        consist: &Consist,
        line: &Line,
    ) -> anyhow::Result<Option<Plan>> {
        if !self.advise {
            return Ok(None);
        }
        let bar = terminal::progress("comparing trains");
        let roster = inputs.spare_power()?;
        let question = Question {
            answer,
            consist,
            line,
            roster: &roster,
            blocks: &inputs.order.blocks,
            together: self.together,
        };
        let watcher = |search: Progress| {
            bar.set_length(u64::try_from(search.total).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(search.done).unwrap_or(u64::MAX));
            Go::On
        };
        let plan = report::advice::plan(question, &watcher, &mut |_| {});
        bar.finish_and_clear();
        let plan = plan?;
        if let Some(path) = &self.changed {
            let Some(first) = plan.first() else {
                bail!(
                    "there is no change that gains anything: {} is not written",
                    path.display()
                );
            };
            let changed = write_train(&plan.after(first, consist)?.as_order(&inputs.order));
            read_train(&changed).with_context(|| {
                let path = path.display();
                format!(
                    "the first advice would part a block, so {path} is not written; undo the block"
                )
            })?;
            std::fs::write(path, changed)
                .with_context(|| format!("cannot write {}", path.display()))?;
        }
        Ok(Some(plan))
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
