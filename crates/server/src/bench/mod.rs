//! The bench: the car in hand, its checks in order, one reading after another, and what becomes of it.

mod api;
mod arrival;
mod ending;
mod page;
mod readings;

#[cfg(test)]
mod tests;

pub(crate) use api::{
    __path_bench_json, __path_hand_back_json, __path_readings_json, __path_release_json,
    __path_rest_json, __path_wait_json,
};
pub(crate) use api::{
    bench_json, hand_back_json, readings_json, release_json, rest_json, wait_json,
};
pub(crate) use arrival::{enter_car, room};
pub(crate) use ending::{Ending, by_form, cured};
pub(crate) use page::{bench, read};

use gradeworthy_store::{CarId, CarRecord, FleetRow, RuleBookEdition, Snapshot};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::{Check, End, Measure, Place, PlaceKind, Side};
use gradeworthy_workbench::rules::RuleBook;

use crate::App;
use crate::refusal::Refusal;

/// A car with its record judged under the rule book that holds today.
pub(crate) struct InHand {
    pub(crate) row: FleetRow,
    pub(crate) own: CarRecord,
    pub(crate) book: RuleBook,
    pub(crate) inspection: Inspection,
    pub(crate) cures: Vec<Cure>,
}

/// The latest edition that holds today; before the first one holds, the first.
pub(crate) fn rule_book(app: &App, snapshot: &Snapshot<'_>) -> Result<RuleBook, Refusal> {
    Ok(edition_in_force(app, snapshot)?.rules()?)
}

/// The same as it was entered.
pub(crate) fn edition_in_force(
    app: &App,
    snapshot: &Snapshot<'_>,
) -> Result<RuleBookEdition, Refusal> {
    let mut books = snapshot.rule_books()?;
    let today = app.today();
    let holds = books.iter().rposition(|book| book.effective <= today);
    if books.is_empty() {
        return Err(Refusal::NoRuleBook);
    }
    Ok(books.swap_remove(holds.unwrap_or(0)))
}

/// Takes a car in hand.
pub(crate) fn take(app: &App, snapshot: &Snapshot<'_>, car: CarId) -> Result<InHand, Refusal> {
    let row = snapshot.car(car)?;
    let own = snapshot.record(car)?;
    let book = rule_book(app, snapshot)?;
    let shop = &app.settings().shop;
    let inspection = inspect(&own.record, &book, shop, app.today());
    let cures = prescribe(&own.record, &book, shop, &inspection);
    Ok(InHand {
        row,
        own,
        book,
        inspection,
        cures,
    })
}

impl InHand {
    /// The check to go on with: the first that is stale, bad order or required and not made; else the
    /// first not made.
    pub(crate) fn next(&self) -> Check {
        let verdict = |check: &Check| self.inspection.of(*check);
        let urgent = |check: &Check| match verdict(check) {
            Verdict::Stale | Verdict::BadOrder => true,
            Verdict::NotChecked => self.book.bench.required.contains(check),
            Verdict::Fit | Verdict::Watch => false,
        };
        let unread = |check: &Check| verdict(check) == Verdict::NotChecked;
        let mut checks = Check::ALL.into_iter();
        checks
            .clone()
            .find(urgent)
            .or_else(|| checks.find(unread))
            .unwrap_or(Check::LookOver)
    }

    /// Everything that can be read for a check on this car. Timed runs past gates are left out: how
    /// many there are is known only to the sheet they come on.
    pub(crate) fn spots(&self, check: Check) -> Vec<(Measure, Place)> {
        let measures = Measure::all().filter(|measure| measure.check() == check);
        measures
            .flat_map(|measure| {
                let places = self.places(measure.place_kind());
                places.into_iter().map(move |place| (measure, place))
            })
            .collect()
    }

    fn places(&self, kind: PlaceKind) -> Vec<Place> {
        let axles = 1..=self.own.record.car.figures.axles.count();
        let items = u8::try_from(self.book.bench.look_over.len()).unwrap_or(u8::MAX);
        match kind {
            PlaceKind::Car => vec![Place::Car],
            PlaceKind::Axle => axles.map(Place::Axle).collect(),
            PlaceKind::Station => axles
                .flat_map(|axle| [Place::Station(axle, 1), Place::Station(axle, 2)])
                .collect(),
            PlaceKind::Wheel => axles
                .flat_map(|axle| Side::BOTH.map(|side| Place::Wheel(axle, side)))
                .collect(),
            PlaceKind::End => End::BOTH.map(Place::End).to_vec(),
            PlaceKind::Turn => End::BOTH
                .into_iter()
                .flat_map(|end| Side::BOTH.map(|side| Place::Turn(end, side)))
                .collect(),
            PlaceKind::Side => Side::BOTH.map(Place::Side).to_vec(),
            PlaceKind::Item => (1..=items).map(Place::Item).collect(),
            PlaceKind::Gate | PlaceKind::Run => Vec::new(),
        }
    }

    /// What keeps the rule book from admitting the car; nothing where it may join the fleet.
    pub(crate) fn hindrances(&self, app: &App) -> Vec<String> {
        use gradeworthy_store::Standing;
        let mut why = Vec::new();
        for check in Check::ALL {
            match self.inspection.of(check) {
                Verdict::Fit | Verdict::Watch => {}
                Verdict::NotChecked if !self.book.bench.required.contains(&check) => {}
                verdict => why.push(format!("{check} is {verdict}")),
            }
        }
        match &self.row.standing {
            Standing::Resting { not_before } if *not_before > app.now() => {
                why.push(format!(
                    "it rests until {}",
                    crate::words::time(app, *not_before)
                ));
            }
            Standing::WaitingForOwner { what } => {
                why.push(format!("it waits for its owner: {what}"))
            }
            Standing::BackToOwner { .. } => {
                why.push("it is with its owner; take it in first".to_owned())
            }
            Standing::AtBench
            | Standing::Admitted
            | Standing::Limited { .. }
            | Standing::BadOrdered
            | Standing::Resting { .. }
            | Standing::WaitingForParts { .. } => {}
        }
        why
    }
}
