//! Readings as typed: from fields to entries of the record, all of them or none.

use gradeworthy_store::{Append, Basis, ClientId, Fact, Receipt, Version};
use gradeworthy_units::Reader;
use gradeworthy_workbench::record::{Answer, Entry, Kind, Measure, Place, Value, plausible};
use sha2::{Digest, Sha256};

use super::InHand;
use crate::App;
use crate::guard::Caller;
use crate::refusal::Refusal;
use crate::words::{place_from_key, place_key};

/// One reading as typed.
#[derive(Clone, Debug)]
pub(crate) struct TypedReading {
    pub(crate) measure: Measure,
    pub(crate) place: Place,
    pub(crate) text: String,
    pub(crate) instrument: Option<String>,
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
fn entry(app: &App, hand: &InHand, typed: &TypedReading) -> Result<Entry, String> {
    let TypedReading {
        measure,
        place,
        text,
        instrument,
    } = typed;
    if place.kind() != measure.place_kind() {
        return Err(format!("{measure} is not read at {place}"));
    }
    let value = match measure.kind() {
        Kind::Answer => Value::Answer(
            Answer::from_spelling(text)
                .ok_or_else(|| format!("'{text}' is no answer: write good, fair or poor"))?,
        ),
        Kind::Quantity(dimension) => {
            let scale = hand.own.record.car.scale;
            let reader = Reader::new(hand.book.bare.of(dimension)).with_ratio(scale.ratio());
            let typed = reader.read(text).map_err(|error| error.to_string())?;
            if let Some(gauge) = scale.gauge() {
                plausible::check(*measure, typed.amount, gauge)
                    .map_err(|error| error.to_string())?;
            }
            Value::Quantity(typed)
        }
    };
    Ok(Entry {
        measure: *measure,
        place: *place,
        value,
        instrument: instrument.as_deref().map(Into::into),
        on: Some(app.today()),
    })
}

/// What is wrong with each reading of a sending, by field.
pub(crate) fn faults(app: &App, hand: &InHand, readings: &[TypedReading]) -> Vec<(String, String)> {
    let fault = |typed: &TypedReading| {
        let why = entry(app, hand, typed).err()?;
        Some((field(typed.measure, typed.place), why))
    };
    readings.iter().filter_map(fault).collect()
}

/// Enters the readings of a sending.
pub(crate) fn enter(
    app: &App,
    caller: &Caller,
    hand: &InHand,
    sending: &Sending,
) -> Result<Receipt, Refusal> {
    let mut facts = Vec::with_capacity(sending.readings.len());
    let mut faults = Vec::new();
    for typed in &sending.readings {
        match entry(app, hand, typed) {
            Ok(entry) => {
                let id = derived(sending.client_id, &field(typed.measure, typed.place));
                facts.push((id, Fact::Read(entry)));
            }
            Err(why) => faults.push(format!("{} at {}: {why}", typed.measure, typed.place)),
        }
    }
    if !faults.is_empty() {
        return Err(Refusal::Reading { faults });
    }
    Ok(app.store().append(Append {
        car: hand.row.car,
        by: caller.member.id,
        second: None,
        at: app.now(),
        basis: Basis::Seen(sending.seen),
        facts,
        drafts_done: None,
    })?)
}

/// The identity of one fact of a sending: it follows from the sending's and the field's name, so that
/// a form sent twice enters every reading once.
pub(crate) fn derived(sending: ClientId, field: &str) -> ClientId {
    let digest = Sha256::new()
        .chain_update(sending.bytes())
        .chain_update(field)
        .finalize();
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    ClientId::from_bytes(bytes)
}
