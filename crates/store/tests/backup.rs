//! A backup is the record as it was at one moment, whole or not there at all, and restoring it brings
//! that moment back.

mod shop;

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

use gradeworthy_store::{
    BackupPlan, Backups, CarId, Error, Fact, NewPhoto, Options, PhotoType, Store, Version,
    check_file, copy_to, restore,
};
use jiff::ToSpan;
use jiff::civil::date;
use rusqlite::Connection;
use shop::{Shop, at, back_to_back, id};

fn versions(store: &Store, cars: &[CarId]) -> Vec<i64> {
    let snapshot = store.snapshot().expect("a snapshot");
    let mut seqs = Vec::new();
    for car in cars {
        let history = snapshot
            .history(*car, Version::from_number(0), None)
            .expect("a history");
        seqs.extend(history.iter().map(|event| event.seq.number()));
    }
    seqs.sort_unstable();
    seqs
}

/// A few megabytes, so that a copy takes many steps.
fn fill(shop: &Shop, car: CarId) {
    for number in 0..8_u8 {
        let bytes = vec![number; 900_000];
        let photo = NewPhoto {
            client_id: id(),
            car,
            by: shop.lead,
            at: at(3),
            media_type: PhotoType::Jpeg,
            width_px: 1,
            height_px: 1,
            caption: "filler".into(),
            bytes,
        };
        shop.store.add_photo(photo).expect("kept");
    }
}

#[test]
fn a_backup_under_load_is_what_had_been_acknowledged_up_to_one_point() {
    let shop = Shop::open();
    let cars: Vec<_> = (0..3)
        .map(|number| shop.car(&format!("TST {number}")))
        .collect();
    fill(&shop, cars[0]);
    let stop = AtomicBool::new(false);
    let acknowledged = Mutex::new(Vec::<i64>::new());
    let so_far = || {
        acknowledged
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    };
    let mut copies: Vec<(PathBuf, Vec<i64>, usize)> = Vec::new();
    std::thread::scope(|scope| {
        for car in &cars {
            let (shop, stop, acknowledged) = (&shop, &stop, &acknowledged);
            scope.spawn(move || {
                while !stop.load(Ordering::Relaxed) {
                    let receipt = shop.append(shop.lead, *car, [Fact::Read(back_to_back(".566"))]);
                    let seqs = receipt.expect("entered").seqs;
                    let mut all = acknowledged.lock().unwrap_or_else(PoisonError::into_inner);
                    all.extend(seqs.iter().map(|seq| seq.number()));
                }
            });
        }
        for number in 0..6 {
            let target = shop.folder.path().join(format!("copy-{number}.sqlite"));
            let before = so_far();
            copy_to(&shop.path(), &target).expect("copied");
            copies.push((target, before, so_far().len()));
        }
        stop.store(true, Ordering::Relaxed);
    });
    let all = versions(&shop.store, &cars);
    let meanwhile: usize = copies
        .iter()
        .map(|(_, before, after)| after - before.len())
        .sum();
    assert!(
        meanwhile > 0,
        "nothing was entered while the copies were made"
    );
    for (copy, before, _) in &copies {
        assert!(check_file(copy).expect("checked").is_whole());
        let target = shop.folder.path().join("restored.sqlite");
        assert_eq!(restore(copy, &target, at(9)).expect("restored"), None);
        let restored = Store::open(&target, &Options::default()).expect("opened");
        let there = versions(&restored, &cars);
        let last = *there.last().expect("events");
        let up_to_there: Vec<_> = all.iter().copied().filter(|seq| *seq <= last).collect();
        assert_eq!(
            there, up_to_there,
            "a beginning of all that was entered, with no gap"
        );
        assert!(
            before.iter().all(|seq| *seq <= last),
            "what was acknowledged before it began"
        );
        drop(restored);
        fs::remove_file(&target).expect("removed");
    }
}

#[test]
fn a_copy_is_one_file_and_takes_no_other_files_place() {
    let shop = Shop::open();
    shop.car("TST 1");
    let target = shop.folder.path().join("copy.sqlite");
    copy_to(&shop.path(), &target).expect("copied");
    let beside = |suffix: &str| {
        shop.folder
            .path()
            .join(format!("copy.sqlite{suffix}"))
            .exists()
    };
    assert!(!beside("-wal") && !beside("-shm") && !beside(".part") && !beside("-journal"));
    let bytes = fs::read(&target).expect("read");
    let error = copy_to(&shop.path(), &target).expect_err("there is one");
    assert!(matches!(error, Error::Exists { .. }), "{error}");
    assert!(
        fs::read(&target).expect("read") == bytes,
        "the first copy was touched"
    );
}

