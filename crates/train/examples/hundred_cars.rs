//! Times the full check of an invented train: 100 cars and 4 locomotives, 10,000 places 50 mm apart.
//!
//! Prints one line of JSON with seconds, so that a comparison can read it.
//! `cargo run --release -p gradeworthy-train --example hundred_cars [places]`
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

use gradeworthy_train::margins::Mode;
use gradeworthy_train::placement::{Placer, Stance};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Cores, Evaluation, SlackRule, sweep};

mod invented;

fn main() -> Result<(), Box<dyn Error>> {
    let places: u32 = std::env::args()
        .nth(1)
        .map_or(Ok(10_000), |text| text.parse())?;
    let train = invented::train(100, &[0, 1, 60, 103])?;
    let line = invented::line(f64::from(places) * 0.05 + 17.0)?;
    let stretched = Check {
        slack: SlackRule::AllStretched,
        ..Check::new(Condition::Running, 0.05)
    };
    let by_force = Check {
        slack: SlackRule::ByForce,
        ..stretched
    };

    let full = best_of(3, || {
        sweep(&train, &line, &stretched).map(|s| s.places.len())
    });
    let forced = best_of(3, || {
        sweep(&train, &line, &by_force).map(|s| s.places.len())
    });
    let both = best_of(3, || {
        sweep(
            &train,
            &line,
            &Check {
                cores: Cores::All,
                ..stretched
            },
        )
        .map(|s| s.places.len())
    });
    let mut evaluation = Evaluation::new(train.clone(), &line, &stretched)?;
    let kept = best_of(3, || evaluation.margin());
    let quick = best_of(3, || evaluation.margin_of_every(5));
    let start = Instant::now();
    evaluation.move_vehicle(60, 50)?;
    let moved = start.elapsed().as_secs_f64();
    let mut stances: Vec<Stance> = Vec::new();
    let placing = best_of(3, || {
        let mut placer = Placer::new(&line);
        evaluation
            .head_places()
            .iter()
            .try_for_each(|&s| placer.place(train.numbers(), &[], s, &mut stances))
    });
    let outcome = sweep(&train, &line, &stretched)?;
    let per_mode: Vec<String> = Mode::ALL
        .into_iter()
        .filter_map(|mode| {
            let (_, peak) = outcome.envelope.worst_of(mode)?;
            Some(format!("\"{mode:?}\":{:.12}", peak.used.ratio()))
        })
        .collect();
    println!(
        "{{\"first_head_m\":{:.12},\"places\":{},\"vehicles\":{},\"sweep_s\":{full:.4},\"sweep_slack_by_force_s\":{forced:.4},\
         \"sweep_all_cores_s\":{both:.4},\"margin_on_kept_places_s\":{kept:.4},\"margin_of_every_fifth_s\":{quick:.4},\"move_s\":{moved:.4},\
         \"placing_s\":{placing:.4},\"worst_use\":{{{}}}}}",
        outcome.places.head_s.first().copied().unwrap_or(0.0),
        outcome.places.len(),
        train.vehicle_count(),
        per_mode.join(","),
    );
    Ok(())
}

fn best_of<T>(rounds: u32, mut work: impl FnMut() -> T) -> f64 {
    (0..rounds)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(work());
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}
