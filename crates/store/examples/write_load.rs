//! Writes to a record from several threads as fast as it may, and says on its output what the record has
//! acknowledged: `ack` and the batch, a line each. It ends when it is killed.
//!
//! Usage: `write_load FILE MEMBER CAR...`, one thread for each car.

#![expect(clippy::print_stdout, reason = "its output is what it is for")]

use std::error::Error;
use std::io::Write;
use std::path::PathBuf;

use gradeworthy_store::{Append, Basis, CarId, ClientId, Fact, MemberId, Options, Store};
use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::record::{Entry, Measure, Place, Value};
use jiff::Timestamp;

fn main() -> Result<(), Box<dyn Error + Send + Sync>> {
    let mut arguments = std::env::args().skip(1);
    let path = PathBuf::from(arguments.next().ok_or("which file?")?);
    let member = MemberId::from_number(arguments.next().ok_or("which member?")?.parse()?);
    let cars = arguments.map(|car| car.parse().map(CarId::from_number));
    let cars: Vec<_> = cars.collect::<Result<_, _>>()?;
    let store = Store::open(&path, &Options::default())?;
    println!("open");
    std::thread::scope(|scope| {
        let store = &store;
        let start = |car| scope.spawn(move || write(store, member, car));
        let threads: Vec<_> = cars.into_iter().map(start).collect();
        for thread in threads {
            thread.join().map_err(|_| "a thread panicked")??;
        }
        Ok(())
    })
}

/// Batches of one to five readings, each reading naming its batch and the batch's size.
fn write(store: &Store, by: MemberId, car: CarId) -> Result<(), Box<dyn Error + Send + Sync>> {
    let mut version = store.snapshot()?.version(car)?;
    for round in 0_u64.. {
        let batch = ClientId::random()?;
        let size = 1 + round % 5;
        let mut facts = Vec::new();
        for number in 0..size {
            let text = format!(".{:03}", 560 + (round + number) % 10);
            let entry = Entry {
                measure: Measure::BackToBack,
                place: Place::Station(1, 1 + u8::try_from(number)?),
                value: Value::Quantity(Reader::new(Unit::Inch).read(&text)?),
                instrument: Some(format!("{batch} {size}").into()),
                on: None,
            };
            facts.push((ClientId::random()?, Fact::Read(entry)));
        }
        let at = Timestamp::from_second(i64::try_from(round)?)?;
        let basis = Basis::Seen(version);
        let order = Append {
            car,
            by,
            second: None,
            at,
            basis,
            facts,
            drafts_done: None,
        };
        version = store.append(order)?.version;
        let mut output = std::io::stdout().lock();
        writeln!(output, "ack {batch}")?;
        output.flush()?;
    }
    Ok(())
}
