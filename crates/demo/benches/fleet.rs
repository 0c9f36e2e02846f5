//! Ten thousand invented cars with a hundred readings each: searches, spreads and a changed limit, each
//! beside the same question answered plainly in the same run.
//! `cargo bench -p gradeworthy-demo --bench fleet`.
//!
//! Searches and spreads: `SQLite` in memory, one table of latest readings with an index on measure and
//! place, the query a person would write. A changed limit: every car judged again from its whole
//! record. Times are of the processor, where the system tells them, as the machine is shared, and by the
//! wall clock for changed limits, which two threads try; a figure is the median, and the slowest of a
//! hundred (p99).
#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a benchmark reads the clock and prints"
)]

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use gradeworthy_demo::{Keeping, SEED, SHOP, fleet_of, rule_book};
use gradeworthy_fleet::{Bound, CarFacts, Fleet, Query, Sort, Under};
use gradeworthy_units::{Amount, Length, Reader, Unit};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::inspect;
use gradeworthy_workbench::record::{Check, End, Entry, Measure, Place, Record, Side, Value};
use gradeworthy_workbench::rules::RuleBook;
use gradeworthy_workbench::shop::Shop;
use jiff::Timestamp;
use jiff::civil::date;
use rusqlite::{Connection, params};

const CARS: u64 = 10_000;
const PASSES: usize = 100;

/// Seconds that this thread has spent on the processor, as Linux tells them.
fn on_processor() -> Option<f64> {
    let account = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds: f64 = account.split_whitespace().next()?.parse().ok()?;
    Some(nanoseconds / 1e9)
}

/// Median and 99th of a hundred, in milliseconds.
fn timed(passes: usize, mut work: impl FnMut()) -> (f64, f64) {
    spread_of(passes, || {
        let (wall, before) = (Instant::now(), on_processor());
        work();
        match (before, on_processor()) {
            (Some(before), Some(after)) => after - before,
            _ => wall.elapsed().as_secs_f64(),
        }
    })
}

/// The same by the wall clock, for work on more than one thread.
fn timed_by_wall(passes: usize, mut work: impl FnMut()) -> (f64, f64) {
    spread_of(passes, || {
        let wall = Instant::now();
        work();
        wall.elapsed().as_secs_f64()
    })
}

fn spread_of(passes: usize, mut seconds: impl FnMut() -> f64) -> (f64, f64) {
    let mut took: Vec<f64> = (0..passes).map(|_| seconds() * 1e3).collect();
    took.sort_by(f64::total_cmp);
    (took[passes / 2], took[(passes * 99).div_ceil(100) - 1])
}

fn row(what: &str, ours: (f64, f64), plain: (f64, f64)) {
    println!(
        "{what:52} {:8.2} ms (p99 {:7.2})   plainly {:8.2} ms   ratio {:6.1}",
        ours.0,
        ours.1,
        plain.0,
        plain.0 / ours.0
    );
}

/// The resident memory of this process, megabytes; `None` where the system does not say.
fn resident_megabytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

/// The invented cars, with what their sheets leave out read as well: about a hundred readings each.
fn records() -> Vec<Record> {
    let mut records = fleet_of(SEED, CARS, &Keeping::NEGLECTED);
    for record in &mut records {
        let mut read = |measure, place, text: &str| {
            let typed = Reader::new(Unit::Millimetre).read(text).expect("a length");
            record.entries.push(Entry {
                measure,
                place,
                value: Value::Quantity(typed),
                instrument: Some("caliper".into()),
                on: Some(date(2026, 11, 1)),
            });
        };
        for axle in 1..=4 {
            for side in Side::BOTH {
                read(Measure::FlangeDepth, Place::Wheel(axle, side), "0.62");
                read(Measure::TreadDiameter, Place::Wheel(axle, side), "9.60");
            }
            read(Measure::WheelOffset, Place::Axle(axle), "0.02");
            read(Measure::AxleLength, Place::Axle(axle), "25.91");
            read(Measure::BackToBack, Place::Station(axle, 3), "14.49");
        }
        for end in End::BOTH {
            read(Measure::FreePlay, Place::End(end), "0.20");
        }
    }
    records
}

/// The latest readings as one plain table.
fn table(records: &[Record]) -> Connection {
    let mut connection = Connection::open_in_memory().expect("memory");
    connection
        .execute_batch(
            "CREATE TABLE car (id INTEGER PRIMARY KEY, text TEXT, verdict TEXT) STRICT;
             CREATE TABLE reading (car INTEGER, measure TEXT, place TEXT, amount REAL,
                PRIMARY KEY (measure, place, car)) STRICT, WITHOUT ROWID;",
        )
        .expect("tables");
    let fill = connection.transaction().expect("begun");
    for (id, record) in (0_i64..).zip(records) {
        let car = &record.car;
        let text = [
            car.mark.as_str(),
            car.description.as_deref().unwrap_or(""),
            car.owner.as_deref().unwrap_or(""),
        ]
        .join("\n");
        fill.execute(
            "INSERT INTO car VALUES (?1, ?2, '')",
            params![id, text.to_lowercase()],
        )
        .expect("a car");
        for entry in &record.entries {
            let Value::Quantity(typed) = &entry.value else {
                continue;
            };
            fill.prepare_cached("INSERT OR REPLACE INTO reading VALUES (?1, ?2, ?3, ?4)")
                .expect("prepared")
                .execute(params![
                    id,
                    entry.measure.name(),
                    entry.place.to_string(),
                    typed.amount.base()
                ])
                .expect("a reading");
        }
    }
    fill.commit().expect("kept");
    connection
}

