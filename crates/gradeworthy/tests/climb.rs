//! `gradeworthy climb`, told as what a lead does with it.

use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;

fn run(arguments: &[&str]) -> Output {
    run_every("40", arguments)
}

/// With places of the head so many millimetres apart.
fn run_every(step: &str, arguments: &[&str]) -> Output {
    let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
    let arguments = [&["climb", "--step", step], arguments].concat();
    command.args(arguments).output().expect("it runs")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

/// With places of the head 200 mm apart, for a search that takes long.
const COARSE: &str = "(coarse)";

/// The sample in a folder, with one file changed.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
        let path = folder.path().to_str().expect("a plain path");
        command.args(["sample", path]).assert().success();
        Self(folder)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).expect("it is there")
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).expect("it can be written");
    }

    fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        assert!(text.contains(from), "{name} has no {from:?}");
        self.write(name, &text.replacen(from, to, 1));
    }

    fn climb(&self, train: &str, more: &[&str]) -> Output {
        let text = |path: PathBuf| path.to_str().expect("a plain path").to_owned();
        let named: Vec<String> = [
            ("--line", "line.toml"),
            ("--power", "power.toml"),
            ("--train", train),
            ("--sheet", "sheet.csv"),
            ("--rules", "rules.toml"),
            ("--shop", "shop.toml"),
        ]
        .into_iter()
        .flat_map(|(flag, name)| [flag.to_owned(), text(self.path(name))])
        .collect();
        let mut arguments: Vec<&str> = named.iter().map(String::as_str).collect();
        arguments.extend(["--day", "2026-11-25"]);
        arguments.extend(more.iter().filter(|own| **own != COARSE));
        let step = if more.contains(&COARSE) { "200" } else { "40" };
        run_every(step, &arguments)
    }
}

fn snapshot(name: &str, found: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/said")
        .join(name);
    if std::env::var_os("GRADEWORTHY_KEEP_SAID").is_some() {
        std::fs::write(&path, found).expect("it can be written");
    }
    let kept = std::fs::read_to_string(&path).expect("the kept text");
    assert_eq!(found, kept, "what is said differs from tests/said/{name}");
}

#[test]
fn the_sample_names_the_empty_flat_and_the_upper_horseshoe() {
    let output = run(&["--sample", "--width", "100"]);
    let said = out(&output);
    assert_eq!(output.status.code(), Some(1), "{said}");
    let first = said.split("below the").next().expect("the verdict");
    let first = first.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(first.starts_with("Margin −0.1"), "{first}");
    assert!(first.contains("the empty 53-ft flat car"), "{first}");
    assert!(first.contains("at Upper Horseshoe"), "{first}");
    assert!(first.contains("head end"), "{first}");
    assert!(!said.contains("safe"), "{said}");
    // The bench has said already where such a car runs.
    assert!(said.contains("WQX 110 runs under an exception"), "{said}");
    snapshot("sample-100.txt", &said);
}

#[test]
fn the_walk_through_quotes_what_is_printed() {
    let walk = include_str!("../../../docs/CLIMB.md");
    let said = |more: &[&str]| {
        let arguments = [&["--sample", "--width", "100", "--step", "10"], more].concat();
        let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
        let output = command.arg("climb").args(arguments).output();
        out(&output.expect("it runs"))
    };
    assert!(walk.contains(said(&[]).trim_end()));
    let mended = said(&["--mended"]);
    let first = mended.split("\n\n").next().expect("the verdict");
    assert!(walk.contains(first), "{first}");
}

#[test]
fn a_narrow_terminal_is_filled_and_not_overrun() {
    let said = out(&run(&["--sample", "--width", "60"]));
    let widest = said.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(60), "{said}");
    snapshot("sample-60.txt", &said);
}

#[test]
fn the_mended_train_passes_with_a_larger_margin() {
    let margin = |output: &Output| {
        let value: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        value["margin"].as_f64().expect("a number")
    };
    let wrong = run(&["--sample", "--format", "json"]);
    let mended = run(&["--sample", "--mended", "--format", "json"]);
    assert_eq!(mended.status.code(), Some(0));
    assert!(margin(&mended) > margin(&wrong) + 0.1);
    assert!(margin(&mended) >= 0.1 && margin(&wrong) < 0.1);
}

