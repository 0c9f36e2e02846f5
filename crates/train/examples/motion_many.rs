//! Times many copies of one longitudinal case: a plain loop, four side by side, and both cores.
//!
//! `cargo run --release -p gradeworthy-train --example motion_many CASE.json`
//! Copies differ in drag and coupler slack by a few percent. Times are by the clock and of
//! the processor, the loops in turns, best of three.
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
    let alone = || -> Result<usize, Box<dyn Error>> {
        let mut iterations = 0;
        for (own, from) in &copies {
            iterations += solve(own, from, case.end, &config)?.effort.iterations;
        }
        Ok(iterations)
    };
    let together = |cores| -> Result<usize, Box<dyn Error>> {
        let found = solve_many(&copies, case.end, &config, cores)?;
        Ok(found.iter().map(|own| own.effort.iterations).sum())
    };
    let mut best = [(f64::INFINITY, f64::INFINITY, 0); 3];
    for _ in 0..3 {
        for (slot, own) in best.iter_mut().enumerate() {
            let (clock, processor) = (Instant::now(), spent()?);
            own.2 = match slot {
                0 => alone()?,
                1 => together(Cores::One)?,
                _ => together(Cores::All)?,
            };
            own.0 = own.0.min(clock.elapsed().as_secs_f64());
            own.1 = own.1.min(spent()? - processor);
        }
    }
    println!(
        "| {COPIES} copies | by the clock, s | as fast | processor of the first thread, s | as fast | iterations a copy takes part in |"
    );
    println!("| --- | --- | --- | --- | --- | --- |");
    let words = [
        "plain loop",
        "four side by side",
        "four side by side, all cores",
    ];
    for (word, own) in words.into_iter().zip(best) {
        let each = own.2 / copies.len();
        let on_one = if word.ends_with("cores") {
            "| | ".to_owned()
        } else {
            format!("| {:.3} | {:.2} ", own.1, best[0].1 / own.1)
        };
        println!(
            "| {word} | {:.3} | {:.2} {on_one}| {each} |",
            own.0,
            best[0].0 / own.0
        );
    }
    Ok(())
}

/// Processor time of this thread, s, as the kernel counts it.
fn spent() -> Result<f64, Box<dyn Error>> {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat")?;
    let first = text.split_whitespace().next().ok_or("an empty schedstat")?;
    Ok(first.parse::<f64>()? / 1e9)
}

/// Within five percent of 1, scattered by the fractional parts of multiples of the golden ratio.
fn share(copy: u32, index: usize) -> f64 {
    let place = f64::from(copy) * 89.0 + u32::try_from(index).map_or(0.0, f64::from);
    0.95 + 0.1 * (place * 0.618_033_988_749_894_9).fract()
}
