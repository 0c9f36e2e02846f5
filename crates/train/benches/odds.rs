//! The odds of a trip: a plain loop that places the train anew for every trip, the same trips on places
//! that are kept, and those shared between the cores.
//!
//! Read the three rows of a train against each other: `cargo bench -p gradeworthy-train --bench odds`. All
//! make the same trips with the same draws, which is asserted before they are timed.

use std::ops::ControlFlow;

use criterion::{Criterion, criterion_group, criterion_main};
use gradeworthy_train::odds::{Draws, Odds, OddsError, Problem, odds, usual};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Cores, SlackRule, Trial};

#[path = "../examples/invented/mod.rs"]
mod invented;

/// Trips of one pass.
const TRIPS: usize = 16;

/// Draws by a few rounds of multiplying and shifting; `first` is added to the number of the trip.
struct Mixed {
    first: u64,
}

impl Draws for Mixed {
    fn uniform(&self, trip: u64, unknown: u64, vehicle: Option<&str>) -> f64 {
        let mix = |state: u64, next: u64| {
            let mixed = (state ^ next).wrapping_mul(0x9e37_79b9_7f4a_7c15);
            mixed ^ (mixed >> 29)
        };
        let label = vehicle.map_or(0, |own| own.bytes().map(u64::from).fold(1, mix));
        let all = [self.first + trip, unknown, label].into_iter().fold(7, mix);
        #[expect(clippy::cast_precision_loss, reason = "53 bits are exact in a double")]
        let part = (mix(all, 3) >> 11) as f64;
        (part + 0.5) / (1_u64 << 53) as f64
    }
}

fn on(_: usize, _: usize) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn kept(problem: &Problem<'_>) -> Result<Odds, OddsError> {
    odds(problem, &Mixed { first: 0 }, &on)
}

/// Trip by trip, nothing kept from one to the next.
fn anew(problem: &Problem<'_>) -> Result<Vec<Trial>, OddsError> {
    let one = Problem {
        trips: 1,
        ..problem.clone()
    };
    let mut trips = Vec::new();
    for first in (0_u64..).take(problem.trips) {
        trips.extend(odds(&one, &Mixed { first }, &on)?.trips);
    }
    Ok(trips)
}

fn trips(criterion: &mut Criterion) {
    let unknowns = usual();
    for (cars, metres) in [(50, 49.0), (100, 57.0)] {
        let train = invented::train(cars, &[0, 1, cars / 2, cars + 3]).expect("sound");
        let line = invented::line(metres).expect("sound");
        let on_cores = |cores| Problem {
            train: &train,
            line: &line,
            check: Check {
                slack: SlackRule::AllStretched,
                cores,
                ..Check::new(Condition::Running, 0.25)
            },
            unknowns: &unknowns,
            trips: TRIPS,
        };
        let (one, all) = (on_cores(Cores::One), on_cores(Cores::All));
        let plain = anew(&one).expect("trips");
        assert_eq!(plain, kept(&one).expect("trips").trips, "the same work");
        let name = |how: &str| format!("odds/{cars} cars/{TRIPS} trips/{how}");
        criterion.bench_function(&name("plain loop, placed anew"), |bench| {
            bench.iter(|| anew(&one));
        });
        criterion.bench_function(&name("places kept, one core"), |bench| {
            bench.iter(|| kept(&one));
        });
        criterion.bench_function(&name("places kept, all cores"), |bench| {
            bench.iter(|| kept(&all));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = trips
}
criterion_main!(benches);
