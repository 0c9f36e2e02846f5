//! Readings as typed: from fields to entries of the record, all of them or none.

use gradeworthy_store::{Append, Basis, Bench, ClientId, Fact, Receipt, Snapshot, Version};
use gradeworthy_units::Reader;
use gradeworthy_workbench::record::{Answer, Entry, Kind, Measure, Place, Value};

use super::{InHand, doubt};
use crate::App;
use crate::guard::Caller;
use crate::refusal::Refusal;
use crate::words::{place_from_key, place_key};

/// One reading as typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct TypedReading {
    pub(crate) measure: Measure,
    pub(crate) place: Place,
    pub(crate) text: String,
    pub(crate) instrument: Option<String>,
    /// Whether the typist was asked and means it.
    pub(crate) sure: bool,
}

impl TypedReading {
    /// The name of its field.
    pub(crate) fn field(&self) -> String {
        field(self.measure, self.place)
    }
}

/// Why a reading is not entered as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// It cannot be taken.
    Wrong(String),
    /// It may be a slip; said to be meant, it is taken.
    Doubted(String),
}

impl Fault {
    /// In words.
    pub(crate) fn words(&self) -> &str {
        match self {
            Self::Wrong(why) | Self::Doubted(why) => why,
        }
    }
}

/// Readings of one sending.
pub(crate) struct Sending {
    pub(crate) client_id: ClientId,
    pub(crate) seen: Version,
    pub(crate) readings: Vec<TypedReading>,
}

/// The name of the field for a reading.
pub(crate) fn field(measure: Measure, place: Place) -> String {
    format!(
        "read.{}.{}",
        measure.name().replace(' ', "_"),
        place_key(place)
    )
}

/// The reading that a field is for.
pub(crate) fn spot(field: &str) -> Option<(Measure, Place)> {
    let (measure, place) = field.strip_prefix("read.")?.split_once('.')?;
    Some((Measure::from_name(measure)?, place_from_key(place)?))
}

/// An entry, or what is wrong with what was typed.
fn entry(
    app: &App,
    snapshot: &Snapshot<'_>,
    hand: &InHand,
    typed: &TypedReading,
) -> Result<Result<Entry, Fault>, Refusal> {
    let value = match value(hand, typed) {
        Ok(value) => value,
        Err(why) => return Ok(Err(Fault::Wrong(why))),
    };
    if let (Value::Quantity(quantity), false) = (&value, typed.sure) {
        let spot = (typed.measure, typed.place);
        if let Some(question) = doubt::question(snapshot, hand, spot, quantity)? {
            return Ok(Err(Fault::Doubted(question)));
        }
    }
    Ok(Ok(Entry {
        measure: typed.measure,
        place: typed.place,
        value,
        instrument: typed.instrument.as_deref().map(Into::into),
        on: Some(app.today()),
    }))
}

fn value(hand: &InHand, typed: &TypedReading) -> Result<Value, String> {
    let TypedReading {
        measure,
        place,
        text,
        ..
    } = typed;
    if place.kind() != measure.place_kind() {
        return Err(format!("{measure} is not read at {place}"));
    }
    match measure.kind() {
        Kind::Answer => Answer::from_spelling(text)
            .map(Value::Answer)
            .ok_or_else(|| format!("'{text}' is no answer: write good, fair or poor")),
        Kind::Quantity(dimension) => {
            let ratio = hand.own.record.car.scale.ratio();
            let reader = Reader::new(hand.book.bare.of(dimension)).with_ratio(ratio);
            let typed = reader.read(text).map_err(|error| error.to_string())?;
            Ok(Value::Quantity(typed))
        }
    }
}

/// What is wrong with each reading of a sending, by field.
pub(crate) fn faults(
    app: &App,
    snapshot: &Snapshot<'_>,
    hand: &InHand,
    readings: &[TypedReading],
) -> Result<Vec<(String, Fault)>, Refusal> {
    let mut faults = Vec::new();
    for typed in readings {
        if let Err(fault) = entry(app, snapshot, hand, typed)? {
            faults.push((typed.field(), fault));
        }
    }
    Ok(faults)
}

/// Enters the readings of a sending, and takes away what was kept of them while they were typed.
pub(crate) fn enter(
    app: &App,
    caller: &Caller,
    hand: &InHand,
    bench: Option<&Bench>,
    sending: &Sending,
) -> Result<Receipt, Refusal> {
    let snapshot = app.store().snapshot()?;
    let mut facts = Vec::with_capacity(sending.readings.len());
    let mut faults = Vec::new();
    for typed in &sending.readings {
        match entry(app, &snapshot, hand, typed)? {
            Ok(entry) => facts.push((
                derived(sending.client_id, &typed.field()),
                Fact::Read(entry),
            )),
            Err(fault) => faults.push(format!(
                "{} at {}: {}",
                typed.measure,
                typed.place,
                fault.words()
            )),
        }
    }
    drop(snapshot);
    if !faults.is_empty() {
        return Err(Refusal::Reading { faults });
    }
    let fields = sending.readings.iter().map(|own| own.field().into());
    Ok(app.store().append(Append {
        car: hand.row.car,
        by: caller.member.id,
        second: None,
        at: app.now(),
        basis: Basis::Seen(sending.seen),
        facts,
        drafts_done: bench.map(|bench| (bench.clone(), fields.collect())),
    })?)
}

/// The identity of one fact of a sending: it follows from the sending's and the field's name, so that
/// a form sent twice enters every reading once.
pub(crate) fn derived(sending: ClientId, field: &str) -> ClientId {
    sending.derived(field)
}
