//! The club's monthly report: what was judged and released, what was bad-ordered and for what, what
//! waits, how heights and weights spread, which cars keep coming back, and with which instruments.
//!
//! Only what the record holds is counted; what it does not hold is said.

use gradeworthy_reports::drawing::{Spread, spread};
use gradeworthy_reports::words::{System, amount};
use gradeworthy_units::Amount;
use jiff::civil::Date;

use crate::face::{Face, Fonts};
use crate::flow::Flow;
use crate::pdf::Printed;
use crate::table::{Cell, Column, Table};
use crate::{Paper, PaperError};

const FOOT: &str = "Gradeworthy. Counted from the record; margins, not promises.";

/// What became of cars in the period.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Outcomes {
    /// Cars judged at least once.
    pub judged: usize,
    /// Inspections.
    pub inspections: usize,
    /// Cars released without a restriction.
    pub admitted: usize,
    /// Cars released with one.
    pub limited: usize,
    /// Cars bad-ordered at least once.
    pub bad_ordered: usize,
    /// Cars handed back to their owners.
    pub handed_back: usize,
}

/// Reports of bad order for one defect.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Defects {
    /// The defect.
    pub defect: String,
    /// Reports.
    pub reports: usize,
    /// Cars.
    pub cars: usize,
}

/// Cars that wait, at the end of the period.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waits {
    /// For what: 'resting', 'waiting for parts'.
    pub why: String,
    /// How many.
    pub cars: usize,
    /// The one that has waited longest, and since when.
    pub oldest: Option<(String, Date)>,
}

/// The spread of one reading over the cars of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadOf {
    /// What was read: 'coupler height, A end, HO'.
    pub what: String,
    /// The latest reading of each car.
    pub values: Vec<Amount>,
    /// Limits, where one holds for all of them.
    pub limits: (Option<Amount>, Option<Amount>),
}

/// A car that was bad-ordered more than once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadOrders {
    /// Reporting marks and number.
    pub mark: String,
    /// What it is.
    pub what: String,
    /// Reports of bad order in the period.
    pub in_period: usize,
    /// Reports since it came.
    pub ever: usize,
    /// The last defect.
    pub last: String,
}

/// An instrument and how often it was used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instrument {
    /// Its name.
    pub name: String,
    /// Readings in the period.
    pub readings: usize,
    /// The day of the last one.
    pub last: Date,
}

/// What stands in a monthly report.
#[derive(Clone, Debug, PartialEq)]
pub struct Monthly {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// What became of cars.
    pub outcomes: Outcomes,
    /// Bad orders by defect, the commonest first.
    pub defects: Vec<Defects>,
    /// What waits.
    pub waits: Vec<Waits>,
    /// Spreads.
    pub spreads: Vec<SpreadOf>,
    /// Cars that keep coming back, the worst first.
    pub worst: Vec<BadOrders>,
    /// Instruments, the most used first.
    pub instruments: Vec<Instrument>,
    /// Readings in the period for which no instrument is named.
    pub unnamed_readings: usize,
    /// What the record does not hold, as sentences.
    pub missing: Vec<String>,
}

/// The report.
///
/// # Errors
/// [`PaperError`] when it cannot be written.
pub fn monthly(report: &Monthly, paper: Paper, system: System) -> Result<Printed, PaperError> {
    let fonts = Fonts::load()?;
    let title = format!("Car shop report, {} to {}", report.from, report.to);
    let mut flow = Flow::new(&fonts, paper, title);
    flow.part("Car shop report");
    let period = format!("{} to {}", report.from, report.to);
    flow.head("Car shop report", &[period], None)?;
    outcomes(report, &mut flow);
    defects(report, &mut flow);
    waits(report, &mut flow);
    spreads(report, &mut flow, system)?;
    worst(report, &mut flow);
    instruments(report, &mut flow);
    if !report.missing.is_empty() {
        flow.heading("What the record does not hold");
        for text in &report.missing {
            flow.hung("○", text, Face::Regular);
        }
    }
    flow.finish(FOOT)
}

fn outcomes(report: &Monthly, flow: &mut Flow<'_>) {
    let own = &report.outcomes;
    flow.heading("Cars");
    let rows = [
        ("judged", own.judged),
        ("admitted", own.admitted),
        ("admitted, limited", own.limited),
        ("bad-ordered", own.bad_ordered),
        ("handed back to their owners", own.handed_back),
    ];
    flow.table(&Table {
        columns: vec![
            Column::new("What became of them", 2.2),
            Column::counts("Cars", 0.8),
            Column::new("", 3.5),
        ],
        rows: rows
            .map(|(what, n)| vec![Cell::new(what), Cell::bold(n.to_string()), Cell::new("")])
            .into(),
        size_pt: 9.0,
    });
    flow.para(&format!(
        "{} inspections in all; a car counts once in each row, whatever happened to it how often.",
        own.inspections
    ));
}

