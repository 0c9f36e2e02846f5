//! What holds for every line file: it reads back the same, in any unit and mirrored, and no text
//! makes a reader panic.

use gradeworthy_train::line::{lay, read_csv, read_survey, read_toml, write_csv, write_toml};
use gradeworthy_units::Unit;
use proptest::prelude::{Just, Strategy, prop, prop_assert, prop_assert_eq, prop_oneof, proptest};

use crate::files::{LOOP, design};

/// Lengths in whole sixteenths of an inch, which every unit below writes exactly.
fn sixteenths() -> impl Strategy<Value = u32> {
    1_u32..2000
}

/// A line of some tangents, easements and arcs, written in one unit.
fn text_of(pieces: &[(u32, u32, bool)], write: &dyn Fn(u32) -> String, mirrored: bool) -> String {
    let mut text = "[line]\nname = \"any\"\n".to_owned();
    for (kind, length, left) in pieces {
        let turn = if *left == mirrored { "right" } else { "left" };
        let piece = match kind % 3 {
            0 => "shape = \"tangent\"\n".to_owned(),
            1 => "shape = \"easement\"\n".to_owned(),
            _ => format!(
                "shape = \"arc\"\nturn = \"{turn}\"\nradius = \"{}\"\n",
                write(200 + 7 * kind)
            ),
        };
        text += &format!("[[plan]]\n{piece}length = \"{}\"\n", write(*length));
    }
    text + "[[profile]]\nshape = \"grade\"\ngrade = \"2 %\"\nlength = \"rest\"\n"
}

fn in_inches(sixteenths: u32) -> String {
    format!("{} {}/16 in", sixteenths / 16, sixteenths % 16)
}

fn in_mm(sixteenths: u32) -> String {
    // 1/16 in = 1.5875 mm exactly.
    let tenths_of_micrometres = u64::from(sixteenths) * 15_875;
    format!(
        "{}.{:04} mm",
        tenths_of_micrometres / 10_000,
        tenths_of_micrometres % 10_000
    )
}

fn pieces() -> impl Strategy<Value = Vec<(u32, u32, bool)>> {
    let turn = prop_oneof![Just(true), Just(false)];
    prop::collection::vec((0_u32..60, sixteenths(), turn), 1..12)
}

proptest! {
    #[test]
    fn a_line_written_and_read_again_is_the_same(pieces in pieces(), name in "\\PC{1,20}", note in "\\PC{0,20}") {
        let mut design = design(&text_of(&pieces, &in_inches, false));
        let name = name.trim();
        design.name = if name.is_empty() { "nameless".to_owned() } else { name.to_owned() };
        design.note = Some(note.trim().to_owned()).filter(|note| !note.is_empty());
        prop_assert_eq!(read_toml(&write_toml(&design)), Ok(design.clone()));
        prop_assert_eq!(read_csv(&write_csv(&design)), Ok(design));
    }

    #[test]
    fn another_unit_changes_nothing(pieces in pieces()) {
        let one = lay(&design(&text_of(&pieces, &in_inches, false))).expect("a line");
        let other = lay(&design(&text_of(&pieces, &in_mm, false))).expect("a line");
        prop_assert_eq!(one.alignment.plan(), other.alignment.plan());
        prop_assert_eq!(one.alignment.profile(), other.alignment.profile());
    }

    #[test]
    fn a_mirrored_line_is_mirrored(pieces in pieces()) {
        let one = lay(&design(&text_of(&pieces, &in_mm, false))).expect("a line").alignment;
        let other = lay(&design(&text_of(&pieces, &in_mm, true))).expect("a line").alignment;
        for part in [0.0, 0.3, 0.7, 1.0] {
            let a = one.pose(part * one.length()).expect("on the line");
            let b = other.pose(part * other.length()).expect("on the line");
            prop_assert!((a.x - b.x).abs() < 1e-9 && (a.y + b.y).abs() < 1e-9);
            prop_assert!((a.heading + b.heading).abs() < 1e-9);
        }
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in "\\PC{0,200}") {
        drop(read_toml(&text));
        drop(read_csv(&text));
        drop(read_survey(&text, Unit::Inch));
    }

    #[test]
    fn no_damage_makes_a_reader_panic(at in 0_usize..1700, with in "[\\PC\n\"\\[\\]=,]{0,6}") {
        let mut damaged = LOOP.to_owned();
        let at = (at..).find(|&at| at >= damaged.len() || damaged.is_char_boundary(at)).expect("some");
        damaged.insert_str(at.min(LOOP.len()), &with);
        if let Ok(design) = read_toml(&damaged) {
            drop(lay(&design));
        }
        let mut flat = write_csv(&design(LOOP));
        let at = (at.min(flat.len())..).find(|&at| flat.is_char_boundary(at)).expect("the end");
        flat.insert_str(at, &with);
        drop(read_csv(&flat));
    }
}
