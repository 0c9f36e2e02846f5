//! Puts rows into a copy of a record as the library underneath would with nothing around it: an event and
//! its reading, one transaction each, handed to the disk each. Prints how long each took at the median, in
//! microseconds: what the disk and SQLite ask for a reading before any of our own work.
//!
//! Usage: `raw_rows COPY COUNT`. The copy is no record any more afterwards.

#![expect(clippy::print_stdout, reason = "its output is what it is for")]
#![expect(clippy::disallowed_methods, reason = "it measures time")]

use std::error::Error;
use std::time::Instant;

use gradeworthy_store::ClientId;
use rusqlite::{Connection, params};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let path = arguments.next().ok_or("which copy?")?;
    let count: usize = arguments.next().ok_or("how many?")?.parse()?;
    let connection = Connection::open(path)?;
    connection.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA cache_size = -16000;",
    )?;
    let cars: i64 = connection.query_row("SELECT max(id) FROM car", [], |row| row.get(0))?;
    let mut event = connection.prepare(
        "INSERT INTO event (car_id, kind, at_us, by_id, client_id) VALUES (?1, 'reading', 0, 1, ?2)",
    )?;
    let mut reading = connection.prepare(
        "INSERT INTO reading VALUES (?1, ?2, 'back to back', 'station 1 1', NULL, '14.45 mm', 'mm', 1,
         14450000, 10000, 'caliper', '2026-11-25')",
    )?;
    let mut times = Vec::with_capacity(count);
    for number in 0..i64::try_from(count)? {
        let car = 1 + number * 7919 % cars;
        let id = ClientId::random()?;
        let start = Instant::now();
        connection.execute_batch("BEGIN IMMEDIATE")?;
        event.execute(params![car, id.bytes()])?;
        reading.execute(params![connection.last_insert_rowid(), car])?;
        connection.execute_batch("COMMIT")?;
        times.push(start.elapsed());
    }
    times.sort_unstable();
    let median = times.get(times.len() / 2).ok_or("none were asked for")?;
    println!("{}", median.as_micros());
    Ok(())
}
