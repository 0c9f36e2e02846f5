//! A file is taken in whole or not at all, and what is there already is not entered again.

mod shop;

use std::ops::ControlFlow;
use std::sync::{Arc, Mutex};

use gradeworthy_store::{
    Error, Fact, Import, ImportInto, ImportPlan, ImportReceipt, MemberId, Version,
};
use gradeworthy_units::Unit;
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{Measure, Place, Record};
use shop::{Shop, back_to_back, car, reading};

fn weight(text: &str) -> gradeworthy_workbench::record::Entry {
    reading(Measure::Weight, Place::Car, Unit::Ounce, text)
}

/// Two cars of a file: readings, and a cure between two of them.
fn file() -> Vec<Record> {
    let mut first = Record::new(car("TST 1"));
    first.entries.push(back_to_back(".560"));
    first.note_done(CureKind::WheelMoved, None);
    first.entries.push(back_to_back(".566"));
    let mut second = Record::new(car("TST 2"));
    second.entries.push(weight("3.9"));
    vec![first, second]
}

fn plan(shop: &Shop, records: &[Record]) -> ImportPlan {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let mut told = Vec::new();
    let plan = snapshot
        .plan_import(records, &mut |done, total| told.push((done, total)))
        .expect("a plan");
    assert_eq!(told.last(), Some(&(records.len(), records.len())));
    plan
}

fn take(shop: &Shop, by: MemberId, plan: &ImportPlan) -> Result<ImportReceipt, Error> {
    shop.store.import(Import {
        by,
        at: shop.now(),
        file_name: "cars.csv".into(),
        file_sha256: [1; 32],
        cars: plan.cars.clone(),
    })
}

fn marked(shop: &Shop, mark: &str) -> gradeworthy_store::CarId {
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let cars = snapshot.cars_marked(mark).expect("a look");
    assert_eq!(cars.len(), 1, "{mark}");
    cars[0]
}

#[test]
fn a_file_comes_in_whole_in_its_own_order() {
    let shop = Shop::open();
    let records = file();
    let receipt = take(&shop, shop.lead, &plan(&shop, &records)).expect("taken in");
    let expected = ImportReceipt {
        new_cars: 2,
        known_cars: 0,
        facts: 4,
    };
    assert_eq!(receipt, expected);
    let own = marked(&shop, "TST 1");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let kept = snapshot.record(own).expect("a record").record;
    assert_eq!(kept, records[0]);
    let row = snapshot
        .import_of(&[1; 32])
        .expect("a look")
        .expect("noted");
    assert_eq!((&*row.file_name, row.receipt), ("cars.csv", expected));
}

#[test]
fn the_same_file_twice_changes_nothing_and_a_longer_one_brings_what_is_new() {
    let shop = Shop::open();
    let mut records = file();
    take(&shop, shop.lead, &plan(&shop, &records)).expect("taken in");
    let again = plan(&shop, &records);
    assert!(again.is_empty());
    assert_eq!(again.there_already, 4);
    assert!(again.differences.is_empty());
    records[1].entries.push(weight("4.1"));
    // The same weight read a second time is a second reading.
    records[1].entries.push(weight("3.9"));
    let more = plan(&shop, &records);
    assert_eq!((more.fact_count(), more.there_already), (2, 4));
    let receipt = take(&shop, shop.lead, &more).expect("taken in");
    assert_eq!((receipt.new_cars, receipt.known_cars), (0, 1));
}

#[test]
fn one_car_that_moved_on_refuses_the_whole_file() {
    let shop = Shop::open();
    let own = shop.car("TST 2");
    let records = file();
    let made = plan(&shop, &records);
    shop.lead_appends(own, Fact::Read(weight("5")));
    let error = take(&shop, shop.lead, &made).expect_err("moved on");
    assert!(matches!(error, Error::Conflict(_)), "{error}");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    assert!(snapshot.cars_marked("TST 1").expect("a look").is_empty());
    assert!(snapshot.imports(9).expect("a look").is_empty());
}

