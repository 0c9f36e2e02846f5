//! Facts as sentences.

use gradeworthy_store::{Fact, Ownership};
use gradeworthy_workbench::record::{Entry, Value};

use crate::App;
use crate::members::Names;
use crate::words;

/// One fact as a sentence.
pub(crate) fn sentence(app: &App, names: &Names, fact: &Fact) -> String {
    let more = |text: &str| {
        if text.is_empty() {
            String::new()
        } else {
            format!(": {text}")
        }
    };
    match fact {
        Fact::Lettered(mark) => format!("Lettered {mark}"),
        Fact::Owned(Ownership { owner, member }) => match (owner, member) {
            (_, Some(member)) => format!("Owned by {}", names.name(*member)),
            (Some(owner), None) => format!("Owned by {owner}"),
            (None, None) => "Owner not known".to_owned(),
        },
        Fact::Described(details) => {
            let letters = details.car_type.as_ref().map_or("", |own| own.as_str());
            format!(
                "Described: {} {letters} {}",
                details.scale,
                details.description.as_deref().unwrap_or("")
            )
        }
        Fact::Fitted(fitting) => format!(
            "Fitted {}, {}: {}{}",
            fitting.part,
            fitting.place,
            fitting.description,
            fitting
                .lot
                .as_deref()
                .map(|lot| format!(", lot {lot}"))
                .unwrap_or_default()
        ),
        Fact::Read(entry) => format!("Read {}", reading(entry)),
        Fact::Inspected(own) => format!("Judged under edition {}: {}", own.edition, own.verdict),
        Fact::Cured(cure) => format!("Cure, {} at {}{}", cure.cure, cure.place, more(&cure.note)),
        Fact::Noted(text) => format!("Note: {text}"),
        Fact::Consented {
            work,
            granted,
            word,
        } => {
            let says = if *granted { "allows" } else { "refuses" };
            format!("The owner {says} work on {work}{}", more(word))
        }
        Fact::Asked { work, what } => {
            format!("The owner is asked about work on {work}{}", more(what))
        }
        Fact::Struck { struck, why } => format!("Struck entry {struck}{}", more(why)),
        Fact::BadOrdered(report) => {
            format!(
                "Bad-ordered: {}, {}{}",
                report.defect,
                report.place,
                more(&report.note)
            )
        }
        Fact::Merged { duplicate, into } => format!("Report {duplicate} is the same as {into}"),
        Fact::Rested { not_before, why } => {
            format!(
                "To rest until {}{}",
                words::time(app, *not_before),
                more(why)
            )
        }
        Fact::Waiting { wait_for, what } => format!("Waits for {wait_for}{}", more(what)),
        Fact::WaitEnded { wait, note } => format!("Wait {wait} is over{}", more(note)),
        Fact::HandedBack { why } => format!("Back to its owner{}", more(why)),
        Fact::TakenIn { why } => format!("Taken in again{}", more(why)),
        Fact::Released {
            restriction: None,
            note,
        } => format!("Admitted{}", more(note)),
        Fact::Released {
            restriction: Some(limit),
            note,
        } => format!("Admitted, limited: {limit}{}", more(note)),
        Fact::Photographed(photo) => format!("Photograph{}", more(&photo.caption)),
    }
}

fn reading(entry: &Entry) -> String {
    let value = match &entry.value {
        Value::Quantity(typed) if typed.unit_was_typed => typed.text.to_string(),
        Value::Quantity(typed) => format!("{} {}", typed.text, typed.unit.symbol()),
        Value::Answer(answer) => answer.to_string(),
    };
    let with = entry.instrument.as_deref().map(|own| format!(" by {own}"));
    format!(
        "{} at {}: {value}{}",
        entry.measure,
        entry.place,
        with.unwrap_or_default()
    )
}
