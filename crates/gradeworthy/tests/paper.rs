//! `gradeworthy paper` as a person runs it.

use std::path::Path;
use std::process::Output;

use assert_cmd::Command;
use tempfile::TempDir;

const DESCRIBED: [&str; 14] = [
    "--columns",
    "3",
    "--rows",
    "7",
    "--width",
    "60 mm",
    "--height",
    "33.5 mm",
    "--left",
    "8.25 mm",
    "--top",
    "11.5 mm",
    "--pitch-across",
    "66.75 mm",
];

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::cargo_bin("gradeworthy").expect("the program");
    command
        .current_dir(folder)
        .arg("paper")
        .args(arguments)
        .output()
        .expect("it ran")
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

fn is_pdf(path: &Path) {
    let bytes = std::fs::read(path).expect("a file");
    assert!(bytes.starts_with(b"%PDF-1.7"), "{}", path.display());
}

#[test]
fn cars_of_a_sheet_get_their_papers() {
    let folder = TempDir::new().expect("a folder");
    let at = folder.path();
    for kind in ["labels", "tags", "records"] {
        let file = format!("{kind}.pdf");
        let output = run(
            at,
            &[
                kind,
                "--sample",
                "--car",
                "zbr  107",
                "--address",
                "http://192.0.2.7",
                "-o",
                &file,
            ],
        );
        assert!(
            matches!(output.status.code(), Some(0 | 1)),
            "{}",
            said(&output)
        );
        is_pdf(&at.join(&file));
    }
    let output = run(
        at,
        &[
            "statement",
            "--sample",
            "--owner",
            "Member 01",
            "-o",
            "statement.pdf",
        ],
    );
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    is_pdf(&at.join("statement.pdf"));
}

#[test]
fn a_described_sheet_is_kept_under_a_name_and_used_by_it() {
    let folder = TempDir::new().expect("a folder");
    let at = folder.path();
    let mut first = vec![
        "labels", "--sample", "--car", "ZBR 107", "-o", "a.pdf", "--keep", "drawer",
    ];
    first.extend(DESCRIBED);
    assert!(matches!(run(at, &first).status.code(), Some(0 | 1)));
    let text = std::fs::read_to_string(at.join("label-sheets.toml")).expect("kept");
    assert!(
        text.contains("[drawer]") && text.contains("60 mm"),
        "{text}"
    );
    let again = run(at, &first);
    assert_eq!(again.status.code(), Some(2));
    assert!(
        said(&again).contains("'drawer' already"),
        "{}",
        said(&again)
    );
    let named = |more: &[&str]| {
        let mut all = vec!["labels", "--sample", "--car", "ZBR 107", "-o", "b.pdf"];
        all.extend(["--sheet-named", "Drawer"]);
        all.extend(more);
        run(at, &all)
    };
    assert!(matches!(
        named(&["--first", "7,3"]).status.code(),
        Some(0 | 1)
    ));
    is_pdf(&at.join("b.pdf"));
    let beyond = named(&["--first", "8,1"]);
    assert_eq!(beyond.status.code(), Some(2));
    assert!(
        said(&beyond).contains("7 rows and 3 columns"),
        "{}",
        said(&beyond)
    );
}

#[test]
fn what_cannot_be_printed_is_said_and_nothing_is_written() {
    let folder = TempDir::new().expect("a folder");
    let at = folder.path();
    for (arguments, words) in [
        (
            &["labels", "--sample", "--car", "NIL 9"][..],
            "no car named 'NIL 9'",
        ),
        (&["slips", "--sample"], "holds no reports"),
        (
            &["statement", "--sample", "--owner", "nobody"],
            "belongs to 'nobody'",
        ),
        (&["tags", "--club", "nowhere"], "holds no record"),
    ] {
        let mut all = arguments.to_vec();
        all.extend(["-o", "none.pdf"]);
        let output = run(at, &all);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(said(&output).contains(words), "{}", said(&output));
        assert!(!at.join("none.pdf").exists());
    }
}
