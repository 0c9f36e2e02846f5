//! A car seen in a mirror, lengthwise or crosswise, is judged and cured as its mirror image.

use std::collections::BTreeMap;

use gradeworthy_units::{Amount, Length, Mass};
use gradeworthy_workbench::checks::{Aspect, Line};
use gradeworthy_workbench::cures::{Action, Cure};
use gradeworthy_workbench::mechanics::wheelset::ConstraintKind;
use gradeworthy_workbench::record::{End, Measure, Place, Record, Side};

use crate::given::{Club, cars, quantities};

/// Which way the car is turned round.
#[derive(Clone, Copy, Debug)]
struct Mirror {
    ends: bool,
    sides: bool,
}

impl Mirror {
    fn end(self, end: End) -> End {
        if self.ends { end.other() } else { end }
    }

    fn side(self, side: Side) -> Side {
        if self.sides { side.other() } else { side }
    }

    fn axle(self, axle: u8) -> u8 {
        if self.ends { 5 - axle } else { axle }
    }

    fn place(self, place: Place) -> Place {
        match place {
            Place::Axle(axle) => Place::Axle(self.axle(axle)),
            Place::Station(axle, station) => Place::Station(self.axle(axle), station),
            Place::Wheel(axle, side) => Place::Wheel(self.axle(axle), self.side(side)),
            Place::End(end) => Place::End(self.end(end)),
            Place::Turn(end, side) => Place::Turn(self.end(end), self.side(side)),
            Place::Side(side) => Place::Side(self.side(side)),
            same => same,
        }
    }

    fn aspect(self, aspect: Aspect) -> Aspect {
        match aspect {
            Aspect::Wheel(kind) if self.sides => Aspect::Wheel(kind.mirrored()),
            same => same,
        }
    }

    fn record(self, record: &Record) -> Record {
        let mut record = record.clone();
        for entry in &mut record.entries {
            entry.place = self.place(entry.place);
        }
        if self.sides {
            for ((measure, _), typed) in quantities(&mut record) {
                if let (Measure::WheelOffset, Amount::Length(offset)) = (measure, typed.amount) {
                    typed.amount = (-offset).into();
                }
            }
        }
        if self.ends {
            let figures = &mut record.car.figures;
            figures.overhang.swap(0, 1);
            figures.bolster_shims.swap(0, 1);
        }
        record
    }

    fn pair<T: Clone>(self, pair: &[T; 2]) -> [T; 2] {
        let [a, b] = pair.clone();
        if self.ends { [b, a] } else { [a, b] }
    }
}

/// Sums taken in another order differ in the last places of a double, and a computed length by a
/// nanometre of rounding.
fn alike(one: Option<Amount>, other: Option<Amount>) -> bool {
    match (one, other) {
        (None, None) => true,
        (Some(one), Some(other)) => {
            one.dimension() == other.dimension() && (one.base() - other.base()).abs() < 2.5e-6
        }
        _ => false,
    }
}

type Lines<'a> = BTreeMap<(Aspect, Place), &'a Line>;

fn by_place(lines: &[Line]) -> Lines<'_> {
    lines
        .iter()
        .map(|line| ((line.aspect, line.place), line))
        .collect()
}

#[test]
fn a_mirrored_car_is_judged_as_the_mirror_image() {
    let club = Club::demo();
    let mut cured = 0;
    for (index, record) in cars(250).enumerate() {
        let mut record = record;
        offset_some_wheels(&mut record);
        let inspection = club.inspect(&record);
        let cures = club.prescribe(&record, &inspection);
        for mirror in
            [(true, false), (false, true), (true, true)].map(|(ends, sides)| Mirror { ends, sides })
        {
            let image = mirror.record(&record);
            let seen = club.inspect(&image);
            let lines = by_place(&seen.lines);
            assert_eq!(seen.verdict, inspection.verdict);
            assert_eq!(seen.checks, inspection.checks);
            assert_eq!(lines.len(), inspection.lines.len());
            for line in &inspection.lines {
                let other = lines[&(mirror.aspect(line.aspect), mirror.place(line.place))];
                assert_eq!(other.verdict, line.verdict, "{mirror:?} {line:?} {other:?}");
                assert!(
                    alike(line.reading, other.reading),
                    "{mirror:?} {line:?} {other:?}"
                );
                assert!(
                    alike(line.margin, other.margin),
                    "{mirror:?} {line:?} {other:?}"
                );
                let odds = (
                    line.conformity.unwrap_or(2.0),
                    other.conformity.unwrap_or(2.0),
                );
                assert!(
                    (odds.0 - odds.1).abs() < 1e-3,
                    "{mirror:?} {line:?} {other:?}"
                );
            }
            // Weights are searched for longest; a fifth of the cars is enough for all cures.
            if index % 5 == 0 {
                cured += same_cures(mirror, &cures, &club.prescribe(&image, &seen));
            }
        }
    }
    assert!(cured > 300, "{cured}");
}

