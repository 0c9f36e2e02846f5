//! What the bench costs: a sheet of 10,000 invented cars read, judged and cured on one core.
//!
//! `measure_bench write FOLDER [CARS]` writes the sheet and the rule book there.
//! `measure_bench run FOLDER` reads them back and measures; it writes what it measured to
//! `figures.json`, how many lines of each aspect came out how to `verdicts.csv`, and the choices of
//! washers and of weights that it solved, with their costs, to `shims.jsonl` and `ballast.jsonl`,
//! for `oracles/bench_in_numpy.py` to do again.
//! Two runs, so that the peak of memory is that of the second alone.

#![expect(
    clippy::print_stdout,
    reason = "an example that measures has to say what it measured"
)]

mod clock;
mod problems;
mod run;

use std::collections::BTreeSet;
use std::error::Error;
use std::path::Path;

use gradeworthy_demo::{Keeping, SEED, csv, fleet_of, rule_book};

const USAGE: &str = "usage: measure_bench write FOLDER [CARS], or measure_bench run FOLDER";

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match *arguments.as_slice() {
        ["write", folder] => write(Path::new(folder), 10_000),
        ["write", folder, cars] => write(Path::new(folder), cars.parse()?),
        ["run", folder] => run::run(Path::new(folder)),
        _ => Err(USAGE.into()),
    }
}

fn write(folder: &Path, cars: usize) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(folder)?;
    // The fleet numbers its cars so that a few in ten thousand share their marks.
    let mut seen = BTreeSet::new();
    let mut records = fleet_of(
        SEED,
        u64::try_from(cars + cars / 100 + 1)?,
        &Keeping::NEGLECTED,
    );
    records.retain(|record| seen.insert(record.car.mark.to_string()));
    records.truncate(cars);
    std::fs::write(folder.join("sheet.csv"), csv(&records))?;
    std::fs::write(folder.join("rules.toml"), rule_book())?;
    println!("{} cars written to {}", records.len(), folder.display());
    Ok(())
}
