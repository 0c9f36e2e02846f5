//! `gradeworthy paper`: labels, tags, slips, record sheets, statements and the monthly report as PDF,
//! from a sheet of readings or from a club's record.

mod from_record;
mod from_sheet;
mod label_sheet;

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, bail};
use clap::{Args, Subcommand, ValueEnum};
use gradeworthy_paper::{self as pdf, LabelSheet, Layout, Paper as Size, Printed};
use gradeworthy_reports::words::System;
use jiff::civil::Date;

use super::terminal;
use label_sheet::Described;

/// Notes said one by one; a sheet of thousands could have thousands.
const NOTES_SHOWN: usize = 20;

/// Print what goes with a car, as PDF
#[derive(Debug, Args)]
#[command(
    after_help = "Exit status: 0 printed as asked; 1 printed, with something to know about it \
                        (said on standard error); 2 not printed."
)]
pub(crate) struct Paper {
    #[command(subcommand)]
    kind: Kind,
}

#[derive(Debug, Subcommand)]
enum Kind {
    /// Labels for the underside of cars
    Labels(Box<Labels>),
    /// Shop tags: what was found and what to do
    Tags(Quarters),
    /// Bad-order slips of the reports that are open in a club's record
    Slips(Quarters),
    /// Record sheets: readings, limits, margins, drawings, history
    Records(Records),
    /// The statement of one owner
    Statement(Statement),
    /// The monthly report of a club's record
    Monthly(Monthly),
}

// Where the cars come from. No doc comment: it would stand as the command's description.
#[derive(Debug, Args)]
struct Source {
    /// A sheet of readings: CSV or XLSX; '-' for standard input
    #[arg(required_unless_present_any = ["sample", "club"], conflicts_with_all = ["sample", "club"])]
    sheet: Option<PathBuf>,
    /// The invented sample club
    #[arg(long, conflicts_with = "club")]
    sample: bool,
    /// The folder of a club's record
    #[arg(long)]
    club: Option<PathBuf>,
    /// The rule book for a sheet; the starter where none is named
    #[arg(long, conflicts_with = "club")]
    rules: Option<PathBuf>,
    /// The shop file with stock and history, for cures
    #[arg(long)]
    shop: Option<PathBuf>,
    /// Scale of cars whose row does not say
    #[arg(long, conflicts_with = "club")]
    scale: Option<String>,
    /// The day to judge as of; today where none is named
    #[arg(long, conflicts_with = "club")]
    day: Option<Date>,
    /// Only these cars; may be given several times
    #[arg(long = "car")]
    cars: Vec<String>,
    /// What codes lead to, where the club has set nothing: the address of its server
    #[arg(long)]
    address: Option<String>,
}

impl Source {
    /// The marks that were named, as cars carry them.
    fn marks(&self) -> Vec<String> {
        let tidy = |name: &String| {
            let words: Vec<_> = name.split_whitespace().collect();
            words.join(" ").to_uppercase()
        };
        self.cars.iter().map(tidy).collect()
    }
}

// Where the print goes; likewise.
#[derive(Debug, Args)]
struct Target {
    /// The PDF file to write; '-' for standard output
    #[arg(long, short)]
    output: PathBuf,
    /// Plain paper, where no sheet of labels says
    #[arg(long, value_enum, default_value_t)]
    paper: PaperName,
    /// Units of the text
    #[arg(long, value_enum, default_value_t)]
    units: Units,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum PaperName {
    /// 210 mm × 297 mm
    #[default]
    A4,
    /// 8.5 in × 11 in
    Letter,
}

impl From<PaperName> for Size {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::A4 => Self::A4,
            PaperName::Letter => Self::Letter,
        }
    }
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

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Both => Self::Both,
            Units::Metric => Self::Metric,
            Units::Inch => Self::Inch,
        }
    }
}

#[derive(Debug, Args)]
struct Labels {
    #[command(flatten)]
    source: Source,
    #[command(flatten)]
    target: Target,
    #[command(flatten)]
    described: Described,
    /// Leave the verdict off
    #[arg(long)]
    no_verdict: bool,
}

#[derive(Debug, Args)]
struct Quarters {
    #[command(flatten)]
    source: Source,
    #[command(flatten)]
    target: Target,
    /// The first quarter of the page to print on: row,column
    #[arg(long, value_parser = label_sheet::first, default_value = "1,1")]
    first: pdf::First,
}

#[derive(Debug, Args)]
struct Records {
    #[command(flatten)]
    source: Source,
    #[command(flatten)]
    target: Target,
}

#[derive(Debug, Args)]
struct Statement {
    /// The owner, by his whole name
    #[arg(long)]
    owner: String,
    #[command(flatten)]
    source: Source,
    #[command(flatten)]
    target: Target,
}