/// Wheels that sit off the middle of their axle, by reading steps.
fn offset_some_wheels(record: &mut Record) {
    let Some(first) = record
        .entries
        .iter()
        .find(|entry| entry.measure == Measure::Wobble)
    else {
        return;
    };
    let mut entry = first.clone();
    entry.measure = Measure::WheelOffset;
    record.entries.push(entry);
}

fn same_cures(mirror: Mirror, cures: &[Cure], images: &[Cure]) -> usize {
    assert_eq!(
        cures.len(),
        images.len(),
        "{mirror:?} {cures:#?} {images:#?}"
    );
    for cure in cures {
        let image = images.iter().find(|own| {
            (own.check, own.kind, own.place) == (cure.check, cure.kind, mirror.place(cure.place))
        });
        let image = image.unwrap_or_else(|| panic!("{mirror:?} {cure:?} {images:#?}"));
        assert!(
            same_cost(mirror, &cure.action, &image.action),
            "{mirror:?} {cure:#?} {image:#?}"
        );
    }
    cures.len()
}

fn near(one: Length, other: Length) -> bool {
    (one - other).abs() <= Length::from_nanometres(3)
}

fn same_cost(mirror: Mirror, one: &Action, other: &Action) -> bool {
    match one {
        Action::Heights { .. } => same_heights(mirror, one, other),
        Action::Overbend { .. } => same_bend(mirror, one, other),
        Action::MoveWheels { .. } => same_move(mirror, one, other),
        Action::Weights {
            expected,
            target,
            gap,
            ..
        } => matches!(other, Action::Weights { expected: e, target: t, gap: g, .. }
            // Plans that tie may differ in their pieces; one not proven best may differ freely.
            if target == t && (*gap + *g > Mass::ZERO || (expected.grams() - e.grams()).abs() < 0.5)),
        Action::Pad { computed, pads, .. } => {
            matches!(other, Action::Pad { computed: c, pads: p, .. }
                if (computed.mm() - c.mm()).abs() < 1e-4 && pads == p)
        }
        Action::ChangeWheels(fault) => matches!(other, Action::ChangeWheels(image)
            if fault.by == image.by && fault.reason == image.reason),
        Action::Lacking(_) => matches!(other, Action::Lacking(_)),
        Action::Strip { .. } | Action::Gain { .. } | Action::Do(_) => one == other,
    }
}

fn same_move(mirror: Mirror, one: &Action, other: &Action) -> bool {
    let parts = |action: &Action| match action {
        Action::MoveWheels {
            left_outward,
            right_outward,
            to,
            ..
        } => Some([*left_outward, *right_outward, *to]),
        _ => None,
    };
    let (Some([left, right, to]), Some(image)) = (parts(one), parts(other)) else {
        return false;
    };
    let expected = if mirror.sides {
        [right, left, to]
    } else {
        [left, right, to]
    };
    expected
        .iter()
        .zip(image)
        .all(|(own, image)| near(*own, image))
}

fn same_heights(mirror: Mirror, one: &Action, other: &Action) -> bool {
    let parts = |action: &Action| match action {
        Action::Heights {
            washers,
            taken,
            box_shims,
            expected,
            ..
        } => Some(([washers, taken, box_shims].map(Clone::clone), *expected)),
        _ => None,
    };
    let (Some((pieces, expected)), Some((image, seen))) = (parts(one), parts(other)) else {
        return false;
    };
    let mirrored = pieces.map(|both| mirror.pair(&both));
    let heights = mirror.pair(&expected);
    mirrored == image && near(heights[0], seen[0]) && near(heights[1], seen[1])
}

fn same_bend(mirror: Mirror, one: &Action, other: &Action) -> bool {
    let parts = |action: &Action| match action {
        Action::Overbend {
            wanted,
            today,
            tomorrow,
            lower,
            ..
        } => Some(([*wanted, *today, tomorrow[1]], *lower)),
        _ => None,
    };
    let (Some((sets, lower)), Some((image, seen))) = (parts(one), parts(other)) else {
        return false;
    };
    // A frame turned round both ways is the same frame; one mirror exchanges its diagonals.
    let exchanged = mirror.ends != mirror.sides;
    let close = |(own, image): (&Length, Length)| (own.mm() - image.mm()).abs() < 1e-4;
    sets.iter().zip(image).all(close) && (lower == seen) != exchanged
}

/// The table of mirrored constraints is its own inverse.
#[test]
fn a_mirror_twice_is_none() {
    for side in Side::BOTH {
        let kind = ConstraintKind::TreadSupport(side);
        assert_eq!(kind.mirrored().mirrored(), kind);
        assert_ne!(kind.mirrored(), kind);
    }
}
