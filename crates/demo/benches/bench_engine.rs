//! The bench on a hundred invented cars: what a car's verdicts cost, its verdicts with all cures,
//! and a row of its sheet. `cargo bench -p gradeworthy-demo`.
//!
//! The whole fleet, its memory and the comparison with other libraries: `docs/PERFORMANCE.md`.

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use gradeworthy_demo::{Keeping, SEED, SHOP, csv, fleet_of, rule_book};
use gradeworthy_sheets::intake::{Taking, take};
use gradeworthy_sheets::read;
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::cures::prescribe;
use gradeworthy_workbench::record::{Measure, Record};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::civil::{Date, date};

const TODAY: Date = date(2026, 11, 25);
const CARS: u64 = 100;

fn bench_engine(criterion: &mut Criterion) {
    let book = RuleBook::read(&rule_book()).expect("the demo's book reads");
    let shop = Shop::read(SHOP).expect("the demo's shop reads");
    let cars = fleet_of(SEED, CARS, &Keeping::NEGLECTED);
    let by_spin = without(&cars, Measure::RollGrade);
    let sheet = read(csv(&cars).as_bytes()).expect("the demo's sheet reads");
    let verdicts = |cars: &[Record]| {
        for record in cars {
            black_box(inspect(record, &book, &shop, TODAY));
        }
    };

    let mut group = criterion.benchmark_group("a hundred cars");
    group.throughput(Throughput::Elements(CARS));
    group.bench_function("verdicts", |b| b.iter(|| verdicts(&cars)));
    group.bench_function("verdicts, rolling grade from the spin", |b| {
        b.iter(|| verdicts(&by_spin));
    });
    group.bench_function("verdicts and cures", |b| {
        b.iter(|| {
            for record in &cars {
                let inspection = inspect(record, &book, &shop, TODAY);
                black_box(prescribe(record, &book, &shop, &inspection));
            }
        });
    });
    group.bench_function("intake of a row", |b| {
        let taking = Taking {
            book: &book,
            scale: None,
        };
        b.iter(|| take(black_box(&sheet), taking, &mut |_, _| {}));
    });
    group.finish();
}

fn without(cars: &[Record], measure: Measure) -> Vec<Record> {
    let mut cars = cars.to_vec();
    for record in &mut cars {
        record.entries.retain(|entry| entry.measure != measure);
    }
    cars
}

criterion_group!(benches, bench_engine);
criterion_main!(benches);
