//! What the heading of a column says: which reading, where on the car, and in which unit.
//!
//! Headings are read as words, in any order and with any punctuation:
//! `Axle 1 back-to-back, place 2 (in)`, `coupler height B [mm]`, `gap 3 left`, `B droop`.
//! The words of the trade stand in the tables below; what is left over must name the place, and a
//! heading with words nobody knows is no reading (it is reported, and its cells are kept as remarks).

use gradeworthy_units::Unit;
use gradeworthy_workbench::record::{End, Measure, Place, PlaceKind, Side};

/// What a column holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Column {
    /// A fact about the car.
    Fact {
        /// Which.
        fact: Fact,
        /// The unit of a bare number, where the heading gives one.
        unit: Option<Unit>,
    },
    /// A reading.
    Reading {
        /// What is read.
        measure: Measure,
        /// Where.
        place: Place,
        /// The unit of a bare number, where the heading gives one.
        unit: Option<Unit>,
    },
    /// A part of a sheet with one row a reading.
    Part(Part),
    /// Something else; its cells are remarks.
    Remark,
}

/// A fact about the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fact {
    /// Reporting marks and number together.
    Car,
    /// Reporting marks alone.
    Marks,
    /// Road number alone.
    Number,
    /// Scale.
    Scale,
    /// Type letters.
    CarType,
    /// Owner.
    Owner,
    /// Description.
    Description,
    /// Tags, separated by commas.
    Tags,
    /// Number of axles.
    Axles,
    /// Length of the body.
    BodyLength,
    /// Length over couplers or buffers.
    LengthOverCouplers,
    /// Distance between bolsters.
    TruckCentres,
    /// Distance between a truck's outer axles.
    TruckWheelbase,
    /// Bolster to coupler face, at one end.
    Overhang(End),
    /// Tread code.
    WheelCode,
    /// Material of the side frames.
    FrameMaterial,
    /// Washers already under a bolster, added up or listed with `+`.
    Washers(End),
    /// The day of the readings.
    Day,
    /// Cures carried out since these readings.
    DoneSince,
}

/// A part of a sheet with one row a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// What was read.
    What,
    /// Where.
    Place,
    /// The reading itself.
    Reading,
    /// Its unit.
    Unit,
    /// The instrument.
    Instrument,
}

const FACTS: &[(&str, Fact)] = &[
    ("car", Fact::Car),
    ("car number", Fact::Car),
    ("mark and number", Fact::Car),
    ("reporting marks and number", Fact::Car),
    ("marks", Fact::Marks),
    ("reporting mark", Fact::Marks),
    ("reporting marks", Fact::Marks),
    ("number", Fact::Number),
    ("no", Fact::Number),
    ("road number", Fact::Number),
    ("road no", Fact::Number),
    ("car no", Fact::Car),
    ("scale", Fact::Scale),
    ("type", Fact::CarType),
    ("car type", Fact::CarType),
    ("owner", Fact::Owner),
    ("description", Fact::Description),
    ("kind", Fact::Description),
    ("tags", Fact::Tags),
    ("axles", Fact::Axles),
    ("body length", Fact::BodyLength),
    ("body", Fact::BodyLength),
    ("length over couplers", Fact::LengthOverCouplers),
    ("length over buffers", Fact::LengthOverCouplers),
    ("coupled length", Fact::LengthOverCouplers),
    ("truck centres", Fact::TruckCentres),
    ("truck centers", Fact::TruckCentres),
    ("truck wheelbase", Fact::TruckWheelbase),
    ("wheelbase", Fact::TruckWheelbase),
    ("overhang a", Fact::Overhang(End::A)),
    ("a overhang", Fact::Overhang(End::A)),
    ("overhang b", Fact::Overhang(End::B)),
    ("b overhang", Fact::Overhang(End::B)),
    ("wheel code", Fact::WheelCode),
    ("tread code", Fact::WheelCode),
    ("frame material", Fact::FrameMaterial),
    ("washers a", Fact::Washers(End::A)),
    ("a washers", Fact::Washers(End::A)),
    ("washers b", Fact::Washers(End::B)),
    ("b washers", Fact::Washers(End::B)),
    ("date", Fact::Day),
    ("day", Fact::Day),
    ("read on", Fact::Day),
    ("done since", Fact::DoneSince),
    ("since then", Fact::DoneSince),
];

