//! The pictures as a page would get them: parsed by an XML parser that knows nothing of this crate
//! (roxmltree), measured, mirrored, attacked, and compared with the files of `tests/golden`.

mod colours;
mod random;
mod sound;

use std::sync::LazyLock;

use gradeworthy_demo::{SEED, SHOP, STORIES};
use gradeworthy_reports::drawing::{self, Drawing};
use gradeworthy_reports::words::System;
use gradeworthy_standards::Scale;
use gradeworthy_units::{Amount, Angle, Length, Typed, Unit};
use gradeworthy_workbench::checks::{Aspect, Inspection, inspect};
use gradeworthy_workbench::record::{
    Car, CarMark, End, Entry, Measure, Place, Record, Side, Value,
};
use gradeworthy_workbench::rules::{Limited, RuleBook};
use gradeworthy_workbench::shop::Shop;
use jiff::civil::date;
use roxmltree::{Document, Node};

use sound::{sound, words_fit};

static BOOK: LazyLock<RuleBook> =
    LazyLock::new(|| RuleBook::read(&gradeworthy_demo::rule_book()).expect("the demo's book"));
static SHOP_FILE: LazyLock<Shop> = LazyLock::new(|| Shop::read(SHOP).expect("the demo's shop"));

fn judged(record: &Record) -> Inspection {
    inspect(record, &BOOK, &SHOP_FILE, date(2026, 11, 25))
}

fn story(mark: &str) -> Record {
    let story = STORIES.iter().find(|story| story.mark == mark);
    story.expect("a story of that name").record(SEED)
}

fn read(record: &mut Record, measure: Measure, place: Place, amount: impl Into<Amount>) {
    let amount = amount.into();
    record.entries.push(Entry {
        measure,
        place,
        value: Value::Quantity(Typed {
            text: "typed".into(),
            amount,
            unit: Unit::Millimetre,
            unit_was_typed: true,
            resolution: amount,
        }),
        instrument: Some("caliper".into()),
        on: None,
    });
}

/// The three views of a car.
fn views(record: &Record, system: System) -> [Drawing; 3] {
    let inspection = judged(record);
    [
        drawing::side(record, &inspection, system),
        drawing::end(record, &inspection, system),
        drawing::plan(record, &inspection, system),
    ]
}

fn part<'a, 'd>(node: Node<'a, 'd>, name: &str) -> Node<'a, 'd> {
    parts(node, name).next().expect("a part of that name")
}

fn parts<'a, 'd>(node: Node<'a, 'd>, name: &str) -> impl Iterator<Item = Node<'a, 'd>> {
    node.descendants()
        .filter(move |node| node.attribute("data-part") == Some(name))
}

fn number(node: Node<'_, '_>, attribute: &str) -> f64 {
    let text = node.attribute(attribute);
    let number = text.and_then(|text| text.parse().ok());
    number.expect("a number")
}

fn close(a: f64, b: f64) -> bool {
    // Pixels are written to a tenth; a sum of two is right to a tenth.
    (a - b).abs() < 0.11
}

/// Where a head stands below the middle of the tolerance band behind it, and half that band.
fn head_and_band(record: &Record, end: &str) -> (f64, f64) {
    let drawing = drawing::side(record, &judged(record), System::Inch);
    let document = Document::parse(&drawing.svg).expect("XML");
    let coupler = part(document.root(), &format!("coupler-{end}"));
    let band = coupler
        .descendants()
        .find(|node| node.attribute("class") == Some("gw-band"));
    let band = band.expect("a tolerance band");
    let half = number(band, "height") / 2.0;
    (
        number(part(coupler, "head"), "data-y") - number(band, "y") - half,
        half,
    )
}