#[derive(Debug, Args)]
struct Monthly {
    /// The folder of the club's record
    #[arg(long)]
    club: PathBuf,
    /// The month, as 2026-11; this one where none is named
    #[arg(long, value_parser = month)]
    month: Option<Date>,
    #[command(flatten)]
    target: Target,
}

fn month(text: &str) -> Result<Date, String> {
    let day = format!("{text}-01").parse();
    day.map_err(|_| format!("'{text}' is no month; write it as 2026-11"))
}

impl Paper {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        match &self.kind {
            Kind::Labels(own) => own.run(),
            Kind::Tags(own) => own.tags(),
            Kind::Slips(own) => own.slips(),
            Kind::Records(own) => own.run(),
            Kind::Statement(own) => own.run(),
            Kind::Monthly(own) => own.run(),
        }
    }
}

impl Target {
    fn system(&self) -> System {
        self.units.into()
    }

    fn quarters(&self, first: pdf::First) -> Layout {
        Layout {
            sheet: LabelSheet::quarters(self.paper.into()),
            first,
            outlines: true,
        }
    }

    /// Writes the print and says what there is to know about it.
    fn write(&self, printed: &Printed) -> anyhow::Result<ExitCode> {
        if self.output.as_os_str() == "-" {
            let mut out = std::io::stdout().lock();
            out.write_all(&printed.pdf)?;
            out.flush()?;
        } else {
            std::fs::write(&self.output, &printed.pdf)
                .with_context(|| format!("cannot write {}", self.output.display()))?;
        }
        let pages = match printed.pages {
            1 => "1 page".to_owned(),
            n => format!("{n} pages"),
        };
        let mut said = format!("{pages}, {} bytes\n", printed.pdf.len());
        for note in printed.notes.iter().take(NOTES_SHOWN) {
            said += &format!("note: {note}\n");
        }
        let more = printed.notes.len().saturating_sub(NOTES_SHOWN);
        if more > 0 {
            said += &format!("note: and {more} more of the kind\n");
        }
        terminal::tell(&said)?;
        Ok(if printed.notes.is_empty() {
            ExitCode::SUCCESS
        } else {
            ExitCode::from(1)
        })
    }
}

impl Labels {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let layout = self.described.layout(self.target.paper.into())?;
        let with_verdict = !self.no_verdict;
        let labels: Vec<_> = if self.source.club.is_some() {
            let cars = from_record::cars(&self.source)?;
            cars.iter().map(|car| car.label(with_verdict)).collect()
        } else {
            let cars = from_sheet::cars(&self.source)?;
            cars.iter().map(|car| car.label(with_verdict)).collect()
        };
        self.target.write(&pdf::labels(&labels, &layout)?)
    }
}

impl Quarters {
    fn tags(&self) -> anyhow::Result<ExitCode> {
        let system = self.target.system();
        let tags: Vec<_> = if self.source.club.is_some() {
            let cars = from_record::cars(&self.source)?;
            cars.iter().map(|car| car.tag(system)).collect()
        } else {
            let cars = from_sheet::cars(&self.source)?;
            cars.iter().map(|car| car.tag(system)).collect()
        };
        let layout = self.target.quarters(self.first);
        self.target.write(&pdf::tags(&tags, &layout)?)
    }

    fn slips(&self) -> anyhow::Result<ExitCode> {
        if self.source.club.is_none() {
            bail!("a sheet of readings holds no reports; name a club's record with --club");
        }
        let cars = from_record::cars(&self.source)?;
        let slips: Vec<_> = cars
            .iter()
            .flat_map(gradeworthy_server::Gathered::slips)
            .collect();
        let layout = self.target.quarters(self.first);
        self.target.write(&pdf::slips(&slips, &layout)?)
    }
}

impl Records {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let (paper, system) = (self.target.paper.into(), self.target.system());
        let printed = if self.source.club.is_some() {
            let cars = from_record::cars(&self.source)?;
            let sheets: Vec<_> = cars
                .iter()
                .map(gradeworthy_server::Gathered::record_sheet)
                .collect();
            pdf::record_sheets(&sheets, paper, system)?
        } else {
            let cars = from_sheet::cars(&self.source)?;
            let sheets: Vec<_> = cars.iter().map(from_sheet::Judged::record_sheet).collect();
            pdf::record_sheets(&sheets, paper, system)?
        };
        self.target.write(&printed)
    }
}

impl Statement {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let statement = if self.source.club.is_some() {
            from_record::statement(&self.source, &self.owner)?
        } else {
            from_sheet::statement(&self.source, &self.owner, self.target.system())?
        };
        let printed = pdf::statement(&statement, self.target.paper.into())?;
        self.target.write(&printed)
    }
}

impl Monthly {
    fn run(&self) -> anyhow::Result<ExitCode> {
        let report = from_record::monthly(&self.club, self.month)?;
        let printed = pdf::monthly(&report, self.target.paper.into(), self.target.system())?;
        self.target.write(&printed)
    }
}
