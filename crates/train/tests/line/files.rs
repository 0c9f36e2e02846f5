//! Line files: what is written reads back the same, in either form and any unit, and what is wrong
//! is named with its line.

use gradeworthy_train::line::{
    LineDesign, lay, read_csv, read_survey, read_toml, write_csv, write_toml,
};
use gradeworthy_units::Unit;

/// An invented loop of two half circles and two straights, with a hump, cant and places.
pub(crate) const LOOP: &str = r#"[line]
name = "Invented loop"
scale = "1:87.1"
units = "in"
gauge = "16.5 mm"
closed = true
note = "invented, for tests"

[[plan]]
shape = "tangent"
length = "4 ft"

[[plan]]
shape = "easement"
length = "12"

[[plan]]
shape = "arc"
turn = "left"
radius = "30"
angle = "157.0816882 deg"

[[plan]]
shape = "easement"
length = "12 in"

[[plan]]
shape = "tangent"
length = "4 ft"

[[plan]]
shape = "easement"
length = "12"

[[plan]]
shape = "arc"
turn = "left"
radius = "762 mm"
angle = "157.0816882 deg"

[[plan]]
shape = "easement"
length = "12 in"

[[profile]]
shape = "grade"
grade = "0 %"
length = "24 in"

[[profile]]
shape = "vertical curve"
per_percent = "10"

[[profile]]
shape = "grade"
grade = "1 in 50"
length = "10 in"

[[profile]]
shape = "vertical curve"
per_percent = "10 in"

[[profile]]
shape = "grade"
grade = "-2 %"
length = "10 in"

[[profile]]
shape = "vertical curve"
length = "20 in"

[[profile]]
shape = "grade"
grade = "0"
length = "rest"

[[cant]]
from = "4 ft"
to = "154.247 in"
height = "1 mm"
high = "right"
ramp_in = "12 in"
ramp_out = "12 in"

[[place]]
name = "Long tangent, west"
from = "0"
to = "48"

[[place]]
name = "Road crossing"
at = "1 ft"
"#;

pub(crate) fn design(text: &str) -> LineDesign {
    read_toml(text).expect("a line file")
}

#[test]
fn a_loop_closes_and_says_by_how_much() {
    let laid = lay(&design(LOOP)).expect("a line");
    let closing = laid.closing.expect("a loop");
    // 2 × (157.0816882° + 2 × 12/(2 × 30) rad) is 360° to a ten-millionth of a degree.
    assert!(closing.heading_error.abs() < 1e-8, "{closing:?}");
    assert!(
        closing.gap < 1e-8 && closing.height_gap.abs() < 1e-9,
        "{closing:?}"
    );
    let open = LOOP.replacen("157.0816882 deg", "156.0816882 deg", 1);
    let closing = lay(&design(&open))
        .expect("a line")
        .closing
        .expect("a loop");
    assert!(
        (closing.heading_error.to_degrees() + 1.0).abs() < 1e-6,
        "{closing:?}"
    );
    // Turning one degree less at the far end swings what follows, about a metre and a half away.
    assert!((0.015..0.06).contains(&closing.gap), "{closing:?}");
    let point_to_point = open.replace("closed = true", "closed = false");
    assert_eq!(lay(&design(&point_to_point)).expect("a line").closing, None);
}

#[test]
fn lengths_come_out_as_the_arithmetic_says() {
    let laid = lay(&design(LOOP)).expect("a line");
    let inches = |s: f64| s / 0.0254;
    let arc = 30.0 * 157.081_688_2_f64.to_radians();
    assert!((inches(laid.alignment.length()) - 2.0 * (48.0 + 24.0 + arc)).abs() < 1e-7);
    assert!((inches(laid.plan_spans[2].1 - laid.plan_spans[2].0) - arc).abs() < 1e-7);
    // 10 in for each percent: 2 % takes 20 in, the 4 % of the summit 40 in.
    assert!((inches(laid.profile_spans[1].1 - laid.profile_spans[1].0) - 20.0).abs() < 1e-9);
    assert!((inches(laid.profile_spans[3].1 - laid.profile_spans[3].0) - 40.0).abs() < 1e-9);
    // The hump: 20 in × 1 % + 10 in × 2 % up to the summit's curve.
    let height = |s: f64| inches(laid.alignment.pose(s * 0.0254).expect("on the line").height);
    assert!((height(54.0) - 0.4).abs() < 1e-9, "{}", height(54.0));
    assert_eq!(laid.places[1].name, "Road crossing");
    assert!((laid.places[1].from - 0.3048).abs() < 1e-12);
    // Right rail 1 mm high on 16.5 mm rolls to the left, which is positive.
    let cant = laid.alignment.pose(2.5).expect("on the line").cant;
    assert!((cant.sin() - 1.0 / 16.5).abs() < 1e-9, "{cant}");
}

