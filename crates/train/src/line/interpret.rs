//! From records to a design, with every mistake found on the way.

use gradeworthy_units::{Dimension, Ratio, Reader, Typed, Unit};

use super::design::{
    Bend, CantStretch, Extent, LineDesign, Place, PlanPiece, PlanShape, ProfilePiece, ProfileShape,
    Side, VerticalLength, Whereabouts,
};
use super::error::{LineFileError, LineFileErrors};
use super::record::{Field, Record, Section};
use super::scale_text::scale;

/// The design that `records` describe, or everything wrong with them beside `errors`.
pub(super) fn interpret(
    records: &[Record],
    mut errors: Vec<LineFileError>,
) -> Result<LineDesign, LineFileErrors> {
    let heads: Vec<_> = records
        .iter()
        .filter(|record| record.section == Section::Line)
        .collect();
    if heads.len() != 1 {
        let line = heads.last().map_or(1, |head| head.line);
        errors.push(LineFileError::OneLine {
            line,
            found: heads.len(),
        });
    }
    let empty = Record::new(Section::Line, 1);
    let mut reading = Reading {
        errors,
        ratio: None,
        unit: Unit::Millimetre,
    };
    let mut design = reading.head(heads.first().copied().unwrap_or(&empty));
    for record in records {
        reading.refuse_unknown_keys(record);
        match record.section {
            Section::Line => {}
            Section::Plan => design.plan.extend(reading.plan(record)),
            Section::Profile => design.profile.extend(reading.profile(record)),
            Section::Cant => design.cant.extend(reading.cant(record)),
            Section::Place => design.places.extend(reading.place(record)),
        }
    }
    if reading.errors.is_empty() {
        Ok(design)
    } else {
        reading.errors.sort_by_key(LineFileError::line);
        Err(LineFileErrors(reading.errors))
    }
}

/// What may be typed for a number.
#[derive(Clone, Copy, PartialEq)]
enum Range {
    Positive,
    NotNegative,
    Any,
}

/// Reads fields and collects what is wrong with them.
struct Reading {
    errors: Vec<LineFileError>,
    ratio: Option<Ratio>,
    unit: Unit,
}

impl Reading {
    fn head(&mut self, record: &Record) -> LineDesign {
        self.ratio = self
            .field(record, "scale")
            .and_then(|field| self.scale(field));
        self.unit = self
            .field(record, "units")
            .and_then(|field| self.length_unit(field))
            .unwrap_or(Unit::Millimetre);
        let name = record.text("name").map(str::to_owned);
        if name.is_none() && !record.fields.is_empty() {
            self.missing(record, "name", "a name for the line");
        }
        LineDesign {
            name: name.unwrap_or_default(),
            scale: self.ratio,
            unit: self.unit,
            gauge: self.optional(record, "gauge", self.unit, Range::Positive),
            rail_spacing: self.optional(record, "rail_spacing", self.unit, Range::Positive),
            closed: self.closed(record),
            start_height: self.optional(record, "start_height", self.unit, Range::Any),
            note: note(record),
            plan: Vec::new(),
            profile: Vec::new(),
            cant: Vec::new(),
            places: Vec::new(),
        }
    }

    fn plan(&mut self, record: &Record) -> Option<PlanPiece> {
        let shape = match self.word(record, "shape", &["tangent", "arc", "easement"])? {
            "tangent" => PlanShape::Tangent {
                length: self.length(record, "length")?,
            },
            "easement" => PlanShape::Easement {
                length: self.length(record, "length")?,
            },
            _ => self.arc(record)?,
        };
        Some(PlanPiece {
            shape,
            note: note(record),
        })
    }

