//! Reading what a climb needs, and joining it.

use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use clap::Args;
use gradeworthy_demo::climb::MakeUp;
use gradeworthy_reports::climb::{self as report, ClubLine, Consist, Line, Stock};
use gradeworthy_sheets::intake::{Taking, take};
use gradeworthy_standards::Scale;
use gradeworthy_train::consist::{Locomotive, TrainOrder, read_power, read_train, read_train_csv};
use gradeworthy_train::line::{LineDesign, read_csv, read_toml};
use gradeworthy_train::vehicle::Vehicle;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::Date;

use super::super::{files, terminal};
use super::club::Club;

/// The files of a hill and a train, those of a club's record, or the sample's.
#[derive(Debug, Args)]
pub(crate) struct Files {
    /// The folder of a club's record: its cars, rule book and power, and by name its line and make-up
    #[arg(long, conflicts_with_all = ["sample", "sheet", "scale", "rules"])]
    club: Option<PathBuf>,
    /// The line: TOML, or CSV with one row a piece or one row a survey reading; with --club the name of
    /// one in the record, its only one where none is named
    #[arg(long, required_unless_present_any = ["sample", "club"])]
    line: Option<PathBuf>,
    /// The gauge of a surveyed line, with its unit, such as '16.5 mm'
    #[arg(long)]
    gauge: Option<String>,
    /// The locomotives: TOML; with --club those of the record where none is named
    #[arg(long, required_unless_present_any = ["sample", "club"])]
    power: Option<PathBuf>,
    /// The train: TOML, or CSV with one row a vehicle, head first; with --club the name of a make-up in
    /// the record, its only one where none is named
    #[arg(long, required_unless_present_any = ["sample", "club"])]
    train: Option<PathBuf>,
    /// The sheet with the cars' readings, as for `inspect`
    #[arg(long, required_unless_present_any = ["sample", "club"])]
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
}

impl Files {
    /// Whether the invented club's files stand in for those that are not named.
    pub(crate) fn is_sample(&self) -> bool {
        self.sample
    }

    fn make_up(&self) -> MakeUp {
        if self.mended {
            MakeUp::Mended
        } else {
            MakeUp::Wrong
        }
    }
}

/// Everything that was read.
pub(crate) struct Inputs {
    line: ClubLine,
    power: Vec<Locomotive>,
    pub(crate) order: TrainOrder,
    /// What the train is called among others.
    pub(crate) name: String,
    cars: Vec<(Record, Inspection)>,
    marks: Vec<String>,
    book: RuleBook,
}

/// A second train of the same stock, with what it is called: out of the record where one is read, else from a
/// file.
pub(crate) fn read_second(asked: &Files, path: &Path) -> anyhow::Result<(String, TrainOrder)> {
    let name = path.display().to_string();
    let order = match (&asked.club, named(Some(path))) {
        (Some(folder), Named::InRecord(own)) => Club::open(folder)?.order(own)?,
        (_, Named::File) | (None, Named::InRecord(_)) => {
            read_named_order(path).with_context(|| name.clone())?
        }
    };
    Ok((name, order))
}

/// Reads everything; the cars of `second` are read beside those of the train itself.
pub(crate) fn read(asked: &Files, second: Option<&TrainOrder>) -> anyhow::Result<Inputs> {
    if let Some(folder) = &asked.club {
        return read_club(asked, &Club::open(folder)?, second);
    }
    let line = read_line(asked)?;
    let power_text = text_or(asked.power.as_deref(), gradeworthy_demo::climb::POWER)?;
    let power = read_power(&power_text).with_context(|| name(asked.power.as_deref(), "power"))?;
    let (book, shop) = book_and_shop(asked)?;
    let records = read_records(asked, &book)?;
    let order = read_order(asked, &records)?;
    let marks = records.iter().map(|own| own.car.mark.to_string()).collect();
    let orders: Vec<&TrainOrder> = std::iter::once(&order).chain(second).collect();
    let cars = inspected(records, &orders, &book, &shop, asked);
    Ok(Inputs {
        line,
        power,
        name: name(asked.train.as_deref(), "train"),
        order,
        cars,
        marks,
        book,
    })
}

