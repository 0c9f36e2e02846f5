//! Reading what a climb needs, and joining it.

use std::path::Path;

use anyhow::{Context, bail};
use gradeworthy_reports::climb::{self as report, ClubLine, Consist, Stock};
use gradeworthy_sheets::intake::{Taking, take};
use gradeworthy_standards::Scale;
use gradeworthy_train::consist::{Locomotive, TrainOrder, read_power, read_train, read_train_csv};
use gradeworthy_train::line::{LineDesign, read_csv, read_toml};
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;

use super::super::{files, terminal};
use super::Climb;

/// Everything that was read.
pub(super) struct Inputs {
    pub(super) line: ClubLine,
    power: Vec<Locomotive>,
    pub(super) order: TrainOrder,
    cars: Vec<(Record, Inspection)>,
    marks: Vec<String>,
    book: RuleBook,
}

pub(super) fn read(asked: &Climb) -> anyhow::Result<Inputs> {
    let line = read_line(asked)?;
    let power_text = text_or(asked.power.as_deref(), gradeworthy_demo::climb::POWER)?;
    let power = read_power(&power_text).with_context(|| name(asked.power.as_deref(), "power"))?;
    let (book, shop) = book_and_shop(asked)?;
    let records = read_records(asked, &book)?;
    let order = read_order(asked, &records)?;
    let marks = records.iter().map(|own| own.car.mark.to_string()).collect();
    let cars = inspected(records, &order, &book, &shop, asked);
    Ok(Inputs {
        line,
        power,
        order,
        cars,
        marks,
        book,
    })
}

impl Inputs {
    pub(super) fn consist(&self) -> anyhow::Result<Consist> {
        let stock = Stock {
            cars: &self.cars,
            marks: &self.marks,
            power: &self.power,
            book: &self.book,
            gauge_m: self.line.gauge_m(),
        };
        report::join(&self.order, stock).context("the train cannot be made up")
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

fn read_line(asked: &Climb) -> anyhow::Result<ClubLine> {
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
fn survey_head(asked: &Climb, name: &str) -> anyhow::Result<LineDesign> {
    let mut text = format!("section,name,gauge\nline,\"{}\"", name.replace('"', "\"\""));
    if let Some(gauge) = &asked.gauge {
        text += &format!(",\"{}\"", gauge.replace('"', "\"\""));
    }
    read_csv(&(text + "\n")).context("--gauge")
}

fn book_and_shop(asked: &Climb) -> anyhow::Result<(RuleBook, Shop)> {
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

fn read_records(asked: &Climb, book: &RuleBook) -> anyhow::Result<Vec<Record>> {
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

fn read_order(asked: &Climb, fleet: &[Record]) -> anyhow::Result<TrainOrder> {
    let path = asked.train.as_deref();
    let order = match path {
        None => read_train(&gradeworthy_demo::climb::train(fleet, asked.make_up())),
        Some(own) if is_csv(path) => read_train_csv(&files::text(own)?),
        Some(own) => read_train(&files::text(own)?),
    };
    order.with_context(|| name(path, "train"))
}

/// The cars of the train with the bench's judgement of each.
fn inspected(
    records: Vec<Record>,
    order: &TrainOrder,
    book: &RuleBook,
    shop: &Shop,
    asked: &Climb,
) -> Vec<(Record, Inspection)> {
    let today = || {
        if asked.sample {
            gradeworthy_demo::climb::DAY
        } else {
            files::today()
        }
    };
    let day = asked.day.unwrap_or_else(today);
    let in_train: std::collections::BTreeSet<_> =
        order.members.iter().map(|own| own.name.as_str()).collect();
    let cars = records
        .into_iter()
        .filter(|own| in_train.contains(own.car.mark.as_str()));
    cars.map(|record| {
        let inspection = inspect(&record, book, shop, day);
        (record, inspection)
    })
    .collect()
}
