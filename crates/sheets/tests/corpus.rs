//! Every input that a fuzzing run found worth keeping, through the same functions again, so that
//! the findings of those runs hold on the stable toolchain and in every test run.

#![expect(
    clippy::panic,
    reason = "a test helper that cannot read a file has to stop the test"
)]

#[path = "../../../fuzz/bodies/intake.rs"]
mod intake;
#[path = "../../../fuzz/bodies/reading.rs"]
mod reading;
#[path = "../../../fuzz/bodies/rule_book.rs"]
mod rule_book;
#[path = "../../../fuzz/bodies/shop_file.rs"]
mod shop_file;

use std::fs;
use std::path::PathBuf;

/// Feeds every file of a target's corpus to its body.
fn replay(target: &str, run: fn(&[u8])) {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../fuzz/corpus")
        .join(target);
    let listing = fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut count = 0;
    for file in listing {
        let path = file.unwrap_or_else(|e| panic!("{target}: {e}")).path();
        let bytes = fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        if std::panic::catch_unwind(|| run(&bytes)).is_err() {
            panic!("{} fails", path.display());
        }
        count += 1;
    }
    assert!(
        count >= 10,
        "{target}: only {count} files in {}",
        folder.display()
    );
}

#[test]
fn readings() {
    replay("reading", reading::run);
}

#[test]
fn rule_books() {
    replay("rule_book", rule_book::run);
}

#[test]
fn shop_files() {
    replay("shop_file", shop_file::run);
}

#[test]
fn sheets() {
    replay("intake", intake::run);
}