#[test]
fn a_degree_of_curve_is_that_of_a_chord() {
    // [TR0671]: R = 50/sin(D/2) ft. The prototype's 10° is 573.69 ft, in HO (1:87.1) 79.0 in.
    for (degree, scale, inches) in [
        ("10 deg", "1:87.1", 79.0),
        ("45°", "1:48", 32.7),
        ("30", "1:64", 36.2),
    ] {
        let text = format!(
            "[line]\nname = 'd'\nscale = '{scale}'\n[[plan]]\nshape = 'arc'\nturn = 'right'\n\
             degree = '{degree}'\nlength = '10 in'\n[[profile]]\nshape = 'grade'\ngrade = '0'\nlength = 'rest'\n"
        );
        let laid = lay(&design(&text)).expect("a line");
        let radius = -1.0 / laid.alignment.plan()[0].curvature_start / 0.0254;
        assert!((radius - inches).abs() < 0.1, "{degree}: {radius}");
        let unscaled = text.replace(&format!("scale = '{scale}'\n"), "");
        let error = lay(&design(&unscaled)).expect_err("no scale").to_string();
        assert_eq!(
            error,
            "plan piece 1: a degree of curve needs the scale of the line; give 'scale', or a radius"
        );
    }
}

#[test]
fn both_forms_read_back_as_the_same_design() {
    let design = design(LOOP);
    assert_eq!(read_toml(&write_toml(&design)).as_ref(), Ok(&design));
    assert_eq!(read_csv(&write_csv(&design)).as_ref(), Ok(&design));
}

fn toml_errors(from: &str, to: &str) -> String {
    assert!(LOOP.contains(from), "{from}");
    read_toml(&LOOP.replacen(from, to, 1))
        .expect_err(to)
        .to_string()
}

#[test]
fn mistakes_are_named_with_line_key_and_cure() {
    for (from, to, error) in [
        (
            "length = \"4 ft\"",
            "length = \"4 oz\"",
            "line 11, length: 'oz' measures weight; length is wanted, in mm, µm, cm, m, in, thou, ft, scale in, scale ft",
        ),
        (
            "length = \"4 ft\"",
            "lenght = \"4 ft\"",
            "line 9, plan: 'length' is missing; give a length, such as 300 mm or 12 in\n\
          line 11, plan: 'lenght' means nothing here; expected shape, turn, radius, degree, angle, length, note",
        ),
        (
            "turn = \"left\"",
            "turn = \"port\"",
            "line 19, turn: found 'port', expected left, right",
        ),
        (
            "radius = \"30\"",
            "radius = \"-30\"",
            "line 20, radius: found '-30', which must be more than zero",
        ),
        (
            "radius = \"30\"",
            "radius = \"30\"\ndegree = 10",
            "line 17, plan: 'radius' and 'degree' both stand here; keep one of them",
        ),
        (
            "scale = \"1:87.1\"",
            "scale = \"HO\"",
            "line 3, scale: found 'HO', expected a scale, such as 1:87.1, 3048:35 or 160",
        ),
        (
            "units = \"in\"",
            "units = \"oz\"",
            "line 4, units: found 'oz', expected mm, µm, cm, m, in, thou, ft, scale in, scale ft",
        ),
        (
            "name = \"Invented loop\"\n",
            "",
            "line 1, line: 'name' is missing; give a name for the line",
        ),
        (
            "[line]",
            "[lines]",
            "line 1: there is no section 'lines'; expected one of line, plan, profile, cant, place\n\
          line 1: the section 'line' must stand exactly once, and 0 were found",
        ),
        (
            "closed = true",
            "closed = \"perhaps\"",
            "line 6, closed: found 'perhaps', expected true, false",
        ),
        (
            "shape = \"tangent\"",
            "shape = [1]",
            "line 10, shape: found 'array', expected a text, a number, or true or false",
        ),
    ] {
        assert_eq!(toml_errors(from, to), error);
    }
    let broken = toml_errors("name = \"Invented loop\"", "name = \"Invented loop");
    assert!(broken.starts_with("line 2: "), "{broken}");
}

