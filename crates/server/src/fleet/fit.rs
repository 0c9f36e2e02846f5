//! A part with its lot entered on many cars at once: those that a search found, or those that a program
//! names. Every car gets an entry of its own in its story; all are entered, or none.

use std::fmt::Write;

use axum::extract::State;
use axum::response::Redirect;
use axum::{Extension, Json};
use gradeworthy_fleet::{Lot, Row};
use gradeworthy_store::{Action, Append, Basis, CarId, ClientId, Fact, Fitting};
use gradeworthy_workbench::record::Axles;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use utoipa::ToSchema;

use super::Search;
use super::lots::cars_address;
use crate::App;
use crate::bench::{EndingSent, second, second_field};
use crate::guard::Caller;
use crate::held::Known;
use crate::page::{self, Page};
use crate::refusal::{Problem, Refusal};
use crate::report::client_id;
use crate::request::{Asked, Fields, Sent};
use crate::story::{Fitted, fit_fields};

/// Cars named on the page; all of them are entered.
const NAMED: usize = 200;

/// A part on many cars, from the form or from a program.
struct FitMany {
    cars: Vec<CarId>,
    fitting: Fitting,
    client_id: ClientId,
    second: EndingSent,
}

impl FitMany {
    /// Enters the part on every car; gives how many.
    fn enter(self, app: &App, caller: &Caller) -> Result<usize, Refusal> {
        if self.cars.is_empty() {
            return Err(Refusal::Unfilled {
                what: "the cars that have the part",
            });
        }
        let second = second(app, &self.second)?;
        let snapshot = app.store().snapshot()?;
        let order = |car: &CarId| -> Result<Append, Refusal> {
            let id = self.client_id.derived(&car.to_string());
            Ok(Append {
                car: *car,
                by: caller.member.id,
                second,
                at: app.now(),
                // A part that was fitted is there whatever else was entered meanwhile.
                basis: Basis::Seen(snapshot.version(*car)?),
                facts: vec![(id, Fact::Fitted(self.fitting.clone()))],
                drafts_done: None,
            })
        };
        let orders = self.cars.iter().map(order).collect::<Result<_, _>>()?;
        drop(snapshot);
        Ok(app.store().append_all(orders)?.len())
    }
}

/// The cars that a search means, and a word for just these cars: if others are found when the form comes
/// back, nothing is entered.
struct Meant {
    rows: Vec<Row>,
    cars: Vec<CarId>,
    seen: String,
}

impl Meant {
    fn by(known: &Known, caller: &Caller, search: &Search) -> Result<Self, Refusal> {
        let query = search.query(&known.fleet.under().book.bare)?;
        let rows = known.find(caller, query);
        let cars: Vec<CarId> = rows.iter().map(|row| known.car(*row)).collect();
        let mut hash = Sha256::new();
        for car in &cars {
            hash.update(car.number().to_le_bytes());
        }
        let mut seen = format!("{} ", cars.len());
        for byte in hash.finalize().iter().take(8) {
            // A String takes everything.
            let _ = write!(seen, "{byte:02x}");
        }
        Ok(Self { rows, cars, seen })
    }
}

/// The form for the cars that a search means.
pub(crate) async fn fit_page(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Asked(search): Asked<Search>,
) -> Result<Page, Refusal> {
    app.wait(move |app| {
        let members = app.store().snapshot()?.members()?;
        let second = second_field(&caller, &members, caller.member.role.may(Action::ChangeCar));
        let id = ClientId::random()?;
        let body = app.with_fleet(|known| {
            let meant = Meant::by(known, &caller, &search)?;
            Ok(html! {
                p { "For " strong { (count(meant.cars.len())) } ": " (search.words()) ". "
                    a.button.quiet href={ "/fleet?" (search.text()) } { "Choose other cars" } }
                @if meant.cars.is_empty() {
                    p { "No car fits this search, so there is nothing to enter the part on." }
                } @else {
                    section {
                        h2 { "A part was fitted on each of them" }
                        form method="post" action="/fleet/fit" {
                            input type="hidden" name="client_id" value=(id);
                            input type="hidden" name="query" value=(search.text());
                            input type="hidden" name="seen" value=(meant.seen);
                            (fit_fields(Axles::Six, &second))
                        }
                        p.more { "Every car gets this entry in its own story. A part that was entered before at the \
                            same place is taken to be replaced, and stays readable. A mistake is struck car by car. \
                            If one car cannot have it, because its owner refuses the work, it is entered on none." }
                    }
                    (named(known, &meant.rows))
                }
            })
        })?;
        Ok(page::room(app, &caller, "A part on many cars", "/fleet", &body))
    })
    .await
}

