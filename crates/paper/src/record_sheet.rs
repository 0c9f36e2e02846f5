//! A car's record sheet: what it is and where it stands, its drawings, every judged reading with limits,
//! margin and authority, what to do, what there is to know, and its history.

use gradeworthy_reports::drawing::{self, Drawing};
use gradeworthy_reports::text::alike;
use gradeworthy_reports::words::{self, System, amount};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, Line};
use gradeworthy_workbench::cures::Cure;
use gradeworthy_workbench::record::{Check, Record};
use jiff::civil::Date;

use crate::face::{Face, Fonts};
use crate::flow::Flow;
use crate::label::{Address, sign};
use crate::pdf::Printed;
use crate::table::{Cell, Column, Table};
use crate::work;
use crate::{Paper, PaperError};

/// Size of drawings: their letters come out at 7 pt, and all three on one page.
const MM_PER_PX: f64 = 0.155;
const FOOT: &str = "Gradeworthy. Margins, not promises.";

/// Something that happened to a car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Happened {
    /// When, in the shop's own time.
    pub at: String,
    /// Who.
    pub by: String,
    /// What.
    pub what: String,
}

/// What stands on a record sheet.
#[derive(Clone, Debug)]
pub struct RecordSheet<'a> {
    /// The car and its readings.
    pub record: &'a Record,
    /// What they come to.
    pub inspection: &'a Inspection,
    /// What to do.
    pub cures: &'a [Cure],
    /// As of when.
    pub on: Date,
    /// Title of the rule book.
    pub book: &'a str,
    /// Where the car stands: 'admitted, since 2026-10-02'; nothing where no record says.
    pub standing: Option<String>,
    /// What happened, the latest first; `None` where the source holds no history.
    pub history: Option<Vec<Happened>>,
    /// Where the code leads.
    pub address: Address,
}

/// Record sheets, each car on pages of its own.
///
/// # Errors
/// [`PaperError`] when nothing is to be printed or a drawing cannot be read.
pub fn record_sheets(
    sheets: &[RecordSheet<'_>],
    paper: Paper,
    system: System,
) -> Result<Printed, PaperError> {
    let fonts = Fonts::load()?;
    let title = match sheets {
        [] => return Err(PaperError::Nothing { what: "car" }),
        [only] => format!("Record sheet of {}", only.record.car.mark),
        all => format!("Record sheets of {} cars", all.len()),
    };
    let mut flow = Flow::new(&fonts, paper, title);
    for sheet in sheets {
        sheet.fill(&mut flow, system)?;
    }
    flow.finish(FOOT)
}

impl RecordSheet<'_> {
    fn fill(&self, flow: &mut Flow<'_>, system: System) -> Result<(), PaperError> {
        let car = &self.record.car;
        let mark = car.mark.as_str();
        let what = work::what(car);
        flow.part(mark);
        let owner = car.owner.as_deref().map_or_else(
            || "Owner not known".to_owned(),
            |owner| format!("Owner: {owner}"),
        );
        let mut paras = vec![what.clone(), owner];
        paras.extend(self.standing.clone());
        if self.address == Address::Unknown {
            paras.push(Address::UNKNOWN.to_owned());
        }
        flow.head(mark, &paras, Some((&self.address, mark, &what)))?;
        let verdict = self.inspection.verdict;
        let word = verdict.word().to_uppercase();
        flow.strong(&format!("{} {word}", sign(verdict)), 16.0);
        flow.para(&format!(
            "Judged as of {} under {}, edition {}.",
            self.on, self.book, self.inspection.edition
        ));
        self.work(flow, system);
        self.pictures(flow, system)?;
        self.readings(flow, system);
        self.to_know(flow);
        self.happened(flow);
        Ok(())
    }

    fn pictures(&self, flow: &mut Flow<'_>, system: System) -> Result<(), PaperError> {
        let (record, inspection) = (self.record, self.inspection);
        flow.heading("Drawn from its readings");
        let drawings: [Drawing; 3] = [
            drawing::side(record, inspection, system),
            drawing::end(record, inspection, system),
            drawing::plan(record, inspection, system),
        ];
        flow.pictures(&drawings, MM_PER_PX)
    }

    fn work(&self, flow: &mut Flow<'_>, system: System) {
        let found = work::found(self.inspection, system);
        flow.heading("Found");
        if found.is_empty() {
            flow.para("Everything that was checked is fit.");
        }
        for (sign, text) in found {
            flow.hung(sign, &text, Face::Regular);
        }
        let work = work::work(self.cures, system);
        if work.is_empty() {
            return;
        }
        flow.heading("To do");
        for piece in work {
            flow.hung("→", &piece.what, Face::Regular);
            if let Some(then) = &piece.then {
                flow.hung("↻", then, Face::Regular);
            }
            if let Some(caution) = &piece.caution {
                flow.hung("!", &format!("Caution: {caution}"), Face::Bold);
            }
        }
    }

    fn readings(&self, flow: &mut Flow<'_>, system: System) {
        let mut authorities: Vec<String> = Vec::new();
        let mut rows = Vec::new();
        for check in Check::ALL {
            let lines: Vec<&Line> = self.inspection.lines_of(check).collect();
            for (index, group) in alike(&lines).into_iter().enumerate() {
                let name = if index == 0 { check.name() } else { "" };
                rows.push(row(name, &group, &mut authorities, system));
            }
        }
        flow.heading("Every reading that was judged");
        if rows.is_empty() {
            flow.para("Nothing has been read on this car.");
            return;
        }
        flow.table(&Table {
            columns: vec![
                Column::new("Check", 1.3),
                Column::new("Place", 1.5),
                Column::new("Of what", 1.6),
                Column::new("Reading", 1.5),
                Column::new("Limits", 2.1),
                Column::new("Margin", 1.5),
                Column::new("Verdict", 1.3),
                Column::counts("Source", 0.7),
            ],
            rows,
            size_pt: 7.0,
        });
        flow.heading("Sources of the limits");
        for (index, authority) in authorities.iter().enumerate() {
            flow.hung(&format!("{}", index + 1), authority, Face::Regular);
        }
    }

    fn to_know(&self, flow: &mut Flow<'_>) {
        if self.inspection.findings.is_empty() {
            return;
        }
        flow.heading("To know");
        for finding in &self.inspection.findings {
            flow.hung("·", &finding.to_string(), Face::Regular);
        }
    }

    fn happened(&self, flow: &mut Flow<'_>) {
        let Some(history) = &self.history else { return };
        flow.heading("What happened, the latest first");
        let rows = history.iter().map(|event| {
            vec![
                Cell::new(event.at.as_str()),
                Cell::new(event.by.as_str()),
                Cell::new(event.what.as_str()),
            ]
        });
        flow.table(&Table {
            columns: vec![
                Column::new("When", 1.3),
                Column::new("Who", 1.3),
                Column::new("What", 5.0),
            ],
            rows: rows.collect(),
            size_pt: 7.5,
        });
    }
}

