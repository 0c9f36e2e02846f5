//! What the pages of a large fleet cost: an invented record of five thousand cars with twelve readings each,
//! and one of five hundred beside it, so that the growth shows as a ratio.

#![expect(
    clippy::expect_used,
    reason = "a benchmark stops where something is wrong"
)]

use std::sync::atomic::{AtomicU32, Ordering};

use criterion::{Criterion, criterion_group, criterion_main};
use gradeworthy_standards::Scale;
use gradeworthy_store::{
    Append, BadOrder, Basis, ClassFilter, ClientId, ClubAct, ClubCommand, Defect, Fact,
    FleetCursor, FleetFilter, MemberId, NewCar, Options, RipOrder, Role, Store, Token,
};
use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::record::{Car, CarMark, Entry, Measure, Place, Value};
use jiff::Timestamp;
use tempfile::TempDir;

/// Senders at once while the record is filled; they share the wait for the disk.
const SENDERS: usize = 48;
const AT: Timestamp = Timestamp::UNIX_EPOCH;

struct Record {
    _folder: TempDir,
    store: Store,
}

fn id() -> ClientId {
    ClientId::random().expect("randomness")
}

impl Record {
    fn of(cars: u32) -> Self {
        let folder = TempDir::new().expect("a folder");
        let path = folder.path().join("r.sqlite");
        let store = Store::create(&path, &Options::default()).expect("a record");
        let token = Token::random().expect("randomness").hash();
        let (name, role) = ("A. Lead".into(), Role::Lead);
        let act = ClubAct::AddMember {
            name,
            role,
            token,
            expires: AT,
        };
        let by = None;
        let lead = store
            .club(ClubCommand { by, at: AT, act })
            .expect("added")
            .expect("a lead");
        let next = AtomicU32::new(0);
        std::thread::scope(|scope| {
            for _ in 0..SENDERS {
                scope.spawn(|| {
                    loop {
                        let number = next.fetch_add(1, Ordering::Relaxed);
                        if number >= cars {
                            return;
                        }
                        enter(&store, lead, number);
                    }
                });
            }
        });
        Self {
            _folder: folder,
            store,
        }
    }
}

fn enter(store: &Store, by: MemberId, number: u32) {
    let mark = CarMark::new(&format!("TST {number:05}")).expect("a mark");
    let car = Car::new(mark, Scale::HO);
    let new = NewCar {
        client_id: id(),
        by,
        at: AT,
        car,
        owner: None,
    };
    let entered = store.new_car(new).expect("a car");
    let mut facts: Vec<_> = (0..12_u8)
        .map(|place| (id(), Fact::Read(entry(number, place))))
        .collect();
    if number.is_multiple_of(20) {
        let (defect, place, note) = (Defect::Wheel, Place::Car, String::new().into());
        facts.push((
            id(),
            Fact::BadOrdered(BadOrder {
                defect,
                place,
                note,
            }),
        ));
    }
    let order = Append {
        car: entered.car,
        by,
        second: None,
        at: AT,
        basis: Basis::Seen(entered.version),
        facts,
        drafts_done: None,
    };
    store.append(order).expect("entered");
}

fn entry(number: u32, place: u8) -> Entry {
    let text = format!(".{:03}", 550 + (number + u32::from(place)) % 30);
    Entry {
        measure: Measure::BackToBack,
        place: Place::Station(1 + place / 3, 1 + place % 3),
        value: Value::Quantity(Reader::new(Unit::Inch).read(&text).expect("a reading")),
        instrument: Some("caliper 2".into()),
        on: None,
    }
}

fn lists(criterion: &mut Criterion) {
    let records = [(500, Record::of(500)), (5000, Record::of(5000))];
    let mut group = criterion.benchmark_group("lists");
    group.sample_size(20);
    for (cars, record) in &records {
        let snapshot = record.store.snapshot().expect("a snapshot");
        let all = FleetFilter::default();
        group.bench_function(format!("first page of {cars}"), |bencher| {
            bencher.iter(|| snapshot.fleet(&all, None, 50).expect("a page"));
        });
        let late = CarMark::new(&format!("TST {:05}", cars - 60)).expect("a mark");
        let after = FleetCursor {
            mark: late,
            car: gradeworthy_store::CarId::from_number(0),
        };
        group.bench_function(format!("last page of {cars}"), |bencher| {
            bencher.iter(|| snapshot.fleet(&all, Some(&after), 50).expect("a page"));
        });
        let one = snapshot.fleet(&all, Some(&after), 1).expect("a page")[0].car;
        group.bench_function(format!("record of one car of {cars}"), |bencher| {
            bencher.iter(|| snapshot.record(one).expect("a record"));
        });
        let class = ClassFilter {
            scale: Scale::HO,
            car_type: None,
        };
        group.bench_function(format!("spread over {cars}"), |bencher| {
            let station = Place::Station(1, 1);
            bencher.iter(|| {
                snapshot
                    .spread(Measure::BackToBack, station, &class)
                    .expect("read")
            });
        });
        group.bench_function(format!("RIP track of {cars}"), |bencher| {
            bencher.iter(|| {
                snapshot
                    .rip_track(RipOrder::DueFirst { now: AT })
                    .expect("a list")
            });
        });
    }
    group.finish();
}

criterion_group!(benches, lists);
criterion_main!(benches);