/// The same out of a record, except what a file is named for.
fn read_club(asked: &Files, club: &Club, second: Option<&TrainOrder>) -> anyhow::Result<Inputs> {
    let line = match named(asked.line.as_deref()) {
        Named::File => read_line(asked)?,
        Named::InRecord(name) => club.line(name)?,
    };
    if asked.gauge.is_some() && !matches!(named(asked.line.as_deref()), Named::File) {
        bail!("--gauge is for a surveyed line in a file; a line of the record has its own");
    }
    let power = match &asked.power {
        Some(path) => {
            read_power(&files::text(path)?).with_context(|| path.display().to_string())?
        }
        None => club.power()?,
    };
    let order = match named(asked.train.as_deref()) {
        Named::File => read_order(asked, &[])?,
        Named::InRecord(name) => club.order(name)?,
    };
    let book = club.book()?;
    let shop = match &asked.shop {
        None if club.is_sample() => {
            Shop::read(gradeworthy_demo::SHOP).context("the sample's shop")?
        }
        path => files::shop(path.as_deref())?,
    };
    let orders: Vec<&TrainOrder> = std::iter::once(&order).chain(second).collect();
    let (records, notices) = club.cars(&orders, &power)?;
    for notice in notices {
        terminal::complain(&anyhow::Error::msg(notice));
    }
    let marks = records.iter().map(|own| own.car.mark.to_string()).collect();
    let cars = inspected(records, &orders, &book, &shop, asked);
    Ok(Inputs {
        line,
        power,
        name: asked
            .train
            .as_ref()
            .map_or_else(|| "the make-up".to_owned(), |own| own.display().to_string()),
        order,
        cars,
        marks,
        book,
    })
}

/// What a flag stands for beside `--club`.
enum Named<'a> {
    /// Something of the record, by its name.
    InRecord(Option<&'a str>),
    /// A file: its name ends in `.toml` or `.csv`.
    File,
}

fn named(path: Option<&Path>) -> Named<'_> {
    let is_toml = path
        .and_then(Path::extension)
        .is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
    if is_toml || is_csv(path) {
        return Named::File;
    }
    Named::InRecord(path.and_then(Path::to_str))
}

impl Inputs {
    pub(crate) fn consist(&self) -> anyhow::Result<Consist> {
        self.consist_of(&self.order)
    }

    /// Another train of the same stock.
    pub(crate) fn consist_of(&self, order: &TrainOrder) -> anyhow::Result<Consist> {
        report::join(order, self.stock()).context("the train cannot be made up")
    }

    /// The locomotives of the power file that are not in the train.
    pub(crate) fn spare_power(&self) -> anyhow::Result<Vec<Vehicle>> {
        report::spare_power(&self.order, self.stock()).context("the power file")
    }

    fn stock(&self) -> Stock<'_> {
        Stock {
            cars: &self.cars,
            marks: &self.marks,
            power: &self.power,
            book: &self.book,
            gauge_m: self.line.gauge_m(),
        }
    }

    /// The line with what its own check says of it, for the longest vehicle of the train.
    pub(crate) fn line(&self, consist: &Consist) -> Line {
        self.line.for_train(consist)
    }
}

fn name(path: Option<&Path>, what: &str) -> String {
    path.map_or_else(
        || format!("the sample's {what}"),
        |path| path.display().to_string(),
    )
}

fn text_or(path: Option<&Path>, sample: &str) -> anyhow::Result<String> {
    path.map_or_else(|| Ok(sample.to_owned()), files::text)
}

fn is_csv(path: Option<&Path>) -> bool {
    let ending = path.and_then(Path::extension);
    ending.is_some_and(|ending| ending.eq_ignore_ascii_case("csv"))
}

fn read_line(asked: &Files) -> anyhow::Result<ClubLine> {
    let path = asked.line.as_deref();
    let text = text_or(path, gradeworthy_demo::climb::LINE)?;
    let named = || name(path, "line");
    if is_csv(path) && !has_sections(&text) {
        let head = survey_head(asked, &named())?;
        return ClubLine::surveyed(head, &text).with_context(named);
    }
    if asked.gauge.is_some() {
        bail!("--gauge is for a surveyed line; a designed one states its gauge under [line]");
    }
    let design = if is_csv(path) {
        read_csv(&text)
    } else {
        read_toml(&text)
    };
    ClubLine::designed(design.with_context(named)?).with_context(named)
}

