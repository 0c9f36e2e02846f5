//! What stands on the papers of cars, gathered from the record.

use std::sync::Arc;

use gradeworthy_paper::{
    Address, Happened, Judged, Label, Monthly, RecordSheet, Slip, Statement, StatementCar, Tag,
};
use gradeworthy_reports::words::System;
use gradeworthy_store::{
    CarId, Fact, FleetCursor, FleetFilter, FleetRow, OpenReport, Snapshot, Standing, Version,
};
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use jiff::civil::Date;

use super::month;
use crate::members::Names;
use crate::refusal::Refusal;
use crate::{App, fleet, story, words};

/// Cars taken from the record at a time.
const PAGE: u32 = 500;

/// A car of the record, judged under today's rule book, with everything its papers say.
pub struct Gathered {
    /// Where it stands.
    row: FleetRow,
    record: Record,
    inspection: Inspection,
    cures: Vec<Cure>,
    on: Date,
    standing: String,
    address: Address,
    reports: Vec<(OpenReport, String, String)>,
    history: Vec<Happened>,
    book: String,
}

impl Gathered {
    /// The label for its underside, with the verdict or without.
    #[must_use]
    pub fn label(&self, with_verdict: bool) -> Label {
        let judged = with_verdict.then_some(self.judged());
        label(&self.row, judged, self.address.clone())
    }

    fn judged(&self) -> Judged {
        Judged {
            verdict: self.inspection.verdict,
            edition: self.inspection.edition,
            on: self.on,
        }
    }

    /// Its shop tag.
    #[must_use]
    pub fn tag(&self, system: System) -> Tag {
        let judged = (&self.inspection, self.cures.as_slice());
        let address = self.address.clone();
        Tag::of(&self.record.car, judged, self.on, address, system)
    }

    /// Its record sheet.
    #[must_use]
    pub fn record_sheet(&self) -> RecordSheet<'_> {
        RecordSheet {
            record: &self.record,
            inspection: &self.inspection,
            cures: &self.cures,
            on: self.on,
            book: &self.book,
            standing: Some(self.standing.clone()),
            history: Some(self.history.clone()),
            address: self.address.clone(),
        }
    }

    /// A slip for each open report of bad order.
    #[must_use]
    pub fn slips(&self) -> Vec<Slip> {
        let slip = |(own, by, at): &(OpenReport, String, String)| Slip {
            mark: self.row.mark.to_string(),
            what: what(&self.row),
            owner: self.row.owner.as_deref().map(str::to_owned),
            defect: own.report.defect.to_string(),
            place: own.report.place.to_string(),
            note: own.report.note.to_string(),
            by: by.clone(),
            at: at.clone(),
            address: self.address.clone(),
        };
        self.reports.iter().map(slip).collect()
    }

    fn on_statement(&self) -> StatementCar {
        let asked = match &self.row.standing {
            Standing::WaitingForOwner { what } => Some(what.to_string()),
            _ => None,
        };
        StatementCar {
            mark: self.row.mark.to_string(),
            what: what(&self.row),
            judged: (!self.record.entries.is_empty()).then(|| self.judged()),
            standing: self.standing.clone(),
            out: StatementCar::out_of(&self.inspection, System::Both),
            asked,
        }
    }
}

fn label(row: &FleetRow, judged: Option<Judged>, address: Address) -> Label {
    Label {
        mark: row.mark.to_string(),
        what: what(row),
        owner: row.owner.as_deref().map(str::to_owned),
        judged,
        address,
    }
}

/// What a car is: '40-ft box car, HO'.
pub(super) fn what(row: &FleetRow) -> String {
    let letters = row.car_type.as_ref().map(|own| own.as_str().to_owned());
    match row.description.as_deref().map(str::to_owned).or(letters) {
        Some(what) => format!("{what}, {}", row.scale),
        None => row.scale.to_string(),
    }
}

/// What all cars of one gathering share.
pub(super) struct Gathering<'a> {
    pub(super) app: &'a App,
    pub(super) snapshot: &'a Snapshot<'a>,
    names: Names,
    book: Arc<RuleBook>,
    /// What every address begins with, where it is known.
    base: Option<String>,
}

