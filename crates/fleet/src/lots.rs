//! What the cars with parts of one lot have in common.
//!
//! Every quantity is compared between the cars with the lot and the rest. A car counts once: where
//! it was read at several places, by the median of those that the part can reach, since two wheels of
//! one car are no two witnesses. The test is [`rank_test`]; the probabilities of all quantities are
//! then adjusted together ([`adjusted`]), so that a long list of comparisons finds nothing by chance.
//! A difference is no cause: cars of one lot often came in one evening from one owner.

use std::collections::BTreeMap;

use gradeworthy_units::Dimension;
use gradeworthy_workbench::record::{Kind, Measure, Place};

use crate::fleet::{Fleet, Row};
use crate::rank_test::{RankTest, rank_test};
use crate::{adjusted, quantile};

/// Fewer cars with a reading than this and nothing can be told. ASSUMED: five; with four against any
/// number the rank test can hardly reach 5 % once a dozen quantities are compared.
pub const SMALL: usize = 5;

/// A part of one description and lot.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lot {
    /// What kind of part.
    pub part: &'static str,
    /// Maker and kind, as the shop writes it.
    pub description: Box<str>,
    /// The lot; `None` for parts whose lot nobody entered.
    pub lot: Option<Box<str>>,
}

/// One quantity compared between the cars of a lot and the rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// What was read.
    pub measure: Measure,
    /// Its dimension.
    pub dimension: Dimension,
    /// How many cars with the lot have it.
    pub lot_cars: usize,
    /// How many others have it.
    pub rest_cars: usize,
    /// The median of the cars with the lot, in the base unit of files.
    pub lot_median: f64,
    /// The median of the rest.
    pub rest_median: f64,
    /// The test; `None` where one side has fewer than [`SMALL`] cars.
    pub test: Option<RankTest>,
    /// Its probability adjusted for all quantities tested with it.
    pub adjusted: Option<f64>,
}

impl Fleet {
    /// Every lot of a part that some car has, with how many cars have it.
    #[must_use]
    pub fn lots(&self, rows: &[Row]) -> BTreeMap<Lot, usize> {
        let mut lots = BTreeMap::new();
        for row in rows {
            let mut own: Vec<Lot> = self.cars()[*row].facts.parts.iter().map(Lot::of).collect();
            own.sort_unstable();
            own.dedup();
            for lot in own {
                *lots.entry(lot).or_insert(0) += 1;
            }
        }
        lots
    }

    /// The places of a car where it has a part of `lot`.
    fn places_of(&self, row: Row, lot: &Lot) -> Vec<Place> {
        let parts = self.cars()[row].facts.parts.iter();
        parts
            .filter(|fitted| Lot::of(fitted) == *lot)
            .map(|fitted| fitted.place)
            .collect()
    }

    /// The median of what was read of `measure` on a car, at the places that one of `places` reaches.
    fn median_near(&self, row: Row, measure: Measure, places: Option<&[Place]>) -> Option<f64> {
        let near = |place: Place| {
            places.is_none_or(|places| places.iter().any(|part| reaches(*part, place)))
        };
        let columns = self.columns_at(measure, None);
        let mut values: Vec<f64> = columns
            .filter(|(place, _)| near(*place))
            .filter_map(|(_, column)| Some(column.amount(row)?.base()))
            .collect();
        values.sort_unstable_by(f64::total_cmp);
        quantile(values.len(), 0.5, |index| values[index])
    }
}

impl Lot {
    fn of(fitted: &crate::Fitted) -> Self {
        Self {
            part: fitted.part,
            description: fitted.description.clone(),
            lot: fitted.lot.clone(),
        }
    }
}

/// Whether a part fitted at `part` can show in a reading taken at `place`: the same axle, the same
/// end, or anything that is read on the whole car or a side of it.
fn reaches(part: Place, place: Place) -> bool {
    match (part, place) {
        (Place::Axle(own), Place::Axle(axle) | Place::Station(axle, _) | Place::Wheel(axle, _))
        | (Place::Wheel(own, _), Place::Axle(axle) | Place::Station(axle, _))
        | (Place::Station(own, _), Place::Axle(axle) | Place::Wheel(axle, _)) => own == axle,
        (Place::Wheel(own, side), Place::Wheel(axle, other)) => own == axle && side == other,
        (Place::End(own), Place::End(end) | Place::Turn(end, _)) => own == end,
        // An end has its truck, and a truck its axles; which is which the counts of axles say, and a
        // part of a truck is compared by all axles of the car.
        _ => true,
    }
}

/// Compares every quantity that was read on cars of `rows` between those with `lot` and the others.
#[must_use]
pub fn compare(fleet: &Fleet, rows: &[Row], lot: &Lot) -> Vec<Compared> {
    let places: Vec<(Row, Vec<Place>)> = rows
        .iter()
        .map(|row| (*row, fleet.places_of(*row, lot)))
        .collect();
    let mut found: Vec<Compared> = Measure::all()
        .filter_map(|measure| one(fleet, &places, measure))
        .collect();
    let probabilities: Vec<f64> = found.iter().filter_map(|own| Some(own.test?.p)).collect();
    let mut adjusted = adjusted(&probabilities).into_iter();
    for own in found.iter_mut().filter(|own| own.test.is_some()) {
        own.adjusted = adjusted.next();
    }
    let weight = |own: &Compared| own.adjusted.unwrap_or(2.0);
    found.sort_by(|one, other| {
        let p = |own: &Compared| own.test.map_or(2.0, |test| test.p);
        weight(one)
            .total_cmp(&weight(other))
            .then(p(one).total_cmp(&p(other)))
            .then(one.measure.cmp(&other.measure))
    });
    found
}

fn one(fleet: &Fleet, cars: &[(Row, Vec<Place>)], measure: Measure) -> Option<Compared> {
    let Kind::Quantity(dimension) = measure.kind() else {
        return None;
    };
    let (mut lot, mut rest) = (Vec::new(), Vec::new());
    for (row, places) in cars {
        let (near, values) = if places.is_empty() {
            (None, &mut rest)
        } else {
            (Some(places.as_slice()), &mut lot)
        };
        values.extend(fleet.median_near(*row, measure, near));
    }
    let median = |values: &mut Vec<f64>| {
        values.sort_unstable_by(f64::total_cmp);
        quantile(values.len(), 0.5, |index| values[index])
    };
    let (lot_median, rest_median) = (median(&mut lot)?, median(&mut rest)?);
    let enough = lot.len() >= SMALL && rest.len() >= SMALL;
    Some(Compared {
        measure,
        dimension,
        lot_cars: lot.len(),
        rest_cars: rest.len(),
        lot_median,
        rest_median,
        test: enough.then(|| rank_test(&lot, &rest)).flatten(),
        adjusted: None,
    })
}