/// What stood at the target is put aside with everything in it.
#[test]
fn restoring_puts_the_old_record_aside() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let copy = shop.folder.path().join("copy.sqlite");
    copy_to(&shop.path(), &copy).expect("copied");
    shop.lead_appends(car, Fact::Noted("after the copy".into()));
    let path = shop.path();
    let error = restore(&copy, &path, at(60)).expect_err("it is open");
    assert!(matches!(error, Error::Locked), "{error}");
    let length = |path: &Path| {
        let store = Store::open(path, &Options::default()).expect("opened");
        versions(&store, &[car]).len()
    };
    drop(shop.store);
    let log = shop.folder.path().join("club.sqlite-wal");
    assert!(!log.exists(), "a record that was closed is one file");
    assert_eq!(length(&path), 4);
    let aside = restore(&copy, &path, at(60))
        .expect("restored")
        .expect("put aside");
    assert_eq!(length(&path), 3);
    assert_eq!(length(&aside), 4);
}

#[test]
fn a_backup_that_is_not_whole_restores_nothing() {
    let shop = Shop::open();
    shop.car("TST 1");
    let (path, copy) = (shop.path(), shop.folder.path().join("copy.sqlite"));
    copy_to(&path, &copy).expect("copied");
    drop(shop.store);
    let record = fs::read(&path).expect("read");
    let whole = fs::read(&copy).expect("read");
    let mut torn = whole.clone();
    // The middle third of the pages is lost.
    torn[whole.len() / 3..2 * whole.len() / 3].fill(0);
    for bytes in [&whole[..whole.len() / 2], &torn, b"not a backup"] {
        fs::write(&copy, bytes).expect("written");
        let error = restore(&copy, &path, at(60)).expect_err("refused");
        assert!(
            matches!(error, Error::Corrupt { .. } | Error::NotARecord { .. }),
            "{error}"
        );
        assert!(
            fs::read(&path).expect("read") == record,
            "the record was touched"
        );
    }
    let newer = Connection::open(&path).expect("opened");
    newer
        .pragma_update(None, "user_version", 99)
        .expect("marked");
    drop(newer);
    let error = restore(&path, &shop.folder.path().join("x.sqlite"), at(60)).expect_err("newer");
    assert!(
        matches!(error, Error::NewerSchema { found: 99, .. }),
        "{error}"
    );
}

#[test]
fn a_damaged_record_gives_way_to_its_backup() {
    let shop = Shop::open();
    let car = shop.car("TST 1");
    let (path, copy) = (shop.path(), shop.folder.path().join("copy.sqlite"));
    copy_to(&path, &copy).expect("copied");
    drop(shop.store);
    fs::write(&path, [7; 5000]).expect("ruined");
    let aside = restore(&copy, &path, at(60))
        .expect("restored")
        .expect("put aside");
    assert!(
        fs::read(aside).expect("read") == [7; 5000],
        "the ruined file was touched"
    );
    let store = Store::open(&path, &Options::default()).expect("opened");
    assert_eq!(versions(&store, &[car]).len(), 3);
}

#[test]
fn one_copy_a_day_and_the_old_ones_thin_out() {
    let shop = Shop::open();
    shop.car("TST 1");
    let folder = shop.folder.path().join("backups");
    let plan = BackupPlan {
        days: 2,
        weeks: 0,
        months: 0,
    };
    let backups = Backups {
        folder: folder.clone(),
        plan,
    };
    let first = date(2026, 11, 25);
    for day in 0..5 {
        let today = first + day.days();
        let path = backups.daily(&shop.path(), today).expect("made");
        assert_eq!(
            backups.daily(&shop.path(), today).expect("there is one"),
            path
        );
        assert!(check_file(&path).expect("checked").is_whole());
    }
    fs::write(folder.join("note.txt"), "not ours").expect("written");
    let days: Vec<_> = backups
        .list()
        .expect("listed")
        .into_iter()
        .map(|copy| copy.0)
        .collect();
    assert_eq!(days, [date(2026, 11, 28), date(2026, 11, 29)]);
}
