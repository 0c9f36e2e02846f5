//! Entering an edition, from a form or from a program alike: read first, so that nothing enters the
//! record that cannot be read back.

use gradeworthy_store::{ClientId, HillEdition, HillKind, NewHillEdition};

use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::refusal::Refusal;

/// An edition as it was sent.
pub(crate) struct NewEdition {
    pub(crate) client_id: ClientId,
    pub(crate) kind: HillKind,
    pub(crate) name: String,
    pub(crate) seen: Option<u32>,
    pub(crate) text: String,
    pub(crate) readings: Option<String>,
    pub(crate) withdrawn: bool,
}

/// Reads it and enters it.
pub(crate) fn save(app: &App, caller: &Caller, new: NewEdition) -> Result<HillEdition, Refusal> {
    let edition = HillEdition {
        item: 0,
        kind: new.kind,
        name: new.name.as_str().into(),
        edition: 0,
        text: new.text.as_str().into(),
        readings: new.readings.as_deref().map(Into::into),
        withdrawn: false,
        entered: app.now(),
        by: caller.member.id,
    };
    match new.kind {
        HillKind::Line => drop(stock::line(&edition)?),
        HillKind::Locomotive => {
            let all = gradeworthy_train::consist::read_power(&new.text);
            let all = all.map_err(|error| stock::faults(&error))?;
            if all.len() != 1 {
                let faults = vec![format!("{} locomotives were sent as one", all.len())];
                return Err(Refusal::Hill { faults });
            }
        }
        HillKind::MakeUp => drop(stock::order(&edition)?),
        HillKind::Scene => drop(stock::scene(&edition)?),
    }
    Ok(app.store().enter_hill(NewHillEdition {
        client_id: new.client_id,
        by: caller.member.id,
        at: app.now(),
        kind: new.kind,
        name: edition.name,
        seen: new.seen,
        text: edition.text,
        readings: edition.readings,
        withdrawn: new.withdrawn,
    })?)
}
