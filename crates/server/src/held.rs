//! The fleet held in memory, and kept up with the record.
//!
//! It is filled from the record when it is first asked for. After that, every question first takes in
//! the cars of which something was entered since, and judges all anew when another edition comes into
//! force or another day begins.

use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard};

use gradeworthy_fleet::{BenchTimes, CarFacts, Fitted, Fleet, FleetError, Query, Row, Under};
use gradeworthy_store::{Action, CarId, Fitting, FleetStock, MemberId, Permission, Seq, Snapshot};
use gradeworthy_workbench::record::Place;
use gradeworthy_workbench::shop::Shop;

use crate::App;
use crate::books::number_holding;
use crate::guard::Caller;
use crate::refusal::Refusal;

/// The fleet, once somebody has asked for it.
#[derive(Default)]
pub(crate) struct Held(RwLock<Option<Known>>);

/// The fleet as it was after one event of the record.
pub(crate) struct Known {
    pub(crate) fleet: Fleet,
    pub(crate) times: BenchTimes,
    shop: Arc<Shop>,
    seen: Seq,
}

impl App {
    /// Looks at the fleet as the record has it now.
    pub(crate) fn with_fleet<T>(
        &self,
        look: impl FnOnce(&Known) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let held = &self.held().0;
        let guard = held.read().unwrap_or_else(PoisonError::into_inner);
        let guard = if is_of_now(self, &guard)? {
            guard
        } else {
            drop(guard);
            let mut writing = held.write().unwrap_or_else(PoisonError::into_inner);
            // A failure half way leaves nothing half true: the next question fills it again.
            let known = keep_up(self, writing.take())?;
            *writing = Some(known);
            drop(writing);
            held.read().unwrap_or_else(PoisonError::into_inner)
        };
        match &*guard {
            Some(known) => look(known),
            None => Err(Refusal::Stopping),
        }
    }
}

fn is_of_now(app: &App, guard: &RwLockReadGuard<'_, Option<Known>>) -> Result<bool, Refusal> {
    let Some(known) = &**guard else {
        return Ok(false);
    };
    let snapshot = app.store().snapshot()?;
    let under = known.fleet.under();
    Ok(known.seen == snapshot.last_event()?
        && under.day == app.today()
        && under.book.edition == number_holding(&snapshot, app.today())?)
}

fn keep_up(app: &App, known: Option<Known>) -> Result<Known, Refusal> {
    let snapshot = app.store().snapshot()?;
    let day = app.today();
    let book = app.books().holding(&snapshot, day)?;
    let seen = snapshot.last_event()?;
    let Some(mut known) = known else {
        let shop = Arc::new(app.settings().shop.clone());
        return fill(&snapshot, Under { book, shop, day }, seen);
    };
    for car in snapshot.cars_since(known.seen)? {
        let own = snapshot.stock_of(car)?;
        put(&mut known.fleet, &own)?;
    }
    known.seen = seen;
    let under = known.fleet.under();
    if under.day != day || under.book.edition != book.edition {
        let shop = Arc::clone(&known.shop);
        known.fleet.judge_under(Under { book, shop, day });
    }
    Ok(known)
}

fn fill(snapshot: &Snapshot<'_>, under: Under, seen: Seq) -> Result<Known, Refusal> {
    let shop = Arc::clone(&under.shop);
    let mut fleet = Fleet::new(under);
    let mut times = BenchTimes::default();
    let mut wrong = Ok(());
    snapshot.each_stock(|own| {
        let entries = own.record.entries.iter();
        for (entry, (at, by)) in entries.zip(&own.entered) {
            let car = own.row.car.number();
            times.note(by.number(), car, *at, entry.measure.check());
        }
        if let (Ok(()), Err(error)) = (&wrong, put(&mut fleet, &own)) {
            wrong = Err(error);
        }
    })?;
    wrong?;
    Ok(Known {
        fleet,
        times,
        shop,
        seen,
    })
}

fn put(fleet: &mut Fleet, own: &FleetStock) -> Result<Row, Refusal> {
    let row = &own.row;
    let facts = CarFacts {
        key: row.car.number(),
        owner_member: row.owner_member.map(MemberId::number),
        state: row.standing.name(),
        since: row.since,
        parts: parts(&own.fitted),
    };
    let wrong = |error: FleetError| Refusal::Fault {
        what: error.to_string(),
    };
    fleet.put(facts, &own.record).map_err(wrong)
}

/// The parts a car has: a later one takes the place of those it must have replaced, which are the ones of
/// its kind at its place, or all of its kind where it was fitted to the whole car.
fn parts(fitted: &[Fitting]) -> Vec<Fitted> {
    let mut parts: Vec<Fitted> = Vec::new();
    for fitting in fitted {
        let part = fitting.part.name();
        parts.retain(|own| {
            own.part != part || (own.place != fitting.place && fitting.place != Place::Car)
        });
        parts.push(Fitted {
            part,
            place: fitting.place,
            description: fitting.description.clone(),
            lot: fitting.lot.clone(),
        });
    }
    parts
}

impl Known {
    /// The cars that `query` means, of those that the caller may see.
    pub(crate) fn find(&self, caller: &Caller, mut query: Query) -> Vec<Row> {
        if caller.member.role.may(Action::SeeFleet) != Permission::Yes {
            query.owner_member = Some(caller.member.id.number());
        }
        self.fleet.find(&query)
    }

    /// The record's number of a car.
    pub(crate) fn car(&self, row: Row) -> CarId {
        CarId::from_number(self.fleet.cars()[row].facts.key)
    }
}

#[cfg(test)]
mod tests {
    use gradeworthy_store::Part;

    use super::*;

    fn fitting(part: Part, place: Place, lot: &str) -> Fitting {
        Fitting {
            part,
            place,
            description: "invented".into(),
            lot: Some(lot.into()),
        }
    }

    #[test]
    fn a_part_takes_the_place_of_the_one_before_it() {
        let lots = |fitted: &[Fitting]| -> Vec<String> {
            let parts = parts(fitted);
            let lots = parts.iter().filter_map(|own| own.lot.as_deref());
            lots.map(ToOwned::to_owned).collect()
        };
        let mut fitted = vec![
            fitting(Part::Wheelset, Place::Car, "A"),
            fitting(Part::Coupler, Place::Car, "C"),
            fitting(Part::Wheelset, Place::Axle(2), "B"),
        ];
        assert_eq!(lots(&fitted), ["A", "C", "B"]);
        fitted.push(fitting(Part::Wheelset, Place::Axle(2), "D"));
        assert_eq!(lots(&fitted), ["A", "C", "D"]);
        fitted.push(fitting(Part::Wheelset, Place::Car, "E"));
        assert_eq!(lots(&fitted), ["C", "E"]);
    }
}
