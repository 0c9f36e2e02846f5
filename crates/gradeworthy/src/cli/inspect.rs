//! `gradeworthy inspect`: a sheet of readings in, verdicts and cures out.

mod output;

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::{Args, ValueEnum};
use gradeworthy_reports::words::System;
use gradeworthy_sheets::intake::{Intake, Taking, take};
use gradeworthy_standards::Scale;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::Date;

use super::{files, terminal};

/// Judge the cars of a sheet of readings, and say how to cure what is out
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 every car fit or on watch; 1 some car not fit; \
                        2 something could not be read."
)]
pub(crate) struct Inspect {
    /// The sheet: CSV or XLSX, one row a car or one row a reading; '-' for standard input
    #[arg(required_unless_present = "sample")]
    sheet: Option<PathBuf>,
    /// Inspect the invented sample club instead of a sheet
    #[arg(long, conflicts_with = "sheet")]
    sample: bool,
    /// The rule book; the starter where none is named
    #[arg(long)]
    rules: Option<PathBuf>,
    /// The shop file with stock and history, for cures
    #[arg(long)]
    shop: Option<PathBuf>,
    /// Scale of cars whose row does not say
    #[arg(long)]
    scale: Option<String>,
    /// The day to judge as of; today where none is named
    #[arg(long)]
    day: Option<Date>,
    /// Show these cars in full; may be given several times
    #[arg(long = "car")]
    cars: Vec<String>,
    /// Show every car in full, not only when the sheet is short
    #[arg(long)]
    full: bool,
    /// Show what is fit line by line, too
    #[arg(long)]
    everything: bool,
    /// What to print
    #[arg(long, value_enum, default_value_t)]
    format: Format,
    /// Units of the text
    #[arg(long, value_enum, default_value_t)]
    units: Units,
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
    /// For programs, one row a judged reading
    Csv,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum Units {
    /// Millimetres and grams with inches and ounces beside them
    #[default]
    Both,
    /// Millimetres and grams
    Metric,
    /// Inches and ounces
    Inch,
}

/// One judged car.
struct Judged {
    record: Record,
    inspection: Inspection,
    cures: Vec<Cure>,
}

/// Everything that came of a sheet.
struct Outcome {
    book: RuleBook,
    day: Date,
    intake: Intake,
    cars: Vec<Judged>,
}

impl Inspect {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        let (book, shop) = self.book_and_shop()?;
        let scale = self.scale.as_deref().map(str::parse::<Scale>).transpose()?;
        let day = self.day.unwrap_or_else(files::today);
        let bytes = self.sheet_bytes()?;
        let workbook = gradeworthy_sheets::read(&bytes).with_context(|| self.sheet_name())?;
        let bar = terminal::progress("reading");
        let taking = Taking { book: &book, scale };
        let mut intake = take(&workbook, taking, &mut |done, total| {
            bar.set_length(u64::try_from(total).unwrap_or(u64::MAX));
            bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
        });
        bar.finish_and_clear();
        for note in &workbook.notes {
            if let Some(sheet) = intake.sheets.first_mut() {
                sheet.notes.push(note.to_string());
            }
        }
        let records = std::mem::take(&mut intake.records);
        let cars = judge_all(records, &book, &shop, day);
        let outcome = Outcome {
            book,
            day,
            intake,
            cars,
        };
        self.check_asked(&outcome)?;
        let text = match self.format {
            Format::Text => output::text(&outcome, &self.wanted(&outcome), self.style()),
            Format::Json => output::json(&outcome, self.system())?,
            Format::Csv => output::csv(&outcome, self.system())?,
        };
        terminal::print(&text)?;
        Ok(outcome.exit_code())
    }

    fn book_and_shop(&self) -> anyhow::Result<(RuleBook, Shop)> {
        if !self.sample {
            let shop = files::shop(self.shop.as_deref())?;
            return Ok((files::rule_book(self.rules.as_deref())?, shop));
        }
        let book = match &self.rules {
            Some(path) => files::rule_book(Some(path))?,
            None => RuleBook::read(&gradeworthy_demo::rule_book()).context("the sample's rules")?,
        };
        let shop = match &self.shop {
            Some(path) => files::shop(Some(path))?,
            None => Shop::read(gradeworthy_demo::SHOP).context("the sample's shop")?,
        };
        Ok((book, shop))
    }

    fn sheet_bytes(&self) -> anyhow::Result<Vec<u8>> {
        match &self.sheet {
            Some(path) => files::bytes(path),
            None => {
                let fleet = gradeworthy_demo::fleet(gradeworthy_demo::SEED, gradeworthy_demo::CARS);
                Ok(gradeworthy_demo::csv(&fleet).into_bytes())
            }
        }
    }

    fn sheet_name(&self) -> String {
        let path = self.sheet.as_ref();
        path.map_or_else(
            || "the sample sheet".to_owned(),
            |path| path.display().to_string(),
        )
    }

    fn system(&self) -> System {
        match self.units {
            Units::Both => System::Both,
            Units::Metric => System::Metric,
            Units::Inch => System::Inch,
        }
    }

    fn style(&self) -> gradeworthy_reports::text::Style {
        gradeworthy_reports::text::Style {
            width: self.width.map_or_else(terminal::width, usize::from),
            colour: terminal::wants_colour(),
            system: self.system(),
            everything: self.everything,
        }
    }

    /// A car asked for by name that is not on the sheet is a mistake, not an empty answer.
    fn check_asked(&self, outcome: &Outcome) -> anyhow::Result<()> {
        for asked in &self.cars {
            let name = asked.trim().to_uppercase();
            if !outcome
                .cars
                .iter()
                .any(|car| car.record.car.mark.as_str() == name)
            {
                bail!("no car named '{name}' is on {}", self.sheet_name());
            }
        }
        Ok(())
    }

    /// The marks of the cars to show in full.
    fn wanted(&self, outcome: &Outcome) -> Vec<String> {
        /// A sheet of so many cars is read whole; a longer one is looked through by name.
        const SHORT: usize = 25;
        let mark = |car: &Judged| car.record.car.mark.to_string();
        if !self.cars.is_empty() {
            return self
                .cars
                .iter()
                .map(|name| name.trim().to_uppercase())
                .collect();
        }
        if self.full || outcome.cars.len() <= SHORT {
            return outcome.cars.iter().map(mark).collect();
        }
        if self.sample {
            return gradeworthy_demo::STORIES
                .iter()
                .map(|story| story.mark.to_owned())
                .collect();
        }
        Vec::new()
    }
}

fn judge_all(records: Vec<Record>, book: &RuleBook, shop: &Shop, day: Date) -> Vec<Judged> {
    let bar = terminal::progress("judging");
    bar.set_length(u64::try_from(records.len()).unwrap_or(u64::MAX));
    let judged = records
        .into_iter()
        .map(|record| {
            let inspection = inspect(&record, book, shop, day);
            let cures = prescribe(&record, book, shop, &inspection);
            bar.inc(1);
            Judged {
                record,
                inspection,
                cures,
            }
        })
        .collect();
    bar.finish_and_clear();
    judged
}

impl Outcome {
    fn count(&self, verdict: Verdict) -> usize {
        self.cars
            .iter()
            .filter(|car| car.inspection.verdict == verdict)
            .count()
    }

    fn exit_code(&self) -> ExitCode {
        if self.intake.refusals().next().is_some() {
            return ExitCode::from(2);
        }
        let fit = self
            .cars
            .iter()
            .all(|car| matches!(car.inspection.verdict, Verdict::Fit | Verdict::Watch));
        if fit {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        }
    }
}