fn named(known: &Known, rows: &[Row]) -> Markup {
    html! {
        section {
            details open[rows.len() <= 20] {
                summary { h2 { "The cars" } }
                ul.lines { @for row in rows.iter().take(NAMED) {
                    @let own = &known.fleet.cars()[*row];
                    li { a href={ "/cars/" (own.facts.key) } { (own.car.mark) } }
                } }
                @if rows.len() > NAMED { p { "And " (rows.len() - NAMED) " more." } }
            }
        }
    }
}

fn count(cars: usize) -> String {
    if cars == 1 {
        "1 car".to_owned()
    } else {
        format!("{cars} cars")
    }
}

/// Enters the part on the cars of the form's search.
pub(crate) async fn fit_many(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    fields: Fields,
) -> Result<Redirect, Refusal> {
    app.wait(move |app| {
        let search = Search::from_text(fields.get("query"))?;
        let meant = app.with_fleet(|known| Meant::by(known, &caller, &search))?;
        if meant.seen != fields.get("seen") {
            return Err(Refusal::GroupMovedOn);
        }
        let fitted = Fitted {
            part: fields.get("part"),
            place: fields.get("place"),
            description: fields.get("description"),
            lot: fields.get("lot"),
        };
        let fitting = fitted.read()?;
        let lot = Lot {
            part: fitting.part.name(),
            description: fitting.description.clone(),
            lot: fitting.lot.clone(),
        };
        let order = FitMany {
            cars: meant.cars,
            fitting,
            client_id: client_id(fields.get("client_id"))?,
            second: EndingSent {
                second: fields.get("second").to_owned(),
                second_secret: fields.secret("second_secret").to_owned(),
                ..EndingSent::default()
            },
        };
        order.enter(app, &caller)?;
        Ok(Redirect::to(&cars_address(&lot)))
    })
    .await
}

/// A part that was fitted on many cars.
#[derive(Debug, Default, Deserialize, ToSchema)]
#[serde(default)]
pub(crate) struct FitManySent {
    /// The sender's identity of it, 32 hexadecimal digits; sending it twice enters it once.
    client_id: String,
    /// The cars.
    cars: Vec<i64>,
    /// The part: 'truck', 'wheelset', 'coupler', 'draft-gear box', 'weight' or 'something else'.
    part: String,
    /// Where: 'end-A', 'axle-2', 'car'.
    place: String,
    /// Maker and kind, as the shop writes it.
    description: String,
    /// Its lot, where known.
    lot: String,
    /// The name of the member who answers for it beside the sender, where one is needed.
    second: String,
    /// That member's PIN or password.
    second_secret: String,
}

/// On how many cars a part was entered.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FittedJson {
    /// How many.
    cars: usize,
}

#[utoipa::path(post, path = "/api/fleet/fittings", request_body = FitManySent, tag = "fleet",
    responses((status = 200, body = FittedJson), (status = 403, body = Problem), (status = 404, body = Problem),
        (status = 409, body = Problem), (status = 422, body = Problem)))]
pub(crate) async fn fit_many_json(
    State(app): State<App>,
    Extension(caller): Extension<Caller>,
    Sent(sent): Sent<FitManySent>,
) -> Result<Json<FittedJson>, Refusal> {
    app.wait(move |app| {
        let fitted = Fitted {
            part: &sent.part,
            place: &sent.place,
            description: &sent.description,
            lot: &sent.lot,
        };
        let mut cars: Vec<CarId> = sent.cars.iter().copied().map(CarId::from_number).collect();
        cars.sort_unstable();
        cars.dedup();
        let order = FitMany {
            cars,
            fitting: fitted.read()?,
            client_id: client_id(&sent.client_id)?,
            second: EndingSent {
                second: sent.second.clone(),
                second_secret: sent.second_secret.clone(),
                ..EndingSent::default()
            },
        };
        let cars = order.enter(app, &caller)?;
        Ok(Json(FittedJson { cars }))
    })
    .await
}
