//! The running server under load: a record of 10,000 cars and a million readings, ten benches at once,
//! beside SQLite alone on a copy of the same file on the same disk in the same run.
//!
//! ```sh
//! cargo build --release -p gradeworthy -p gradeworthy-store --examples --bins
//! cargo run --release -p gradeworthy-server --example load -- FOLDER
//! ```
//!
//! `FOLDER` is made at the first run, which takes some minutes, and used again; a second argument says
//! how many cars, a third how often everything is measured, a fourth for how many seconds each time.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "the figures are what it is for"
)]
#![expect(clippy::disallowed_methods, reason = "it measures time")]
#![allow(unreachable_pub, reason = "one program of several files")]

mod drive;
mod make;
mod process;
#[path = "../../tests/running/talk.rs"]
mod talk;

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use drive::{Pace, Through, drive};
use process::Server;

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

const BENCHES: usize = 10;
const READINGS_EACH: usize = 100;
const PORT: u16 = 7731;
const RAW_ROWS: u32 = 400;

struct Asked {
    folder: PathBuf,
    cars: u64,
    rounds: usize,
    lasts: Duration,
}

fn asked() -> Outcome<Asked> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or("which folder?")?.into();
    let mut number = |or: u64| arguments.next().map_or(Ok(or), |text| text.parse());
    Ok(Asked {
        folder,
        cars: number(10_000)?,
        rounds: usize::try_from(number(3)?)?,
        lasts: Duration::from_secs(number(20)?),
    })
}

fn main() -> Outcome<()> {
    let asked = asked()?;
    let record = asked.folder.join("club.sqlite");
    if !record.exists() {
        let begun = Instant::now();
        let size = make::Size {
            cars: asked.cars,
            readings_each: READINGS_EACH,
        };
        make::make(&asked.folder, size, BENCHES)?;
        println!("made in {:.0} s", begun.elapsed().as_secs_f64());
    }
    let sessions = fs::read_to_string(asked.folder.join("sessions"))?;
    let sessions: Vec<String> = sessions.lines().map(ToOwned::to_owned).collect();
    println!("load average before: {}", load()?);
    start_ups(&asked)?;
    let mut rounds = Vec::new();
    for round in 1..=asked.rounds {
        eprintln!("round {round} of {}", asked.rounds);
        rounds.push(measure(&asked, &sessions)?);
    }
    say(&rounds);
    println!("load average after: {}", load()?);
    Ok(())
}

fn load() -> Outcome<String> {
    let text = fs::read_to_string("/proc/loadavg")?;
    Ok(text.split(' ').take(3).collect::<Vec<_>>().join(" "))
}

/// A program of the same build.
fn built(name: &str) -> Outcome<PathBuf> {
    let own = std::env::current_exe()?;
    let examples = own.parent().ok_or("no folder")?;
    let beside = examples.join(name);
    let above = examples.parent().ok_or("no folder")?.join(name);
    let found = [beside, above].into_iter().find(|path| path.is_file());
    found.ok_or_else(|| format!("{name} is not built; see the top of this example").into())
}

fn start_ups(asked: &Asked) -> Outcome<()> {
    let program = built("gradeworthy")?;
    let mut times = Vec::new();
    let mut memory = [0.0; 2];
    for _ in 0..5 {
        let server = Server::start(&program, &asked.folder, PORT)?;
        times.push(server.start_up.as_secs_f64() * 1e3);
        memory = server.memory_mb()?;
    }
    println!(
        "start-up to the first page: {:.0} ms, then {:.0} MB in use",
        quantile(&mut times, 0.5),
        memory[0]
    );
    Ok(())
}

struct Round {
    raw_ms: f64,
    figures: Vec<(&'static str, [f64; 3])>,
}

fn measure(asked: &Asked, sessions: &[String]) -> Outcome<Round> {
    let raw_ms = raw(&asked.folder)?;
    let server = Server::start(&built("gradeworthy")?, &asked.folder, PORT)?;
    let think = Duration::from_secs(1);
    let none = Duration::ZERO;
    let plans = [
        (
            "JSON, closed, 1 s between",
            Through::Program,
            Pace::Closed { think },
        ),
        (
            "JSON, open, 40 a second",
            Through::Program,
            Pace::Open { rate: 40.0 },
        ),
        (
            "page, closed, 1 s between",
            Through::Page,
            Pace::Closed { think },
        ),
        (
            "page, open, 40 a second",
            Through::Page,
            Pace::Open { rate: 40.0 },
        ),
        (
            "JSON, closed, no pause",
            Through::Program,
            Pace::Closed { think: none },
        ),
    ];
    let mut figures = Vec::new();
    for (name, through, pace) in plans {
        let before = server.processor_s()?;
        let mut times = drive(
            server.address,
            sessions,
            asked.cars,
            through,
            pace,
            asked.lasts,
        )?;
        #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
        let count = times.saved_ms.len() as f64;
        let processor_ms = (server.processor_s()? - before) * 1e3 / count;
        let (p50, p99) = (
            quantile(&mut times.saved_ms, 0.5),
            quantile(&mut times.saved_ms, 0.99),
        );
        eprintln!(
            "  {name}: {count} readings, p50 {p50:.1} ms, p99 {p99:.1} ms, {processor_ms:.1} ms of \
             processor each; bench opened p50 {:.1} ms",
            quantile(&mut times.opened_ms, 0.5)
        );
        figures.push((name, [p50, p99, processor_ms]));
    }
    let [now, most] = server.memory_mb()?;
    eprintln!("  memory: {now:.0} MB in use, {most:.0} MB at the most");
    Ok(Round { raw_ms, figures })
}

/// SQLite alone, on a copy of the file.
fn raw(folder: &Path) -> Outcome<f64> {
    let copy = folder.join("raw.sqlite");
    for suffix in ["", "-wal", "-shm"] {
        drop(fs::remove_file(folder.join(format!("raw.sqlite{suffix}"))));
    }
    fs::copy(folder.join("club.sqlite"), &copy)?;
    let output = Command::new(built("raw_rows")?)
        .arg(&copy)
        .arg(RAW_ROWS.to_string())
        .output()?;
    let text = String::from_utf8(output.stdout)?;
    Ok(text.trim().parse::<f64>()? / 1e3)
}

fn say(rounds: &[Round]) {
    let mut raw: Vec<_> = rounds.iter().map(|round| round.raw_ms).collect();
    let raw = quantile(&mut raw, 0.5);
    println!("SQLite alone, a reading made durable: {raw:.2} ms");
    println!("medians of {} rounds:", rounds.len());
    let Some(first) = rounds.first() else { return };
    for (index, (name, _)) in first.figures.iter().enumerate() {
        let of = |which: usize| {
            let mut values: Vec<_> = rounds
                .iter()
                .filter_map(|round| Some(round.figures.get(index)?.1[which]))
                .collect();
            quantile(&mut values, 0.5)
        };
        println!(
            "{name}: p50 {:.1} ms ({:.1} times SQLite alone), p99 {:.1} ms, processor {:.1} ms",
            of(0),
            of(0) / raw,
            of(1),
            of(2)
        );
    }
}

/// The value below which the part `p` lies: the nearest rank.
fn quantile(values: &mut [f64], p: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a rank between 1 and the length"
    )]
    let rank = (values.len() as f64 * p).ceil() as usize;
    values.get(rank.max(1) - 1).copied().unwrap_or(f64::NAN)
}
