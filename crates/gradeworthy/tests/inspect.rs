//! `gradeworthy inspect` and its neighbours as a person at the shop's old laptop meets them.

use std::io::Write;
use std::path::PathBuf;

use assert_cmd::Command;
use tempfile::TempDir;

fn gradeworthy() -> Command {
    let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
    command.env("NO_COLOR", "1");
    command
}

/// Exit status, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = gradeworthy().args(arguments).output().expect("it starts");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
    (
        output.status.code().expect("a status"),
        text(output.stdout),
        text(output.stderr),
    )
}

fn file(folder: &TempDir, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.path().join(name);
    std::fs::File::create(&path)
        .and_then(|mut file| file.write_all(bytes))
        .expect("written");
    path
}

fn inspect(sheet: &[u8], more: &[&str]) -> (i32, String, String) {
    let folder = TempDir::new().expect("a folder");
    let path = file(&folder, "sheet.csv", sheet);
    let mut arguments = vec!["inspect", path.to_str().expect("UTF-8")];
    arguments.extend(more);
    run(&arguments)
}

#[test]
fn the_sample_tells_the_dozen_stories_and_accounts_for_every_row() {
    let (status, said, _) = run(&["inspect", "--sample", "--day", "2026-11-25"]);
    assert_eq!(status, 1, "some sample cars are bad order");
    for story in [
        "QVL 101", "QVL 102", "QVL 103", "ZBR 106", "ZBR 107", "WQX 110", "JQH 112",
    ] {
        assert!(said.contains(story), "{story}");
    }
    assert!(
        said.contains("1200 rows in = 1200 judged + 0 refused; 1200 cars"),
        "{said}"
    );
    assert!(
        said.contains("put a washer of 0.381 mm (.0150 in) under the A bolster"),
        "{said}"
    );
    assert!(
        !said.split_whitespace().any(|word| word == "safe"),
        "margins, not promises"
    );
}

#[test]
fn the_status_tells_fit_not_fit_and_could_not_read() {
    // The starter wants nine checks; a rule book that wants only the weight makes a short sheet fit.
    let folder = TempDir::new().expect("a folder");
    let (_, starter, _) = run(&["rules", "starter"]);
    let start = starter
        .find("required = [")
        .expect("the starter has required checks");
    let end = start + starter[start..].find(']').expect("a list") + 1;
    let book = format!(
        "{}required = [\"weight\"]{}",
        &starter[..start],
        &starter[end..]
    );
    let rules = file(&folder, "rules.toml", book.as_bytes());
    let rules = ["--rules", rules.to_str().expect("UTF-8"), "--scale", "HO"];
    let status = |sheet: &str| inspect(sheet.as_bytes(), &rules).0;
    assert_eq!(status("Car,Body length,Weight\nSKV 1,6 in,4.00 oz\n"), 0);
    assert_eq!(status("Car,Body length,Weight\nSKV 1,6 in,3.00 oz\n"), 1);
    assert_eq!(
        status("Car,Body length,Weight\nSKV 1,6 in,heavy\nSKV 2,6 in,4.00 oz\n"),
        2
    );
}

#[test]
fn every_refusal_is_printed_with_place_find_and_remedy() {
    let sheet = b"Car,Weight,b2b 1a (in),Seen by\nSKV 1,4 mm,14.4,me\n,4 oz,.570,me\n";
    let (status, said, _) = inspect(sheet, &["--scale", "HO"]);
    assert_eq!(status, 2);
    for part in [
        "2 rows in = 1 judged + 1 refused",
        "line 2, field 2 (Weight): found '4 mm'; 'mm' measures length; weight is wanted",
        "check the unit and the decimal mark",
        "line 3, field 1 (Car): found ''",
        "not judged: the columns Seen by",
    ] {
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(part), "{part}\n{said}");
    }
}

#[test]
fn json_and_csv_carry_every_car_and_every_refusal() {
    let sheet = b"Car,Weight,Body length\nSKV 1,4 oz,6 in\nSKV 2,4 stone,6 in\n";
    let (status, said, _) = inspect(sheet, &["--scale", "HO", "--format", "json"]);
    assert_eq!(status, 2);
    let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    assert_eq!(json["cars"].as_array().map(Vec::len), Some(2));
    assert_eq!(json["sheets"][0]["refused"][0]["row"], 3);
    let line = &json["cars"][0]["lines"][0];
    assert_eq!(line["aspect"], "weight");
    assert_eq!(line["unit"], "g");
    // 4 oz and a target of 4 oz ± ½ oz: the margin is half an ounce, 14.175 g.
    let margin = line["margin"].as_f64().expect("a number");
    assert!((margin - 14.174_761_562_5).abs() < 1e-9, "{margin}");
    let (_, said, complained) = inspect(sheet, &["--scale", "HO", "--format", "csv"]);
    assert!(said.starts_with("car,car_verdict,edition,check,aspect,place,verdict,unit,reading"));
    assert!(complained.contains("'stone' is not known"), "{complained}");
}

