//! An owner's statement: each of his cars, how it was judged, what is out, where it stands, and what his
//! word is wanted for.

use gradeworthy_reports::text::alike;
use gradeworthy_reports::words::{self, System};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, Line};
use jiff::civil::Date;

use crate::face::{Face, Fonts};
use crate::flow::Flow;
use crate::label::{Judged, sign};
use crate::pdf::Printed;
use crate::table::{Cell, Column, Table};
use crate::{Paper, PaperError};

const FOOT: &str = "Gradeworthy. Margins, not promises.";

/// One car of a statement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StatementCar {
    /// Reporting marks and number.
    pub mark: String,
    /// What it is.
    pub what: String,
    /// The last verdict; `None` where it was never judged.
    pub judged: Option<Judged>,
    /// Where it stands and since when.
    pub standing: String,
    /// What is out, as sentences.
    pub out: Vec<String>,
    /// What the owner's word is wanted for.
    pub asked: Option<String>,
}

impl StatementCar {
    /// What is out on a judged car, as sentences; what is true of several places, once.
    #[must_use]
    pub fn out_of(inspection: &Inspection, system: System) -> Vec<String> {
        let bad = |line: &&Line| line.verdict == Verdict::BadOrder;
        let lines: Vec<&Line> = inspection.lines.iter().filter(bad).collect();
        let sentence = |group: &Vec<&Line>| {
            let places: Vec<_> = group.iter().map(|line| line.place).collect();
            words::line_at(group[0], &words::places(&places), system)
        };
        alike(&lines).iter().map(sentence).collect()
    }
}

/// What stands on a statement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// Whose.
    pub owner: String,
    /// As of when.
    pub on: Date,
    /// His cars.
    pub cars: Vec<StatementCar>,
}

/// One statement.
///
/// # Errors
/// [`PaperError`] when it cannot be written.
pub fn statement(statement: &Statement, paper: Paper) -> Result<Printed, PaperError> {
    let fonts = Fonts::load()?;
    let title = format!("Cars of {}", statement.owner);
    let mut flow = Flow::new(&fonts, paper, title.clone());
    flow.part(&statement.owner);
    let head = [
        format!("Owner's statement as of {}", statement.on),
        counts(statement),
    ];
    flow.head(&title, &head, None)?;
    let asked: Vec<_> = statement
        .cars
        .iter()
        .filter_map(|car| Some((car.mark.as_str(), car.asked.as_deref()?)))
        .collect();
    if !asked.is_empty() {
        flow.heading("Your word is wanted");
        for (mark, what) in asked {
            flow.hung("→", &format!("{mark}: {what}"), Face::Bold);
        }
    }
    flow.heading("Car by car");
    if statement.cars.is_empty() {
        flow.para("The record holds no car of this owner.");
        return flow.finish(FOOT);
    }
    flow.table(&Table {
        columns: vec![
            Column::new("Car", 1.3),
            Column::new("What it is", 1.5),
            Column::new("Last verdict", 1.5),
            Column::new("Where it stands", 1.6),
            Column::new("What is out", 3.2),
        ],
        rows: statement.cars.iter().map(row).collect(),
        size_pt: 8.0,
    });
    flow.finish(FOOT)
}

fn counts(statement: &Statement) -> String {
    let count = |verdict| {
        let same = |car: &&StatementCar| car.judged.is_some_and(|own| own.verdict == verdict);
        statement.cars.iter().filter(same).count()
    };
    let never = statement
        .cars
        .iter()
        .filter(|car| car.judged.is_none())
        .count();
    let mut parts = vec![match statement.cars.len() {
        1 => "1 car".to_owned(),
        n => format!("{n} cars"),
    }];
    for verdict in Verdict::ALL {
        let n = count(verdict);
        if n > 0 {
            parts.push(format!("{} {verdict} {n}", sign(verdict)));
        }
    }
    if never > 0 {
        parts.push(format!("never judged {never}"));
    }
    parts.join(", ")
}

fn row(car: &StatementCar) -> Vec<Cell> {
    let verdict = car.judged.map_or_else(
        || "never judged".to_owned(),
        |own| format!("{} {}, {}", sign(own.verdict), own.verdict, own.on),
    );
    let bad = car
        .judged
        .is_some_and(|own| own.verdict == Verdict::BadOrder);
    vec![
        Cell::bold(car.mark.as_str()),
        Cell::new(car.what.as_str()),
        if bad {
            Cell::bold(verdict)
        } else {
            Cell::new(verdict)
        },
        Cell::new(car.standing.as_str()),
        Cell::new(car.out.join("\n")),
    ]
}
