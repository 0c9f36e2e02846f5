//! Cars of a sheet of readings. A sheet has no history and no identity of cars, so a code leads to the
//! search for the car's marks.

use anyhow::{Context, bail};
use gradeworthy_paper::{
    Address, Judged as JudgedOn, Label, RecordSheet, Statement, StatementCar, Tag,
};
use gradeworthy_reports::words::System;
use gradeworthy_sheets::intake::{Taking, take};
use gradeworthy_standards::Scale;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::Date;

use super::super::{files, terminal};
use super::Source;

/// One judged car.
pub(super) struct Judged {
    record: Record,
    inspection: Inspection,
    cures: Vec<Cure>,
    day: Date,
    book: String,
    address: Address,
}

/// The cars that are asked for, judged. What the sheet holds that cannot be read stops the print: a
/// label must not be wrong in silence.
pub(super) fn cars(source: &Source) -> anyhow::Result<Vec<Judged>> {
    let (book, shop) = book_and_shop(source)?;
    let scale = source
        .scale
        .as_deref()
        .map(str::parse::<Scale>)
        .transpose()?;
    let day = source.day.unwrap_or_else(files::today);
    let name = source
        .sheet
        .as_ref()
        .map_or("the sample sheet".to_owned(), |path| {
            path.display().to_string()
        });
    let bytes = match &source.sheet {
        Some(path) => files::bytes(path)?,
        None => {
            let fleet = gradeworthy_demo::fleet(gradeworthy_demo::SEED, gradeworthy_demo::CARS);
            gradeworthy_demo::csv(&fleet).into_bytes()
        }
    };
    let workbook = gradeworthy_sheets::read(&bytes).with_context(|| name.clone())?;
    let taking = Taking { book: &book, scale };
    let intake = take(&workbook, taking, &mut |_, _| {});
    let refused: Vec<String> = intake
        .sheets
        .iter()
        .flat_map(|sheet| &sheet.refusals)
        .map(ToString::to_string)
        .collect();
    if let Some(first) = refused.first() {
        bail!(
            "{name}: {} cells were refused, so nothing was printed; the first: {first}; \
             `gradeworthy inspect` lists them all",
            refused.len()
        );
    }
    let marks = source.marks();
    for mark in &marks {
        if !intake
            .records
            .iter()
            .any(|own| own.car.mark.as_str() == mark)
        {
            bail!("no car named '{mark}' is on {name}");
        }
    }
    let bar = terminal::progress("judging");
    bar.set_length(u64::try_from(intake.records.len()).unwrap_or(u64::MAX));
    let wanted =
        |own: &Record| marks.is_empty() || marks.iter().any(|m| own.car.mark.as_str() == m);
    let judged = intake.records.into_iter().filter(wanted).map(|record| {
        let inspection = inspect(&record, &book, &shop, day);
        let cures = prescribe(&record, &book, &shop, &inspection);
        bar.inc(1);
        Judged {
            address: address(source, record.car.mark.as_str()),
            record,
            inspection,
            cures,
            day,
            book: book.title.to_string(),
        }
    });
    let judged = judged.collect();
    bar.finish_and_clear();
    Ok(judged)
}

fn book_and_shop(source: &Source) -> anyhow::Result<(RuleBook, Shop)> {
    let book = match (&source.rules, source.sample) {
        (None, true) => {
            RuleBook::read(&gradeworthy_demo::rule_book()).context("the sample's rules")?
        }
        (rules, _) => files::rule_book(rules.as_deref())?,
    };
    let shop = match (&source.shop, source.sample) {
        (None, true) => Shop::read(gradeworthy_demo::SHOP).context("the sample's shop")?,
        (shop, _) => files::shop(shop.as_deref())?,
    };
    Ok((book, shop))
}

fn address(source: &Source, mark: &str) -> Address {
    source.address.as_ref().map_or(Address::Unknown, |base| {
        let mark: String = mark
            .bytes()
            .map(|byte| match byte {
                b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => char::from(byte).to_string(),
                other => format!("%{other:02X}"),
            })
            .collect();
        Address::Page(format!("{}/fleet?mark={mark}", base.trim_end_matches('/')))
    })
}

impl Judged {
    fn what(&self) -> String {
        let car = &self.record.car;
        let letters = car.car_type.as_ref().map(|own| own.as_str().to_owned());
        match car.description.as_deref().map(str::to_owned).or(letters) {
            Some(what) => format!("{what}, {}", car.scale),
            None => car.scale.to_string(),
        }
    }

    fn judged(&self) -> JudgedOn {
        JudgedOn {
            verdict: self.inspection.verdict,
            edition: self.inspection.edition,
            on: self.day,
        }
    }

    pub(super) fn label(&self, with_verdict: bool) -> Label {
        Label {
            mark: self.record.car.mark.to_string(),
            what: self.what(),
            owner: self.record.car.owner.as_deref().map(str::to_owned),
            judged: with_verdict.then_some(self.judged()),
            address: self.address.clone(),
        }
    }

    pub(super) fn tag(&self, system: System) -> Tag {
        let judged = (&self.inspection, self.cures.as_slice());
        Tag::of(
            &self.record.car,
            judged,
            self.day,
            self.address.clone(),
            system,
        )
    }

    pub(super) fn record_sheet(&self) -> RecordSheet<'_> {
        RecordSheet {
            record: &self.record,
            inspection: &self.inspection,
            cures: &self.cures,
            on: self.day,
            book: &self.book,
            standing: None,
            history: None,
            address: self.address.clone(),
        }
    }
}

/// The statement of an owner on the sheet.
pub(super) fn statement(source: &Source, owner: &str, system: System) -> anyhow::Result<Statement> {
    let day = source.day.unwrap_or_else(files::today);
    let own = |car: &Judged| {
        let name = car.record.car.owner.as_deref().unwrap_or_default();
        name.to_lowercase() == owner.to_lowercase()
    };
    let cars: Vec<_> = cars(source)?.into_iter().filter(own).collect();
    if cars.is_empty() {
        bail!("no car on the sheet belongs to '{owner}'");
    }
    let cars = cars.iter().map(|car| StatementCar {
        mark: car.record.car.mark.to_string(),
        what: car.what(),
        judged: Some(car.judged()),
        standing: "a sheet does not say".to_owned(),
        out: StatementCar::out_of(&car.inspection, system),
        asked: None,
    });
    Ok(Statement {
        owner: owner.to_owned(),
        on: day,
        cars: cars.collect(),
    })
}