#[test]
fn following_the_advice_on_the_failing_sample_gives_a_train_that_passes() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("changed.toml");
    let path = path.to_str().expect("a plain path");
    let said = run_every(
        "200",
        &["--sample", "--advise", "--changed", path, "--width", "100"],
    );
    assert_eq!(said.status.code(), Some(1), "{}", err(&said));
    for heading in [
        "what to move:",
        "helpers:",
        "length:",
        "power:",
        "a stall:",
        "measurements that tell the most:",
    ] {
        assert!(out(&said).contains(heading), "{heading} in {}", out(&said));
    }
    assert!(out(&said).contains("WQX 110"), "{}", out(&said));
    let changed = run(&["--sample", "--train", path, "--format", "json"]);
    assert_eq!(changed.status.code(), Some(0), "{}", err(&changed));
}

#[test]
fn a_change_that_would_part_a_block_is_refused_and_not_written() {
    let folder = Folder::new();
    let text = folder.text("train.toml");
    let names: Vec<&str> = text.split('"').collect();
    let flat = names.iter().position(|own| *own == "WQX 110");
    let ahead = names[flat.expect("the flat") - 2];
    let block = format!("blocks = [[\"{ahead}\", \"WQX 110\"]]\nconsist =");
    folder.change("train.toml", "consist =", &block);
    let changed = folder.path("changed.toml");
    let path = changed.to_str().expect("a plain path");
    let output = folder.climb("train.toml", &[COARSE, "--advise", "--changed", path]);
    assert_eq!(output.status.code(), Some(2));
    let why = "the first advice would part a block";
    assert!(err(&output).contains(why), "{}", err(&output));
    assert!(!changed.exists());
}

