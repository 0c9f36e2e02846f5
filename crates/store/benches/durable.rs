//! What durability costs: readings entered through the record, each answered only when the disk has it,
//! against the library underneath doing the same writes by hand, in one run on one disk.
//!
//! `raw` is one connection, one transaction for each reading, into tables of the same shape without
//! triggers, checks or versions. `one bench` is the record with one sender; `eight benches` is the record
//! with eight at once, who share the wait for the disk. The ratios and the bytes of a reading are printed at
//! the end.

#![expect(clippy::print_stdout, reason = "the figures are what it is for")]
#![expect(
    clippy::expect_used,
    reason = "a benchmark stops where something is wrong"
)]
#![expect(clippy::disallowed_methods, reason = "a benchmark times itself")]

use std::path::Path;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use gradeworthy_standards::Scale;
use gradeworthy_store::{
    Append, Basis, CarId, ClientId, ClubAct, ClubCommand, Fact, MemberId, NewCar, Options, Role,
    Store, Token,
};
use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::record::{Car, CarMark, Entry, Measure, Place, Value};
use jiff::Timestamp;
use rusqlite::{Connection, params};
use tempfile::TempDir;

const BENCHES: usize = 8;

struct Record {
    folder: TempDir,
    store: Store,
    lead: MemberId,
    cars: Vec<CarId>,
}

fn id() -> ClientId {
    ClientId::random().expect("randomness")
}

impl Record {
    fn new() -> Self {
        let folder = TempDir::new().expect("a folder");
        let store = Store::create(&folder.path().join("r.sqlite"), &Options::default());
        let store = store.expect("a record");
        let token = Token::random().expect("randomness").hash();
        let (at, expires) = (Timestamp::UNIX_EPOCH, Timestamp::UNIX_EPOCH);
        let act = ClubAct::AddMember {
            name: "A. Lead".into(),
            role: Role::Lead,
            token,
            expires,
        };
        let lead = store
            .club(ClubCommand { by: None, at, act })
            .expect("added")
            .expect("a lead");
        let car = |number| {
            let mark = CarMark::new(&format!("TST {number}")).expect("a mark");
            let car = Car::new(mark, Scale::HO);
            let new = NewCar {
                client_id: id(),
                by: lead,
                at,
                car,
                owner: None,
            };
            store.new_car(new).expect("a car").car
        };
        let cars = (0..BENCHES).map(car).collect();
        Self {
            folder,
            store,
            lead,
            cars,
        }
    }

    /// Enters `count` readings of one car, one after the other, each on the version before.
    fn enter(&self, car: CarId, count: u64) {
        let mut version = self
            .store
            .snapshot()
            .expect("a snapshot")
            .version(car)
            .expect("a car");
        for number in 0..count {
            let order = Append {
                car,
                by: self.lead,
                second: None,
                at: Timestamp::UNIX_EPOCH,
                basis: Basis::Seen(version),
                facts: vec![(id(), Fact::Read(entry(number)))],
                drafts_done: None,
            };
            version = self.store.append(order).expect("entered").version;
        }
    }

    /// The same by every bench at once, each at its own car.
    fn enter_at_once(&self, count: u64) {
        let each = count.div_ceil(u64::try_from(self.cars.len()).expect("few"));
        std::thread::scope(|scope| {
            for car in &self.cars {
                scope.spawn(move || self.enter(*car, each));
            }
        });
    }
}

fn entry(number: u64) -> Entry {
    let text = format!(".{:03}", 550 + number % 30);
    Entry {
        measure: Measure::BackToBack,
        place: Place::Station(1, 1),
        value: Value::Quantity(Reader::new(Unit::Inch).read(&text).expect("a reading")),
        instrument: Some("caliper 2".into()),
        on: Some(jiff::civil::date(2026, 11, 25)),
    }
}

struct Raw {
    _folder: TempDir,
    connection: Connection,
}

