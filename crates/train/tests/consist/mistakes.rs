//! Case tables of mistakes: the file, the line, and what is said.

use gradeworthy_train::consist::{ConsistFileErrors, read_power, read_train, read_train_csv};

fn said<T: std::fmt::Debug>(outcome: Result<T, ConsistFileErrors>) -> String {
    outcome.expect_err("the file has a mistake").to_string()
}

#[test]
fn every_mistake_in_power_is_told_with_line_and_key() {
    for (lines, wanted) in [
        (
            "[[engine]]\nname = \"X\"",
            "line 1: there is no section 'engine' here; expected [[locomotive]]",
        ),
        (
            "locomotive = 3",
            "line 1, locomotive: found 'integer', expected a section [[locomotive]]",
        ),
        (
            "[[locomotive]]\nweight = \"480 g\"",
            "line 1, locomotive: 'name' is missing; give the name that trains call it by",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ncolour = \"red\"",
            "line 3, locomotive: 'colour' means nothing here",
        ),
        (
            "[[locomotive]]\nname = \"X\"\nweight = \"heavy\"",
            "line 3, weight: 'heavy' is not a number",
        ),
        (
            "[[locomotive]]\nname = \"X\"\nslip_pull = \"110 g\"",
            "line 3, slip_pull: 'g' measures",
        ),
        (
            "[[locomotive]]\nname = \"X\"\nslip_pull = 0",
            "line 3, slip_pull: found '0', which must be more than zero",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ndrag = \"-1 %\"",
            "line 3, drag: found '-1 %', which must be zero or more",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ntraction_tires = \"two\"",
            "line 3, traction_tires: found 'two', expected true, false",
        ),
        (
            "[[locomotive]]\nname = \"X\"\nweight = [1]",
            "line 3, weight: found 'array', expected a text, a number, or true or false",
        ),
        (
            "[[locomotive]]\nname = \"X\"\nfree_time = 10",
            "line 1, locomotive: 'timed_over' is missing",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ntimed_over = 2000",
            "line 1, locomotive: 'free_time' is missing",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ntimed_over = 2000\nfree_time = 10\nload = 60",
            "'loaded_time' is missing",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ntimed_over = 2000\nfree_time = 10\nloaded_time = 11",
            "'load' is missing",
        ),
        (
            "[[locomotive]]\nname = \"X\"\ntimed_over = 2000\nfree_time = 10\nloaded_time = 9\nload = 60",
            "line 5, loaded_time: found '9', which must be longer than free_time",
        ),
        (
            "[[locomotive]]\nname = \"X\"\nlength_over_couplers = 150\ntruck_centres = 160",
            "line 3, length_over_couplers: found '150', which must be more than truck_centres",
        ),
        (
            "[[locomotive]]\nname = \"X 1\"\n[[locomotive]]\nname = \"x  1\"",
            "line 3: 'X 1' stands on line 1 already; give each locomotive its own name",
        ),
        ("[[locomotive]\nname = \"X\"", "line 1: "),
    ] {
        let said = said(read_power(lines));
        assert!(said.contains(wanted), "{lines}\nsaid {said}\nnot  {wanted}");
    }
}

#[test]
fn every_mistake_in_a_train_is_told_with_line_and_key() {
    for (lines, wanted) in [
        (
            "",
            "line 1, file: 'train' is missing; give a section [train]",
        ),
        (
            "[consist]\n",
            "line 1: there is no section 'consist' here; expected [train]",
        ),
        (
            "[train]\nname = \"X\"",
            "line 1, train: 'consist' is missing",
        ),
        (
            "[train]\nconsist = \"A 1\"",
            "line 2, consist: found 'string', expected a list of names",
        ),
        (
            "[train]\nconsist = [\"A 1\",\n 7]",
            "line 3, consist: found '7', expected a name in quotation marks",
        ),
        (
            "[train]\nconsist = [\"A 1\",\n\"B 2\",\n\"a 1\"]",
            "line 4: 'A 1' stands on line 2 already",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nreversed = [\"B 2\"]",
            "line 3, reversed: found 'B 2', expected a name that stands in 'consist'",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\ncondition = \"flying\"",
            "line 3, condition: found 'flying', expected running, starting, held",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nslack = \"loose\"",
            "line 3, slack: found 'loose', expected by force, stretched, bunched",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\ncurve_drag = \"all\"",
            "expected per curvature, tread slip, flange friction",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\njerk_allowance = 0.5",
            "line 3, jerk_allowance: found '0.5', which must be from 1 (no jerk) to 10",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nleast_margin = \"some\"",
            "line 3, least_margin: found 'some', expected a number",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nspeed = 3",
            "line 3, train: 'speed' means nothing here",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nblocks = [[\"A 1\", \"B 1\"], [\"A 1\"]]",
            "line 3, block: found 'B 1', expected a name that stands in the train",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nblocks = [[\"A 1\"], [\"A 1\"]]",
            "line 3: 'A 1' stands on line 3 already; a vehicle is in one block",
        ),
        (
            "[train]\nconsist = [\"A 1\"]\nblocks = [\"A 1\"]",
            "line 3, blocks: found '\"A 1\"', expected lists of names",
        ),
        (
            "[[train]]\nconsist = [\"A 1\"]\n[[train]]\nconsist = [\"B 1\"]",
            "one file holds one train",
        ),
    ] {
        let said = said(read_train(lines));
        assert!(said.contains(wanted), "{lines}\nsaid {said}\nnot  {wanted}");
    }
}

#[test]
fn every_mistake_in_the_flat_form_is_told_with_row_and_column() {
    for (lines, wanted) in [
        ("", "line 1, train: 'vehicle' is missing"),
        (
            "vehicle,first_end\nA 1,C\n",
            "line 2, first_end: found 'C', expected A, B",
        ),
        (
            "vehicle,colour\nA 1,red\n",
            "line 2, train: 'colour' means nothing here; expected vehicle, first_end, block, note",
        ),
        (
            "vehicle,first_end\n,B\n",
            "line 2, train: 'vehicle' is missing",
        ),
        (
            "vehicle\nA 1\nB 1\nA 1\n",
            "line 4: 'A 1' stands on line 2 already",
        ),
        (
            "vehicle,block\nA 1,x\nB 1,\nC 1,x\n",
            "line 4, block: found 'C 1', expected a name right behind the one before it",
        ),
        (
            "vehicle\nA 1,B\n",
            "line 2, column 2: found 'B', expected no cell beyond the named columns",
        ),
    ] {
        let said = said(read_train_csv(lines));
        assert!(said.contains(wanted), "{lines}\nsaid {said}\nnot  {wanted}");
    }
}

#[test]
fn all_mistakes_are_told_at_once_in_order_of_lines() {
    let said = said(read_power(
        "[[locomotive]]\nname = \"X\"\nweight = 0\ndrag = \"q\"\n[[locomotive]]\nload = 5\n",
    ));
    let starts: Vec<_> = said.lines().map(|line| line[..6].to_owned()).collect();
    assert_eq!(
        starts,
        ["line 3", "line 4", "line 5", "line 5", "line 5", "line 5"],
        "{said}"
    );
}
