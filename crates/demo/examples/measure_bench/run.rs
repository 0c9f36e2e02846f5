//! The run: reading the sheet, judging, curing, several times over.

use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write;
use std::hint::black_box;
use std::path::Path;

use gradeworthy_demo::SHOP;
use gradeworthy_sheets::intake::{Taking, take};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::prescribe;
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::{Date, date};
use serde_json::json;

use crate::{clock, problems};

const TODAY: Date = date(2026, 11, 25);

/// Passes over the fleet; figures are medians of them.
const PASSES: usize = 7;

pub(crate) fn run(folder: &Path) -> Result<(), Box<dyn Error>> {
    let book = RuleBook::read(&std::fs::read_to_string(folder.join("rules.toml"))?)?;
    let shop = Shop::read(SHOP)?;
    let (reading, records) = clock::seconds(|| intake(folder, &book));
    let records = records?;
    let readings: usize = records.iter().map(|record| record.entries.len()).sum();
    let judge = |record: &Record| inspect(record, &book, &shop, TODAY);
    let verdicts = passes(|| {
        records
            .iter()
            .for_each(|record| drop(black_box(judge(record))));
    });
    let mut slowest = vec![f64::INFINITY; records.len()];
    let cures = passes(|| {
        for (record, slowest) in records.iter().zip(&mut slowest) {
            let (took, _) = clock::wall_seconds(|| {
                let inspection = judge(record);
                black_box(prescribe(record, &book, &shop, &inspection))
            });
            *slowest = slowest.min(took);
        }
    });
    let peak_let_go = clock::peak_megabytes();

    let kept: Vec<_> = records
        .iter()
        .map(|record| {
            let inspection = judge(record);
            let cures = prescribe(record, &book, &shop, &inspection);
            (record, inspection, cures)
        })
        .collect();
    let peak_kept = clock::peak_megabytes();

    let judged: Vec<_> = kept.iter().map(|(record, own, _)| (*record, own)).collect();
    std::fs::write(folder.join("verdicts.csv"), by_aspect(&judged))?;
    let (shim_seconds, shim_count) = problems::shims(folder, &judged, &book, &shop)?;
    let (ballast_seconds, ballast_count) = problems::ballast(folder, &judged, &book, &shop)?;

    let cars = count(records.len());
    let figures = json!({
        "cars": records.len(),
        "readings": readings,
        "lines": judged.iter().map(|(_, own)| own.lines.len()).sum::<usize>(),
        "cures": kept.iter().map(|(_, _, cures)| cures.len()).sum::<usize>(),
        "cars_by_verdict": by_verdict(&judged),
        "intake_us_per_row": 1e6 * reading / cars,
        "verdicts_us_per_car": verdicts.map(|took| 1e6 * took / cars),
        "verdicts_ns_per_reading": verdicts.map(|took| 1e9 * took / count(readings)),
        "verdicts_and_cures_us_per_car": cures.map(|took| 1e6 * took / cars),
        "slowest_car_ms": slowest.iter().copied().fold(0.0, f64::max) * 1e3,
        "peak_mb_lines_let_go": peak_let_go,
        "peak_mb_everything_kept": peak_kept,
        "shim_problems": shim_count,
        "shims_us_per_problem": 1e6 * shim_seconds / count(shim_count),
        "ballast_problems": ballast_count,
        "ballast_us_per_problem": 1e6 * ballast_seconds / count(ballast_count),
    });
    let text = serde_json::to_string_pretty(&figures)?;
    std::fs::write(folder.join("figures.json"), &text)?;
    println!("{text}");
    Ok(())
}

fn intake(folder: &Path, book: &RuleBook) -> Result<Vec<Record>, Box<dyn Error>> {
    let workbook = gradeworthy_sheets::read(&std::fs::read(folder.join("sheet.csv"))?)?;
    let taking = Taking { book, scale: None };
    let intake = take(&workbook, taking, &mut |_, _| {});
    if let Some(refusal) = intake.refusals().next() {
        return Err(refusal.to_string().into());
    }
    Ok(intake.records)
}

/// Least, median and greatest of the seconds of several passes.
fn passes(mut work: impl FnMut()) -> [f64; 3] {
    let mut took: Vec<f64> = (0..PASSES).map(|_| clock::seconds(&mut work).0).collect();
    took.sort_by(f64::total_cmp);
    [took[0], took[PASSES / 2], took[PASSES - 1]]
}

#[expect(
    clippy::cast_precision_loss,
    reason = "counts of cars and readings, far below 2^52"
)]
fn count(number: usize) -> f64 {
    number as f64
}

fn by_verdict(judged: &[(&Record, &Inspection)]) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for (_, inspection) in judged {
        *counts.entry(inspection.verdict.to_string()).or_default() += 1;
    }
    counts
}

/// How many lines of each aspect came out how; cars that were worked on since are left out, since
/// what is stale takes more than a column to tell.
fn by_aspect(judged: &[(&Record, &Inspection)]) -> String {
    let mut counts: BTreeMap<String, [usize; 3]> = BTreeMap::new();
    for (_, inspection) in judged.iter().filter(|(record, _)| record.done.is_empty()) {
        for line in &inspection.lines {
            let row = counts.entry(line.aspect.to_string()).or_default();
            match line.verdict {
                Verdict::Fit => row[0] += 1,
                Verdict::Watch => row[1] += 1,
                Verdict::BadOrder => row[2] += 1,
                Verdict::NotChecked | Verdict::Stale => {}
            }
        }
    }
    let mut text = "aspect,fit,watch,bad order\n".to_owned();
    for (aspect, [fit, watch, bad]) in counts {
        writeln!(text, "\"{aspect}\",{fit},{watch},{bad}").expect("a String takes everything");
    }
    text
}