const PARTS: &[(&str, Part)] = &[
    ("what", Part::What),
    ("measure", Part::What),
    ("place", Part::Place),
    ("where", Part::Place),
    ("reading", Part::Reading),
    ("value", Part::Reading),
    ("found", Part::Reading),
    ("unit", Part::Unit),
    ("instrument", Part::Instrument),
];

/// Other ways to say a measure; its own name always counts.
const OTHER_NAMES: &[(&str, Measure)] = &[
    ("b2b", Measure::BackToBack),
    ("btb", Measure::BackToBack),
    ("flange", Measure::FlangeThickness),
    ("tyre width", Measure::TireWidth),
    ("diameter", Measure::TreadDiameter),
    ("wheel diameter", Measure::TreadDiameter),
    ("runout", Measure::Wobble),
    ("run out", Measure::Wobble),
    ("dirt", Measure::WheelDirt),
    ("spin", Measure::SpinTime),
    ("swing", Measure::TruckSwing),
    ("swivel", Measure::SwivelForce),
    ("rock", Measure::RockGap),
    ("centering", Measure::Centring),
    ("pin", Measure::TripPin),
    ("height", Measure::CouplerHeight),
    ("tilt", Measure::TiltAngle),
    ("weight on", Measure::EndWeight),
    ("starts at", Measure::StartGrade),
    ("rolls at", Measure::RollGrade),
];

/// Every fact, in the order of the table.
pub(super) fn facts() -> impl Iterator<Item = Fact> {
    let first = |index: &usize| {
        let fact = FACTS[*index].1;
        FACTS.iter().position(|own| own.1 == fact) == Some(*index)
    };
    (0..FACTS.len()).filter(first).map(|index| FACTS[index].1)
}

/// Every part of a sheet with one row a reading.
pub(super) fn parts() -> impl Iterator<Item = Part> {
    [
        Part::What,
        Part::Place,
        Part::Reading,
        Part::Unit,
        Part::Instrument,
    ]
    .into_iter()
}

/// The heading by which a fact is written.
pub(super) fn fact_name(fact: Fact) -> &'static str {
    let own = FACTS.iter().find(|(_, own)| *own == fact);
    own.map_or("", |(name, _)| name)
}

/// The heading by which a part is written.
pub(super) fn part_name(part: Part) -> &'static str {
    let own = PARTS.iter().find(|(_, own)| *own == part);
    own.map_or("", |(name, _)| name)
}

/// Reads a heading.
#[must_use]
pub(super) fn read(heading: &str) -> Column {
    let (name, unit) = split_unit(heading);
    let words = words(&name);
    let phrase = words.join(" ");
    if let Some((_, fact)) = FACTS.iter().find(|(own, _)| *own == phrase) {
        return Column::Fact { fact: *fact, unit };
    }
    if let Some((_, part)) = PARTS.iter().find(|(own, _)| *own == phrase) {
        return Column::Part(*part);
    }
    match read_reading(&words) {
        Some((measure, place)) => Column::Reading {
            measure,
            place,
            unit,
        },
        None => Column::Remark,
    }
}

/// Reads 'what' and 'where' as one row of a sheet with one row a reading gives them.
#[must_use]
pub(super) fn read_what_and_where(what: &str, place: &str) -> Option<(Measure, Place)> {
    read_reading(&words(&format!("{what} {place}")))
}

/// Splits `Axle 1 back-to-back (in)` into its name and its unit.
fn split_unit(heading: &str) -> (String, Option<Unit>) {
    let trimmed = heading.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let (Some(start), true) = (trimmed.rfind(open), trimmed.ends_with(close)) {
            let inside = &trimmed[start + open.len_utf8()..trimmed.len() - close.len_utf8()];
            if let Some(unit) = Unit::from_spelling(inside) {
                return (trimmed[..start].to_owned(), Some(unit));
            }
        }
    }
    (trimmed.to_owned(), None)
}

