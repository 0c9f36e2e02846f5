//! `gradeworthy climb` out of a club's record, told as what a lead does with it.

use std::path::Path;
use std::process::Output;
use std::sync::OnceLock;

use assert_cmd::Command;
use gradeworthy_store::{Options, Store};
use jiff::Timestamp;
use tempfile::TempDir;

/// The invented club's record, made once for all tests of this file.
fn club() -> &'static str {
    static CLUB: OnceLock<TempDir> = OnceLock::new();
    let folder = CLUB.get_or_init(|| {
        let folder = TempDir::new().expect("a folder");
        let record = folder.path().join("sample.sqlite");
        let store = Store::create(&record, &Options::default()).expect("a record");
        let now: Timestamp = "2026-11-25T19:00:00Z".parse().expect("a time");
        gradeworthy_server::fill_with_sample(&store, now, |_, _| {}).expect("filled");
        folder
    });
    folder.path().to_str().expect("a plain path")
}

fn climb(arguments: &[&str]) -> Output {
    let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
    let mut all = vec!["climb", "--day", "2026-11-25"];
    if !arguments.contains(&"--step") {
        all.extend(["--step", "40"]);
    }
    let arguments = [&all[..], arguments].concat();
    command.args(arguments).output().expect("it runs")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

#[test]
fn the_record_tells_the_same_story_as_the_sample_and_no_car_of_the_train_is_barred() {
    let by_name = climb(&[
        "--club",
        club(),
        "--line",
        "marrow pass",
        "--train",
        "Marrow Pass drag",
    ]);
    assert_eq!(by_name.status.code(), Some(1), "{}", err(&by_name));
    let only_ones = climb(&["--club", club()]);
    assert_eq!(out(&only_ones), out(&by_name));
    assert_eq!(out(&climb(&["--sample"])), out(&by_name));
    assert_eq!(err(&by_name), "", "every car of the train may run");
    assert!(out(&by_name).contains("WQX 110 runs under an exception"));
}

#[test]
fn a_name_that_is_not_in_the_record_is_refused_with_those_that_are() {
    let refused = climb(&["--club", club(), "--line", "Other Hill"]);
    assert_eq!(refused.status.code(), Some(2));
    let why = err(&refused);
    assert!(
        why.contains("has no line named 'Other Hill'; it has 'Marrow Pass'"),
        "{why}"
    );
    let refused = climb(&["--club", club(), "--train", "Tonight"]);
    assert!(
        err(&refused).contains("has no make-up named 'Tonight'; it has 'Marrow Pass drag'"),
        "{}",
        err(&refused)
    );
    let refused = climb(&["--club", "nowhere"]);
    assert!(err(&refused).contains("nowhere holds no record"));
    let refused = climb(&["--club", club(), "--sheet", "x.csv"]);
    assert!(err(&refused).contains("cannot be used with"));
}

#[test]
fn a_train_in_a_file_is_made_up_of_the_records_cars_and_what_may_not_run_is_said() {
    let folder = TempDir::new().expect("a folder");
    let file = folder.path().join("tonight.csv");
    let write = |text: &str| std::fs::write(&file, text).expect("written");
    let path = Path::new(&file).to_str().expect("a plain path");
    write("vehicle\nMP 601\nQVL 101\nQVL 102\nWQX 110\n");
    let told = climb(&["--club", club(), "--train", path]);
    assert_eq!(told.status.code(), Some(0), "{}", err(&told));
    assert_eq!(
        err(&told),
        "gradeworthy: QVL 102 may not run: it is bad-ordered\n"
    );
    write("vehicle\nMP 601\nQVL 101\nQVX 7\n");
    let refused = climb(&["--club", club(), "--train", path]);
    assert_eq!(refused.status.code(), Some(2));
    let why = "line 4 of the train: 'QVX 7' is neither a car nor a locomotive of the record";
    assert!(err(&refused).contains(why), "{}", err(&refused));
}

#[test]
fn helpers_are_placed_one_two_or_three_together_as_asked() {
    // Few cars, so that three helpers are soon placed.
    let folder = TempDir::new().expect("a folder");
    let file = folder.path().join("short.csv");
    let cars = ["QVL 101", "QVL 103", "WQX 111", "WQX 110"];
    let text = format!(
        "vehicle\nMP 601\n{}\nMP 611\nMP 612\nMP 621\n",
        cars.join("\n")
    );
    std::fs::write(&file, text).expect("written");
    let path = file.to_str().expect("a plain path");
    let count = |together: &str| {
        let output = climb(&[
            "--club",
            club(),
            "--train",
            path,
            "--advise",
            "--together",
            together,
            "--format",
            "json",
            "--step",
            "400",
        ]);
        let value: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON");
        value["advice"]["helpers"].as_array().expect("a list").len()
    };
    // The three at the rear run coupled: one group by itself, no two, and the three taken apart.
    assert_eq!([count("1"), count("2"), count("3")], [1, 1, 2]);
    let refused = climb(&["--club", club(), "--advise", "--together", "4"]);
    assert!(
        err(&refused).contains("give 1, 2 or 3"),
        "{}",
        err(&refused)
    );
}
