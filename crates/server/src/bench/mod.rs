//! The bench: the car in hand, its checks in order, one reading after another, and what becomes of it.

mod api;
mod arrival;
mod cure;
mod desk;
mod doubt;
mod drafts;
mod ending;
mod fields;
mod figures;
mod lately;
mod live;
mod page;
mod pass;
mod readings;

#[cfg(test)]
mod api_tests;
#[cfg(test)]
mod tests;

pub(crate) use api::{
    __path_bench_json, __path_hand_back_json, __path_readings_json, __path_release_json,
    __path_rest_json, __path_take_in_json, __path_wait_json,
};
pub(crate) use api::{
    bench_json, hand_back_json, readings_json, release_json, rest_json, take_in_json, wait_json,
};
pub(crate) use arrival::{__path_enter_car_json, enter_car, enter_car_json, room};
pub(crate) use cure::{__path_cure_json, CureSent, cure_json};
pub(crate) use drafts::{__path_keep_json, __path_room_json, keep, keep_json, room_json};
pub(crate) use ending::{Ending, EndingSent, by_form, second, second_field, shop_time};
pub(crate) use figures::{__path_figures_json, FiguresSent, figures_json};
pub(crate) use lately::{__path_strike_json, strike, strike_json};
pub(crate) use live::entry;
pub(crate) use page::{bench, read};
pub(crate) use pass::Pass;
pub(crate) use readings::derived;

use std::sync::Arc;

use gradeworthy_store::{CarId, CarRecord, FleetRow, Snapshot};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Inspection, inspect};
use gradeworthy_workbench::cures::{Cure, prescribe};
use gradeworthy_workbench::record::{Check, End, Measure, Place, PlaceKind, Side};
use gradeworthy_workbench::rules::RuleBook;

use crate::App;
use crate::refusal::Refusal;
use crate::request::encoded;

/// Where a car lies on the bench: with a check open, or with the one to go on with.
pub(crate) fn address(car: CarId, check: Option<Check>, pass: Pass) -> String {
    let check = check.map(|own| format!("check={}", encoded(own.name())));
    let pass = (pass == Pass::Quick).then(|| format!("pass={}", pass.name()));
    let asked: Vec<_> = check.into_iter().chain(pass).collect();
    if asked.is_empty() {
        format!("/bench/{car}")
    } else {
        format!("/bench/{car}?{}", asked.join("&"))
    }
}

/// A car with its record judged under the rule book that holds today.
pub(crate) struct InHand {
    pub(crate) row: FleetRow,
    pub(crate) own: CarRecord,
    pub(crate) book: Arc<RuleBook>,
    pub(crate) inspection: Inspection,
    pub(crate) cures: Vec<Cure>,
    /// How many gates the shop's test track has.
    gates: u8,
}

/// Takes a car in hand.
pub(crate) fn take(app: &App, snapshot: &Snapshot<'_>, car: CarId) -> Result<InHand, Refusal> {
    let row = snapshot.car(car)?;
    let own = snapshot.record(car)?;
    let book = app.books().holding(snapshot, app.today())?;
    let shop = &app.settings().shop;
    let inspection = inspect(&own.record, &book, shop, app.today());
    let cures = prescribe(&own.record, &book, shop, &inspection);
    Ok(InHand {
        row,
        own,
        book,
        inspection,
        cures,
        gates: u8::try_from(shop.gates.len()).unwrap_or(u8::MAX),
    })
}

impl InHand {
    /// The check to go on with: of those in the pass, the first that is stale, bad order or required
    /// and not made; else the first not made.
    pub(crate) fn next(&self, pass: Pass) -> Check {
        let verdict = |check: &Check| self.inspection.of(*check);
        let urgent = |check: &Check| match verdict(check) {
            Verdict::Stale | Verdict::BadOrder => true,
            Verdict::NotChecked => self.book.bench.required.contains(check),
            Verdict::Fit | Verdict::Watch => false,
        };
        let unread = |check: &Check| verdict(check) == Verdict::NotChecked;
        let checks = pass.checks(&self.book);
        let found = checks.iter().find(|check| urgent(check));
        let found = found.or_else(|| checks.iter().find(|check| unread(check)));
        found.or(checks.first()).copied().unwrap_or(Check::LookOver)
    }

    /// Everything that can be read for a check on this car, in the order of the work: a timed run has
    /// its grade first and then its gates.
    pub(crate) fn spots(&self, check: Check) -> Vec<(Measure, Place)> {
        let measures = Measure::all().filter(|measure| measure.check() == check);
        let mut spots: Vec<_> = measures
            .flat_map(|measure| {
                let places = self.places(measure.place_kind());
                places.into_iter().map(move |place| (measure, place))
            })
            .collect();
        spots.sort_by_key(|(_, place)| match place {
            Place::Run(run) => (*run, 0),
            Place::Gate(run, gate) => (*run, *gate),
            _ => (0, 0),
        });
        spots
    }

    /// The runs that can be timed: two, which the fit needs, and one more than there are.
    fn runs(&self) -> std::ops::Range<u8> {
        /// As many as the engine reads.
        const MOST: u8 = 9;
        let run = |place: Place| match place {
            Place::Run(run) | Place::Gate(run, _) => run,
            _ => 0,
        };
        let entries = &self.own.record.entries;
        let made = entries.iter().map(|entry| run(entry.place)).max();
        let last = if self.gates == 0 {
            0
        } else {
            (made.unwrap_or(0) + 1).clamp(2, MOST)
        };
        1..last + 1
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
            PlaceKind::Run => self.runs().map(Place::Run).collect(),
            PlaceKind::Gate => self
                .runs()
                .flat_map(|run| (1..=self.gates).map(move |gate| Place::Gate(run, gate)))
                .collect(),
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
