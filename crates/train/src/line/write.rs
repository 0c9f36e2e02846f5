//! From a design to the records that both file forms are written from.

use gradeworthy_units::Typed;

use super::design::{
    Bend, CantStretch, Extent, LineDesign, Place, PlanPiece, PlanShape, ProfilePiece, ProfileShape,
    VerticalLength, Whereabouts,
};
use super::record::{Record, Section};

/// The records of a design, in the order of the file.
pub(super) fn records(design: &LineDesign) -> Vec<Record> {
    let text = |typed: &Option<Typed>| typed.as_ref().map(|typed| typed.text.to_string());
    let scale = design.scale.map(|scale| {
        let (prototype, model) = scale.parts();
        format!("{prototype}:{model}")
    });
    let line = Record::new(Section::Line, 0)
        .with("name", &design.name)
        .with_some("scale", scale.as_deref())
        .with("units", design.unit.symbol())
        .with_some("gauge", text(&design.gauge).as_deref())
        .with_some("rail_spacing", text(&design.rail_spacing).as_deref())
        .with("closed", if design.closed { "true" } else { "false" })
        .with_some("start_height", text(&design.start_height).as_deref())
        .with_some("note", design.note.as_deref());
    let mut records = vec![line];
    records.extend(design.plan.iter().map(plan));
    records.extend(design.profile.iter().map(profile));
    records.extend(design.cant.iter().map(cant));
    records.extend(design.places.iter().map(place));
    records
}

fn plan(piece: &PlanPiece) -> Record {
    let record = Record::new(Section::Plan, 0);
    let record = match &piece.shape {
        PlanShape::Tangent { length } => record
            .with("shape", "tangent")
            .with("length", &*length.text),
        PlanShape::Easement { length } => record
            .with("shape", "easement")
            .with("length", &*length.text),
        PlanShape::Arc { turn, bend, extent } => {
            let record = record.with("shape", "arc").with("turn", turn.word());
            let record = match bend {
                Bend::Radius(radius) => record.with("radius", &*radius.text),
                Bend::Degree(degree) => record.with("degree", &*degree.text),
            };
            match extent {
                Extent::Angle(angle) => record.with("angle", &*angle.text),
                Extent::Length(length) => record.with("length", &*length.text),
            }
        }
    };
    record.with_some("note", piece.note.as_deref())
}

fn profile(piece: &ProfilePiece) -> Record {
    let record = Record::new(Section::Profile, 0);
    let record = match &piece.shape {
        ProfileShape::Grade { grade, length } => {
            let length = length.as_ref().map_or("rest", |length| &length.text);
            record
                .with("shape", "grade")
                .with("grade", &*grade.text)
                .with("length", length)
        }
        ProfileShape::VerticalCurve { length } => {
            let record = record.with("shape", "vertical curve");
            match length {
                VerticalLength::Length(length) => record.with("length", &*length.text),
                VerticalLength::PerPercent(rate) => record.with("per_percent", &*rate.text),
            }
        }
    };
    record.with_some("note", piece.note.as_deref())
}

fn cant(stretch: &CantStretch) -> Record {
    Record::new(Section::Cant, 0)
        .with("from", &*stretch.from.text)
        .with("to", &*stretch.to.text)
        .with("height", &*stretch.height.text)
        .with("high", stretch.high.word())
        .with("ramp_in", &*stretch.ramp_in.text)
        .with("ramp_out", &*stretch.ramp_out.text)
        .with_some("note", stretch.note.as_deref())
}

fn place(place: &Place) -> Record {
    let record = Record::new(Section::Place, 0).with("name", &place.name);
    let record = match &place.where_it_is {
        Whereabouts::At(at) => record.with("at", &*at.text),
        Whereabouts::Range(from, to) => record.with("from", &*from.text).with("to", &*to.text),
    };
    record.with_some("note", place.note.as_deref())
}
