//! The tables keyed twice, compared cell by cell.
//!
//! The folder `tests/rekeyed` holds the same tables, keyed independently and without sight
//! of `data`. Both keyings are compared by value and by the number of places printed,
//! so that .605 and 0.605 agree and .60 and .600 do not.

#![expect(clippy::panic, reason = "a test that cannot go on says why")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use gradeworthy_standards::{cells, table};
use gradeworthy_units::{DecimalMark, Numeral};

/// Table, row and column.
type Place = (String, String, String);
/// Printed text and unit.
type Keyed = (String, String);

fn rekeyed() -> BTreeMap<Place, Keyed> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rekeyed");
    let files: Vec<_> = fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.expect("a readable folder").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "csv"))
        .collect();
    assert!(!files.is_empty(), "{} holds no table", folder.display());
    let mut keyed = BTreeMap::new();
    for path in files {
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_path(&path)
            .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        assert_eq!(
            reader.headers().expect("a header"),
            vec!["table", "row", "column", "printed", "unit"],
            "{}",
            path.display()
        );
        for record in reader.records() {
            let record = record.unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let field = |index: usize| record[index].trim().to_owned();
            let place = (field(0), field(1), field(2));
            let before = keyed.insert(place.clone(), (field(3), field(4)));
            assert_eq!(
                before, None,
                "{place:?} is keyed twice in the second keying"
            );
        }
    }
    keyed
}

fn shipped() -> BTreeMap<Place, Keyed> {
    cells()
        .map(|cell| {
            let place = (cell.table.id, cell.row(), cell.column());
            let place = (place.0.to_owned(), place.1.to_owned(), place.2.to_owned());
            (place, (cell.printed().to_owned(), cell.unit().to_owned()))
        })
        .collect()
}

/// Value and step of a figure, or the phrase itself.
fn meaning(printed: &str) -> Result<(i128, i128, String), String> {
    match Numeral::read_prefix(printed, DecimalMark::Point) {
        Ok((numeral, rest)) => Ok((numeral.numerator, numeral.denominator, rest.to_owned())),
        Err(_) => Err(printed.to_owned()),
    }
}

/// What is wrong between two keyings, one line each; only tables that both hold are compared.
fn differences(one: &BTreeMap<Place, Keyed>, other: &BTreeMap<Place, Keyed>) -> Vec<String> {
    let mut wrong = Vec::new();
    let holds = |keyed: &BTreeMap<Place, Keyed>, id: &str| keyed.keys().any(|place| place.0 == id);
    for (place, first) in one {
        match other.get(place) {
            None if holds(other, &place.0) => wrong.push(format!("{place:?}: only data has it")),
            Some(second) if meaning(&first.0) != meaning(&second.0) || first.1 != second.1 => {
                wrong.push(format!(
                    "{place:?}: data {first:?}, second keying {second:?}"
                ));
            }
            _ => {}
        }
    }
    for place in other.keys() {
        if !one.contains_key(place) && holds(one, &place.0) {
            wrong.push(format!("{place:?}: only the second keying has it"));
        }
    }
    wrong
}

#[test]
fn both_keyings_agree_in_every_cell() {
    let rekeyed = rekeyed();
    for (id, ..) in rekeyed.keys() {
        assert!(
            table(id).is_some(),
            "the second keying has a table '{id}', data has none"
        );
    }
    let wrong = differences(&shipped(), &rekeyed);
    assert!(
        wrong.is_empty(),
        "{} cells:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// Every table from which limits are drawn must be keyed twice.
#[test]
fn the_tables_that_verdicts_rest_on_are_keyed_twice() {
    let rekeyed = rekeyed();
    for id in [
        "nmra-s-4.2-old",
        "nmra-s-3.2-old",
        "nmra-s-3.2-2010",
        "nmra-rp-25",
        "nmra-rp-3-rp-4",
        "nem-310-2009",
        "nmra-rp-20.1",
        "nem-302",
        "nem-114-umax",
        "cfr-231.31",
    ] {
        assert!(
            rekeyed.keys().any(|place| place.0 == id),
            "'{id}' has no second keying"
        );
    }
}

#[test]
fn the_comparison_sees_a_wrong_digit_a_lost_place_and_a_missing_cell() {
    let keyed = |cells: &[(&str, &str)]| -> BTreeMap<Place, Keyed> {
        cells
            .iter()
            .map(|(row, printed)| {
                let place = ("t".to_owned(), (*row).to_owned(), "k".to_owned());
                (place, ((*printed).to_owned(), "in".to_owned()))
            })
            .collect()
    };
    let data = keyed(&[("HO", "0.605")]);
    assert!(differences(&data, &keyed(&[("HO", ".605")])).is_empty());
    assert_eq!(differences(&data, &keyed(&[("HO", ".606")])).len(), 1);
    assert_eq!(differences(&data, &keyed(&[("HO", ".6050")])).len(), 1);
    assert_eq!(
        differences(&data, &keyed(&[("HO", ".605"), ("N", ".3")])).len(),
        1
    );
    assert_eq!(differences(&data, &keyed(&[("N", ".605")])).len(), 2);
}
