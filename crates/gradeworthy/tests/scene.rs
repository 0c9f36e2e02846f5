//! `gradeworthy scene`, told as what a lead does with it.

use std::process::Output;

use assert_cmd::Command;

fn run(arguments: &[&str]) -> Output {
    let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
    let arguments = [&["scene"], arguments].concat();
    command.args(arguments).output().expect("it runs")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

#[test]
fn power_that_fails_at_the_head_passes_limits_and_says_so() {
    let output = run(&["--sample", "power", "--width", "100"]);
    assert_eq!(output.status.code(), Some(1), "{}", err(&output));
    let said = out(&output);
    assert!(said.starts_with("Margin −"), "{said}");
    let unwrapped = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        unwrapped.contains("after the head end lost power for 1.0 s (at 2.0 s)"),
        "{said}"
    );
    assert!(said.contains("a limit is passed"), "{said}");
    assert!(said.contains("hardest push:"), "{said}");
    assert!(
        said.lines().all(|line| line.chars().count() <= 100),
        "{said}"
    );
}

#[test]
fn every_scene_of_the_sample_plays_and_ends() {
    for word in ["start", "helper", "power", "stop"] {
        let output = run(&["--sample", word]);
        let status = output.status.code();
        assert!(matches!(status, Some(0 | 1)), "{word}: {}", err(&output));
        assert!(
            out(&output).contains("the train "),
            "{word}: {}",
            out(&output)
        );
    }
    assert!(out(&run(&["--sample", "stop"])).contains("the train stands"));
}

#[test]
fn the_same_scene_reads_from_the_files_of_the_sample() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name).display().to_string();
    let mut sample = Command::cargo_bin("gradeworthy").expect("the binary is built");
    sample.args(["sample", &path("")]).assert().success();
    let (scene, line, power) = (
        path("scene-power.toml"),
        path("line.toml"),
        path("power.toml"),
    );
    let (train, sheet, rules) = (path("train.toml"), path("sheet.csv"), path("rules.toml"));
    let (shop, picture) = (path("shop.toml"), path("scene.svg"));
    let named = [
        scene.as_str(),
        "--line",
        &line,
        "--power",
        &power,
        "--train",
        &train,
        "--sheet",
        &sheet,
        "--rules",
        &rules,
        "--shop",
        &shop,
        "--day",
        "2026-11-25",
        "--plot",
        &picture,
    ];
    let output = run(&named);
    assert_eq!(
        out(&output),
        out(&run(&["--sample", "power"])),
        "{}",
        err(&output)
    );
    let drawn = std::fs::read_to_string(&picture).expect("a picture");
    assert!(drawn.starts_with("<svg") && drawn.contains("<title") && drawn.contains("<desc"));

    let text = std::fs::read_to_string(&scene).expect("a scene");
    std::fs::write(&scene, text.replace("lose power", "explode")).expect("written");
    let output = run(&named);
    assert_eq!(output.status.code(), Some(2));
    let said = err(&output);
    let wanted = "do: found 'explode', expected run, stop, lose power, get power back";
    assert!(said.contains(wanted) && said.contains("line 13"), "{said}");
    assert!(said.contains("scene-power.toml"), "{said}");
}

#[test]
fn programs_get_steady_samples() {
    let output = run(&["--sample", "stop", "--format", "json", "--every", "100"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let list = |value: &serde_json::Value| value.as_array().map_or(0, Vec::len);
    let times = list(&json["time_s"]);
    assert_eq!(times, 121);
    assert_eq!(list(&json["vehicles"]), 78);
    assert_eq!(list(&json["couplings"]), 77);
    assert_eq!(list(&json["vehicles"][0]["place_m"]), times);
    assert_eq!(list(&json["couplings"][76]["force_n"]), times);
    assert_eq!(json["time_s"][1], 0.1);
    assert_eq!(json["parts"][0]["stands"], true);
}

#[test]
fn what_is_not_there_is_said() {
    let output = run(&["--sample", "nowhere.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("cannot read nowhere.toml"),
        "{}",
        err(&output)
    );
    let output = run(&[]);
    assert_eq!(output.status.code(), Some(2));
    let output = run(&["--sample", "--tolerance", "0"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("give micrometres from 0.0001 to 100"),
        "{}",
        err(&output)
    );
}