/// Lower-case words, letters and digits apart: `B2B-1a` stays `b2b 1 a`.
fn words(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    for chunk in text.to_lowercase().split(|c: char| !c.is_alphanumeric()) {
        match chunk {
            "" => {}
            "b2b" => all.push("b2b".to_owned()),
            _ => push_split(chunk, &mut all),
        }
    }
    all
}

fn push_split(chunk: &str, all: &mut Vec<String>) {
    let mut word = String::new();
    for c in chunk.chars() {
        let turns = word
            .chars()
            .last()
            .is_some_and(|last| last.is_numeric() != c.is_numeric());
        if turns {
            all.push(std::mem::take(&mut word));
        }
        word.push(c);
    }
    all.push(word);
}

fn read_reading(words: &[String]) -> Option<(Measure, Place)> {
    let mut best: Option<(usize, usize, Measure)> = None;
    for (phrase, measure) in phrases() {
        let length = phrase.split(' ').count();
        let found = words
            .windows(length)
            .position(|window| window.join(" ") == phrase);
        if let Some(at) = found
            && best.is_none_or(|(_, longest, _)| length > longest)
        {
            best = Some((at, length, measure));
        }
    }
    let (at, length, measure) = best?;
    let rest: Vec<&str> = words[..at]
        .iter()
        .chain(&words[at + length..])
        .map(String::as_str)
        .filter(|word| !NOISE.contains(word))
        .collect();
    Some((measure, place(measure.place_kind(), &rest)?))
}

/// Words that only make a place easier to read.
const NOISE: &[&str] = &[
    "axle", "wheel", "truck", "end", "side", "place", "to", "the", "of", "at", "coupler", "turned",
    "run", "gate", "item", "station", "car", "line",
];

fn phrases() -> impl Iterator<Item = (&'static str, Measure)> {
    Measure::all()
        .map(|measure| (measure.name(), measure))
        .chain(OTHER_NAMES.iter().copied())
}

fn place(kind: PlaceKind, rest: &[&str]) -> Option<Place> {
    match (kind, rest) {
        (PlaceKind::Car, []) => Some(Place::Car),
        (PlaceKind::Axle, [axle]) => Some(Place::Axle(count(axle)?)),
        (PlaceKind::Station, [axle]) => Some(Place::Station(count(axle)?, 1)),
        (PlaceKind::Station, [axle, station]) => {
            Some(Place::Station(count(axle)?, station_number(station)?))
        }
        (PlaceKind::Wheel, [first, second]) => match (count(first), side(first)) {
            (Some(axle), _) => Some(Place::Wheel(axle, side(second)?)),
            (None, Some(own)) => Some(Place::Wheel(count(second)?, own)),
            (None, None) => None,
        },
        (PlaceKind::End, [letter]) => Some(Place::End(end(letter)?)),
        (PlaceKind::Turn, [first, second]) => match (end(first), side(first)) {
            (Some(own), _) => Some(Place::Turn(own, side(second)?)),
            (None, Some(turned)) => Some(Place::Turn(end(second)?, turned)),
            (None, None) => None,
        },
        (PlaceKind::Side, [word]) => Some(Place::Side(side(word)?)),
        (PlaceKind::Gate, [run, gate]) => Some(Place::Gate(count(run)?, count(gate)?)),
        (PlaceKind::Run, [run]) => Some(Place::Run(count(run)?)),
        (PlaceKind::Item, [item]) => Some(Place::Item(count(item)?)),
        _ => None,
    }
}

fn count(word: &str) -> Option<u8> {
    word.parse().ok().filter(|number| *number > 0)
}

/// Stations round an axle are written 1, 2, 3 or a, b, c.
fn station_number(word: &str) -> Option<u8> {
    match word {
        "a" => Some(1),
        "b" => Some(2),
        "c" => Some(3),
        _ => count(word),
    }
}

