//! Times the advice for an invented train: 100 cars and 4 locomotives, 10,000 places 50 mm apart.
//!
//! Prints one line of JSON for each slack rule: seconds by the clock and of the processor, all cores
//! together (Linux only; the one that a busy machine does not spoil), and the ratio of the latter to sweeping
//! every train of the kind, each sweep taking what that of the train itself takes in the same run.
//! `cargo run --release -p gradeworthy-train --example advice_times [places [triples]]`
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
    let before = processor_s()?;
    let swept = sweep(train, line, check)?;
    let one = processor_s()? - before;
    let adviser = Adviser::new(train, line, &swept, &|_| Go::On)?;
    let helpers = adviser.helpers(Coupled::OneByOne);
    let rear = &helpers[1..];
    let mut said = format!(
        "{{\"slack\":\"{:?}\",\"places\":{},\"sweep_processor_s\":{one:.2},\"margin\":{:.4}",
        check.slack,
        swept.places.len(),
        adviser.margin()
    );
    let mut tell = |name: &str, work: &dyn Fn() -> Result<Advised, Box<dyn Error>>| {
        let (start, before) = (Instant::now(), processor_s()?);
        let advised = work()?;
        let (took, busy) = (start.elapsed().as_secs_f64(), processor_s()? - before);
        let best = advised
            .best
            .first()
            .map_or(adviser.margin(), |own| own.margin);
        said += &format!(
            ",\"{name}\":{{\"s\":{took:.2},\"processor_s\":{busy:.2},\"trains\":{},\"looks\":{},\"over_brute_force\":{:.6},\
             \"margin\":{best:.4},\"claim\":\"{:?}\"}}",
            advised.tried,
            advised.looks,
            busy / (one * advised.tried as f64),
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

/// Seconds that the processor has worked for this process.
fn processor_s() -> Result<f64, Box<dyn Error>> {
    /// Ticks of `/proc/self/stat`, which Linux gives in hundredths of a second.
    const TICK: f64 = 0.01;
    let text = std::fs::read_to_string("/proc/self/stat")?;
    // The name in brackets may hold spaces: fields are counted from behind it.
    let fields = text.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks = fields.split_whitespace().skip(11).take(2);
    let each = ticks.map(str::parse::<f64>);
    Ok(TICK * each.sum::<Result<f64, _>>()?)
}