fn asked(connection: &Connection, sql: &str) -> usize {
    let mut statement = connection.prepare_cached(sql).expect("prepared");
    let rows = statement.query_map([], |row| row.get::<_, rusqlite::types::Value>(0));
    rows.expect("asked").map(|row| drop(black_box(row))).count()
}

fn main() {
    let under = Under {
        book: Arc::new(RuleBook::read(&rule_book()).expect("the demo's book")),
        shop: Arc::new(Shop::read(SHOP).expect("the demo's shop")),
        day: date(2026, 11, 25),
    };
    let records = records();
    let before = resident_megabytes();
    let start = on_processor().unwrap_or_default();
    let mut fleet = Fleet::new(under.clone());
    for (key, record) in (0..).zip(&records) {
        let facts = CarFacts {
            key,
            owner_member: None,
            state: "admitted",
            since: Timestamp::UNIX_EPOCH,
            parts: Vec::new(),
        };
        fleet.put(facts, record).expect("of its kinds");
    }
    let filled = on_processor().unwrap_or_default() - start;
    println!(
        "{} cars, {} readings; put in and judged in {filled:.2} s; columns {:.1} MB",
        fleet.cars().len(),
        fleet.reading_count(),
        f64::from(u32::try_from(fleet.column_bytes()).unwrap_or(u32::MAX)) / 1e6,
    );
    if let (Some(before), Some(after)) = (before, resident_megabytes()) {
        println!("memory of the whole fleet: {:.0} MB", after - before);
    }
    let connection = table(&records);
    search(&fleet, &connection);
    spread(&fleet, &connection);
    what_if(&fleet, &records, &under);
}

fn search(fleet: &Fleet, connection: &Connection) {
    let by_words = Query {
        words: Query::words_of("hopper member 17"),
        ..Query::default()
    };
    let page = |query: &Query, sort| {
        let rows = fleet.find(query);
        black_box(fleet.page(&rows, sort, false, None, 50));
    };
    row(
        "search for words, first fifty by marks",
        timed(PASSES, || page(&by_words, Sort::Mark)),
        timed(PASSES, || {
            asked(
                connection,
                "SELECT id FROM car WHERE instr(text, 'hopper') AND instr(text, 'member')
                AND instr(text, '17') ORDER BY text LIMIT 50",
            );
        }),
    );
    let low: Amount = Length::from_thousandths(388).into();
    let by_reading = Query {
        bounds: vec![Bound {
            measure: Measure::CouplerHeight,
            place: Some(Place::End(End::A)),
            lower: None,
            upper: Some(low),
        }],
        checks: vec![(Check::CouplerHeight, Verdict::Watch)],
        ..Query::default()
    };
    let sort = Sort::Reading {
        measure: Measure::CouplerHeight,
        place: None,
    };
    row(
        "search by reading and verdict, sorted by reading",
        timed(PASSES, || page(&by_reading, sort)),
        timed(PASSES, || {
            asked(
                connection,
                "SELECT car FROM reading WHERE measure = 'coupler height'
                AND place = 'A end' AND amount <= 9.8552 ORDER BY amount, car LIMIT 50",
            );
        }),
    );
    row(
        "the whole fleet, sorted by reading",
        timed(PASSES, || page(&Query::default(), sort)),
        timed(PASSES, || {
            asked(connection, "SELECT car.id, min(amount) AS least FROM car LEFT JOIN reading
                ON reading.car = car.id AND measure = 'coupler height' AND place IN ('A end', 'B end')
                GROUP BY car.id ORDER BY least IS NULL, least, car.id LIMIT 50");
        }),
    );
}

fn spread(fleet: &Fleet, connection: &Connection) {
    let every: Vec<_> = (0..fleet.cars().len()).collect();
    row(
        "spread of back-to-back, twelve places a car",
        timed(PASSES, || {
            let spread = fleet.spread(&every, Measure::BackToBack, None);
            black_box(spread.quantile(0.5));
        }),
        timed(20, || {
            asked(
                connection,
                "SELECT amount FROM reading WHERE measure = 'back to back' ORDER BY amount",
            );
        }),
    );
}

fn what_if(fleet: &Fleet, records: &[Record], under: &Under) {
    let every: Vec<_> = (0..records.len()).collect();
    for (what, from, to) in [
        (
            "what if height were ±.006 in",
            "tolerance = \"0.010 in\"",
            "tolerance = \"0.006 in\"",
        ),
        (
            "what if weight were ±.25 oz",
            "tolerance = \"0.5 oz\"",
            "tolerance = \"0.25 oz\"",
        ),
        (
            "what if the check gauge were .594 in",
            "check_gauge_min = \"0.592 in\"",
            "check_gauge_min = \"0.594 in\"",
        ),
        (
            "what if the decision rule were simple (everything)",
            "rule = \"prove either\"",
            "rule = \"simple\"",
        ),
        (
            "what if the caliper were worse (from the readings)",
            "uncertainty = \"0.01 mm\"",
            "uncertainty = \"0.05 mm\"",
        ),
    ] {
        let text = rule_book().replacen(from, to, 1);
        let book = Arc::new(RuleBook::read(&text).expect("a book"));
        let naive = || -> usize {
            let changed = |(row, record): &(usize, &Record)| {
                let judged = inspect(record, &book, &under.shop, under.day);
                let before = fleet.cars()[*row].judged;
                (before.verdict, before.checks) != (judged.verdict, judged.checks)
            };
            records.iter().enumerate().filter(changed).count()
        };
        let quick = || fleet.what_if(&book, &every).changes.len();
        assert_eq!(quick(), naive(), "{what}");
        row(
            what,
            timed_by_wall(PASSES, || {
                black_box(quick());
            }),
            timed_by_wall(3, || {
                black_box(naive());
            }),
        );
    }
}
