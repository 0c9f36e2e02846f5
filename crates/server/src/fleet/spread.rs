//! How a reading is spread over a group of cars, with one car and the limits marked in it.

use axum::extract::State;
use axum::{Extension, Json};
use gradeworthy_fleet::{Fleet, Row, Spread};
use gradeworthy_reports::drawing;
use gradeworthy_reports::words::{System, amount};
use gradeworthy_store::{Action, Permission};
use gradeworthy_units::Amount;
use gradeworthy_workbench::record::{CarMark, Measure, Place};
use gradeworthy_workbench::rules::{Limit, Limited};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::Search;
use super::asked::{self, one_of};
use crate::App;
use crate::guard::Caller;
use crate::held::Known;
use crate::page::{self, Page, Picture, choice, text_field};
use crate::refusal::{Problem, Refusal};
use crate::request::Asked;
use crate::words::place_from_key;

/// What is to be spread; the other fields are those of a search and name the cars.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[serde(default)]
pub(crate) struct SpreadAsked {
    /// The reading, by name; coupler height if not given.
    of: String,
    /// Where it is read; everywhere if not given.
    at: String,
    /// Marks of the car that is marked in the picture.
    car: String,
}

/// A spread with what is marked in it.
struct Shown {
    measure: Measure,
    place: Option<Place>,
    spread: Spread,
    limit: Option<Limit>,
    own: Option<(String, Option<Amount>)>,
    drawing: drawing::Drawing,
}

/// The parts of a group for which quantiles are given.
const PARTS: [(f64, &str); 7] = [
    (0.0, "least"),
    (0.05, "5 % lie below"),
    (0.25, "a quarter lies below"),
    (0.5, "half lie below (median)"),
    (0.75, "three quarters lie below"),
    (0.95, "95 % lie below"),
    (1.0, "greatest"),
];

fn work_out(
    known: &Known,
    caller: &Caller,
    search: &Search,
    asked: &SpreadAsked,
) -> Result<Shown, Refusal> {
    let rows = known.find(caller, search.query(&known.fleet.under().book.bare)?);
    let measure = one_of(&asked.of, "thing that is read", Measure::from_name)?;
    let measure = measure.or(search.reading()?.map(|own| own.0));
    let measure = measure.unwrap_or(Measure::CouplerHeight);
    let place = one_of(&asked.at, "place on a car", place_from_key)?;
    let spread = known.fleet.spread(&rows, measure, place);
    let limit = limit(&known.fleet, &rows, measure);
    let own = match asked.car.trim() {
        "" => None,
        marks => Some(marked(known, caller, marks, measure, place)?),
    };
    let values: Vec<Amount> = spread.readings.iter().map(|own| own.0).collect();
    let drawing = drawing::spread(
        &drawing::Spread {
            what: measure.name(),
            values: &values,
            own: own.as_ref().and_then(|own| own.1),
            lower: limit.as_ref().and_then(|own| own.lower),
            upper: limit.as_ref().and_then(|own| own.upper),
        },
        System::Both,
    );
    Ok(Shown {
        measure,
        place,
        spread,
        limit,
        own,
        drawing,
    })
}

/// The chosen car's marks and reading, the one nearest to a limit where there are several: the least.
fn marked(
    known: &Known,
    caller: &Caller,
    marks: &str,
    measure: Measure,
    place: Option<Place>,
) -> Result<(String, Option<Amount>), Refusal> {
    let unknown = || asked::no_choice(marks, "car that you see; give its whole marks and number");
    let mark = CarMark::new(marks).map_err(|_| unknown())?;
    let all = known.find(caller, gradeworthy_fleet::Query::default());
    let row = all
        .into_iter()
        .find(|row| known.fleet.cars()[*row].car.mark == mark);
    let row = row.ok_or_else(unknown)?;
    let own = known.fleet.spread(&[row], measure, place);
    let reading = own.readings.first().map(|(amount, _)| *amount);
    Ok((mark.to_string(), reading))
}

/// The limit that the rule book sets on the reading itself, where it is one and the same for all the cars.
fn limit(fleet: &Fleet, rows: &[Row], measure: Measure) -> Option<Limit> {
    // A truck's swing and a tilt are judged after some arithmetic, not as they are read.
    let limited = Limited::from_name(measure.name()).filter(|own| *own != Limited::TruckSwing)?;
    let book = &fleet.under().book;
    let of = |row: &Row| {
        let car = &fleet.cars()[*row].car;
        let rules = book.scale(car.scale)?;
        rules.limit(rules.class_of(car), limited)
    };
    let first = rows.first().and_then(of)?;
    rows.iter()
        .all(|row| of(row) == Some(first))
        .then(|| first.clone())
}

impl Shown {
    fn where_words(&self) -> String {
        self.place.map_or_else(
            || "at every place".to_owned(),
            |place| format!("at {place}"),
        )
    }

    /// The picture's content as sentences.
    fn sentence(&self) -> String {
        let (below, above) = self.outside();
        let mut text = format!(
            "{} readings of {} {} on {} cars; {} of the cars have none.",
            self.spread.readings.len(),
            self.measure,
            self.where_words(),
            self.spread.cars,
            self.spread.without
        );
        if self.limit.is_some() {
            text += &format!(" {below} lie below the lower limit and {above} above the upper one.");
        }
        text
    }