#[test]
fn a_coupler_at_its_lower_limit_is_drawn_at_the_edge_of_the_band() {
    // 25/64 in less the rule book's .010 in, in nanometres.
    let mut record = story("QVL 101");
    let low = Length::from_sixty_fourths(25) - Length::from_thousandths(10);
    read(&mut record, Measure::CouplerHeight, Place::End(End::A), low);
    let (below, half) = head_and_band(&record, "a");
    assert!(close(below, half) && close(half, 16.0), "{below} {half}");
    // Half as low is drawn half as far down; as much too high, as far up.
    let low = Length::from_sixty_fourths(25) - Length::from_thousandths(5);
    read(&mut record, Measure::CouplerHeight, Place::End(End::A), low);
    assert!(close(head_and_band(&record, "a").0, 8.0));
    let high = Length::from_sixty_fourths(25) + Length::from_thousandths(10);
    read(
        &mut record,
        Measure::CouplerHeight,
        Place::End(End::A),
        high,
    );
    assert!(close(head_and_band(&record, "a").0, -16.0));
}

#[test]
fn what_is_far_out_is_cut_short_and_said() {
    let mut record = story("QVL 101");
    read(
        &mut record,
        Measure::CouplerHeight,
        Place::End(End::B),
        Length::from_thousandths(300),
    );
    assert!(close(head_and_band(&record, "b").0, 36.0));
    let drawing = drawing::side(&record, &judged(&record), System::Inch);
    assert!(drawing.svg.contains("data-part=\"cut-short\""));
    assert!(drawing.description.contains("cut short") && drawing.description.contains(".3000 in"));
}

#[test]
fn a_gap_and_a_low_coupler_share_one_factor() {
    let mut record = story("QVL 101");
    let gap = Length::from_thousandths(10);
    read(&mut record, Measure::Gap, Place::Wheel(2, Side::Left), gap);
    let drawing = drawing::side(&record, &judged(&record), System::Inch);
    let document = Document::parse(&drawing.svg).expect("XML");
    let lifts: Vec<f64> = parts(document.root(), "near-wheel")
        .map(|wheel| number(wheel, "data-lift"))
        .collect();
    assert_eq!(lifts, [0.0, 16.0, 0.0, 0.0]);
}

#[test]
fn the_car_stands_at_its_own_measured_proportions() {
    let record = story("ZBR 106");
    let figures = &record.car.figures;
    let drawing = drawing::side(&record, &judged(&record), System::Metric);
    let document = Document::parse(&drawing.svg).expect("XML");
    let wheels: Vec<f64> = parts(document.root(), "near-wheel")
        .map(|wheel| {
            let circle = wheel.children().find(|node| node.has_tag_name("circle"));
            number(circle.expect("a circle"), "cx")
        })
        .collect();
    let wheelbase = wheels[1] - wheels[0];
    let centres = (wheels[2] + wheels[3] - wheels[1] - wheels[0]) / 2.0;
    let measured =
        figures.truck_centres.expect("known").mm() / figures.truck_wheelbase.expect("known").mm();
    assert!(
        (centres / wheelbase - measured).abs() < 0.02,
        "{centres} {wheelbase}"
    );
}

/// The same car seen in a mirror across the track: ends change places, sides do not.
fn mirrored(record: &Record) -> Record {
    let mut other = record.clone();
    other.car.figures.overhang.reverse();
    let last = record.car.figures.axles.count() + 1;
    for entry in &mut other.entries {
        entry.place = match entry.place {
            Place::Axle(axle) => Place::Axle(last - axle),
            Place::Station(axle, station) => Place::Station(last - axle, station),
            Place::Wheel(axle, side) => Place::Wheel(last - axle, side),
            Place::End(end) => Place::End(end.other()),
            Place::Turn(end, side) => Place::Turn(end.other(), side),
            same => same,
        };
    }
    other
}