#[test]
fn mistakes_of_the_flat_form_are_named_with_row_and_column() {
    let csv = "section,name,shape,length,grade,units\nline,Flat,,,,mm\nplan,,tangent,1 x,,\n\
               profile,,grade,rest,flat,\nsiding,,,,,\nplan,,tangent,2,,,too far\n";
    let errors = read_csv(csv).expect_err("five mistakes").to_string();
    let lines: Vec<_> = errors.lines().collect();
    assert!(
        lines[0].starts_with("line 3, length: the unit 'x' is not known"),
        "{errors}"
    );
    assert_eq!(lines[1], "line 4, grade: 'flat' is not a number");
    assert!(
        lines[2].starts_with("line 5: there is no section 'siding'"),
        "{errors}"
    );
    assert!(
        lines[3].starts_with("line 6, column 7: found 'too far'"),
        "{errors}"
    );
    assert_eq!(lines.len(), 4);
}

#[test]
fn a_design_that_makes_no_line_says_which_piece() {
    for (from, to, error) in [
        (
            "gauge = \"16.5 mm\"\n",
            "",
            "cant stretch 1: cant needs the gauge of the line; give 'gauge'",
        ),
        (
            "ramp_in = \"12 in\"",
            "ramp_in = \"130 in\"",
            "cant stretch 1: from 1.2192 m to 3.9179 m there is no room",
        ),
        (
            "length = \"24 in\"",
            "length = \"rest\"",
            "profile pieces 1 and 7 both take the rest of the line",
        ),
        (
            "length = \"24 in\"",
            "length = \"999 ft\"",
            "profile piece 7 takes the rest of the line, but",
        ),
        (
            "height = \"1 mm\"",
            "height = \"17 mm\"",
            "cant stretch 1: 0.017 m of cant on 0.0165 m",
        ),
        ("length = \"rest\"", "length = \"1 in\"", "the plan is 7.8"),
    ] {
        let found = lay(&design(&LOOP.replacen(from, to, 1)))
            .expect_err(to)
            .to_string();
        assert!(found.starts_with(error), "{found}");
    }
}

#[test]
fn a_survey_is_sorted_by_the_columns_it_fills() {
    let text = "x,y,height,s,chord,mid_ordinate,turn,base,grade\n1 m,2 m,,,,,,,\n1.1 m,2 m,3 mm,,,,,,\n\
                ,,,100,200,2.5,right,,\n,,,200,200,0,,,\n,,4,300,,,,,\n,,,400,,,,6 in,1 in 50\n";
    let survey = read_survey(text, Unit::Millimetre).expect("a survey");
    assert_eq!(survey.points.len(), 2);
    assert_eq!(survey.points[1].height, Some(0.003));
    assert!((survey.versines[0].mid_ordinate + 0.0025).abs() < 1e-15);
    assert_eq!(survey.versines.len(), 2);
    assert!((survey.heights[0].s - 0.3).abs() < 1e-15);
    assert!((survey.grades[0].grade - 0.02).abs() < 1e-15);
    assert!((survey.grades[0].base - 0.1524).abs() < 1e-15);
}

#[test]
fn mistakes_in_a_survey_are_named_with_row_and_column() {
    let text = "x,y,s,chord,mid_ordinate,turn,depth\n1,,,,,,\n1,2,3,,,,\n,,5,200,2,,\n,,5,200,2,up,\n,,,,,,7\n";
    let errors = read_survey(text, Unit::Millimetre)
        .expect_err("mistakes")
        .to_string();
    let lines: Vec<_> = errors.lines().collect();
    assert_eq!(
        lines[0],
        "line 2, survey: 'y' is missing; give a length, such as 300 mm or 12 in"
    );
    assert_eq!(
        lines[1],
        "line 3, survey: 's' means nothing here; expected no such cell beside x and y"
    );
    assert_eq!(
        lines[2],
        "line 4, survey: 'turn' is missing; give the side to which the track turns, left or right"
    );
    assert_eq!(lines[3], "line 5, turn: found 'up', expected left, right");
    assert!(lines[4].starts_with("line 6, survey: 'depth' means nothing here; expected x, y,"));
    assert_eq!(lines.len(), 7, "{errors}");
}