#[test]
fn advice_for_programs_names_vehicles_and_gains() {
    let said = run_every("200", &["--sample", "--advise", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_slice(&said.stdout).expect("JSON");
    let moves = &value["advice"]["what_to_move"];
    assert_eq!(moves["reached"], "fewest moves");
    let advice = &moves["advice"];
    assert!(advice["margin"].as_f64() >= Some(0.1));
    let gain = advice["margin"].as_f64().zip(value["margin"].as_f64());
    let gain = gain.map(|(after, now)| after - now).expect("numbers");
    assert!((gain - advice["gain"].as_f64().expect("a number")).abs() < 1e-9);
    assert_eq!(advice["changes"][0]["vehicles"][0], "WQX 110");
}

#[test]
fn the_least_margin_decides_the_exit_status() {
    assert_eq!(
        run(&["--sample", "--mended", "--least", "0.2"])
            .status
            .code(),
        Some(0)
    );
    assert_eq!(
        run(&["--sample", "--mended", "--least", "0.9"])
            .status
            .code(),
        Some(1)
    );
}

#[test]
fn the_sample_in_files_says_what_the_built_in_sample_says() {
    let folder = Folder::new();
    let (files, built_in) = (folder.climb("train.toml", &[]), run(&["--sample"]));
    assert_eq!(out(&files), out(&built_in));
    let mended = folder.climb("train-mended.toml", &[]);
    assert_eq!(mended.status.code(), Some(0), "{}", err(&mended));
}

#[test]
fn json_has_everything_and_csv_a_row_a_vehicle_and_way() {
    let output = run(&["--sample", "--format", "json"]);
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    for key in [
        "said",
        "margin",
        "least_margin",
        "condition",
        "curve_drag",
        "jerk_allowance",
        "line",
        "cause",
        "spots",
        "small_margin",
        "prone_to_stringlining",
        "leans",
        "bench",
        "not_measured",
        "vehicles",
        "places",
        "pieces",
    ] {
        assert!(!value[key].is_null(), "{key}");
    }
    let vehicles = value["vehicles"].as_array().expect("a list");
    assert_eq!(vehicles.len(), 78);
    let locomotives = vehicles.iter().filter(|own| own["kind"] == "locomotive");
    assert_eq!(locomotives.count(), 6);
    assert_eq!(vehicles[0]["numbers"].as_array().map(Vec::len), Some(34));
    assert_eq!(vehicles[0]["peaks"].as_array().map(Vec::len), Some(12));
    let places = &value["places"];
    let count = places["head_place_m"].as_array().map(Vec::len);
    assert!(count > Some(1000));
    for column in [
        "speed_m_s",
        "required_n",
        "available_n",
        "draft_n_max",
        "buff_n_max",
        "margin",
    ] {
        assert_eq!(places[column].as_array().map(Vec::len), count, "{column}");
    }
    let csv = out(&run(&["--sample", "--format", "csv"]));
    assert_eq!(csv.lines().count(), 1 + 78 * 12);
    assert!(csv.starts_with("vehicle_number,vehicle,kind,mode,use,margin,"));
}

#[test]
fn both_cores_say_the_same() {
    let (one, two) = (run(&["--sample"]), run(&["--sample", "--two-cores"]));
    assert_eq!(out(&one), out(&two));
}

#[test]
fn a_picture_can_be_read_aloud() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("climb.svg");
    run(&["--sample", "--plot", path.to_str().expect("a plain path")]);
    let picture = std::fs::read_to_string(path).expect("a picture");
    for part in [
        "<title id=\"title\">72 cars on Marrow Pass</title>",
        "<desc id=\"what\">Margin −0.1",
        "Upper Horseshoe",
        "36 in",
        "2.3 %",
    ] {
        assert!(picture.contains(part), "{part}");
    }
    assert_eq!(
        picture.matches("<text").count(),
        picture.matches("</text>").count()
    );
}

#[test]
fn everything_lists_what_was_not_measured() {
    let said = out(&run(&["--sample", "--everything"]));
    assert!(
        said.contains("coupler swing (72 assumed, 0 usual for the class)"),
        "{said}"
    );
    assert!(!out(&run(&["--sample"])).contains("coupler swing (72 assumed"));
}

#[test]
fn a_condition_can_be_asked_for() {
    assert!(out(&run(&["--sample", "--condition", "held"])).contains("locomotives, held, on"));
    assert!(out(&run(&["--sample", "--condition", "starting"])).contains("starting, on"));
}

#[test]
fn a_mark_that_is_not_on_the_sheet_is_named_with_its_line_and_a_likely_one() {
    let folder = Folder::new();
    let text = folder.text("train.toml");
    let mark = text
        .lines()
        .find(|line| line.contains("QVL "))
        .expect("a car of that mark");
    let mark = mark.trim().trim_matches(['"', ',']).to_owned();
    let line = 1 + text
        .lines()
        .position(|line| line.contains(&mark))
        .expect("its line");
    folder.change("train.toml", &mark, &mark.replace("QVL", "QVX"));
    let output = folder.climb("train.toml", &[]);
    assert_eq!(output.status.code(), Some(2));
    let wanted = format!(
        "line {line} of the train: '{}' is neither a car of the sheet nor a locomotive of the power \
         file (did you mean '{mark}'?)",
        mark.replace("QVL", "QVX")
    );
    assert!(err(&output).contains(&wanted), "{}", err(&output));
}

#[test]
fn a_bad_order_car_is_a_finding_and_the_climb_is_still_answered() {
    let folder = Folder::new();
    folder.write(
        "train.csv",
        "vehicle,first_end\nMP 601,A\nQVL 101,A\nQVL 102,B\n",
    );
    let output = folder.climb("train.csv", &[]);
    let said = out(&output);
    assert!(
        said.contains("QVL 102 is bad order on the bench: wheelsets"),
        "{said}"
    );
    assert_eq!(output.status.code(), Some(0), "{said}");
}

#[test]
fn a_train_longer_than_the_line_is_refused() {
    let folder = Folder::new();
    folder.change("line.toml", "length = \"22 m\"", "length = \"100 mm\"");
    let short = "[line]\nname = \"Short\"\n[[plan]]\nshape = \"tangent\"\nlength = \"3 m\"\n\
                 [[profile]]\nshape = \"grade\"\ngrade = \"2 %\"\nlength = \"rest\"\n";
    folder.write("line.toml", short);
    let output = folder.climb("train.toml", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("lengthen the line or shorten the train"),
        "{}",
        err(&output)
    );
}

#[test]
fn a_car_that_cannot_stand_on_a_curve_is_named() {
    let folder = Folder::new();
    folder.change("line.toml", "radius = \"36 in\"", "radius = \"55 mm\"");
    let output = folder.climb("train.toml", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("cannot stand on the line"),
        "{}",
        err(&output)
    );
}

#[test]
fn a_line_that_says_it_is_closed_and_does_not_close_is_refused() {
    let folder = Folder::new();
    folder.change("line.toml", "gauge =", "closed = true\ngauge =");
    let output = folder.climb("train.toml", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("Marrow Pass does not close: its end misses"),
        "{}",
        err(&output)
    );
}

#[test]
fn mistakes_in_files_are_told_with_file_line_and_key() {
    let folder = Folder::new();
    folder.change("power.toml", "weight = \"498 g\"", "weight = \"heavy\"");
    let output = folder.climb("train.toml", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("power.toml"), "{}", err(&output));
    assert!(
        err(&output).contains("line 5, weight: 'heavy' is not a number"),
        "{}",
        err(&output)
    );
    let folder = Folder::new();
    folder.write("train.csv", "vehicle\nMP 601\nQVL 101\nQVL 101\n");
    let output = folder.climb("train.csv", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("line 4: 'QVL 101' stands on line 3 already"),
        "{}",
        err(&output)
    );
}

#[test]
fn a_name_of_a_car_and_a_locomotive_at_once_is_refused() {
    let folder = Folder::new();
    folder.change("power.toml", "name = \"MP 621\"", "name = \"QVL 101\"");
    folder.write("train.csv", "vehicle\nMP 601\nQVL 101\n");
    let output = folder.climb("train.csv", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        err(&output).contains("'QVL 101' is both a car"),
        "{}",
        err(&output)
    );
}

#[test]
fn a_train_without_power_is_refused() {
    let folder = Folder::new();
    folder.write("train.csv", "vehicle\nQVL 101\n");
    let output = folder.climb("train.csv", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("no locomotive"), "{}", err(&output));
}

#[cfg(unix)]
#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    let binary = assert_cmd::cargo::cargo_bin("gradeworthy");
    let line = format!(
        "{} climb --sample --step 40 --format json | head -1",
        binary.display()
    );
    let output = std::process::Command::new("sh")
        .args(["-c", &line])
        .output()
        .expect("a shell");
    assert_eq!(err(&output), "");
    assert_eq!(out(&output), "{\n");
}