/// Whether a table has a row for each piece of line; a survey has a row for each reading.
fn has_sections(text: &str) -> bool {
    let heading = text.lines().next().unwrap_or_default();
    let mut columns = heading.split([',', ';', '\t']);
    columns.any(|word| {
        word.trim()
            .trim_matches('"')
            .eq_ignore_ascii_case("section")
    })
}

/// What is known of a surveyed line beside its readings.
fn survey_head(asked: &Files, name: &str) -> anyhow::Result<LineDesign> {
    let mut text = format!("section,name,gauge\nline,\"{}\"", name.replace('"', "\"\""));
    if let Some(gauge) = &asked.gauge {
        text += &format!(",\"{}\"", gauge.replace('"', "\"\""));
    }
    read_csv(&(text + "\n")).context("--gauge")
}

fn book_and_shop(asked: &Files) -> anyhow::Result<(RuleBook, Shop)> {
    let book = match &asked.rules {
        None if asked.sample => {
            RuleBook::read(&gradeworthy_demo::rule_book()).context("the sample's rules")?
        }
        path => files::rule_book(path.as_deref())?,
    };
    let shop = match &asked.shop {
        None if asked.sample => Shop::read(gradeworthy_demo::SHOP).context("the sample's shop")?,
        path => files::shop(path.as_deref())?,
    };
    Ok((book, shop))
}

fn read_records(asked: &Files, book: &RuleBook) -> anyhow::Result<Vec<Record>> {
    let Some(path) = &asked.sheet else {
        return Ok(gradeworthy_demo::fleet(
            gradeworthy_demo::SEED,
            gradeworthy_demo::CARS,
        ));
    };
    let scale = asked
        .scale
        .as_deref()
        .map(str::parse::<Scale>)
        .transpose()?;
    let bytes = files::bytes(path)?;
    let workbook = gradeworthy_sheets::read(&bytes).with_context(|| path.display().to_string())?;
    let bar = terminal::progress("reading");
    let mut intake = take(&workbook, Taking { book, scale }, &mut |done, total| {
        bar.set_length(u64::try_from(total).unwrap_or(u64::MAX));
        bar.set_position(u64::try_from(done).unwrap_or(u64::MAX));
    });
    bar.finish_and_clear();
    let refused = intake.refusals().count();
    if refused > 0 {
        let what = format!(
            "{refused} cell(s) or row(s) of {} were refused and are not used here; \
             `gradeworthy inspect` lists them",
            path.display()
        );
        terminal::complain(&anyhow::anyhow!(what));
    }
    Ok(std::mem::take(&mut intake.records))
}

fn read_order(asked: &Files, fleet: &[Record]) -> anyhow::Result<TrainOrder> {
    let path = asked.train.as_deref();
    let order = match path {
        None => read_train(&gradeworthy_demo::climb::train(fleet, asked.make_up())),
        Some(own) => return read_named_order(own).with_context(|| name(path, "train")),
    };
    order.with_context(|| name(path, "train"))
}

fn read_named_order(path: &Path) -> anyhow::Result<TrainOrder> {
    let text = files::text(path)?;
    Ok(if is_csv(Some(path)) {
        read_train_csv(&text)?
    } else {
        read_train(&text)?
    })
}

/// The cars of the trains with the bench's judgement of each.
fn inspected(
    records: Vec<Record>,
    orders: &[&TrainOrder],
    book: &RuleBook,
    shop: &Shop,
    asked: &Files,
) -> Vec<(Record, Inspection)> {
    let today = || {
        if asked.sample {
            gradeworthy_demo::climb::DAY
        } else {
            files::today()
        }
    };
    let day = asked.day.unwrap_or_else(today);
    let members = orders.iter().flat_map(|own| &own.members);
    let in_train: std::collections::BTreeSet<_> = members.map(|own| own.name.as_str()).collect();
    let cars = records
        .into_iter()
        .filter(|own| in_train.contains(own.car.mark.as_str()));
    cars.map(|record| {
        let inspection = inspect(&record, book, shop, day);
        (record, inspection)
    })
    .collect()
}