#[test]
fn one_sending_that_arrives_twice_makes_its_cars_once() {
    let shop = Shop::open();
    let import = Import {
        by: shop.lead,
        at: shop.now(),
        file_name: "cars.csv".into(),
        file_sha256: [1; 32],
        cars: plan(&shop, &file()).cars,
    };
    shop.store.import(import.clone()).expect("taken in");
    let error = shop.store.import(import).expect_err("a second time");
    assert!(matches!(error, Error::ClientIdReused(_)), "{error}");
    marked(&shop, "TST 1");
}

#[test]
fn what_the_file_says_otherwise_is_listed_and_the_record_stays() {
    let shop = Shop::open();
    let own = shop.car("TST 1");
    let mut records = file();
    records[0].car.owner = Some("G. Heir".into());
    records[0].car.description = None;
    let made = plan(&shop, &records);
    let [difference] = made.differences.as_slice() else {
        panic!("one difference expected: {:?}", made.differences);
    };
    assert_eq!(
        (
            difference.what,
            &*difference.in_record,
            &*difference.in_file
        ),
        ("owner", "E. Owner", "G. Heir")
    );
    assert!(matches!(made.cars[0].into, ImportInto::Known { car, .. } if car == own));
    take(&shop, shop.lead, &made).expect("taken in");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let row = snapshot.car(own).expect("a car");
    assert_eq!(row.owner.as_deref(), Some("E. Owner"));
}

#[test]
fn two_cars_with_one_number_leave_it_open_which_is_meant() {
    let shop = Shop::open();
    shop.car("TST 1");
    shop.car("TST 1");
    let made = plan(&shop, &file());
    assert_eq!(made.doubtful, ["TST 1".into()]);
    assert_eq!(made.cars.len(), 1);
}

#[test]
fn a_struck_reading_is_not_there_already() {
    let shop = Shop::open();
    take(&shop, shop.lead, &plan(&shop, &file())).expect("taken in");
    let own = marked(&shop, "TST 2");
    let snapshot = shop.store.snapshot().expect("a snapshot");
    let history = snapshot.history(own, Version::from_number(0), None);
    let struck = history.expect("a history").last().expect("a reading").seq;
    drop(snapshot);
    let why = "the scale was not levelled".into();
    shop.lead_appends(own, Fact::Struck { struck, why });
    assert_eq!(plan(&shop, &file()).fact_count(), 1);
}

#[test]
fn an_operator_takes_in_no_file() {
    let shop = Shop::open();
    let error = take(&shop, shop.operator, &plan(&shop, &file())).expect_err("refused");
    assert!(matches!(error, Error::NotAllowed { .. }), "{error}");
    take(&shop, shop.inspector, &plan(&shop, &file())).expect("an inspector may");
}

#[test]
fn who_watches_an_import_is_told_how_far_it_is_and_may_end_it_with_nothing_entered() {
    let shop = Shop::open();
    let plan = plan(&shop, &file());
    let import = || Import {
        by: shop.lead,
        at: shop.now(),
        file_name: "cars.csv".into(),
        file_sha256: [1; 32],
        cars: plan.cars.clone(),
    };
    let told = Arc::new(Mutex::new(Vec::new()));
    let hears = Arc::clone(&told);
    let second = |done: usize| {
        if done == 1 {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    };
    let watch = move |done, total| {
        hears.lock().expect("whole").push((done, total));
        second(done)
    };
    let ended = shop.store.import_watched(import(), Box::new(watch));
    assert!(matches!(ended, Err(Error::Ended)), "{ended:?}");
    assert_eq!(*told.lock().expect("whole"), [(0, 2), (1, 2)]);
    let snapshot = shop.store.snapshot().expect("a snapshot");
    for mark in ["TST 1", "TST 2"] {
        assert!(snapshot.cars_marked(mark).expect("a look").is_empty());
    }
    assert_eq!(snapshot.import_of(&[1; 32]).expect("a look"), None);
    drop(snapshot);
    let go_on = |_, _| ControlFlow::Continue(());
    let entered = shop.store.import_watched(import(), Box::new(go_on));
    assert_eq!(entered.expect("taken in").new_cars, 2);
}