#[test]
fn xlsx_and_standard_input_are_read_like_csv() {
    use gradeworthy_sheets::{Entry, Table, write_xlsx};
    let text = |text: &str| Entry::Text(text.into());
    let table = Table {
        name: "Cars".into(),
        headings: vec![
            "Car".into(),
            "Scale".into(),
            "Weight (g)".into(),
            "Body length (mm)".into(),
        ],
        rows: vec![vec![
            text("SKV 1"),
            text("HO"),
            Entry::Number(113.4),
            Entry::Number(152.4),
        ]],
    };
    let folder = TempDir::new().expect("a folder");
    let path = file(
        &folder,
        "sheet.xlsx",
        &write_xlsx(&[table]).expect("a workbook"),
    );
    let (_, said, _) = run(&["inspect", path.to_str().expect("UTF-8"), "--everything"]);
    assert!(said.contains("weight 113.4 g (4.00 oz)"), "{said}");
    let output = gradeworthy()
        .args(["inspect", "-", "--everything"])
        .write_stdin("Car,Scale,Weight,Body length\nSKV 1,HO,4 oz,6 in\n")
        .output()
        .expect("it runs");
    assert!(String::from_utf8_lossy(&output.stdout).contains("weight 113.4 g (4.00 oz)"));
}

#[test]
fn no_line_is_wider_than_asked() {
    for width in ["60", "100"] {
        let (_, said, _) = run(&["inspect", "--sample", "--width", width]);
        let wide: Vec<_> = said
            .lines()
            .filter(|line| line.chars().count() > width.parse().unwrap())
            .collect();
        assert_eq!(wide, Vec::<&str>::new());
    }
}

#[test]
fn mistakes_at_the_prompt_are_answered_in_words() {
    let folder = TempDir::new().expect("a folder");
    let old = file(
        &folder,
        "old.xls",
        &[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1],
    );
    let bad = file(&folder, "rules.toml", b"format = 1\n[book]\ntitle = 3\n");
    let old = old.to_str().expect("UTF-8");
    for (arguments, said) in [
        (
            vec!["inspect", "/no/such/sheet.csv"],
            "cannot read /no/such/sheet.csv",
        ),
        (vec!["inspect", old], "save"),
        (
            vec!["inspect", "--sample", "--car", "NONE 1"],
            "no car named 'NONE 1'",
        ),
        (
            vec![
                "inspect",
                "--sample",
                "--rules",
                bad.to_str().expect("UTF-8"),
            ],
            "line 3, book.title",
        ),
        (vec!["inspect", "--sample", "--scale", "QQ"], "QQ"),
        (
            vec!["rules", "explain", "zebra"],
            "nothing in this book is called 'zebra'",
        ),
        (vec!["manual", "fly"], "there is no command 'fly'"),
    ] {
        let (status, _, complained) = run(&arguments);
        assert_eq!(status, 2, "{arguments:?}");
        assert!(complained.contains(said), "{arguments:?}: {complained}");
    }
}

#[test]
fn the_sample_folder_can_be_inspected_and_is_never_overwritten() {
    let folder = TempDir::new().expect("a folder");
    let place = folder.path().join("try");
    let place = place.to_str().expect("UTF-8");
    assert_eq!(run(&["sample", place, "--cars", "40"]).0, 0);
    let path = |name: &str| format!("{place}/{name}");
    let (status, said, _) = run(&[
        "inspect",
        &path("sheet.csv"),
        "--rules",
        &path("rules.toml"),
        "--shop",
        &path("shop.toml"),
    ]);
    assert_eq!(status, 1);
    assert!(
        said.contains("40 rows in = 40 judged + 0 refused"),
        "{said}"
    );
    let (status, _, complained) = run(&["sample", place]);
    assert_eq!(status, 2);
    assert!(
        complained.contains("is there already; nothing was written"),
        "{complained}"
    );
}

#[test]
fn rule_books_are_shown_explained_and_compared() {
    let (_, shown, _) = run(&["rules", "show", "--under", "HO / flat cars"]);
    assert!(shown.contains("HO / flat cars / end balance"), "{shown}");
    let (_, explained, _) = run(&["rules", "explain", "HO", "coupler", "height"]);
    assert!(
        explained.contains("NMRA S-2") && explained.contains("secondary"),
        "{explained}"
    );
    let folder = TempDir::new().expect("a folder");
    let (_, starter, _) = run(&["rules", "starter"]);
    let older = file(&folder, "older.toml", starter.as_bytes());
    let newer = starter.replacen("min = \"30 deg\"", "min = \"32 deg\"", 1);
    let newer = file(&folder, "newer.toml", newer.as_bytes());
    let paths = [
        older.to_str().expect("UTF-8"),
        newer.to_str().expect("UTF-8"),
    ];
    let (_, compared, _) = run(&["rules", "compare", paths[0], paths[1]]);
    assert!(
        compared.contains("1 setting(s) differ\nHO / tilt index"),
        "{compared}"
    );
    assert_eq!(run(&["rules", "check", paths[0]]).0, 0);
}

#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    let binary = assert_cmd::cargo::cargo_bin("gradeworthy");
    let script = format!("'{}' inspect --sample --full | head -1", binary.display());
    let output = std::process::Command::new("bash")
        .args(["-o", "pipefail", "-c", &script])
        .output()
        .expect("bash runs");
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert!(output.status.success(), "{:?}", output.status);
}

#[test]
fn completions_and_manual_name_every_command() {
    let (_, script, _) = run(&["completions", "bash"]);
    let (_, page, _) = run(&["manual"]);
    for command in ["inspect", "rules", "sample"] {
        assert!(
            script.contains(command) && page.contains(command),
            "{command}"
        );
    }
}
