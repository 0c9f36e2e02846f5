//! What `inspect` prints: text for people, JSON and CSV for programs.

use gradeworthy_reports::text::{self, Style, paint, wrapped};
use gradeworthy_reports::wire::{self, CarReport};
use gradeworthy_reports::words::{self, System};
use gradeworthy_sheets::intake::SheetReport;
use gradeworthy_workbench::Verdict;
use serde::Serialize;

use super::{Judged, Outcome};

/// Cars in full, the others one line each, and the account of the sheet.
pub(super) fn text(outcome: &Outcome, wanted: &[String], style: Style) -> String {
    let mut page = String::new();
    for car in outcome.cars.iter().filter(|car| is_wanted(car, wanted)) {
        page += &text::car(&car.record.car, &car.inspection, &car.cures, style);
        page.push('\n');
    }
    if wanted.is_empty() {
        for car in &outcome.cars {
            page += &brief(car, style);
        }
        page.push('\n');
    }
    page + &account(outcome, style)
}

fn is_wanted(car: &Judged, wanted: &[String]) -> bool {
    wanted
        .iter()
        .any(|mark| car.record.car.mark.as_str() == mark)
}

/// One line: the verdict, and the worst of what is out; nothing for a car that is fit.
fn brief(car: &Judged, style: Style) -> String {
    let verdict = car.inspection.verdict;
    if verdict == Verdict::Fit {
        return String::new();
    }
    let worst = car
        .inspection
        .lines
        .iter()
        .filter(|line| line.verdict == verdict);
    let count = worst.clone().count();
    let first = worst
        .map(|line| words::line(line, style.system))
        .next()
        .unwrap_or_default();
    let more = if count > 1 {
        format!(" (and {} more)", count - 1)
    } else {
        String::new()
    };
    let mark = car.record.car.mark.as_str();
    let word = verdict.word();
    let room = style.width.saturating_sub(26);
    let said = wrapped(&format!("{first}{more}"), room.max(20));
    let mut lines = String::new();
    for (index, line) in said.iter().enumerate() {
        if index == 0 {
            let pad = " ".repeat(12_usize.saturating_sub(word.len()));
            lines += &format!(
                "{mark:<12} {}{pad} {line}\n",
                paint(verdict, word, style.colour)
            );
        } else {
            lines += &format!("{}{line}\n", " ".repeat(26));
        }
    }
    lines
}

fn account(outcome: &Outcome, style: Style) -> String {
    let Outcome { book, intake, .. } = outcome;
    let mut page = String::new();
    let (rows_in, taken) = (intake.total(|s| s.rows_in), intake.total(|s| s.rows_taken));
    let refused = intake.total(|sheet| sheet.rows_refused);
    page += &format!(
        "{rows_in} rows in = {taken} judged + {refused} refused; {} cars, {} readings\n",
        outcome.cars.len(),
        intake.total(|sheet| sheet.readings),
    );
    let counts: Vec<_> = Verdict::ALL
        .iter()
        .map(|verdict| {
            let word = paint(*verdict, verdict.word(), style.colour);
            format!("{word} {}", outcome.count(*verdict))
        })
        .collect();
    page += &format!("{}\n", counts.join(", "));
    page += &format!(
        "judged under {}, edition {}, as of {}; margins, not promises\n",
        book.title, book.edition, outcome.day
    );
    for sheet in &intake.sheets {
        page += &sheet_account(sheet, style);
    }
    page
}

fn sheet_account(sheet: &SheetReport, style: Style) -> String {
    let mut page = String::new();
    let mut say = |first: &str, text: &str| {
        let indent = first.chars().count();
        let room = style.width.saturating_sub(indent).max(24);
        for (index, line) in wrapped(text, room).into_iter().enumerate() {
            let lead = if index == 0 {
                first.to_owned()
            } else {
                " ".repeat(indent)
            };
            page += &format!("{lead}{line}\n");
        }
    };
    if let Some(name) = &sheet.name {
        say("", &format!("sheet '{name}':"));
    }
    for note in &sheet.notes {
        say("  note: ", note);
    }
    if !sheet.remarks.is_empty() {
        say(
            "  not judged: ",
            &format!("the columns {}", sheet.remarks.join(", ")),
        );
    }
    for refusal in &sheet.refusals {
        say("  refused: ", &refusal.to_string());
    }
    page
}

#[derive(Serialize)]
struct Report<'a> {
    rule_book: &'a str,
    edition: u32,
    as_of: String,
    counts: Vec<Count>,
    sheets: Vec<Sheet<'a>>,
    cars: Vec<CarReport>,
}

#[derive(Serialize)]
struct Count {
    verdict: &'static str,
    cars: usize,
}

#[derive(Serialize)]
struct Sheet<'a> {
    name: Option<&'a str>,
    rows_in: usize,
    rows_judged: usize,
    rows_refused: usize,
    rows_blank: usize,
    readings: usize,
    notes: &'a [String],
    columns_not_judged: &'a [String],
    refused: Vec<Refused<'a>>,
}

#[derive(Serialize)]
struct Refused<'a> {
    place: String,
    row: u32,
    column: u32,
    heading: &'a str,
    found: &'a str,
    expected: &'a str,
    whole_row: bool,
}

fn reports(outcome: &Outcome, system: System) -> Vec<CarReport> {
    let report =
        |car: &Judged| CarReport::new(&car.record.car, &car.inspection, &car.cures, system);
    outcome.cars.iter().map(report).collect()
}

/// Everything, for programs.
pub(super) fn json(outcome: &Outcome, system: System) -> anyhow::Result<String> {
    let counts = Verdict::ALL.iter().map(|verdict| Count {
        verdict: verdict.word(),
        cars: outcome.count(*verdict),
    });
    let report = Report {
        rule_book: &outcome.book.title,
        edition: outcome.book.edition,
        as_of: outcome.day.to_string(),
        counts: counts.collect(),
        sheets: outcome.intake.sheets.iter().map(sheet_report).collect(),
        cars: reports(outcome, system),
    };
    Ok(serde_json::to_string_pretty(&report)? + "\n")
}

fn sheet_report(sheet: &SheetReport) -> Sheet<'_> {
    let refused = sheet.refusals.iter().map(|refusal| Refused {
        place: refusal.place.to_string(),
        row: refusal.place.row,
        column: refusal.place.column,
        heading: &refusal.heading,
        found: &refusal.found,
        expected: &refusal.expected,
        whole_row: refusal.whole_row,
    });
    Sheet {
        name: sheet.name.as_deref(),
        rows_in: sheet.rows_in,
        rows_judged: sheet.rows_taken,
        rows_refused: sheet.rows_refused,
        rows_blank: sheet.rows_blank,
        readings: sheet.readings,
        notes: &sheet.notes,
        columns_not_judged: &sheet.remarks,
        refused: refused.collect(),
    }
}

/// One row a judged reading, for programs. What was refused goes to standard error, since a table
/// of readings has no room for it.
pub(super) fn csv(outcome: &Outcome, system: System) -> anyhow::Result<String> {
    for refusal in outcome.intake.refusals() {
        super::terminal::complain(&anyhow::anyhow!("refused: {refusal}"));
    }
    wire::csv(&reports(outcome, system)).map_err(anyhow::Error::msg)
}