impl<'a> Gathering<'a> {
    /// `host` is the name by which a browser reached us, which stands in where the club has set no
    /// address.
    pub(super) fn new(
        app: &'a App,
        snapshot: &'a Snapshot<'a>,
        host: Option<&str>,
    ) -> Result<Self, Refusal> {
        let set = snapshot.server_address()?;
        let base = set.map(String::from);
        Ok(Self {
            app,
            snapshot,
            names: Names::of(snapshot)?,
            book: app.books().holding(snapshot, app.today())?,
            base: base.or_else(|| host.map(|host| format!("http://{host}"))),
        })
    }

    pub(super) fn car(&self, row: FleetRow) -> Result<Gathered, Refusal> {
        let app = self.app;
        let record = self.snapshot.record(row.car)?.record;
        let (shop, on) = (&app.settings().shop, app.today());
        let inspection = inspect(&record, &self.book, shop, on);
        let cures = prescribe(&record, &self.book, shop, &inspection);
        let reports = self.snapshot.open_reports(row.car)?.into_iter().map(|own| {
            let by = self.names.name(own.by).to_owned();
            let at = words::time(app, own.at);
            (own, by, at)
        });
        Ok(Gathered {
            standing: standing(app, &row),
            address: self.address(row.car),
            history: self.history(row.car)?,
            reports: reports.collect(),
            book: self.book.title.to_string(),
            row,
            record,
            inspection,
            cures,
            on,
        })
    }

    fn address(&self, car: CarId) -> Address {
        self.base.as_ref().map_or(Address::Unknown, |base| {
            Address::Page(format!("{}/cars/{car}", base.trim_end_matches('/')))
        })
    }

    /// The labels of many cars: their verdicts are those of the fleet that is held in memory, so that no
    /// record is read for them.
    pub(super) fn labels(
        &self,
        rows: &[FleetRow],
        with_verdict: bool,
    ) -> Result<Vec<Label>, Refusal> {
        let on = self.app.today();
        self.app.with_fleet(|known| {
            let fleet = &known.fleet;
            let judged = |row: &FleetRow| {
                let own = &fleet.cars()[fleet.row(row.car.number())?];
                Some(Judged {
                    verdict: own.judged.verdict,
                    edition: fleet.under().book.edition,
                    on,
                })
            };
            let each = |row: &FleetRow| {
                let judged = with_verdict.then(|| judged(row)).flatten();
                label(row, judged, self.address(row.car))
            };
            Ok(rows.iter().map(each).collect())
        })
    }

    /// What happened, the latest first; readings that were entered together in one row.
    fn history(&self, car: CarId) -> Result<Vec<Happened>, Refusal> {
        let mut events = self.snapshot.history(car, Version::from_number(0), None)?;
        events.reverse();
        let read = |fact: &Fact| matches!(fact, Fact::Read(_));
        let together = events.chunk_by(|one, next| {
            let plain = one.struck.is_none() && next.struck.is_none();
            plain && read(&one.fact) && read(&next.fact) && (one.by, one.at) == (next.by, next.at)
        });
        let row = |chapter: &[gradeworthy_store::CarEvent]| {
            let event = chapter.first()?;
            let mut what = if chapter.len() > 1 {
                format!("Read {} things", chapter.len())
            } else {
                story::sentence(self.app, &self.names, &event.fact)
            };
            if let Some(struck) = &event.struck {
                what += &format!(" (struck: {})", struck.why);
            }
            Some(Happened {
                at: words::time(self.app, event.at),
                by: self.names.name(event.by).to_owned(),
                what,
            })
        };
        Ok(together.filter_map(row).collect())
    }

    /// Every car that a filter lets through.
    pub(super) fn rows(&self, filter: &FleetFilter) -> Result<Vec<FleetRow>, Refusal> {
        let mut all: Vec<FleetRow> = Vec::new();
        loop {
            let after = all.last().map(FleetCursor::from);
            let mut page = self.snapshot.fleet(filter, after.as_ref(), PAGE)?;
            let last = page.len() < PAGE as usize;
            all.append(&mut page);
            if last {
                return Ok(all);
            }
        }
    }

