//! Times many copies of one longitudinal case: a plain loop, four side by side, and both cores.
//!
//! `cargo run --release -p gradeworthy-train --example motion_many CASE.json`
//! Copies differ in drag and coupler slack by a few percent. Times are by the clock, the loops in
//! turns, best of three, because cores are what is compared.
#![expect(
    clippy::print_stdout,
    reason = "an example that reports to a person or a script"
)]
#![expect(
    clippy::disallowed_methods,
    reason = "timing is what this example is for"
)]

use std::error::Error;
use std::time::Instant;

use gradeworthy_train::dynamics::{Config, Problem, State, solve, solve_many};
use gradeworthy_train::sweep::Cores;

mod longitudinal;

const COPIES: u32 = 32;

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args().nth(1).ok_or("give a case")?;
    let case = longitudinal::read(&std::fs::read_to_string(file)?)?;
    let copies: Vec<(Problem, State)> = (0..COPIES)
        .map(|copy| {
            let mut own = case.problem.clone();
            for (i, body) in own.bodies.iter_mut().enumerate() {
                body.rolling *= share(copy, i);
                body.breakaway = body.rolling;
            }
            for (k, link) in own.links.iter_mut().enumerate() {
                link.slack *= share(copy, k + 1000);
            }
            (own, case.start.clone())
        })
        .collect();
    let config = Config {
        sample: 1.0,
        ..Config::default()
    };
    let mut best = [f64::INFINITY; 3];
    for _ in 0..3 {
        let start = Instant::now();
        for (own, from) in &copies {
            solve(own, from, case.end, &config)?;
        }
        best[0] = best[0].min(start.elapsed().as_secs_f64());
        for (slot, cores) in [(1, Cores::One), (2, Cores::All)] {
            let start = Instant::now();
            solve_many(&copies, case.end, &config, cores)?;
            best[slot] = best[slot].min(start.elapsed().as_secs_f64());
        }
    }
    println!("| {COPIES} copies of the case | seconds | a copy, ms | times as fast |");
    println!("| --- | --- | --- | --- |");
    let words = [
        "plain loop",
        "four side by side",
        "four side by side, all cores",
    ];
    for (word, seconds) in words.into_iter().zip(best) {
        let each = 1e3 * seconds / f64::from(COPIES);
        println!(
            "| {word} | {seconds:.3} | {each:.1} | {:.1} |",
            best[0] / seconds
        );
    }
    Ok(())
}

/// Within five percent of 1, scattered by the fractional parts of multiples of the golden ratio.
fn share(copy: u32, index: usize) -> f64 {
    let place = f64::from(copy) * 89.0 + u32::try_from(index).map_or(0.0, f64::from);
    0.95 + 0.1 * (place * 0.618_033_988_749_894_9).fract()
}