fn row(check: &str, group: &[&Line], authorities: &mut Vec<String>, system: System) -> Vec<Cell> {
    let line = group[0];
    let places: Vec<_> = group.iter().map(|line| line.place).collect();
    let said = |amount_of: Option<_>| amount_of.map_or(String::new(), |own| amount(own, system));
    let limits = match (line.lower, line.upper) {
        (Some(lower), Some(upper)) => {
            format!("{} to {}", amount(lower, system), amount(upper, system))
        }
        (Some(lower), None) => format!("at least {}", amount(lower, system)),
        (None, Some(upper)) => format!("at most {}", amount(upper, system)),
        (None, None) => String::new(),
    };
    let verdict = format!("{} {}", sign(line.verdict), line.verdict);
    let word = |text: String| match line.verdict {
        Verdict::BadOrder => Cell::bold(text),
        Verdict::Fit | Verdict::Watch | Verdict::NotChecked | Verdict::Stale => Cell::new(text),
    };
    let margin = line.margin.map_or(String::new(), |own| {
        let plus = if own.base() > 0.0 { "+" } else { "" };
        format!("{plus}{}", amount(own, system))
    });
    vec![
        Cell::bold(check),
        Cell::new(words::places(&places)),
        Cell::new(line.aspect.to_string()),
        Cell::new(said(line.reading)),
        Cell::new(limits),
        word(margin),
        word(verdict),
        Cell::new(authority(line, authorities)),
    ]
}

/// The number of a line's authority in the list under the table.
fn authority(line: &Line, authorities: &mut Vec<String>) -> String {
    if line.lower.is_none() && line.upper.is_none() {
        return String::new();
    }
    let words = line.grounds.to_string();
    let at = authorities.iter().position(|own| *own == words);
    let at = at.unwrap_or_else(|| {
        authorities.push(words);
        authorities.len() - 1
    });
    (at + 1).to_string()
}