#[test]
fn a_mirrored_car_is_drawn_mirrored() {
    let mut record = story("WQX 109");
    read(
        &mut record,
        Measure::CouplerHeight,
        Place::End(End::A),
        Length::from_thousandths(384),
    );
    read(
        &mut record,
        Measure::Droop,
        Place::End(End::A),
        Length::from_thousandths(6),
    );
    read(
        &mut record,
        Measure::Gap,
        Place::Wheel(1, Side::Left),
        Length::from_thousandths(5),
    );
    read(
        &mut record,
        Measure::BackToBack,
        Place::Station(2, 1),
        Length::from_thousandths(568),
    );
    let other = mirrored(&record);
    let heads = |record: &Record| ["a", "b"].map(|end| head_and_band(record, end).0);
    let mut turned = heads(&other);
    turned.reverse();
    assert!(
        heads(&record)
            .iter()
            .zip(turned)
            .all(|(one, other)| close(*one, other))
    );
    let values = |record: &Record, view: usize, name: &str, attribute: &str| -> Vec<f64> {
        let drawing = &views(record, System::Inch)[view];
        let document = Document::parse(&drawing.svg).expect("XML");
        parts(document.root(), name)
            .map(|node| number(node, attribute))
            .collect()
    };
    for (view, name, attribute) in [(0, "near-wheel", "data-lift"), (2, "axle", "data-shift")] {
        let mut turned = values(&other, view, name, attribute);
        turned.reverse();
        assert_eq!(values(&record, view, name, attribute), turned, "{name}");
        assert!(
            turned.iter().any(|value| *value != 0.0),
            "{name} shows nothing"
        );
    }
    let beam = |record| values(record, 0, "beam", "y1")[0] - values(record, 0, "beam", "y2")[0];
    assert!(close(beam(&record), -beam(&other)) && beam(&record) > 10.0);
}

#[test]
fn the_centre_of_gravity_leans_to_the_side_that_tips_sooner() {
    let mut record = story("QVL 101");
    let degrees = |value: f64| Angle::from_degrees(value).expect("finite");
    let x = |record: &Record| {
        let drawing = &views(record, System::Inch)[1];
        let document = Document::parse(&drawing.svg).expect("XML");
        number(part(document.root(), "centre-of-gravity"), "data-x")
    };
    let middle = x(&record);
    read(
        &mut record,
        Measure::TiltAngle,
        Place::Side(Side::Left),
        degrees(30.0),
    );
    read(
        &mut record,
        Measure::TiltAngle,
        Place::Side(Side::Right),
        degrees(40.0),
    );
    let left = x(&record);
    assert!(left < middle - 2.0, "{left} {middle}");
    let said = views(&record, System::Inch)[1].description.clone();
    assert!(
        said.contains("to the left at 30.0°, to the right at 40.0°"),
        "{said}"
    );
    assert!(said.contains("in to the left."), "{said}");
    read(
        &mut record,
        Measure::TiltAngle,
        Place::Side(Side::Left),
        degrees(40.0),
    );
    read(
        &mut record,
        Measure::TiltAngle,
        Place::Side(Side::Right),
        degrees(30.0),
    );
    assert!(close(x(&record) - middle, middle - left));
}

#[test]
fn an_axle_at_the_edge_of_its_window_is_drawn_there() {
    // .566 in to .575 in (.605 less a .030 flange) is the window of QVL 102's other axles; a wheel
    // moves by half of what the back-to-back does.
    let mut record = story("QVL 101");
    for station in [1, 2] {
        read(
            &mut record,
            Measure::BackToBack,
            Place::Station(1, station),
            Length::from_thousandths(566),
        );
    }
    let drawing = &views(&record, System::Inch)[2];
    let document = Document::parse(&drawing.svg).expect("XML");
    let axle = part(document.root(), "axle");
    assert!(close(number(axle, "data-shift"), -10.0), "{axle:?}");
    assert!(
        drawing
            .description
            .contains("Axle 1: back-to-back .5660 in, window .5660 in to"),
        "{}",
        drawing.description
    );
}

#[test]
fn names_from_a_sheet_never_become_markup() {
    let attack = "</desc><script>alert(1)</script>";
    let mut record = story("QVL 101");
    record.car.mark = CarMark::new("<b onload=x>&\"'").expect("a name");
    record.car.owner = Some(attack.into());
    record.car.description = Some("\u{1}\u{fffe}]]>".into());
    for drawing in views(&record, System::Both) {
        let document = Document::parse(&drawing.svg).expect("still XML");
        let names: Vec<_> = document
            .descendants()
            .map(|node| node.tag_name().name())
            .collect();
        assert!(!names.contains(&"script") && !names.contains(&"b") && !names.contains(&"B"));
        let texts: Vec<_> = document
            .descendants()
            .filter_map(|node| node.text())
            .collect();
        assert!(
            texts.iter().any(|text| text.contains("<B ONLOAD=X>&\"'")),
            "{texts:?}"
        );
    }
    let side = &views(&record, System::Both)[0];
    assert!(side.description.contains(attack) && !side.svg.contains("<script"));
}