    fn arc(&mut self, record: &Record) -> Option<PlanShape> {
        let turn = self.side(record, "turn");
        let bend = match self.one_of(
            record,
            "radius",
            "degree",
            "a radius, or the degree of curve",
        )? {
            "radius" => Bend::Radius(self.length(record, "radius")?),
            _ => Bend::Degree(self.required(record, "degree", Unit::Degree, Range::Positive)?),
        };
        let extent = match self.one_of(
            record,
            "angle",
            "length",
            "the angle it turns, or its length",
        )? {
            "angle" => {
                Extent::Angle(self.required(record, "angle", Unit::Degree, Range::Positive)?)
            }
            _ => Extent::Length(self.length(record, "length")?),
        };
        Some(PlanShape::Arc {
            turn: turn?,
            bend,
            extent,
        })
    }

    fn profile(&mut self, record: &Record) -> Option<ProfilePiece> {
        let shape = if self.word(record, "shape", &["grade", "vertical curve"])? == "grade" {
            let grade = self.required(record, "grade", Unit::Percent, Range::Any);
            let length = match record.text("length") {
                Some("rest") => None,
                _ => Some(self.length(record, "length")?),
            };
            ProfileShape::Grade {
                grade: grade?,
                length,
            }
        } else {
            let expected = "its length, or its length for each percent of change";
            let length = match self.one_of(record, "length", "per_percent", expected)? {
                "length" => VerticalLength::Length(self.length(record, "length")?),
                _ => VerticalLength::PerPercent(self.length(record, "per_percent")?),
            };
            ProfileShape::VerticalCurve { length }
        };
        Some(ProfilePiece {
            shape,
            note: note(record),
        })
    }

    fn cant(&mut self, record: &Record) -> Option<CantStretch> {
        let unit = self.unit;
        let from = self.required(record, "from", unit, Range::NotNegative);
        let to = self.length(record, "to");
        let height = self.length(record, "height");
        let high = self.side(record, "high");
        let ramp_in = self.length(record, "ramp_in");
        let ramp_out = self.length(record, "ramp_out");
        Some(CantStretch {
            from: from?,
            to: to?,
            height: height?,
            high: high?,
            ramp_in: ramp_in?,
            ramp_out: ramp_out?,
            note: note(record),
        })
    }

    fn place(&mut self, record: &Record) -> Option<Place> {
        let unit = self.unit;
        let name = record.text("name").map(str::to_owned);
        if name.is_none() {
            self.missing(record, "name", "a name for the place");
        }
        let expected = "where it is, or 'from' and 'to'";
        let where_it_is = if self.one_of(record, "at", "from", expected)? == "at" {
            Whereabouts::At(self.required(record, "at", unit, Range::NotNegative)?)
        } else {
            let from = self.required(record, "from", unit, Range::NotNegative);
            Whereabouts::Range(from?, self.length(record, "to")?)
        };
        Some(Place {
            name: name?,
            where_it_is,
            note: note(record),
        })
    }