    pub(super) fn statement(&self, owner: &str, rows: Vec<FleetRow>) -> Result<Statement, Refusal> {
        let cars = rows
            .into_iter()
            .map(|row| Ok(self.car(row)?.on_statement()));
        Ok(Statement {
            owner: owner.to_owned(),
            on: self.app.today(),
            cars: cars.collect::<Result<_, Refusal>>()?,
        })
    }
}

fn standing(app: &App, row: &FleetRow) -> String {
    let more = match &row.standing {
        Standing::Limited { restriction } => format!(": {restriction}"),
        Standing::Resting { not_before } => format!(" until {}", words::time(app, *not_before)),
        Standing::WaitingForParts { what } | Standing::WaitingForOwner { what } => {
            format!(": {what}")
        }
        Standing::BackToOwner { why } => format!(": {why}"),
        Standing::AtBench | Standing::Admitted | Standing::BadOrdered => String::new(),
    };
    format!("{}{more}, {}", row.standing.name(), fleet::since(app, row))
}

/// Cars of the record for a program that prints without a page: those with these marks, or all.
/// `base` is the server's address where the club has set none.
///
/// # Errors
/// A sentence: a car that the record does not hold, or what the record refused.
pub fn gather_papers(
    app: &App,
    marks: &[String],
    base: Option<&str>,
) -> Result<Vec<Gathered>, String> {
    let gather = || -> Result<Vec<Gathered>, Refusal> {
        let snapshot = app.store().snapshot()?;
        let mut gathering = Gathering::new(app, &snapshot, None)?;
        gathering.base = gathering.base.or_else(|| base.map(str::to_owned));
        let mut rows = gathering.rows(&FleetFilter::default())?;
        for mark in marks {
            let known = rows.iter().any(|row| row.mark.as_str() == mark);
            if !known {
                let found = mark.clone();
                let expected = "car of this record";
                return Err(Refusal::NotAChoice { found, expected });
            }
        }
        rows.retain(|row| marks.is_empty() || marks.iter().any(|mark| row.mark.as_str() == mark));
        rows.into_iter().map(|row| gathering.car(row)).collect()
    };
    gather().map_err(|refusal| refusal.message(app))
}

/// The statement of an owner by his name.
///
/// # Errors
/// A sentence: nobody of that name owns a car, or what the record refused.
pub fn gather_statement(app: &App, owner: &str) -> Result<Statement, String> {
    let gather = || -> Result<Statement, Refusal> {
        let snapshot = app.store().snapshot()?;
        let gathering = Gathering::new(app, &snapshot, None)?;
        let rows = of_owner(&gathering, owner)?;
        gathering.statement(owner, rows)
    };
    gather().map_err(|refusal| refusal.message(app))
}

/// The cars of an owner by his whole name.
pub(super) fn of_owner(gathering: &Gathering<'_>, owner: &str) -> Result<Vec<FleetRow>, Refusal> {
    let filter = FleetFilter {
        owner_part: Some(owner.into()),
        ..FleetFilter::default()
    };
    let mut rows = gathering.rows(&filter)?;
    rows.retain(|row| {
        let own = row.owner.as_deref().unwrap_or_default();
        own.to_lowercase() == owner.to_lowercase()
    });
    if rows.is_empty() {
        return Err(Refusal::NotAChoice {
            found: owner.to_owned(),
            expected: "owner of a car in this record",
        });
    }
    Ok(rows)
}

/// The report of a period, both days counted.
///
/// # Errors
/// A sentence: what the record refused.
pub fn gather_month(app: &App, from: Date, to: Date) -> Result<Monthly, String> {
    let gather = || -> Result<Monthly, Refusal> {
        let snapshot = app.store().snapshot()?;
        let gathering = Gathering::new(app, &snapshot, None)?;
        month::report(&gathering, from, to)
    };
    gather().map_err(|refusal| refusal.message(app))
}