fn defects(report: &Monthly, flow: &mut Flow<'_>) {
    flow.heading("Bad-ordered, by defect");
    if report.defects.is_empty() {
        flow.para("No car was bad-ordered.");
        return;
    }
    let rows = report.defects.iter().map(|own| {
        vec![
            Cell::new(own.defect.as_str()),
            Cell::bold(own.reports.to_string()),
            Cell::new(own.cars.to_string()),
            Cell::new(""),
        ]
    });
    flow.table(&Table {
        columns: vec![
            Column::new("Defect", 2.2),
            Column::counts("Reports", 0.8),
            Column::counts("Cars", 0.8),
            Column::new("", 2.5),
        ],
        rows: rows.collect(),
        size_pt: 9.0,
    });
}

fn waits(report: &Monthly, flow: &mut Flow<'_>) {
    flow.heading("Waiting at the end of it");
    let cars: usize = report.waits.iter().map(|own| own.cars).sum();
    if cars == 0 {
        flow.para("No car waits.");
        return;
    }
    let rows = report.waits.iter().filter(|own| own.cars > 0).map(|own| {
        let oldest = own.oldest.as_ref();
        let oldest = oldest.map_or(String::new(), |(mark, day)| format!("{mark}, since {day}"));
        vec![
            Cell::new(own.why.as_str()),
            Cell::bold(own.cars.to_string()),
            Cell::new(oldest),
        ]
    });
    flow.table(&Table {
        columns: vec![
            Column::new("Why", 2.2),
            Column::counts("Cars", 0.8),
            Column::new("The one that has waited longest", 3.0),
        ],
        rows: rows.collect(),
        size_pt: 9.0,
    });
}

fn spreads(report: &Monthly, flow: &mut Flow<'_>, system: System) -> Result<(), PaperError> {
    flow.heading("How the fleet spreads");
    if report.spreads.is_empty() {
        flow.para("Neither heights nor weights have been read.");
        return Ok(());
    }
    let drawings: Vec<_> = report
        .spreads
        .iter()
        .map(|own| {
            let of = Spread {
                what: &own.what,
                values: &own.values,
                own: None,
                lower: own.limits.0,
                upper: own.limits.1,
            };
            spread(&of, system)
        })
        .collect();
    flow.pictures(&drawings, 0.26)?;
    let filled = report.spreads.iter().filter(|own| !own.values.is_empty());
    flow.table(&Table {
        columns: vec![
            Column::new("Latest readings of", 2.6),
            Column::counts("Cars", 0.6),
            Column::counts("Least", 1.5),
            Column::counts("1 in 20 below", 1.5),
            Column::counts("Middle", 1.5),
            Column::counts("1 in 20 above", 1.5),
            Column::counts("Greatest", 1.5),
        ],
        rows: filled.map(|own| quantiles(own, system)).collect(),
        size_pt: 7.5,
    });
    Ok(())
}

/// A spread in numbers. Quantiles: the reading at h = (n − 1) p in their order, the nearest one, so that
/// each is a reading that was taken.
fn quantiles(own: &SpreadOf, system: System) -> Vec<Cell> {
    let mut values = own.values.clone();
    values.sort_by(|one, other| one.base().total_cmp(&other.base()));
    let last = values.len().saturating_sub(1);
    let at = |twentieths: usize| {
        let index = (last * twentieths + 10) / 20;
        Cell::new(
            values
                .get(index)
                .map_or(String::new(), |own| amount(*own, system)),
        )
    };
    let cars = Cell::bold(values.len().to_string());
    vec![
        Cell::new(own.what.as_str()),
        cars,
        at(0),
        at(1),
        at(10),
        at(19),
        at(20),
    ]
}

fn worst(report: &Monthly, flow: &mut Flow<'_>) {
    flow.heading("Cars that keep coming back");
    if report.worst.is_empty() {
        flow.para("No car was bad-ordered more than once.");
        return;
    }
    let rows = report.worst.iter().map(|own| {
        vec![
            Cell::bold(own.mark.as_str()),
            Cell::new(own.what.as_str()),
            Cell::new(own.in_period.to_string()),
            Cell::new(own.ever.to_string()),
            Cell::new(own.last.as_str()),
        ]
    });
    flow.table(&Table {
        columns: vec![
            Column::new("Car", 1.3),
            Column::new("What it is", 2.0),
            Column::counts("This period", 0.9),
            Column::counts("Ever", 0.7),
            Column::new("The last defect", 2.0),
        ],
        rows: rows.collect(),
        size_pt: 8.5,
    });
}

fn instruments(report: &Monthly, flow: &mut Flow<'_>) {
    flow.heading("Instruments");
    if !report.instruments.is_empty() {
        let rows = report.instruments.iter().map(|own| {
            vec![
                Cell::new(own.name.as_str()),
                Cell::bold(own.readings.to_string()),
                Cell::new(own.last.to_string()),
            ]
        });
        flow.table(&Table {
            columns: vec![
                Column::new("Instrument", 2.5),
                Column::counts("Readings", 1.0),
                Column::new("Last used", 1.5),
            ],
            rows: rows.collect(),
            size_pt: 9.0,
        });
    }
    flow.para(&format!(
        "{} readings name no instrument, so their uncertainty was not counted.",
        report.unnamed_readings
    ));
}
