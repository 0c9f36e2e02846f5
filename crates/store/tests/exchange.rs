//! The whole record as a document, and back without loss.

mod shop;

use std::path::PathBuf;

use gradeworthy_store::{
    Error, ExchangeError, Fact, Integrity, Options, SCHEMA_VERSION, Store, read_json,
};
use gradeworthy_units::Unit;
use gradeworthy_workbench::record::{Measure, Place};
use shop::{Shop, reading};
use tempfile::TempDir;

/// A record with a row in every table, and numbers that only exact reading gives back.
fn written() -> (Shop, String) {
    let shop = Shop::open();
    shop::everything::happen(&shop);
    let own = shop.car("TST 9");
    for text in ["1 in 70", "1 in 3", "0.7 %", "2.675 %"] {
        let entry = reading(Measure::RollGrade, Place::Car, Unit::Percent, text);
        shop.lead_appends(own, Fact::Read(entry));
    }
    let document = document(&shop.store);
    (shop, document)
}

fn document(store: &Store) -> String {
    let mut out = Vec::new();
    let snapshot = store.snapshot().expect("a snapshot");
    snapshot.write_json(&mut out).expect("written");
    String::from_utf8(out).expect("text")
}

fn read(text: &str) -> (TempDir, PathBuf, Result<Integrity, ExchangeError>) {
    let folder = TempDir::new().expect("a folder");
    let target = folder.path().join("new.sqlite");
    let made = read_json(text.as_bytes(), &target);
    (folder, target, made)
}

fn refused(text: &str) -> String {
    let (folder, _, made) = read(text);
    let left = std::fs::read_dir(folder.path()).expect("a folder").count();
    assert_eq!(left, 0, "something was left behind");
    made.expect_err("refused").to_string()
}

#[test]
fn a_record_made_of_the_document_writes_the_same_document() {
    let (shop, document) = written();
    let (_folder, target, made) = read(&document);
    assert_eq!(
        made.expect("read").event_count,
        shop.store.check().expect("checked").event_count
    );
    let back = Store::open(&target, &Options::default()).expect("opened");
    assert_eq!(self::document(&back), document);
    let (own, other) = (
        shop.store.snapshot().expect("a snapshot"),
        back.snapshot().expect("a snapshot"),
    );
    let all = gradeworthy_store::FleetFilter::default();
    let cars = own.fleet(&all, None, 99).expect("a list");
    assert_eq!(other.fleet(&all, None, 99).expect("a list"), cars);
    for car in cars {
        let record = own.record(car.car).expect("a record");
        assert_eq!(other.record(car.car).expect("a record"), record);
    }
}

#[test]
fn nothing_that_opens_the_door_is_written() {
    let (_shop, document) = written();
    for word in [
        "password_hash",
        "pin_hash",
        "session",
        "setup_token",
        "$argon2",
    ] {
        assert!(!document.contains(word), "{word} stands in it");
    }
    let value: serde_json::Value = serde_json::from_str(&document).expect("JSON");
    assert_eq!(value["tables"]["member"]["rows"][0][1], "A. Lead");
}

#[test]
fn a_document_of_an_earlier_schema_is_brought_up_to_date() {
    let old = r#"{"format":"gradeworthy record","schema":2,"tables":{
        "member":{"columns":["id","name","role"],"rows":[[1,"A. Lead","lead"]]},
        "car":{"columns":["id"],"rows":[[1]]},
        "event":{"columns":["seq","car_id","kind","at_us","by_id","client_id"],
            "rows":[[1,1,"lettering",0,1,{"hex":"00000000000000000000000000000001"}],
                    [2,1,"description",0,1,{"hex":"00000000000000000000000000000002"}]]},
        "lettering":{"columns":["seq","mark"],"rows":[[1,"TST 1"]]},
        "description":{"columns":["seq","scale","axle_count"],"rows":[[2,"HO",4]]}}}"#;
    let (_folder, target, made) = read(old);
    assert_eq!(made.expect("read").event_count, 2);
    let store = Store::open(&target, &Options::default()).expect("opened");
    let snapshot = store.snapshot().expect("a snapshot");
    assert_eq!(snapshot.cars_marked("TST 1").expect("a look").len(), 1);
}

#[test]
fn what_is_no_such_document_is_refused_with_its_place() {
    let (_shop, document) = written();
    let half = &document[..document.len() / 2];
    assert!(refused(half).contains("EOF"), "{}", refused(half));
    assert!(refused("car;weight\n").starts_with("line 1, column 1: expected value"));
    assert!(refused("{}").contains("missing field `format`"));
    let other = document.replacen("gradeworthy record", "something", 1);
    assert!(refused(&other).contains("the format is 'something'"));
    let newer = SCHEMA_VERSION + 1;
    let own = format!("\"schema\":{SCHEMA_VERSION}");
    let newer = document.replacen(&own, &format!("\"schema\":{newer}"), 1);
    assert!(refused(&newer).contains("use the newer tool"));
    let table = document.replacen("\n\"lettering\":", "\n\"secrets\":", 1);
    assert!(refused(&table).contains("there is no table 'secrets'"));
    let column = document.replacen("[\"seq\",\"mark\"]", "[\"seq\",\"marks\"]", 1);
    let said = refused(&column);
    assert!(said.contains("lettering has no column 'marks'"), "{said}");
    assert!(said.starts_with("line "), "{said}");
    let twice = format!("{document} {{}}");
    assert!(refused(&twice).contains("trailing characters"));
}

#[test]
fn rows_that_contradict_each_other_make_no_record() {
    let (_shop, document) = written();
    let lost = document.replacen("[1,\"TST 1\"],\n", "", 1);
    assert_ne!(lost, document);
    let said = refused(&lost);
    assert!(
        said.contains("nothing was kept") || said.contains("no marks"),
        "{said}"
    );
    let stranger = document.replacen("[1,\"TST 1\"]", "[999,\"TST 1\"]", 1);
    refused(&stranger);
    let short = document.replacen("[1,\"TST 1\"]", "[1]", 1);
    assert!(refused(&short).contains("a row of 1 cells under 2 columns"));
    let array = document.replacen("[1,\"TST 1\"]", "[1,[\"TST 1\"]]", 1);
    assert!(refused(&array).contains("nothing a cell holds"));
}

#[test]
fn a_record_that_is_there_is_not_written_over() {
    let (shop, document) = written();
    let error = read_json(document.as_bytes(), &shop.path()).expect_err("refused");
    assert!(
        matches!(error, ExchangeError::Record(Error::Exists { .. })),
        "{error}"
    );
}
