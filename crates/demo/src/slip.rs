//! Writing entries the way a person at the bench would type them.

use gradeworthy_units::{Reader, Unit};
use gradeworthy_workbench::record::{Answer, Entry, Measure, Place, Record, Value};
use jiff::civil::Date;

/// A record being filled on one day.
pub(crate) struct Slip<'a> {
    record: &'a mut Record,
    on: Date,
}

impl<'a> Slip<'a> {
    pub(crate) fn on(record: &'a mut Record, on: Date) -> Self {
        Self { record, on }
    }

    /// Types `text` as a reading; the demo's own texts are well formed.
    pub(crate) fn typed(&mut self, measure: Measure, place: Place, text: &str, tool: &str) {
        let unit = bare_unit(measure);
        let typed = Reader::new(unit).read(text);
        let value = Value::Quantity(typed.expect("the demo types well-formed readings"));
        self.push(measure, place, value, Some(tool));
    }

    /// A length in inches, to the half thousandth that a caliper shows.
    pub(crate) fn caliper(&mut self, measure: Measure, place: Place, mm: f64) {
        let half_thousandths = (mm / 25.4 * 2000.0).round() / 2000.0;
        self.typed(
            measure,
            place,
            &format!("{half_thousandths:.4} in"),
            "caliper",
        );
    }

    /// A gap by feeler, to a hundredth of a millimetre.
    pub(crate) fn feeler(&mut self, measure: Measure, place: Place, mm: f64) {
        self.typed(measure, place, &format!("{:.2} mm", mm.max(0.0)), "feeler");
    }

    pub(crate) fn answer(&mut self, measure: Measure, place: Place, answer: Answer) {
        self.push(measure, place, Value::Answer(answer), None);
    }

    /// Replaces what was read at a place, as if it had been read so in the first place.
    pub(crate) fn amend(&mut self, measure: Measure, place: Place, text: &str, tool: &str) {
        self.record
            .entries
            .retain(|entry| (entry.measure, entry.place) != (measure, place));
        self.typed(measure, place, text, tool);
    }

    /// Changes what the record calls the car.
    pub(crate) fn call_it(&mut self, description: &str) {
        self.record.car.description = Some(description.into());
    }

    fn push(&mut self, measure: Measure, place: Place, value: Value, tool: Option<&str>) {
        self.record.entries.push(Entry {
            measure,
            place,
            value,
            instrument: tool.map(Into::into),
            on: Some(self.on),
        });
    }
}

/// The demo writes its units out; this is only what a reader needs to know the dimension.
fn bare_unit(measure: Measure) -> Unit {
    use gradeworthy_units::Dimension;
    use gradeworthy_workbench::record::Kind;
    match measure.kind() {
        Kind::Answer | Kind::Quantity(Dimension::Length) => Unit::Inch,
        Kind::Quantity(Dimension::Mass) => Unit::Ounce,
        Kind::Quantity(Dimension::Angle) => Unit::Degree,
        Kind::Quantity(Dimension::Grade) => Unit::Percent,
        Kind::Quantity(Dimension::Time) => Unit::Second,
        Kind::Quantity(Dimension::Force) => Unit::GramForce,
    }
}