fn end(word: &str) -> Option<End> {
    match word {
        "a" => Some(End::A),
        "b" => Some(End::B),
        _ => None,
    }
}

fn side(word: &str) -> Option<Side> {
    match word {
        "l" | "left" => Some(Side::Left),
        "r" | "right" => Some(Side::Right),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(heading: &str) -> (Measure, Place, Option<Unit>) {
        match read(heading) {
            Column::Reading {
                measure,
                place,
                unit,
            } => (measure, place, unit),
            other => panic!("{heading}: {other:?}"),
        }
    }

    #[test]
    fn headings_as_clubs_write_them() {
        let inch = Some(Unit::Inch);
        for (heading, measure, place, unit) in [
            (
                "Axle 1 back-to-back, place 2 (in)",
                Measure::BackToBack,
                Place::Station(1, 2),
                inch,
            ),
            ("B2B 3b", Measure::BackToBack, Place::Station(3, 2), None),
            ("b2b-4", Measure::BackToBack, Place::Station(4, 1), None),
            (
                "Flange 2 L [mm]",
                Measure::FlangeThickness,
                Place::Wheel(2, Side::Left),
                Some(Unit::Millimetre),
            ),
            (
                "Coupler height B [in]",
                Measure::CouplerHeight,
                Place::End(End::B),
                inch,
            ),
            ("A height", Measure::CouplerHeight, Place::End(End::A), None),
            (
                "B droop (thou)",
                Measure::Droop,
                Place::End(End::B),
                Some(Unit::Thousandth),
            ),
            (
                "gap 3 left",
                Measure::Gap,
                Place::Wheel(3, Side::Left),
                None,
            ),
            (
                "Truck swing A left",
                Measure::TruckSwing,
                Place::Turn(End::A, Side::Left),
                None,
            ),
            (
                "Weight (oz)",
                Measure::Weight,
                Place::Car,
                Some(Unit::Ounce),
            ),
            ("End weight A", Measure::EndWeight, Place::End(End::A), None),
            (
                "Tilt left (deg)",
                Measure::TiltAngle,
                Place::Side(Side::Left),
                Some(Unit::Degree),
            ),
            (
                "Gate time run 1 gate 3",
                Measure::GateTime,
                Place::Gate(1, 3),
                None,
            ),
            ("Look-over 2", Measure::LookOver, Place::Item(2), None),
            (
                "spin time axle 2 (s)",
                Measure::SpinTime,
                Place::Axle(2),
                Some(Unit::Second),
            ),
            (
                "Roll grade (%)",
                Measure::RollGrade,
                Place::Car,
                Some(Unit::Percent),
            ),
        ] {
            assert_eq!(reading(heading), (measure, place, unit), "{heading}");
        }
    }

    #[test]
    fn facts_and_remarks() {
        let fact = |fact, unit| Column::Fact { fact, unit };
        assert_eq!(read("Reporting Marks"), fact(Fact::Marks, None));
        assert_eq!(read("Road No."), fact(Fact::Number, None));
        let mm = Some(Unit::Millimetre);
        assert_eq!(read("Overhang B (mm)"), fact(Fact::Overhang(End::B), mm));
        assert_eq!(read("Seen by"), Column::Remark);
        assert_eq!(read("Coupler height"), Column::Remark);
        assert_eq!(read("what"), Column::Part(Part::What));
    }

    #[test]
    fn every_measure_is_found_by_its_own_name() {
        for measure in Measure::all() {
            let place = match measure.place_kind() {
                PlaceKind::Car => "",
                PlaceKind::Axle | PlaceKind::Run | PlaceKind::Item => "1",
                PlaceKind::Station | PlaceKind::Gate => "1 2",
                PlaceKind::Wheel => "1 left",
                PlaceKind::End => "A",
                PlaceKind::Turn => "A left",
                PlaceKind::Side => "left",
            };
            let found = read_what_and_where(measure.name(), place);
            assert_eq!(found.map(|(found, _)| found), Some(measure), "{measure}");
        }
    }
}
