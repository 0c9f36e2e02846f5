//! The full check of one place, over train length; and the cost of a trial on kept places.
//!
//! Cost per place must grow in proportion to the vehicles: read the `places/…` rows against each
//! other. `cargo bench -p gradeworthy-train`.

use criterion::{Criterion, criterion_group, criterion_main};
use gradeworthy_train::statics::Condition;
use gradeworthy_train::sweep::{Check, Evaluation, SlackRule, sweep};

#[path = "../examples/invented/mod.rs"]
mod invented;

fn climb(criterion: &mut Criterion) {
    let check = Check {
        slack: SlackRule::AllStretched,
        ..Check::new(Condition::Running, 0.05)
    };
    for (cars, metres) in [(25, 45.0), (50, 49.0), (100, 57.0), (100, 97.0)] {
        let train = invented::train(cars, &[0, 1, cars / 2, cars + 3]).expect("sound");
        let line = invented::line(metres).expect("sound");
        let places = sweep(&train, &line, &check).expect("it fits").places.len();
        criterion.bench_function(&format!("sweep/{cars} cars/{places} places"), |bench| {
            bench.iter(|| sweep(&train, &line, &check));
        });
        let kept = Evaluation::new(train, &line, &check).expect("it fits");
        criterion.bench_function(
            &format!("margin on kept/{cars} cars/{places} places"),
            |bench| {
                bench.iter(|| kept.margin());
            },
        );
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = climb
}
criterion_main!(benches);