#[test]
fn what_is_not_known_is_said_and_dashed() {
    let record = Record::new(Car::new(CarMark::new("T 1").expect("a name"), Scale::HO));
    let [side, end, plan] = views(&record, System::Both);
    for words in [
        "length of the body",
        "truck centres",
        "wheel diameter",
        "height of the body",
    ] {
        assert!(
            side.description.contains(words),
            "{words}: {}",
            side.description
        );
    }
    assert!(side.description.contains("A end, coupler: not checked."));
    assert!(end.svg.contains("not measured") && end.description.contains("tread width"));
    assert!(plan.description.contains("Axle 1: back-to-back not read."));
    assert!(side.svg.contains("stroke-dasharray"));
    let known = story("QVL 101");
    assert!(
        !views(&known, System::Both)[0]
            .description
            .contains("truck centres")
    );
}

#[test]
fn a_car_of_which_nothing_is_known_is_drawn_without_words_running_together() {
    for scale in Scale::all() {
        let mark = CarMark::new(&"M".repeat(40)).expect("the longest name");
        for drawing in views(&Record::new(Car::new(mark.clone(), scale)), System::Both) {
            sound(&drawing).unwrap_or_else(|why| panic!("{scale}: {why}"));
            words_fit(&drawing).unwrap_or_else(|why| panic!("{scale}: {why}"));
        }
    }
}

#[test]
fn every_picture_of_the_story_cars_is_sound() {
    for story in STORIES {
        let record = story.record(SEED);
        let inspection = judged(&record);
        for system in [System::Both, System::Metric, System::Inch] {
            let margins = inspection
                .lines
                .iter()
                .map(|line| drawing::margin(line, system));
            for drawing in views(&record, system).into_iter().chain(margins) {
                sound(&drawing).unwrap_or_else(|why| panic!("{}: {why}", story.mark));
                words_fit(&drawing).unwrap_or_else(|why| panic!("{}: {why}", story.mark));
            }
        }
    }
}

#[test]
fn the_same_car_gives_the_same_picture() {
    let record = story("QVL 104");
    assert_eq!(views(&record, System::Both), views(&record, System::Both));
}

#[test]
fn golden_pictures() {
    let files = [
        ("zbr-107-side", include_str!("../golden/zbr-107-side.svg")),
        ("qvl-101-end", include_str!("../golden/qvl-101-end.svg")),
        ("qvl-104-plan", include_str!("../golden/qvl-104-plan.svg")),
        (
            "zbr-107-margin-coupler-height-b-end",
            include_str!("../golden/zbr-107-margin-coupler-height-b-end.svg"),
        ),
    ];
    let low = story("ZBR 107");
    let inspection = judged(&low);
    let height = inspection.line(Aspect::Limited(Limited::CouplerHeight), Place::End(End::B));
    let drawn = [
        views(&low, System::Both)[0].clone(),
        views(&story("QVL 101"), System::Both)[1].clone(),
        views(&story("QVL 104"), System::Both)[2].clone(),
        drawing::margin(height.expect("judged"), System::Both),
    ];
    for ((name, golden), drawn) in files.into_iter().zip(drawn) {
        // The files have an element a line, so that a change shows what changed.
        let drawn = drawn.svg.replace("><", ">\n<");
        let other = golden
            .lines()
            .zip(drawn.lines())
            .find(|(one, other)| one != other);
        assert!(
            golden.trim_end() == drawn,
            "{name} changed, first in {other:?}; look at the new one, which the example draw_stories \
             writes, and if it is right put it into tests/golden"
        );
    }
}
