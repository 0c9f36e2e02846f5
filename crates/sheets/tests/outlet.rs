//! What is written out is read back: cars, readings, cures, units, days.

use gradeworthy_sheets::intake::{Intake, Taking, take};
use gradeworthy_sheets::{DelimitedStyle, outlet, read, write_delimited, write_xlsx};
use gradeworthy_units::{DecimalMark, Length, Reader, Unit};
use gradeworthy_workbench::cures::CureKind;
use gradeworthy_workbench::record::{
    Answer, Axles, CarMark, CarType, Entry, Measure, Place, Record, Value,
};
use gradeworthy_workbench::rules::RuleBook;

fn taken(bytes: &[u8]) -> Intake {
    let book = RuleBook::starter().expect("the starter rule book");
    let workbook = read(bytes).expect("a sheet");
    let taking = Taking {
        book: &book,
        scale: None,
    };
    let intake = take(&workbook, taking, &mut |_, _| {});
    let refusals: Vec<_> = intake.refusals().map(ToString::to_string).collect();
    assert_eq!(refusals, Vec::<String>::new());
    intake
}

/// The invented fleet, and a car with everything that is hard to write.
fn fleet() -> Vec<Record> {
    let mut records = gradeworthy_demo::fleet(gradeworthy_demo::SEED, 150);
    let mut car = records[0].car.clone();
    car.mark = CarMark::new("ÄÖ 7, \"x\"").expect("a mark");
    car.car_type = Some(CarType::new("FM"));
    car.description = Some("=1+1; flat, \"long\"".into());
    car.tags = vec!["brass".into(), "open top".into()];
    car.figures.axles = Axles::Six;
    car.figures.body_length = Some(Length::from_nanometres(153_987_651));
    car.figures.bolster_shims[1] = vec![Length::from_thousandths(10), Length::from_thousandths(5)];
    let mut hard = Record::new(car);
    let quantity = |measure, place, unit, text| Entry {
        measure,
        place,
        value: Value::Quantity(Reader::new(unit).read(text).expect("a reading")),
        instrument: Some("the club's caliper".into()),
        on: Some(jiff::civil::date(2026, 11, 24)),
    };
    hard.note_done(CureKind::WheelsetChanged, None);
    let gauge = Place::Station(1, 2);
    hard.entries
        .push(quantity(Measure::BackToBack, gauge, Unit::Inch, ".5660"));
    hard.entries
        .push(quantity(Measure::BackToBack, gauge, Unit::Inch, "14,38 mm"));
    let on = Some(jiff::civil::date(2026, 11, 25));
    hard.note_done(CureKind::WheelMoved, on);
    hard.entries
        .push(quantity(Measure::Weight, Place::Car, Unit::Ounce, "4 1/8"));
    hard.entries.push(quantity(
        Measure::RollGrade,
        Place::Car,
        Unit::Percent,
        "1 in 70",
    ));
    hard.entries.push(Entry {
        measure: Measure::WheelDirt,
        place: Place::Axle(3),
        value: Value::Answer(Answer::Fair),
        instrument: None,
        on: None,
    });
    records.push(hard);
    records
}

/// The record as it comes back: a decimal comma has become a point.
fn with_points(mut record: Record) -> Record {
    for entry in &mut record.entries {
        if let Value::Quantity(typed) = &mut entry.value {
            typed.text = typed.text.replace(',', ".").into();
        }
    }
    record
}

fn same(intake: &Intake, records: &[Record]) {
    assert_eq!(intake.records.len(), records.len());
    for (back, record) in intake.records.iter().zip(records) {
        assert_eq!(*back, with_points(record.clone()));
    }
}

#[test]
fn a_workbook_of_cars_and_readings_comes_back_whole() {
    let records = fleet();
    let tables = [outlet::cars(&records), outlet::readings(&records)];
    same(&taken(&write_xlsx(&tables).expect("a workbook")), &records);
}

#[test]
fn text_files_come_back_whole_whatever_stands_between_fields() {
    let records = fleet();
    for separator in [
        gradeworthy_sheets::Separator::Comma,
        gradeworthy_sheets::Separator::Semicolon,
    ] {
        let style = DelimitedStyle {
            separator,
            mark: DecimalMark::Point,
            byte_order_mark: true,
            guard_formulas: false,
        };
        let cars = write_delimited(&outlet::cars(&records), style).expect("cars");
        let readings = write_delimited(&outlet::readings(&records), style).expect("readings");
        let (cars, readings) = (taken(&cars), taken(&readings));
        for (index, record) in records.iter().enumerate() {
            assert_eq!(cars.records[index].car, record.car);
            let back = &readings.records[index];
            let own = with_points(record.clone());
            assert_eq!((&back.entries, &back.done), (&own.entries, &own.done));
        }
    }
}
