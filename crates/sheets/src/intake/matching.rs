//! Which column is read as what, for a person to look at and to correct.
//!
//! What a heading was understood as is spelled in words that are understood again, so that a
//! correction is nothing but another heading.

use std::collections::BTreeMap;

use gradeworthy_units::Unit;
use gradeworthy_workbench::record::{Measure, Place, PlaceKind};

use super::heading::{self, Column};
use crate::Grid;

/// Headings as a person corrected them, by sheet and column from 0.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Matching(BTreeMap<(usize, usize), String>);

impl Matching {
    /// Reads a column as if `heading` stood over it; an empty one leaves the column out.
    pub fn read_as(&mut self, sheet: usize, column: usize, heading: &str) {
        self.0.insert((sheet, column), heading.trim().to_owned());
    }

    /// What a column is.
    pub(super) fn column(&self, sheet: usize, column: usize, heading: &str) -> Column {
        let heading = self.0.get(&(sheet, column)).map_or(heading, |own| own);
        heading::read(heading)
    }
}

/// A column of a sheet and what it is read as.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColumnRead {
    /// The column, from 0.
    pub column: usize,
    /// The heading that stands over it.
    pub heading: String,
    /// What it is read as, spelled so that it is read as the same again; `None` where its cells are
    /// remarks.
    pub read_as: Option<String>,
    /// The first few of its cells that hold something.
    pub sample: Vec<String>,
}

/// Cells shown of a column. ASSUMED: three tell a person what a column holds.
const SAMPLE: usize = 3;
/// Rows looked through for them.
const SAMPLE_ROWS: usize = 200;

pub(super) fn column_read(
    grid: &Grid,
    first: usize,
    column: usize,
    heading: &str,
    read: &Column,
) -> ColumnRead {
    let cells = grid.rows().skip(first).take(SAMPLE_ROWS);
    let texts = cells
        .map(|row| row.text(column).trim().to_owned())
        .filter(|text| !text.is_empty());
    ColumnRead {
        column,
        heading: heading.to_owned(),
        read_as: read.spelling(),
        sample: texts.take(SAMPLE).collect(),
    }
}

impl Column {
    /// Words that are read as this column again; `None` for a remark.
    #[must_use]
    pub fn spelling(&self) -> Option<String> {
        let with_unit = |name: String, unit: &Option<Unit>| match unit {
            Some(unit) => format!("{name} ({})", unit.symbol()),
            None => name,
        };
        match self {
            Self::Fact { fact, unit } => Some(with_unit(heading::fact_name(*fact).into(), unit)),
            Self::Reading {
                measure,
                place,
                unit,
            } => Some(with_unit(reading_name(*measure, *place), unit)),
            Self::Part(part) => Some(heading::part_name(*part).into()),
            Self::Remark => None,
        }
    }
}

fn reading_name(measure: Measure, place: Place) -> String {
    match place.kind() {
        PlaceKind::Car => measure.name().to_owned(),
        _ => format!("{}, {place}", measure.name()),
    }
}

/// Everything that a column may be read as on a car of four axles, without units.
#[must_use]
pub fn known_headings() -> Vec<String> {
    let facts = heading::facts().map(|fact| heading::fact_name(fact).to_owned());
    let parts = heading::parts().map(|part| heading::part_name(part).to_owned());
    let readings = Measure::all().flat_map(|measure| {
        let places = places(measure.place_kind());
        places
            .into_iter()
            .map(move |place| reading_name(measure, place))
    });
    facts.chain(parts).chain(readings).collect()
}

fn places(kind: PlaceKind) -> Vec<Place> {
    use gradeworthy_workbench::record::{End, Side};
    let axles = 1..=4;
    match kind {
        PlaceKind::Car => vec![Place::Car],
        PlaceKind::Axle => axles.map(Place::Axle).collect(),
        PlaceKind::Station => axles
            .flat_map(|axle| [Place::Station(axle, 1), Place::Station(axle, 2)])
            .collect(),
        PlaceKind::Wheel => axles
            .flat_map(|axle| Side::BOTH.map(|side| Place::Wheel(axle, side)))
            .collect(),
        PlaceKind::End => End::BOTH.map(Place::End).to_vec(),
        PlaceKind::Turn => End::BOTH
            .into_iter()
            .flat_map(|end| Side::BOTH.map(|side| Place::Turn(end, side)))
            .collect(),
        PlaceKind::Side => Side::BOTH.map(Place::Side).to_vec(),
        PlaceKind::Gate => (1..=3).map(|gate| Place::Gate(1, gate)).collect(),
        PlaceKind::Run => vec![Place::Run(1)],
        PlaceKind::Item => axles.map(Place::Item).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_is_read_as_what_it_spells() {
        for spelling in known_headings() {
            let column = heading::read(&spelling);
            assert_ne!(column, Column::Remark, "{spelling}");
            assert_eq!(column.spelling().as_ref(), Some(&spelling));
        }
        let with_unit = heading::read("B2B 3b [in]");
        let spelling = with_unit.spelling().expect("a reading");
        assert_eq!(spelling, "back to back, axle 3, place 2 (in)");
        assert_eq!(heading::read(&spelling), with_unit);
    }

    #[test]
    fn a_correction_is_another_heading_and_an_empty_one_leaves_the_column_out() {
        let mut matching = Matching::default();
        matching.read_as(0, 2, "coupler height A");
        matching.read_as(1, 0, " ");
        let read = |sheet, column, heading| matching.column(sheet, column, heading).spelling();
        assert_eq!(read(0, 2, "H1").as_deref(), Some("coupler height, A end"));
        assert_eq!(read(0, 3, "weight").as_deref(), Some("weight"));
        assert_eq!(read(1, 0, "weight"), None);
    }
}