    fn field<'r>(&self, record: &'r Record, key: &str) -> Option<&'r Field> {
        record.fields.iter().find(|field| field.key == key)
    }

    fn missing(&mut self, record: &Record, key: &'static str, expected: &'static str) {
        let (line, section) = (record.line, record.section.word());
        self.errors.push(LineFileError::Missing {
            line,
            section,
            key,
            expected,
        });
    }

    fn refuse_unknown_keys(&mut self, record: &Record) {
        let known = record.section.keys();
        for field in record
            .fields
            .iter()
            .filter(|field| !known.contains(&field.key.as_str()))
        {
            self.errors.push(LineFileError::UnknownKey {
                line: field.line,
                section: record.section.word(),
                key: field.key.clone(),
                expected: known.join(", "),
            });
        }
    }

    /// The text of `key`, which must be one of `words`.
    fn word(
        &mut self,
        record: &Record,
        key: &'static str,
        words: &[&'static str],
    ) -> Option<&'static str> {
        let Some(field) = self.field(record, key) else {
            self.missing(record, key, "one of the words that the documentation lists");
            return None;
        };
        let found = words.iter().copied().find(|word| *word == field.text);
        if found.is_none() {
            self.not_a_choice(field, words.join(", "));
        }
        found
    }

    fn not_a_choice(&mut self, field: &Field, expected: String) {
        let (line, key, found) = (field.line, field.key.clone(), field.text.clone());
        self.errors.push(LineFileError::NotAChoice {
            line,
            key,
            found,
            expected,
        });
    }

    fn side(&mut self, record: &Record, key: &'static str) -> Option<Side> {
        let word = self.word(record, key, &["left", "right"])?;
        Some(if word == "left" {
            Side::Left
        } else {
            Side::Right
        })
    }

    fn closed(&mut self, record: &Record) -> bool {
        record.text("closed").is_some()
            && self.word(record, "closed", &["true", "false"]) == Some("true")
    }

    /// Which of two keys stands here, when exactly one does.
    fn one_of(
        &mut self,
        record: &Record,
        first: &'static str,
        second: &'static str,
        expected: &'static str,
    ) -> Option<&'static str> {
        match (record.text(first).is_some(), record.text(second).is_some()) {
            (true, false) => Some(first),
            (false, true) => Some(second),
            (false, false) => {
                self.missing(record, first, expected);
                None
            }
            (true, true) => {
                let (line, section) = (record.line, record.section.word());
                self.errors.push(LineFileError::Both {
                    line,
                    section,
                    first,
                    second,
                });
                None
            }
        }
    }

    fn length(&mut self, record: &Record, key: &'static str) -> Option<Typed> {
        self.required(record, key, self.unit, Range::Positive)
    }

    fn required(
        &mut self,
        record: &Record,
        key: &'static str,
        unit: Unit,
        range: Range,
    ) -> Option<Typed> {
        if self.field(record, key).is_none() {
            let expected = match unit.dimension() {
                Dimension::Length => "a length, such as 300 mm or 12 in",
                Dimension::Angle => "an angle, such as 90 deg",
                Dimension::Grade => "a grade, such as 2 % or 1 in 50",
                Dimension::Mass | Dimension::Time | Dimension::Force => "a number with its unit",
            };
            self.missing(record, key, expected);
        }
        self.optional(record, key, unit, range)
    }

    fn optional(&mut self, record: &Record, key: &str, unit: Unit, range: Range) -> Option<Typed> {
        let field = self.field(record, key)?;
        let reader = Reader::new(unit);
        let reader = self.ratio.map_or(reader, |ratio| reader.with_ratio(ratio));
        let (line, key) = (field.line, field.key.clone());
        match reader.read(&field.text) {
            Ok(typed) => {
                let value = typed.amount.base();
                let expected = match range {
                    Range::Positive if value <= 0.0 => "more than zero",
                    Range::NotNegative if value < 0.0 => "zero or more",
                    Range::Positive | Range::NotNegative | Range::Any => return Some(typed),
                };
                let found = field.text.clone();
                self.errors.push(LineFileError::OutOfRange {
                    line,
                    key,
                    found,
                    expected,
                });
            }
            Err(problem) => self
                .errors
                .push(LineFileError::Unreadable { line, key, problem }),
        }
        None
    }

    fn length_unit(&mut self, field: &Field) -> Option<Unit> {
        let unit =
            Unit::from_spelling(&field.text).filter(|unit| unit.dimension() == Dimension::Length);
        if unit.is_none() {
            let lengths = Unit::all().filter(|unit| unit.dimension() == Dimension::Length);
            let symbols: Vec<_> = lengths.map(Unit::symbol).collect();
            self.not_a_choice(field, symbols.join(", "));
        }
        unit
    }

    /// `1:87.1`, `3048:35` or plain `87`.
    fn scale(&mut self, field: &Field) -> Option<Ratio> {
        let ratio = scale(&field.text);
        if ratio.is_none() {
            self.not_a_choice(field, "a scale, such as 1:87.1, 3048:35 or 160".to_owned());
        }
        ratio
    }
}

fn note(record: &Record) -> Option<String> {
    record.text("note").map(str::to_owned)
}
