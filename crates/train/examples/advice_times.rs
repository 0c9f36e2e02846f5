//! Times the advice for an invented train: 100 cars and 4 locomotives, 10,000 places 50 mm apart.
//!
//! Prints one line of JSON: seconds, and the ratio to sweeping every train of the kind, each sweep
//! taking what the sweep of the train itself takes in the same run.
//! `cargo run --release -p gradeworthy-train --example advice_times [places]`
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

use gradeworthy_train::advice::{Advised, Adviser, Coupled, Go};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Cores, SlackRule, sweep};
use gradeworthy_train::track::Alignment;
use gradeworthy_train::vehicle::Train;

mod invented;

fn main() -> Result<(), Box<dyn Error>> {
    let places: u32 = std::env::args()
        .nth(1)
        .map_or(Ok(10_000), |text| text.parse())?;
    let train = invented::train(100, &[0, 1, 102, 103])?;
    let line = invented::line(f64::from(places) * 0.05 + 17.0)?;
    for slack in [SlackRule::AllStretched, SlackRule::ByForce] {
        let check = Check {
            slack,
            cores: Cores::All,
            ..Check::new(Condition::Running, 0.05)
        };
        println!("{}", timed(&train, &line, &check)?);
    }
    Ok(())
}

fn timed(train: &Train, line: &Alignment, check: &Check) -> Result<String, Box<dyn Error>> {
    let start = Instant::now();
    let swept = sweep(train, line, check)?;
    let one = start.elapsed().as_secs_f64();
    let adviser = Adviser::new(train, line, &swept, &|_| Go::On)?;
    let helpers = adviser.helpers(Coupled::OneByOne);
    let rear = &helpers[1..];
    let mut said = format!(
        "{{\"slack\":\"{:?}\",\"places\":{},\"sweep_s\":{one:.3},\"margin\":{:.4}",
        check.slack,
        swept.places.len(),
        adviser.margin()
    );
    let mut tell = |name: &str, work: &dyn Fn() -> Result<Advised, Box<dyn Error>>| {
        let start = Instant::now();
        let advised = work()?;
        let took = start.elapsed().as_secs_f64();
        let best = advised
            .best
            .first()
            .map_or(adviser.margin(), |own| own.margin);
        said += &format!(
            ",\"{name}\":{{\"s\":{took:.3},\"trains\":{},\"looks\":{},\"over_brute_force\":{:.6},\
             \"margin\":{best:.4},\"claim\":\"{:?}\"}}",
            advised.tried,
            advised.looks,
            took / (one * advised.tried as f64),
            advised.claim
        );
        Ok::<(), Box<dyn Error>>(())
    };
    tell("singles", &|| Ok(adviser.cuts(&rear[1..], 1)?.advised))?;
    tell("pairs", &|| Ok(adviser.cuts(rear, 1)?.advised))?;
    tell("orders", &|| Ok(adviser.orders(&adviser.runs_of_cars())?))?;
    if std::env::args().nth(2).is_some() {
        tell("triples", &|| Ok(adviser.cuts(&helpers, 1)?.advised))?;
    }
    Ok(said + "}")
}