impl Raw {
    fn new() -> Self {
        let folder = TempDir::new().expect("a folder");
        let connection = Connection::open(folder.path().join("raw.sqlite")).expect("opened");
        let set_up = "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;
            CREATE TABLE event (seq INTEGER PRIMARY KEY, car_id INTEGER, kind TEXT, at_us INTEGER,
                by_id INTEGER, client_id BLOB UNIQUE) STRICT;
            CREATE UNIQUE INDEX event_by_car ON event (car_id, seq);
            CREATE TABLE reading (seq INTEGER PRIMARY KEY, car_id INTEGER, measure TEXT, place TEXT,
                typed TEXT, unit TEXT, unit_was_typed INTEGER, amount INTEGER, resolution INTEGER,
                instrument TEXT, read_on TEXT) STRICT;
            CREATE INDEX reading_by_place ON reading (measure, place, car_id, seq);";
        connection.execute_batch(set_up).expect("set up");
        Self {
            _folder: folder,
            connection,
        }
    }

    fn enter(&self, count: u64) {
        for number in 0..count {
            let nanometres = i64::try_from(25_400 * (550 + number % 30)).expect("small");
            self.connection
                .execute_batch("BEGIN IMMEDIATE")
                .expect("begun");
            let event = "INSERT INTO event (car_id, kind, at_us, by_id, client_id)
                VALUES (1, 'reading', 0, 1, ?1)";
            let mut statement = self.connection.prepare_cached(event).expect("prepared");
            statement.execute([id().bytes()]).expect("an event");
            let reading =
                "INSERT INTO reading VALUES (?1, 1, 'back to back', 'station 1 1', '.566', 'in',
                0, ?2, 25400, 'caliper 2', '2026-11-25')";
            let row = params![self.connection.last_insert_rowid(), nanometres];
            let mut statement = self.connection.prepare_cached(reading).expect("prepared");
            statement.execute(row).expect("a reading");
            self.connection.execute_batch("COMMIT").expect("committed");
        }
    }
}

fn durable(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("durable readings");
    group
        .sample_size(20)
        .measurement_time(Duration::from_secs(6));
    let (record, raw) = (Record::new(), Raw::new());
    let car = record.cars[0];
    group.bench_function("raw", |bencher| bencher.iter(|| raw.enter(1)));
    group.bench_function("one bench", |bencher| bencher.iter(|| record.enter(car, 1)));
    group.bench_function("eight benches, 64 readings", |bencher| {
        bencher.iter(|| record.enter_at_once(64));
    });
    group.finish();
    ratios();
    size();
}

/// Both kinds by turns, so that what else the machine does falls on all alike.
fn ratios() {
    const ROUNDS: u32 = 12;
    const READINGS: u64 = 64;
    let (record, raw) = (Record::new(), Raw::new());
    let car = record.cars[0];
    let timed = |act: &dyn Fn()| {
        let start = Instant::now();
        act();
        start.elapsed()
    };
    let mut times = [Duration::ZERO; 3];
    for _ in 0..ROUNDS {
        times[0] += timed(&|| raw.enter(READINGS));
        times[1] += timed(&|| record.enter(car, READINGS));
        times[2] += timed(&|| record.enter_at_once(READINGS));
    }
    let [raw, one, eight] = times.map(|time| time.as_secs_f64());
    let each = raw / f64::from(ROUNDS) / 64.0 * 1e6;
    println!("raw: {each:.0} µs a reading");
    println!("one bench / raw: {:.2}", one / raw);
    println!("eight benches / raw: {:.2}", eight / raw);
}

/// Bytes of the file for each reading, a bench's ten readings to an entry.
fn size() {
    const READINGS: u64 = 20_000;
    let record = Record::new();
    let path = record.folder.path().join("r.sqlite");
    let car = record.cars[0];
    let mut version = record
        .store
        .snapshot()
        .expect("a snapshot")
        .version(car)
        .expect("a car");
    let before = settled(&path);
    for number in 0..READINGS / 10 {
        let fact = |place: u8| {
            let mut own = entry(number);
            own.place = Place::Station(1 + place / 2, 1 + place % 2);
            (id(), Fact::Read(own))
        };
        let order = Append {
            car,
            by: record.lead,
            second: None,
            at: Timestamp::UNIX_EPOCH,
            basis: Basis::Seen(version),
            facts: (0..10).map(fact).collect(),
            drafts_done: None,
        };
        version = record.store.append(order).expect("entered").version;
    }
    println!("{} bytes a reading", (settled(&path) - before) / READINGS);
}

/// The length of the file with its log taken in.
fn settled(path: &Path) -> u64 {
    let connection = Connection::open(path).expect("opened");
    connection
        .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .expect("taken in");
    std::fs::metadata(path).expect("a file").len()
}

criterion_group!(benches, durable);
criterion_main!(benches);
