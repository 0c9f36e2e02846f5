//! Times a longitudinal case and writes its coupler forces, so that a script can compare engines.
//!
//! `cargo run --release -p gradeworthy-train --example motion_case CASE.json TOLERANCE FORCES.bin [SECONDS]`
//! prints one line of JSON; the file takes the forces at every 10 ms, or as often
//! as said, as little-endian doubles.
#![expect(
    clippy::print_stdout,
    reason = "an example that reports to a person or a script"
)]

use std::error::Error;

use gradeworthy_train::dynamics::{Config, solve};

mod longitudinal;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let mut next = |what: &str| arguments.next().ok_or_else(|| format!("give {what}"));
    let case = longitudinal::read(&std::fs::read_to_string(next("a case")?)?)?;
    let tolerance: f64 = next("a tolerance")?.parse()?;
    let file = next("a file for the forces")?;
    // Far apart where only the steps are to be timed.
    let sample = next("a time between samples").map_or(Ok(0.01), |own| own.parse())?;
    let config = Config {
        sample,
        ..Config::within(tolerance)
    };
    // The kernel counts in ticks of some milliseconds, so one second is filled.
    let start = spent()?;
    let mut moved = solve(&case.problem, &case.start, case.end, &config)?;
    let mut runs = 1.0;
    while spent()? - start < 1.0 {
        moved = solve(&case.problem, &case.start, case.end, &config)?;
        runs += 1.0;
    }
    let seconds = (spent()? - start) / runs;
    let bytes: Vec<u8> = moved
        .samples
        .force
        .iter()
        .flat_map(|own| own.to_le_bytes())
        .collect();
    std::fs::write(file, bytes)?;
    let draft = moved.hardest_draft().map_or(0.0, |own| own.1.draft);
    let buff = moved.hardest_buff().map_or(0.0, |own| own.1.buff);
    let effort = moved.effort;
    println!(
        "{{\"seconds\": {seconds}, \"steps\": {}, \"refused\": {}, \"iterations\": {}, \
         \"draft\": {draft}, \"buff\": {buff}, \"vehicles\": {}}}",
        effort.steps,
        effort.refused,
        effort.iterations,
        case.problem.bodies.len()
    );
    Ok(())
}

/// Processor time of this thread, s, as the kernel counts it: other people's load does not enter.
fn spent() -> Result<f64, Box<dyn Error>> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat")?;
    let first = text.split_whitespace().next().ok_or("an empty schedstat")?;
    Ok(first.parse::<f64>()? / 1e9)
}