/// The invented line as points every 100 mm with heights: the same hill, known only by its survey.
#[test]
fn a_surveyed_line_gives_nearly_the_margin_of_the_line_that_was_surveyed() {
    use gradeworthy_train::line::{drawing::points, lay, read_toml};
    let folder = Folder::new();
    let design = read_toml(gradeworthy_demo::climb::LINE).expect("the invented line");
    let mut survey = "x,y,height\n".to_owned();
    for own in points(&lay(&design).expect("laid").alignment, 0.1) {
        let (x, y, z) = (own.pose.x, own.pose.y, own.pose.height);
        survey += &format!("{:.2},{:.2},{:.3}\n", 1e3 * x, 1e3 * y, 1e3 * z);
    }
    folder.write("line.csv", &survey);
    let line = folder.path("line.csv");
    let line = line.to_str().expect("a plain path");
    let margin = |arguments: &[&str]| -> f64 {
        let fast = ["--sample", "--format", "json"];
        let said = out(&run(&[&fast[..], arguments].concat()));
        let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
        json["margin"].as_f64().expect("a margin")
    };
    let (surveyed, designed) = (margin(&["--line", line, "--gauge", "16.5 mm"]), margin(&[]));
    assert!(
        (surveyed - designed).abs() < 0.05,
        "{surveyed} against {designed}"
    );
    let refused = run(&["--sample", "--gauge", "16.5 mm"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        err(&refused).contains("--gauge is for a surveyed line"),
        "{}",
        err(&refused)
    );
}

/// The mended train moves one light car to where little is asked of it: it must not be worse, and trips
/// that go wrong with it alone must be few.
#[test]
fn two_trains_are_put_beside_each_other_and_meet_the_same_evenings() {
    let folder = Folder::new();
    let second = folder.path("train-mended.toml");
    let second = second.to_str().expect("a plain path");
    let output = run(&[
        "--sample", "--odds", "40", "--with", second, "--format", "json",
    ]);
    assert!(output.status.success(), "{}", err(&output));
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let own = &told["compared"];
    assert_eq!(own["trips"], 40);
    assert!(own["difference"].as_f64().expect("a number") < 0.0, "{own}");
    let text = out(&run(&[
        "--sample", "--odds", "40", "--with", second, "--width", "200",
    ]));
    assert!(text.contains("the same 40 evenings for both"), "{text}");
    let said = own["said"][0].as_str().expect("a sentence");
    let begins: String = said.chars().take(60).collect();
    assert!(text.contains(&begins), "{said} in {text}");
    let alone = run(&["--sample", "--with", second]);
    assert_eq!(alone.status.code(), Some(2), "it is for the odds");
}
