//! Prints many labels in memory and says how fast and in how much memory:
//! `cargo run --release -p gradeworthy-paper --example measure_labels -- 10000`.
#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "an example that measures and prints"
)]

use std::time::Instant;

use gradeworthy_paper::{Address, First, Label, LabelSheet, Layout, Paper, labels};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let count: u32 = std::env::args()
        .nth(1)
        .as_deref()
        .unwrap_or("10000")
        .parse()?;
    let label = |number: u32| Label {
        mark: format!("ZBR {number}"),
        what: "40-ft box car, HO".to_owned(),
        owner: Some(format!("member {}", number % 97)),
        judged: None,
        address: Address::Page(format!("http://192.0.2.7:7700/cars/{number}")),
    };
    let all: Vec<_> = (0..count).map(label).collect();
    let layout = Layout {
        sheet: LabelSheet::plain(Paper::A4),
        first: First::default(),
        outlines: true,
    };
    let begun = Instant::now();
    let printed = labels(&all, &layout)?;
    let seconds = begun.elapsed().as_secs_f64();
    let rate = f64::from(count) / seconds;
    println!(
        "{count} labels on {} pages: {seconds:.2} s, {rate:.0} labels a second, {} bytes",
        printed.pages,
        printed.pdf.len()
    );
    // Linux alone says how much memory a program has taken at its peak.
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find(|line| line.starts_with("VmHWM"));
    println!("{}", peak.unwrap_or("peak memory is not told here"));
    Ok(())
}