    fn outside(&self) -> (usize, usize) {
        let limit = self.limit.as_ref();
        let (lower, upper) = (
            limit.and_then(|own| own.lower),
            limit.and_then(|own| own.upper),
        );
        self.spread.outside(lower, upper)
    }

    fn quantiles(&self) -> Vec<(&'static str, Amount)> {
        let Some((first, _)) = self.spread.readings.first() else {
            return Vec::new();
        };
        let dimension = first.dimension();
        let value = |p| Amount::from_base_rounded(dimension, self.spread.quantile(p)?);
        PARTS
            .iter()
            .filter_map(|(p, words)| Some((*words, value(*p)?)))
            .collect()
    }

    /// How much of the group lies below the chosen car.
    fn standing_of_own(&self) -> Option<String> {
        let (marks, reading) = self.own.as_ref()?;
        let Some(reading) = reading else {
            return Some(format!("{marks} has no such reading."));
        };
        let below = self.spread.readings.iter().filter(|own| own.0 < *reading);
        Some(format!(
            "{marks} reads {}; {} of {} readings lie below it.",
            amount(*reading, System::Both),
            below.count(),
            self.spread.readings.len()
        ))
    }

    fn show(&self) -> Markup {
        html! {
            section {
                h2 { (self.measure) " " (self.where_words()) }
                div.fleet-spread { (Picture(&self.drawing)) }
                p { (self.sentence()) }
                @if let Some(own) = self.standing_of_own() { p { (own) } }
                @if let Some(limit) = &self.limit {
                    p.more { "Limits: " (limit.authority) }
                } @else {
                    p.more { "No limits are marked: the rule book sets none on this reading itself, or not the same one for all of these cars." }
                }
                @if !self.spread.readings.is_empty() {
                    table { caption { "Of all readings" } tbody {
                        @for (words, value) in self.quantiles() { tr {
                            th scope="row" { (words) } td.number { (amount(value, System::Both)) }
                        } }
                    } }
                }
            }
        }
    }
}

/// The spread as a page.
pub(crate) async fn spread_page(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
    Asked(asked): Asked<SpreadAsked>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let (shown, places) = app.with_fleet(|known| {
            let shown = work_out(known, &caller, &search, &asked)?;
            Ok((shown, asked::places(known.fleet.read_places())))
        })?;
        let any = std::iter::once(("", "every place"));
        let at = any.chain(places.iter().map(|(key, name)| (key.as_str(), name.as_str())));
        let body = html! {
            p { "Over " strong { (search.words()) } ". "
                @if caller.member.role.may(Action::SeeFleet) == Permission::Yes {
                    a.button.quiet href={ "/fleet?" (search.text()) } { "Choose other cars" } } }
            section { form.row method="get" {
                @for (name, value) in search.filled() { input type="hidden" name=(name) value=(value); }
                (choice("Reading", "of", shown.measure.name(), asked::measures().skip(1)))
                (choice("at", "at", &asked.at, at))
                (text_field("Mark this car", "car", &asked.car, false))
                button { "Show" }
            } }
            (shown.show())
        };
        Ok(page::room(app, &caller, "Spread", "/fleet", &body))
    })
    .await
}

/// How a reading is spread.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct SpreadJson {
    /// What was read.
    measure: String,
    /// Where; `null` for everywhere.
    place: Option<String>,
    /// How many readings.
    readings: usize,
    /// How many cars have one.
    cars: usize,
    /// How many have none.
    without: usize,
    /// Quantiles 0, .05, .25, .5, .75, .95 and 1, in mm, g, degrees, ratio, s or N.
    quantiles: Vec<f64>,
    /// The lower limit, where one holds for all the cars.
    lower: Option<f64>,
    /// The upper limit.
    upper: Option<f64>,
    /// How many readings lie below the lower limit.
    below: usize,
    /// How many lie above the upper one.
    above: usize,
    /// The chosen car's reading.
    own: Option<f64>,
    /// Every reading, least first.
    values: Vec<f64>,
}

#[utoipa::path(get, path = "/api/fleet/spread", params(Search, SpreadAsked), tag = "fleet",
    responses((status = 200, body = SpreadJson), (status = 403, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn spread_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
    Asked(asked): Asked<SpreadAsked>,
) -> Result<Json<SpreadJson>, Refusal> {
    app.wait(move |app| {
        let shown = app.with_fleet(|known| work_out(known, &caller, &search, &asked))?;
        let (below, above) = shown.outside();
        let base = |amount: Option<Amount>| amount.map(Amount::base);
        let limit = shown.limit.as_ref();
        let quantile = |(p, _): &(f64, &str)| shown.spread.quantile(*p);
        Ok(Json(SpreadJson {
            measure: shown.measure.to_string(),
            place: shown.place.map(|place| place.to_string()),
            readings: shown.spread.readings.len(),
            cars: shown.spread.cars,
            without: shown.spread.without,
            quantiles: PARTS.iter().filter_map(quantile).collect(),
            lower: base(limit.and_then(|own| own.lower)),
            upper: base(limit.and_then(|own| own.upper)),
            below,
            above,
            own: base(shown.own.as_ref().and_then(|own| own.1)),
            values: shown
                .spread
                .readings
                .iter()
                .map(|own| own.0.base())
                .collect(),
        }))
    })
    .await
}
